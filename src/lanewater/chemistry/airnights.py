"""A pool's own nights: how far the air brought its water between two readings."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from lanewater.chemistry.fields import number_field, object_field
from lanewater.chemistry.water import BOUNDS, Water
from lanewater.kernel.water.airexchange import way_between
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.slots import SOLVED
from lanewater.kernel.water.units import CACO3, CHLORINE
from lanewater.terms.errors import InputError
from lanewater.terms.shapes import below

NIGHT_KEYS = (
    "ph_before",
    "ph_after",
    "hours",
    "temperature_c",
    "free_chlorine_before_mg_l",
    "free_chlorine_after_mg_l",
)
MOST_NIGHTS = 60
PPM = 1e-6


@dataclass(frozen=True, slots=True)
class Night:
    """Two readings of one water, between which only air and used chlorine changed it."""

    before: Water
    after: Water
    hours: float


@dataclass(frozen=True, slots=True)
class Way:
    """Rate times time over depth, with what test errors make of it; None where it has no end."""

    hours: float
    middle: float | None
    low: float | None
    high: float | None


def nights_from(given: Any, water: Water) -> tuple[tuple[Night, ...], list[str]]:
    """Read the nights, and say what was assumed of them."""
    if not isinstance(given, list | tuple) or not 1 <= len(given) <= MOST_NIGHTS:
        raise InputError("nights", f"must be a list of 1 to {MOST_NIGHTS} nights")
    nights = tuple(night_from(one, f"nights[{index}]", water) for index, one in enumerate(given))
    said = ["In each night nothing was added, no fresh water came in and nobody bathed."]
    if any("free_chlorine_before_mg_l" not in one for one in given):
        said.append("Where a night tells no free chlorine, none is taken as used.")
    return nights, said


def night_from(given: Any, where: str, water: Water) -> Night:
    """Read one night; what it does not tell is the question's water."""
    table = object_field(given, where, NIGHT_KEYS)
    for name in NIGHT_KEYS[:3]:
        if name not in table:
            raise InputError(below(where, name), "is missing")

    def read(name: str, low: float, high: float, other: float) -> float:
        return number_field(table.get(name, other), below(where, name), low, high)

    free = [
        read(name, *BOUNDS["free_chlorine_mg_l"], -1.0) if name in table else None
        for name in NIGHT_KEYS[4:]
    ]
    if (free[0] is None) != (free[1] is None):
        raise InputError(below(where, NIGHT_KEYS[4]), "give free chlorine before and after")
    first, last = (value if value is not None else water.free_chlorine_mg_l for value in free)
    if last > first:
        raise InputError(
            below(where, NIGHT_KEYS[5]),
            "is more than before: where chlorine was added, the night tells nothing of the air",
        )
    warm = read("temperature_c", *BOUNDS["temperature_c"], water.temperature_c)
    start = replace(
        water,
        ph=read("ph_before", *BOUNDS["ph"], 0),
        temperature_c=warm,
        free_chlorine_mg_l=first,
    )
    # Chlorine that is used takes an equivalent of alkalinity a mol.
    taken = (first - last) / CHLORINE * CACO3 / 2
    end = replace(
        start,
        ph=read("ph_after", *BOUNDS["ph"], 0),
        free_chlorine_mg_l=last,
        total_alkalinity_mg_l=max(water.total_alkalinity_mg_l - taken, 0.0),
    )
    return Night(start, end, read("hours", 0.5, 240.0, 0))


def way_of_night(k: tuple[float, ...], night: Night, air_ppm: float, error: float) -> Way:
    """Give how far the air brought a night's water, and what errors of its readings make of it."""

    def way(first: float, last: float) -> float | None:
        """Give the way with both readings moved by some error."""
        waters = (
            replace(night.before, ph=night.before.ph + first * error),
            replace(night.after, ph=night.after.ph + last * error),
        )
        found = [totals_of_reading(k, water.reading) for water in waters]
        if any(status != SOLVED for status, _ in found):
            return None
        status, distance = way_between(
            k, night.before.temperature_c, found[0][1], found[1][1], air_ppm * PPM
        )
        return distance if status == SOLVED else None

    ends = [way(1, -1), way(-1, 1)]
    known = [end for end in ends if end is not None]
    middle = way(0, 0)
    if middle is None or not known:
        return Way(night.hours, middle, None, None)
    return Way(night.hours, middle, min(*known, middle), max(known) if len(known) > 1 else None)


def pooled(ways: list[Way]) -> Way:
    """Give the nights' ways together; errors of different nights do not go with each other."""
    good = [way for way in ways if counts(way)]
    hours = sum(way.hours for way in good)
    if not good:
        return Way(0.0, None, None, None)
    middle = sum(way.middle or 0.0 for way in good)
    below_it = math.hypot(*((way.middle or 0.0) - (way.low or 0.0) for way in good))
    high = None
    if all(way.high is not None for way in good):
        high = middle + math.hypot(*((way.high or 0.0) - (way.middle or 0.0) for way in good))
    return Way(hours, middle, max(middle - below_it, 0.0), high)


def counts(way: Way) -> bool:
    """Tell whether air may explain a night: its way has an end, and is not all the other way."""
    return way.middle is not None and way.low is not None and (way.high is None or way.high > 0)
