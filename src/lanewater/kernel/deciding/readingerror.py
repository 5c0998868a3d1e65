"""How far a reading and a difference of two readings can be trusted, in thousandths at 95 %.

The typical values are what photometers are commonly said to do (MEM): they stand in only where
a kit declares nothing. They are given as one standard uncertainty: an absolute part, in
thousandths of the unit, and a part of the reading, in thousandths.
"""

from typing import Any

from lanewater.kernel.deciding.comparing import whole_root
from lanewater.kernel.deciding.decimals import thousandths
from lanewater.kernel.deciding.tries import legible_text

TYPICAL_ERROR = {
    "free_chlorine": (20, 30),  # MEM
    "total_chlorine": (20, 30),  # MEM
    "total_bromine": (45, 30),  # MEM, chlorine's times 2.25
    "cyanuric_acid": (5000, 60),  # MEM
    "total_alkalinity": (2500, 25),  # MEM
    "calcium_hardness": (5000, 50),  # MEM
    "ph": (50, 0),  # MEM
    "temperature_c": (250, 0),  # MEM
    "controller_free": (50, 50),  # JUDG: a probe between two calibrations
    "controller_ph": (75, 0),  # JUDG
}
UNKNOWN_ERROR = (0, 50)  # MEM
LARGEST = 10000000
LARGEST_ERROR = 30000000


def typical_error(parameter: str, number: int) -> int:
    """Give the typical 95 % error of one undiluted reading. MEM.

    Parameters
    ----------
    parameter : str
        Parameter id.
    number : int
        What the instrument showed, in thousandths of its unit.

    Returns
    -------
    int
        Thousandths of the unit, at 95 %.
    """
    parts = TYPICAL_ERROR.get(parameter, UNKNOWN_ERROR)
    absolute = 2 * parts[0]
    relative = 2 * parts[1] * min(abs(number), LARGEST) // 1000
    return whole_root(absolute * absolute + relative * relative)


def reading_error(reading: dict[str, Any]) -> int:
    """Give the 95 % error of a legible reading, after its dilution.

    Parameters
    ----------
    reading : dict
        Reading in normal form; its "uncertainty" is already that of the diluted value.

    Returns
    -------
    int
        Thousandths of the unit.
    """
    declared = reading["uncertainty"]
    if declared is not None and legible_text(declared):
        return min(abs(thousandths(declared)), LARGEST_ERROR)
    shown = thousandths(reading["value"])
    dilution: int = reading["dilution"]
    return min(typical_error(reading["parameter"], shown) * dilution, LARGEST_ERROR)


def pair_error(one: dict[str, Any], other: dict[str, Any]) -> int:
    """Give the 95 % error of the difference of two readings, taken as independent.

    Parameters
    ----------
    one, other : dict
        Legible readings in normal form.
    """
    first = reading_error(one)
    second = reading_error(other)
    return whole_root(first * first + second * second)
