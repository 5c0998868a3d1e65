"""Chlorine on ammonia, minute by minute, as it is asked for and answered by name."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from lanewater.chemistry.fields import number_field
from lanewater.chemistry.water import (
    CYANURATE_RANGE_C,
    Finding,
    Water,
    finding,
    findings_of,
    water_from,
)
from lanewater.kernel.water import chloramineslots as slots
from lanewater.kernel.water.chloraminecourse import breakpoint_course, chlorine_for_nitrogen
from lanewater.kernel.water.slots import INCONSISTENT, NOT_CONVERGED, SOLVED
from lanewater.terms.errors import InputError

# Beside the water's own keys, in the kernel's order; lowest and highest of each.
STARTS: dict[str, tuple[float, float]] = {
    "ammonia_n_mg_l": (0.0, 100.0),
    "monochloramine_mg_l": (0.0, 100.0),
    "dichloramine_mg_l": (0.0, 100.0),
    "trichloramine_mg_l": (0.0, 100.0),
    "urea_mg_l": (0.0, 100.0),
    "trichloramine_to_air_per_h": (0.0, 100.0),
}
MINUTES = "minutes"
REQUIRED = (
    "ph",
    "temperature_c",
    "total_alkalinity_mg_l",
    "free_chlorine_mg_l",
    "ammonia_n_mg_l",
    MINUTES,
)
# A month.
MOST_MINUTES = 43200.0
MOST_ROWS = 1000
USUAL_ROWS = 120

ROW = {
    "minute": slots.G_MINUTE,
    "free_chlorine_mg_l": slots.G_FREE,
    "monochloramine_mg_l": slots.G_MONO,
    "dichloramine_mg_l": slots.G_DI,
    "trichloramine_mg_l": slots.G_TRI,
    "total_chlorine_mg_l": slots.G_TOTAL,
    "ammonia_n_mg_l": slots.G_AMMONIA,
    "urea_mg_l": slots.G_UREA,
    "unbound_chlorine_mg_l": slots.G_UNBOUND,
    "nitrogen_gone_mg_l": slots.G_NITROGEN_GONE,
    "chlorine_gone_mg_l": slots.G_CHLORINE_GONE,
    "trichloramine_to_air_mg_l": slots.G_TO_AIR,
}
COMBINED = ("monochloramine_mg_l", "dichloramine_mg_l", "trichloramine_mg_l")

# Where the set of reactions was fitted.
PH_RANGE = (6.5, 9.5)
TEMPERATURE_RANGE_C = (4.0, 30.0)
MOL_RATIO_RANGE = (0.5, 2.0)
# Below what a test can tell, trichloramine is not spoken of. [mg/L]
LEAST_TRICHLORAMINE = 0.01


@dataclass(frozen=True, slots=True)
class Breakpoint:
    """One question: a water, what else is in it, and when to look.

    Attributes
    ----------
    water : Water
        As read, with its free chlorine.
    given : tuple of float
        As `breakpoint_course` takes it.
    minutes : tuple of float
        When to look, in order. [min]
    assumed_zero : tuple of str
        What was not given.
    """

    water: Water
    given: tuple[float, ...]
    minutes: tuple[float, ...]
    assumed_zero: tuple[str, ...]


def breakpoint_from(given: Any) -> Breakpoint:
    """Read a question from named numbers.

    Parameters
    ----------
    given : object
        All of `REQUIRED`; the keys of `calc water` and those of `STARTS` may be added. `minutes`
        is how long to follow it, or a list of the minutes to look at.

    Raises
    ------
    InputError
        Naming the field that is missing, unknown, not a number or out of its range.
    """
    water = water_from(given, also=(*STARTS, MINUTES))
    for name in REQUIRED:
        if name not in given:
            raise InputError(name, "is missing")
    starts = tuple(
        number_field(given.get(name, 0.0), name, low, high) for name, (low, high) in STARTS.items()
    )
    absent = tuple(name for name in STARTS if name not in given)
    return Breakpoint(water, starts, minutes_of(given[MINUTES]), (*water.assumed_zero, *absent))


def minutes_of(given: Any) -> tuple[float, ...]:
    """Read when to look: a list as it is, a number as every so-manieth whole minute up to it."""
    if not isinstance(given, list):
        last = number_field(given, MINUTES, 0.0, MOST_MINUTES)
        apart = max(math.ceil(last / USUAL_ROWS), 1)
        whole = [float(minute) for minute in range(0, math.floor(last) + 1, apart)]
        return tuple(whole if whole[-1] == last else [*whole, last])
    if not 0 < len(given) <= MOST_ROWS:
        raise InputError(MINUTES, f"must be a number, or a list of 1 to {MOST_ROWS} numbers")
    found = [
        number_field(minute, f"{MINUTES}[{place}]", 0.0, MOST_MINUTES)
        for place, minute in enumerate(given)
    ]
    if found != sorted(found):
        raise InputError(MINUTES, "must be in order, the earliest first")
    return tuple(found)


def describe_breakpoint(
    k: tuple[float, ...], q: tuple[float, ...], asked: Breakpoint
) -> dict[str, Any]:
    """Give all that `calc breakpoint` answers.

    Parameters
    ----------
    k, q : tuple of float
        The flat tuples of the default cyanurate set and of `chloramine.toml`.
    asked : Breakpoint
        The question.

    Returns
    -------
    dict
        `course`, a row for each minute, null where the readings cannot all be right; the mol of
        chlorine for one of nitrogen at the start, null without nitrogen; what was taken as zero;
        findings.
    """
    status, flat = breakpoint_course(k, q, asked.water.reading, asked.given, list(asked.minutes))
    ratio = None
    if any(asked.given[: slots.I_UREA]):
        ratio = chlorine_for_nitrogen(asked.water.reading, asked.given)
    course = [named_row(flat, place) for place in range(0, len(flat), slots.COURSE_WIDTH)]
    return {
        "course": course if status == SOLVED else None,
        "chlorine_for_nitrogen_mol_mol": ratio,
        "assumed_zero": list(asked.assumed_zero),
        "findings": troubles(status) if status != SOLVED else limits(asked, ratio, course),
    }


def named_row(flat: Sequence[float], place: int) -> dict[str, float]:
    """Name the figures of one row, with combined chlorine as the test would show it."""
    row = {name: flat[place + index] for name, index in ROW.items()}
    row["combined_chlorine_mg_l"] = sum(row[name] for name in COMBINED)
    return row


def troubles(status: int) -> list[Finding]:
    """Say why there is no course."""
    if status in {INCONSISTENT, NOT_CONVERGED}:
        return findings_of((status, ()), (status, 0.0), 0.0)
    return [
        finding(
            "not-solved",
            "free_chlorine",
            "The reactions of this water were not followed to the end.",
            "Ask for fewer minutes; keep the readings and report them.",
        )
    ]


def limits(
    asked: Breakpoint, ratio: float | None, course: Sequence[dict[str, float]]
) -> list[Finding]:
    """Say what the course is not, and where the reactions end."""
    return [
        finding(
            "a-model-not-a-promise",
            "combined_chlorine",
            "Computed for clean water with ammonia, at constant pH and temperature. Sweat, urine"
            " and cosmetics bring other nitrogen, which lasts longer or for good; sunlight,"
            " ultraviolet light, bathers, feeding and bromide are not in it.",
            "Test free and total chlorine again; judge by the readings.",
        ),
        *outside(asked, ratio),
        *of_trichloramine(asked, course),
        *of_cyanurate(asked),
        *of_urea(asked),
    ]


def outside(asked: Breakpoint, ratio: float | None) -> list[Finding]:
    """Name what lies outside the range in which the reactions were fitted."""
    places = (
        ("ph", asked.water.ph, PH_RANGE, "pH 6.5 to 9.5"),
        ("temperature_c", asked.water.temperature_c, TEMPERATURE_RANGE_C, "4 to 30 C"),
        ("free_chlorine", ratio, MOL_RATIO_RANGE, "0.5 to 2 mol of chlorine for one of nitrogen"),
    )
    return [
        finding(
            "outside-the-fitted-range",
            about,
            f"The reactions were fitted at {words}; here it is {value:.3g}.",
            "Take the course as rough.",
        )
        for about, value, (low, high), words in places
        if value is not None and not low <= value <= high
    ]


def of_trichloramine(asked: Breakpoint, course: Sequence[dict[str, float]]) -> list[Finding]:
    """Say how far trichloramine can be believed."""
    if max(row["trichloramine_mg_l"] for row in course) < LEAST_TRICHLORAMINE:
        return []
    loss = asked.given[slots.I_TO_AIR]
    told = "no loss was given, and none is taken"
    if loss > 0:
        told = f"{loss:.3g} of it an hour, as given"
    return [
        finding(
            "trichloramine-over-predicted",
            "combined_chlorine",
            "Trichloramine also falls apart by itself, which is not in the reactions, and leaves"
            f" for the air: {told}. One study of a 25 m pool found 20 hours for a rough surface"
            " and 5.8 days for a still one. So it stands higher here than in a pool.",
            "Read it as a warning for the air of the hall, not as an amount: bring in fresh air.",
        )
    ]


def of_cyanurate(asked: Breakpoint) -> list[Finding]:
    """Say what cyanurate does to the course."""
    if asked.water.cyanuric_acid_mg_l <= 0:
        return []
    coldest, warmest = CYANURATE_RANGE_C
    cold = "" if coldest <= asked.water.temperature_c <= warmest else " (measured from 5 to 35 C)"
    return [
        finding(
            "bound-chlorine-waits",
            "cyanuric_acid",
            "Most of the free chlorine is held by the stabiliser and reacts only as it is let go:"
            f" the course is slower than without. What is not bound is an estimate{cold}.",
            "Expect hours where clean water takes minutes.",
        )
    ]


def of_urea(asked: Breakpoint) -> list[Finding]:
    """Say what the urea of the course is."""
    if asked.given[slots.I_UREA] <= 0:
        return []
    return [
        finding(
            "urea-is-one-apparent-step",
            "free_chlorine",
            "Urea is followed as one slow step, found once in pool water (1 % an hour at 1.7 mg/L"
            " free chlorine) and taken the same at every pH and temperature; five chlorines for"
            " each urea are counted as used at once, and the trichloramine that it makes is not"
            " counted.",
            "Take its course as an order of magnitude; fresh water takes urea away, a shock does"
            " not.",
        )
    ]
