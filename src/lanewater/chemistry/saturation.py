"""The saturation index with the band of its test errors, and where the table parts from it."""

from __future__ import annotations

from dataclasses import dataclass

from lanewater.chemistry.handbook import handbook_index
from lanewater.chemistry.water import CYANURIC_SHARE
from lanewater.kernel.water import saturation as figure
from lanewater.kernel.water.slots import (
    INCONSISTENT,
    NO_BAND,
    R_CYANURIC_ACID,
    R_FREE_CHLORINE,
    R_PH,
    R_SALT,
    R_TEMPERATURE,
    SOLVED,
)
from lanewater.kernel.water.spread import index_of_reading, saturation_spread, with_reading

Reading = tuple[float, ...]
Constants = tuple[float, ...]

IMPOSSIBLE = "impossible"
NO_END = "no-end"
NOT_SOLVED = "not-solved"
# The table parts least from the computed value here; what is left there is the rest.
PLAIN_TEMPERATURE_C = 25.0
# By so much the choice between published databases moves the index.
MODEL_SPREAD = 0.05


@dataclass(frozen=True, slots=True)
class Banded:
    """The index and its band.

    Attributes
    ----------
    value, low, high : float
        Saturation index and its ends at 95 %.
    shares : tuple of float
        Each reading's share of the half width's square, in the kernel's order of a reading.
    """

    value: float
    low: float
    high: float
    shares: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Parting:
    """How far the handbook's table lies above the computed index, by cause; they add up.

    Attributes
    ----------
    table, corrected : float or None
        The table with alkalinity as read, and less a third of the cyanuric acid; None outside it.
    whole, temperature, salt, stabiliser, rest : float
        Table less computed, and its parts; all 0 where the table gives nothing.
    """

    table: float | None
    corrected: float | None
    whole: float = 0.0
    temperature: float = 0.0
    salt: float = 0.0
    stabiliser: float = 0.0
    rest: float = 0.0


def banded_index(k: Constants, reading: Reading, errors: Reading) -> Banded | str:
    """Give the index with its band.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    reading, errors : tuple of float
        The water in the kernel's order, and the half width of each at 95 %; 0 does not count.

    Returns
    -------
    Banded or str
        IMPOSSIBLE where the readings cannot all be right, NO_END where a reading's error reaches
        a water that cannot be, NOT_SOLVED where none is found.
    """
    status, half, shares = saturation_spread(k, reading, errors)
    if status != SOLVED:
        return {INCONSISTENT: IMPOSSIBLE, NO_BAND: NO_END}.get(status, NOT_SOLVED)
    _, value = index_of_reading(k, reading)
    return Banded(value, value - half, value + half, tuple(shares))


def parting(k: Constants, reading: Reading) -> Parting:
    """Tell where the handbook's table and the computed index part, and by what.

    The water is put together again one cause at a time: at 25 C without salt and stabiliser first
    (what parts there is the rest), then with its stabiliser, its salt, its temperature.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    reading : tuple of float
        The water in the kernel's order.
    """
    table, corrected = tables(k, reading)
    plain = with_reading(reading, R_TEMPERATURE, PLAIN_TEMPERATURE_C)
    stabilised = with_reading(plain, R_SALT, 0.0)
    bare = with_reading(stabilised, R_CYANURIC_ACID, 0.0)
    gaps = [gap(k, water) for water in (bare, stabilised, plain, reading)]
    if table is None or None in gaps:
        return Parting(table, corrected)
    rest, stabiliser, salt, whole = (found for found in gaps if found is not None)
    return Parting(
        table, corrected, whole, whole - salt, salt - stabiliser, stabiliser - rest, rest
    )


def gap(k: Constants, reading: Reading) -> float | None:
    """Give the table's index less the computed one, None where either is missing."""
    table, _ = tables(k, reading)
    status, index = index_of_reading(k, reading)
    return table - index if table is not None and status == SOLVED else None


def tables(k: Constants, reading: Reading) -> tuple[float | None, float | None]:
    """Give the table's index with alkalinity as read, and less a third of the cyanuric acid."""
    status, found = figure.figures_of_reading(k, reading)
    if status != SOLVED:
        return (None, None)
    alkalinity = found[figure.F_TOTAL_ALKALINITY]
    less = alkalinity - found[figure.F_CYANURIC_ACID] / CYANURIC_SHARE
    first, last = (
        handbook_index(
            reading[R_PH],
            reading[R_TEMPERATURE],
            found[figure.F_CALCIUM],
            taken,
            found[figure.F_DISSOLVED],
        )
        for taken in (alkalinity, less)
    )
    return (first, last)


def hocl_range(
    k: Constants, k_low: Constants, reading: Reading, errors: Reading
) -> tuple[float, float] | None:
    """Give the least and the most HOCl that the readings' errors and both constant sets allow.

    Parameters
    ----------
    k, k_low : tuple of float
        The default cyanurate set and the one that gives less.
    reading, errors : tuple of float
        The water in the kernel's order and each reading's half width at 95 %.

    Returns
    -------
    tuple of float or None
        [mg/L as Cl2]; None where a water at its ends is not to be found.
    """
    found = []
    for constants in (k, k_low):
        for side in (1, -1):
            # More acid, more free chlorine and less stabiliser give more HOCl.
            water = reading
            for place, way in ((R_PH, -1), (R_FREE_CHLORINE, 1), (R_CYANURIC_ACID, -1)):
                water = with_reading(water, place, reading[place] + side * way * errors[place])
            status, hocl = figure.hocl_of_reading(constants, water)
            if status != SOLVED:
                return None
            found.append(hocl)
    return (min(found), max(found))
