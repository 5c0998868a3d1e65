"""`calc air`: the pH of a water that stands in air, at a rate given or found from nights."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lanewater.chemistry.airnights import (
    PPM,
    Night,
    Way,
    counts,
    nights_from,
    pooled,
    way_of_night,
)
from lanewater.chemistry.fields import number_field
from lanewater.chemistry.water import Finding, Water, describe, finding, water_from
from lanewater.kernel.water.airexchange import course_in_air, open_water_rate
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.slots import SOLVED
from lanewater.terms.errors import InputError

ALSO = (
    "depth_m",
    "volume_m3",
    "surface_m2",
    "air_co2_ppm",
    "rate_cm_h",
    "nights",
    "hours",
    "ph_error",
    "wind_m_s",
)
DEPTH_M = (0.05, 10.0)
RATE_CM_H = (0.0, 200.0)
AIR_PPM = (1.0, 20000.0)
MOST_HOURS = 720.0
HOURS = (6.0, 24.0, 48.0, 72.0, 168.0)
OPEN_WATER_C = (4.0, 35.0)
PH_ERROR = 0.05  # of one reading, JUDG
MOST_ENTRIES = 60
# Far beyond where air and water are even. [1]
END_OF_WAYS = 1e6


@dataclass(frozen=True, slots=True)
class InAir:
    """A question of `calc air`; the rate is None where nights are to give it."""

    water: Water
    depth_m: float
    air_ppm: float
    rate_cm_h: float | None
    nights: tuple[Night, ...]
    hours: tuple[float, ...]
    ph_error: float
    wind_m_s: float | None
    assumed: tuple[str, ...]


def in_air_from(given: Any) -> InAir:
    """Read a question.

    Parameters
    ----------
    given : object
        A water, its depth (or volume and surface), the air's CO2, and a rate or nights.

    Raises
    ------
    InputError
        Naming the field. No rate is ever assumed.
    """
    water = water_from(given, ALSO)
    if "air_co2_ppm" not in given:
        raise InputError(
            "air_co2_ppm", "is missing: about 420 outdoors; a hall holds more, often near 1000"
        )
    if ("rate_cm_h" in given) == ("nights" in given):
        raise InputError(
            "rate_cm_h",
            "give the rate, or nights of this pool's own to find it from; none is promised",
        )
    assumed = ["Alkalinity stays: no product and no fresh water comes in, and no chlorine is used."]
    nights: tuple[Night, ...] = ()
    rate, error = None, PH_ERROR
    if "rate_cm_h" in given:
        rate = number_field(given["rate_cm_h"], "rate_cm_h", *RATE_CM_H)
    else:
        nights, said = nights_from(given["nights"], water)
        assumed += said
        if "ph_error" in given:
            error = number_field(given["ph_error"], "ph_error", 0.0, 0.5)
        else:
            assumed.append(f"One pH reading is taken as right within {PH_ERROR:g}.")
    wind = number_field(given["wind_m_s"], "wind_m_s", 0, 40) if "wind_m_s" in given else None
    return InAir(
        water,
        depth_from(given),
        number_field(given["air_co2_ppm"], "air_co2_ppm", *AIR_PPM),
        rate,
        nights,
        hours_from(given.get("hours", HOURS)),
        error,
        wind,
        tuple(assumed),
    )


def depth_from(given: Mapping[str, Any]) -> float:
    """Give the mean depth: as stated, or volume over surface."""
    parts = [name for name in ("volume_m3", "surface_m2") if name in given]
    if "depth_m" in given:
        if parts:
            raise InputError("depth_m", "give the mean depth, or volume and surface, not both")
        return number_field(given["depth_m"], "depth_m", *DEPTH_M)
    if len(parts) < 2:
        raise InputError("depth_m", "is missing: the mean depth, or volume_m3 and surface_m2")
    volume = number_field(given["volume_m3"], "volume_m3", 0.001, 1e6)
    surface = number_field(given["surface_m2"], "surface_m2", 0.01, 1e6)
    return number_field(volume / surface, "volume_m3 over surface_m2", *DEPTH_M)


def hours_from(given: Any) -> tuple[float, ...]:
    """Read the hours at which the course is told; they rise."""
    if not isinstance(given, list | tuple) or not 1 <= len(given) <= MOST_ENTRIES:
        raise InputError("hours", f"must be a list of 1 to {MOST_ENTRIES} numbers")
    hours = [
        number_field(value, f"hours[{index}]", 0, MOST_HOURS) for index, value in enumerate(given)
    ]
    return tuple(sorted(hours))


def rate_of(way: float | None, hours: float, depth_m: float) -> float | None:
    """Turn a way into a rate in cm/h."""
    return None if way is None else 100 * way * depth_m / hours


def describe_air(
    k: tuple[float, ...], k_low: tuple[float, ...], plant: tuple[float, ...], asked: InAir
) -> dict[str, Any]:
    """Give all that `calc air` answers.

    Parameters
    ----------
    k, k_low : tuple of float
        The flat tuples of the default cyanurate set and of the one that gives less HOCl.
    plant : tuple of float
        The flat tuple of the plant's table.
    asked : InAir
        As read.
    """
    ways = [way_of_night(k, night, asked.air_ppm, asked.ph_error) for night in asked.nights]
    together = pooled(ways)
    rates = [
        rate_of(end, together.hours, asked.depth_m) if together.hours else None
        for end in (together.middle, together.low, together.high)
    ]
    if asked.rate_cm_h is not None:
        rates = [asked.rate_cm_h, None, None]
    elif rates[0] is not None and rates[0] <= 0:
        rates[0] = None
    start = describe(k, k_low, asked.water)
    open_water = None
    if asked.wind_m_s is not None and in_open_water(asked):
        open_water = open_water_rate(plant, asked.water.temperature_c, asked.wind_m_s)
    return {
        "ph": asked.water.ph,
        "rate_cm_h": rates[0],
        "rate_low_cm_h": rates[1],
        "rate_high_cm_h": rates[2],
        "rate_from": "given" if asked.rate_cm_h is not None else "nights",
        "nights": [night_told(way, asked.depth_m) for way in ways],
        "depth_m": asked.depth_m,
        "course": courses(k, asked, rates),
        "air_ph": ceiling(k, asked),
        "open_water_rate_cm_h": open_water,
        "assumed": list(asked.assumed),
        "assumed_zero": list(asked.water.assumed_zero),
        "findings": [*start["findings"], *air_findings(asked, ways, rates)],
    }


def in_open_water(asked: InAir) -> bool:
    """Tell whether the open-water rate is published for the water's temperature."""
    return OPEN_WATER_C[0] <= asked.water.temperature_c <= OPEN_WATER_C[1]


def night_told(way: Way, depth_m: float) -> dict[str, Any]:
    """Give one night as the answer lists it."""
    return {
        "hours": way.hours,
        "rate_cm_h": rate_of(way.middle, way.hours, depth_m),
        "rate_low_cm_h": rate_of(way.low, way.hours, depth_m),
        "rate_high_cm_h": rate_of(way.high, way.hours, depth_m),
        "counted": counts(way),
    }


def ceiling(k: tuple[float, ...], asked: InAir) -> float | None:
    """Give the pH that this air leads to in the end."""
    status, totals = totals_of_reading(k, asked.water.reading)
    if status != SOLVED:
        return None
    _, course = course_in_air(
        k, asked.water.temperature_c, totals, asked.air_ppm * PPM, [END_OF_WAYS]
    )
    return course[0] if course else None


def courses(
    k: tuple[float, ...], asked: InAir, rates: list[float | None]
) -> list[dict[str, float | None]]:
    """Give the pH hour by hour, at the rate and at its ends."""
    status, totals = totals_of_reading(k, asked.water.reading)
    if status != SOLVED or rates[0] is None:
        return []
    columns: list[list[float] | None] = []
    for rate in rates:
        ways = [] if rate is None else [rate / 100 * hours / asked.depth_m for hours in asked.hours]
        _, course = course_in_air(k, asked.water.temperature_c, totals, asked.air_ppm * PPM, ways)
        columns.append(course if rate is not None and len(course) == len(ways) else None)
    middle, slow, fast = columns
    if middle is None:
        return []
    return [
        {
            "hours": hours,
            "ph": middle[place],
            "ph_slow": None if slow is None else slow[place],
            "ph_fast": None if fast is None else fast[place],
        }
        for place, hours in enumerate(asked.hours)
    ]


def air_findings(asked: InAir, ways: list[Way], rates: list[float | None]) -> list[Finding]:
    """Say what the nights do not tell, and what a comparison is not."""
    found = []
    odd = [str(place + 1) for place, way in enumerate(ways) if not counts(way)]
    if odd:
        found.append(
            finding(
                "not-the-air-alone",
                "nights",
                f"Air alone does not bring night {', '.join(odd)} from its first reading to its"
                " last: something else moved the pH, or a reading is off. It is left out.",
                "Look at feeders and fresh water in that night; read both ends on one instrument.",
            )
        )
    if ways and rates[0] is None:
        found.append(
            finding(
                "no-rate-found",
                "rate_cm_h",
                "No rate comes out of these nights, so that no course is told.",
                "Take nights in which the pH moves by more than its test error.",
            )
        )
    elif ways and (not rates[1] or rates[2] is None):
        found.append(
            finding(
                "rate-loosely-known",
                "rate_cm_h",
                "Test errors leave the rate open on one side: the pH moved hardly more than they"
                " do, or came close to where air leads.",
                "Add nights; begin further below the air's own pH.",
            )
        )
    if asked.wind_m_s is not None:
        found.append(
            finding(
                "open-water-is-no-pool",
                "wind_m_s",
                "The open-water rate is that of lakes from 4 to 35 C and stands only beside:"
                " bathers, gutters, slides, jets and balance tanks multiply it by an unknown"
                " factor.",
                "Find the rate from this pool's own nights.",
            )
        )
    return found
