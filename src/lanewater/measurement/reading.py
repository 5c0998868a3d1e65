"""A reading as it was typed, with everything needed to believe it or doubt it later."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lanewater.kernel.deciding.decimals import decimal_text, relation_of, thousandths
from lanewater.kernel.deciding.normal import own_unit_text
from lanewater.kernel.deciding.tries import comma_is_ambiguous, legible_text
from lanewater.terms.errors import InputError
from lanewater.terms.parameters import PARAMETERS, units_of

LARGEST_DILUTION = 100
LARGEST_DIGITS = 20
UNIT_MARKS = "/°%"
READING_KEYS = frozenset(
    {"parameter", "value", "unit", "dilution", "point", "kit", "lot", "taken", "entered", "between"}
)


@dataclass(frozen=True, slots=True)
class Interval:
    """Two neighbouring colours of a comparator between which a reading lay."""

    low: str
    high: str


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading.

    Attributes
    ----------
    parameter : str
        Parameter id.
    text : str
        The number exactly as typed, or the word of clarity and circulation.
    typed_unit : str
        The unit it was typed in; "" where none was said.
    value : str
        The same in the parameter's own unit, with a decimal point; still not a number where a
        comma can be read two ways.
    dilution : int
        1 part of pool water made up to so many; 1 is undiluted.
    point, kit, lot : str
        Where in the pool, with which kit, with which reagent lot; "" where not said.
    taken, entered : int or None
        When the sample was taken, and when it was typed in. [UTC s]
    between : Interval or None
        The two colours, where a comparator stood between them.
    """

    parameter: str
    text: str
    value: str
    typed_unit: str = ""
    dilution: int = 1
    point: str = ""
    kit: str = ""
    lot: str = ""
    taken: int | None = None
    entered: int | None = None
    between: Interval | None = None

    @property
    def decimals(self) -> int:
        """Give how many decimals were typed."""
        _, _, fraction = self.text.replace(",", ".").partition(".")
        return len(fraction)

    @property
    def over_range(self) -> bool:
        """Tell whether the kit showed more than it can read."""
        return relation_of(self.value) == "above"

    @property
    def under_range(self) -> bool:
        """Tell whether the kit showed less than it can read."""
        return relation_of(self.value) == "below"

    @property
    def legible(self) -> bool:
        """Tell whether the value is one number."""
        return not PARAMETERS[self.parameter].words and legible_text(self.value)


def reading_from(given: Any, where: str = "reading") -> Reading:
    """Read one reading as a client sends it.

    Parameters
    ----------
    given : object
        {parameter, value: text as typed, unit, dilution, point, kit, lot, taken, entered,
        between: {low, high} in place of value}.
    where : str, optional
        Its name, for errors.

    Returns
    -------
    Reading
        With the value in the parameter's unit; a comma that can be read two ways is kept.

    Raises
    ------
    InputError
        Naming the field: a unit inside the number, an unknown unit, a value that is no number.
    """
    if not isinstance(given, Mapping):
        raise InputError(where, "an object is wanted")
    for key in given:
        if key not in READING_KEYS:
            raise InputError(f"{where}.{key}", f"is not one of {', '.join(sorted(READING_KEYS))}")
    parameter = given.get("parameter")
    if not isinstance(parameter, str) or parameter not in PARAMETERS:
        raise InputError(f"{where}.parameter", f"{parameter!r} is not a parameter")
    unit = short_text(given.get("unit", ""), f"{where}.unit", 20)
    between = interval_from(given.get("between"), parameter, unit, f"{where}.between")
    if between is None:
        text = typed_text(given.get("value"), parameter, f"{where}.value")
        value = in_own_unit(text, parameter, unit, f"{where}.value")
    elif given.get("value") is not None:
        raise InputError(f"{where}.value", 'leave it out where "between" is given')
    else:
        text = f"{given['between']['low']} to {given['between']['high']}"
        value = midpoint(between)
    return Reading(
        parameter=parameter,
        text=text,
        value=value,
        typed_unit=unit,
        dilution=dilution_factor(given.get("dilution", 1), f"{where}.dilution"),
        point=short_text(given.get("point", ""), f"{where}.point", 60),
        kit=short_text(given.get("kit", ""), f"{where}.kit", 64),
        lot=short_text(given.get("lot", ""), f"{where}.lot", 40),
        taken=second(given.get("taken"), f"{where}.taken"),
        entered=second(given.get("entered"), f"{where}.entered"),
        between=between,
    )


def short_text(value: Any, where: str, longest: int) -> str:
    """Check short text."""
    if not isinstance(value, str) or len(value) > longest or not value.isprintable():
        raise InputError(where, f"text of at most {longest} characters is wanted")
    return value


def second(value: Any, where: str) -> int | None:
    """Check an optional instant in UTC seconds."""
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value < 2**40:
        raise InputError(where, "whole UTC seconds are wanted")
    return value


def dilution_factor(value: Any, where: str) -> int:
    """Check a dilution: 1 part pool water made up to so many."""
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= LARGEST_DILUTION:
        raise InputError(
            where, f"1 part pool water made up to 1 to {LARGEST_DILUTION} parts, as a whole number"
        )
    return value


def typed_text(value: Any, parameter: str, where: str) -> str:
    """Check what was typed and keep it as it is; a unit inside the number is refused by name."""
    words = PARAMETERS[parameter].words
    if words:
        if value not in words:
            raise InputError(where, f"one of {', '.join(words)} is wanted")
        return str(value)
    if not isinstance(value, str):
        raise InputError(where, 'the number as text is wanted, such as "1.52"')
    text = value.strip()
    if any(mark.isalpha() or mark in UNIT_MARKS for mark in text):
        raise InputError(where, f"{value!r} holds more than a number; the unit has its own field")
    if len(text) > LARGEST_DIGITS or not (legible_text(text) or comma_is_ambiguous(text)):
        raise InputError(where, f"{value!r} is not a number; write it as 1.52, >5.00 or <6.8")
    return text


def in_own_unit(text: str, parameter: str, unit: str, where: str) -> str:
    """Give a typed number in the parameter's own unit, with a decimal point.

    Fahrenheit becomes Celsius exactly to the thousandth, halves up; g/L of salt becomes mg/L.
    A comma that can be read two ways is left as typed.
    """
    check_unit(parameter, unit, where)
    return text if PARAMETERS[parameter].words else own_unit_text(parameter, text, unit)


def check_unit(parameter: str, unit: str, where: str) -> None:
    """Refuse a unit that the parameter is not typed in."""
    accepted = units_of(parameter)
    if unit not in accepted:
        wanted = ", ".join(accepted[1:]) or "no unit"
        raise InputError(f"{where.rpartition('.')[0]}.unit", f"{unit!r}: {wanted} is wanted")


def interval_from(given: Any, parameter: str, unit: str, where: str) -> Interval | None:
    """Read "between two colours", low under high."""
    if given is None:
        return None
    if not isinstance(given, Mapping) or set(given) != {"low", "high"}:
        raise InputError(where, "low and high are wanted")
    ends = {}
    for end in ("low", "high"):
        text = typed_text(given[end], parameter, f"{where}.{end}")
        if not legible_text(text) or text[0] in "<>-":
            raise InputError(f"{where}.{end}", "a plain number is wanted")
        ends[end] = in_own_unit(text, parameter, unit, f"{where}.{end}")
    if thousandths(ends["low"]) >= thousandths(ends["high"]):
        raise InputError(where, "low must be under high")
    return Interval(**ends)


def midpoint(interval: Interval) -> str:
    """Give the middle of two colours, which is what is judged."""
    return decimal_text((thousandths(interval.low) + thousandths(interval.high)) // 2)
