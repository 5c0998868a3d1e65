"""A reading as it was typed, made ready to be judged: its own unit, and what its kit states.

The server and a tablet prepare readings with these functions, so that both judge the same.
"""

from typing import Any

from lanewater.kernel.deciding.comparing import whole_root
from lanewater.kernel.deciding.decimals import decimal_text, relation_of, thousandths, whole_text
from lanewater.kernel.deciding.readingerror import LARGEST, LARGEST_ERROR
from lanewater.kernel.deciding.tries import legible_text

FAHRENHEIT = ("F", "°F")
STEPPED = ("comparator", "strips")
PLACES = (1000, 100, 10, 1)


def pointed(text: str) -> str:
    """Write a number with a decimal point where it was typed with a comma."""
    written = ""
    for index in range(len(text)):
        if text[index] == ",":
            written = written + "."
        else:
            written = written + text[index]
    return written


def own_unit_text(parameter: str, text: str, unit: str) -> str:
    """Give a typed number in the parameter's own unit, with a decimal point.

    Fahrenheit becomes Celsius exactly to the thousandth, halves up; g/L of salt becomes mg/L.
    What is no single number stays as typed.

    Parameters
    ----------
    parameter : str
        Its id.
    text : str
        As typed.
    unit : str
        As typed; "" for the parameter's own.
    """
    if not legible_text(text):
        return text
    mark = ""
    if relation_of(text) != "exact":
        mark = text[0]
    if parameter == "temperature_c" and unit in FAHRENHEIT:
        return mark + decimal_text(((thousandths(text) - 32000) * 10 + 9) // 18)
    if parameter == "salt" and unit == "g/L":
        return mark + decimal_text(thousandths(text) * 1000)
    return pointed(text)


def stated_error(kit: dict[str, Any], parameter: str, value: str) -> int:
    """Give the 95 % error that a kit states for one undiluted reading, or -1 where it states none.

    A colour scale that states nothing is good to one step (JUDG); no error is under half a step.

    Parameters
    ----------
    kit : dict
        {"kind", "ranges": {parameter: {"step", "error_absolute", "error_percent"}}}; the error
        parts are one standard uncertainty, "" where not stated.
    parameter : str
        Parameter id.
    value : str
        In the parameter's own unit; must be one number.

    Returns
    -------
    int
        Thousandths of the unit.
    """
    span: dict[str, Any] = kit["ranges"].get(parameter, {})
    step = 0
    if span.get("step", "") != "":
        step = min(thousandths(span["step"]), LARGEST_ERROR)
    error = -1
    if span.get("error_absolute", "") != "":
        shown = min(abs(thousandths(value)), LARGEST)
        absolute = min(2 * thousandths(span["error_absolute"]), LARGEST_ERROR)
        percent = min(thousandths(span["error_percent"]), 100000)
        relative = min(2 * percent * shown // 100000, LARGEST_ERROR)
        error = whole_root(absolute * absolute + relative * relative)
    elif kit["kind"] in STEPPED and step > 0:
        error = step
    if error < 0:
        return -1
    return max(error, (step + 1) // 2)


def between_error(low: str, high: str, kit: dict[str, Any] | None, parameter: str) -> int:
    """Give the 95 % error of a reading between two colours: half their distance, or half a step.

    Parameters
    ----------
    low, high : str
        The two colours, in the parameter's own unit.
    kit : dict or None
        As `stated_error`.
    parameter : str
        Parameter id.

    Returns
    -------
    int
        Thousandths of the unit.
    """
    half = (thousandths(high) - thousandths(low) + 1) // 2
    if kit is not None:
        span: dict[str, Any] = kit["ranges"].get(parameter, {})
        if span.get("step", "") != "":
            half = max(half, (thousandths(span["step"]) + 1) // 2)
    return half


def normal_reading(typed: dict[str, Any], kit: dict[str, Any] | None) -> dict[str, Any]:
    """Give a reading in normal form.

    Parameters
    ----------
    typed : dict
        {"parameter", "value": as typed, "unit", "dilution", "point", "at", "kit", "between"?: None
        or the two colours {"low", "high"}, whose middle it is}.
    kit : dict or None
        What is known of the kit, None where it is not.
    """
    value = own_unit_text(typed["parameter"], typed["value"], typed["unit"])
    uncertainty = None
    colours = typed.get("between")
    if colours is not None:
        low = own_unit_text(typed["parameter"], colours["low"], typed["unit"])
        high = own_unit_text(typed["parameter"], colours["high"], typed["unit"])
        value = decimal_text((thousandths(low) + thousandths(high)) // 2)
        error = between_error(low, high, kit, typed["parameter"])
        uncertainty = decimal_text(error * typed["dilution"])
    elif kit is not None and legible_text(value):
        error = stated_error(kit, typed["parameter"], value)
        if error >= 0:
            uncertainty = decimal_text(error * typed["dilution"])
    return {
        "parameter": typed["parameter"],
        "value": value,
        "dilution": typed["dilution"],
        "point": typed["point"],
        "at": typed["at"],
        "uncertainty": uncertainty,
        "kit": typed["kit"],
    }


def rounded_text(number: int, decimals: int) -> str:
    """Write thousandths of zero or more with so many decimals, halves up.

    Parameters
    ----------
    number : int
        Thousandths.
    decimals : int
        One to three; less is taken as one, more as three.
    """
    kept = min(max(decimals, 1), 3)
    unit = PLACES[kept]
    steps = (number + unit // 2) // unit
    whole = 1000 // unit
    fraction = whole_text(steps % whole)
    while len(fraction) < kept:
        fraction = "0" + fraction
    return whole_text(steps // whole) + "." + fraction
