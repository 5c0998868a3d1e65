"""An amount in US measures, for sites that measure out in them; always rounded down.

Exact by definition: 1 US fluid ounce is 29.5735295625 mL, 1 ounce 28.349523125 g, 1 US gallon
128 fluid ounces, 1 pound 16 ounces.
"""

from lanewater.kernel.deciding.decimals import whole_text

FL_OZ_ML = (473176473, 16000000)
OZ_G = (45359237, 1600000)
FL_OZ_IN_GAL = 128
OZ_IN_LB = 16
LARGEST_MEASURED = 5000000


def us_measure(amount: int, unit: str) -> dict[str, str]:
    """Give an amount in US measures: tenths of an ounce, or hundredths of a gallon or a pound.

    Parameters
    ----------
    amount : int
        In mL or g, at most 5,000,000.
    unit : str
        "mL" or "g".

    Returns
    -------
    dict
        {"amount": decimal text, "unit": us-fl-oz, us-gal, oz-weight or lb}.

    Raises
    ------
    ValueError
        For another unit, or an amount that is none.
    """
    if amount < 0 or amount > LARGEST_MEASURED:
        raise ValueError("not an amount that is measured out")
    if unit == "mL":
        return in_ounces(amount, FL_OZ_ML, FL_OZ_IN_GAL, "us-fl-oz", "us-gal")
    if unit == "g":
        return in_ounces(amount, OZ_G, OZ_IN_LB, "oz-weight", "lb")
    raise ValueError("neither mL nor g")


def in_ounces(
    amount: int, ounce: tuple[int, int], in_large: int, small: str, large: str
) -> dict[str, str]:
    """Give an amount in ounces, or in the large unit from one of it on."""
    tenths = amount * 10 * ounce[1] // ounce[0]
    if tenths < 10 * in_large:
        return {"amount": whole_text(tenths // 10) + "." + whole_text(tenths % 10), "unit": small}
    hundredths = amount * 100 * ounce[1] // (ounce[0] * in_large)
    written = whole_text(hundredths // 100) + "." + whole_text(hundredths % 100 // 10)
    return {"amount": written + whole_text(hundredths % 10), "unit": large}
