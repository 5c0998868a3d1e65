"""How far a reading can be trusted: the 95 % error that the kernel judges and advises with.

A kit's own declaration comes first. Where it declares nothing, a colour scale is good to one
step (JUDG) and anything else to the typical photometer values of the kernel, which are from
memory (MEM) and marked typical wherever they are used.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from lanewater.kernel.deciding.decimals import decimal_text, thousandths
from lanewater.kernel.deciding.normal import rounded_text, stated_error
from lanewater.kernel.deciding.plausibility import combined_thousandths
from lanewater.kernel.deciding.readingerror import pair_error, typical_error
from lanewater.measurement.kits import Kit
from lanewater.measurement.reading import Reading

LARGEST_SHOWN = 10_000_000


@dataclass(frozen=True, slots=True)
class ReadingError:
    """The 95 % error of one reading.

    Attributes
    ----------
    thousandths : int
        Half width at 95 %, after dilution. [thousandths of the reading's unit]
    typical : bool
        True where no kit declares it and a typical value from memory stands in.
    """

    thousandths: int
    typical: bool

    @property
    def text(self) -> str:
        """Give it as decimal text, for the normal form and for people."""
        return decimal_text(self.thousandths)


def error_of(reading: Reading, kit: Kit | None = None) -> ReadingError:
    """Give the 95 % error of a legible reading; dilution multiplies it.

    Parameters
    ----------
    reading : Reading
        Must be legible.
    kit : Kit, optional
        The kit it was read with, where it is known.
    """
    shown = min(abs(thousandths(reading.value)), LARGEST_SHOWN)
    stated = -1
    if reading.between is not None:
        width = thousandths(reading.between.high) - thousandths(reading.between.low)
        stated = max((width + 1) // 2, half_step(reading, kit))
    elif kit is not None:
        stated = stated_error(kit.for_kernel(), reading.parameter, reading.value)
    if stated >= 0:
        return ReadingError(stated * reading.dilution, typical=False)
    error = max(typical_error(reading.parameter, shown), half_step(reading, kit))
    return ReadingError(error * reading.dilution, typical=True)


def half_step(reading: Reading, kit: Kit | None) -> int:
    """Give half a step of the kit's display, 0 where it is not stated. [thousandths]"""
    span = kit.span(reading.parameter) if kit is not None else None
    return (thousandths(span.step) + 1) // 2 if span is not None and span.step else 0


def for_kernel(reading: Reading, kit: Kit | None = None) -> dict[str, Any]:
    """Give a reading in the kernel's normal form, its 95 % error as decimal text.

    The kernel keeps its own typical value where no kit declares one, so none is written then.

    Parameters
    ----------
    reading : Reading
        Legible or not; one that is not has no error.
    kit : Kit, optional
        The kit it was read with, where it is known.
    """
    uncertainty = None
    if reading.legible:
        error = error_of(reading, kit)
        uncertainty = None if error.typical else error.text
    return {
        "parameter": reading.parameter,
        "value": reading.value,
        "dilution": reading.dilution,
        "point": reading.point,
        "at": reading.taken,
        "uncertainty": uncertainty,
        "kit": reading.kit,
    }


def case_extras(readings: Iterable[Reading], kits: Mapping[str, Kit]) -> dict[str, Any]:
    """Give what findings may use beside the normal form: the kits, and colours in between.

    Parameters
    ----------
    readings : iterable of Reading
        The readings of one round.
    kits : mapping
        The site's kits by id; those that were not used are left out.
    """
    given = list(readings)
    return {
        "kits": {
            identity: kit.for_kernel()
            for identity, kit in kits.items()
            if any(reading.kit == identity for reading in given)
        },
        "between": [
            {
                "parameter": reading.parameter,
                "point": reading.point,
                "low": reading.between.low,
                "high": reading.between.high,
            }
            for reading in given
            if reading.between is not None
        ],
    }


@dataclass(frozen=True, slots=True)
class Combined:
    """Combined chlorine of one pair: total minus free, with its error.

    Attributes
    ----------
    value : str
        In mg/L, with the decimals of the coarser reading; "about 0" within test error of zero.
    error : str
        Half width at 95 %. [mg/L]
    possible : bool
        False where total is under free by more than the test error.
    typical : bool
        True where either error is a typical value from memory.
    """

    value: str
    error: str
    possible: bool
    typical: bool


def combined_of(free: Reading, total: Reading, kits: Mapping[str, Kit]) -> Combined:
    """Give combined chlorine of a free and a total reading, both legible and in range."""
    one = for_kernel(free, kits.get(free.kit))
    other = for_kernel(total, kits.get(total.kit))
    number = combined_thousandths(one, other)
    error = pair_error(one, other)
    typical = one["uncertainty"] is None or other["uncertainty"] is None
    if number < 0:
        return Combined(decimal_text(number), decimal_text(error), possible=False, typical=typical)
    below = thousandths(other["value"]) * total.dilution < thousandths(one["value"]) * free.dilution
    value = "about 0" if below else rounded_text(number, min(free.decimals, total.decimals))
    return Combined(value, decimal_text(error), possible=True, typical=typical)
