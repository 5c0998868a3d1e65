"""`calc fresh-water`: how much to replace for a target, what evaporates, and where it settles."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lanewater.chemistry.additions import described
from lanewater.chemistry.evaporating import (
    Room,
    describe_evaporation,
    evaporation_findings,
    room_from,
)
from lanewater.chemistry.fields import number_field, object_field
from lanewater.chemistry.freshwater import (
    DRAIN,
    FLOW,
    KEPT,
    QUESTION_KEY,
    FreshWater,
    exchange_findings,
    water_within,
)
from lanewater.chemistry.water import BOUNDS, Finding, Water, describe, finding, water_from
from lanewater.kernel.water.dilution import (
    NO_SHARE,
    amount_after,
    settled_amount,
    share_to_reach,
    volumes_of_share,
)
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.terms.errors import InputError
from lanewater.terms.shapes import below

ALSO = ("volume_m3", QUESTION_KEY, "target", "per_day", "days", "surface_m2", "air")
# What neither reacts nor leaves by itself, so that shares of water tell all of it.
LASTING = (
    "calcium_hardness_mg_l",
    "cyanuric_acid_mg_l",
    "boron_mg_l",
    "salt_mg_l",
    "sulfate_mg_l",
)
LET_OUT = ("backwash_m3", "bathers_m3", "overflow_m3")
VOLUME_M3 = (0.001, 1e6)
MOST_DAYS = 3650.0
DAYS = (30.0,)
STABILISER = finding(
    "stabiliser-comes-back",
    "cyanuric_acid",
    "Each mg/L of chlorine brings 0.9 mg/L of it with dichlor and 0.6 with trichlor, and most tests"
    " end near 100.",
    "Stop stabilised chlorine, and test a diluted sample before any water is let out.",
)


@dataclass(frozen=True, slots=True)
class Target:
    """One lasting quantity, and what it is to come to. [mg/L]"""

    quantity: str
    amount: float


@dataclass(frozen=True, slots=True)
class Refill:
    """A question of `calc fresh-water`, read; what it does not ask for is None or empty."""

    water: Water
    volume_m3: float
    fresh: Water
    target: Target | None
    out_m3_day: float | None
    days: tuple[float, ...]
    room: Room | None


def refill_from(given: Any) -> Refill:
    """Read a question.

    Parameters
    ----------
    given : object
        A water, `volume_m3` and `fresh_water`; and a `target`, a room with its air, what is let
        out `per_day`, or several of them.

    Raises
    ------
    InputError
        Naming the field.
    """
    water = water_from(given, ALSO)
    for name in ALSO[:2]:
        if name not in given:
            raise InputError(name, "is missing")
    volume = number_field(given["volume_m3"], "volume_m3", *VOLUME_M3)
    fresh = water_within(given[QUESTION_KEY], QUESTION_KEY)
    if not any(name in given for name in ("target", "per_day", "air")):
        raise InputError("target", "ask for a target, for air, for per_day, or several of them")
    if "per_day" not in given and "days" in given:
        raise InputError("days", "goes with per_day")
    target = target_from(given["target"], water, fresh) if "target" in given else None
    out = out_from(given["per_day"]) if "per_day" in given else None
    days = given.get("days", DAYS)
    if not isinstance(days, list | tuple) or not 1 <= len(days) <= 50:
        raise InputError("days", "must be a list of 1 to 50 numbers")
    read = [number_field(one, f"days[{place}]", 0, MOST_DAYS) for place, one in enumerate(days)]
    return Refill(
        water,
        volume,
        fresh,
        target,
        out,
        tuple(sorted(read)),
        room_from(given, water.temperature_c, volume),
    )


def target_from(given: Any, water: Water, fresh: Water) -> Target:
    """Read the one quantity that is to come to an amount; both waters must tell it."""
    table = object_field(given, "target", LASTING)
    if len(table) != 1:
        raise InputError("target", f"must name one of {', '.join(LASTING)}")
    [name] = table
    if name in water.assumed_zero:
        raise InputError(name, "is missing: a target for it needs what the pool holds now")
    if name in fresh.assumed_zero:
        raise InputError(
            below(QUESTION_KEY, name), "is missing: say 0 where the fresh water holds none"
        )
    return Target(name, number_field(table[name], below("target", name), *BOUNDS[name]))


def out_from(given: Any) -> float:
    """Give the water let out a day with all that is in it. [m3/day]"""
    table: Mapping[str, Any] = object_field(given, "per_day", LET_OUT)
    if not table:
        raise InputError("per_day", f"must name some of {', '.join(LET_OUT)}")
    return sum(number_field(value, below("per_day", name), 0, 1e5) for name, value in table.items())


def describe_refill(
    k: tuple[float, ...], k_low: tuple[float, ...], plant: tuple[float, ...], asked: Refill
) -> dict[str, Any]:
    """Give all that `calc fresh-water` answers.

    Parameters
    ----------
    k, k_low : tuple of float
        The flat tuples of the default cyanurate set and of the one that gives less HOCl.
    plant : tuple of float
        The flat tuple of the plant's table.
    asked : Refill
        As read.

    Returns
    -------
    dict
        `needed` for the target, `evaporation`, and `balance`, each null where it is not asked
        for; `assumed` and `findings`.
    """
    before = describe(k, k_low, asked.water)
    status = totals_of_reading(k, asked.fresh.reading)[0]
    needed, found = None, list(before["findings"])
    if asked.target is not None:
        needed, mine = describe_target(k, k_low, asked, asked.target, status)
        found += mine
    evaporation = None
    if asked.room is not None:
        evaporation = describe_evaporation(plant, asked.room)
        found += evaporation_findings(asked.room)
    return {
        "before": {"ph": asked.water.ph, **before},
        "needed": needed,
        "evaporation": evaporation,
        "balance": describe_balance(asked, evaporation),
        "assumed": assumed(asked),
        "assumed_zero": list(asked.water.assumed_zero),
        "findings": found,
    }


def describe_target(
    k: tuple[float, ...], k_low: tuple[float, ...], asked: Refill, target: Target, status: int
) -> tuple[dict[str, Any] | None, list[Finding]]:
    """Tell how much water a target needs, let out at once or flowing through."""
    now, incoming = (getattr(water, target.quantity) for water in (asked.water, asked.fresh))
    share = share_to_reach(now, incoming, target.amount)
    if share == NO_SHARE:
        return None, [
            finding(
                "fresh-water-does-not-lead-there",
                f"target.{target.quantity}",
                f"The pool holds {now:g} mg/L and the fresh water {incoming:g}: no share of it"
                f" leads to {target.amount:g}.",
                "Set a target between the two, or look for other water.",
            )
        ]
    ways = {}
    found: list[Finding] = []
    for way, volumes in ((DRAIN, share), (FLOW, volumes_of_share(share))):
        step = FreshWater(asked.fresh, way, volumes, volumes * asked.volume_m3, KEPT, said=True)
        ways[way.replace("-", "_")] = {
            "m3": step.m3,
            "share_percent": 100 * step.share,
            "after": described(k, k_low, asked.water, (step,))[0],
        }
        if way == DRAIN and share > 0:
            found += exchange_findings(step, status)
    if target.quantity == "cyanuric_acid_mg_l" and share > 0:
        found.append(STABILISER)
    return {
        "quantity": target.quantity,
        "now_mg_l": now,
        "fresh_mg_l": incoming,
        "target_mg_l": target.amount,
        **ways,
    }, found


def describe_balance(asked: Refill, evaporation: dict[str, Any] | None) -> dict[str, Any] | None:
    """Tell what lasts in the water after some days, and what it settles at.

    What evaporates is made up by fresh water and leaves everything behind; where no air is given
    it is taken as nothing, which `assumed` says.
    """
    if asked.out_m3_day is None:
        return None
    ends = (0.0, 0.0)
    if evaporation is not None:
        ends = (evaporation["low_m3_day"], evaporation["high_m3_day"])
    return {
        "out_m3_day": asked.out_m3_day,
        "in_low_m3_day": asked.out_m3_day + ends[0],
        "in_high_m3_day": asked.out_m3_day + ends[1],
        "course": [
            {"days": day, **{name: both(asked, name, ends, day) for name in told(asked)}}
            for day in asked.days
        ],
        "settles_at": {name: settled(asked, name, ends) for name in told(asked)},
    }


def told(asked: Refill) -> list[str]:
    """Name what lasts and is known of both waters."""
    unknown = {*asked.water.assumed_zero, *asked.fresh.assumed_zero}
    return [name for name in LASTING if name not in unknown]


def both(asked: Refill, name: str, ends: tuple[float, float], days: float) -> list[float]:
    """Give what a quantity comes to with the least and the most evaporation. [mg/L]"""
    out = asked.out_m3_day or 0.0
    now, fresh = getattr(asked.water, name), getattr(asked.fresh, name)
    return [
        amount_after(now, fresh, (out + gone) * days, out * days, asked.volume_m3) for gone in ends
    ]


def settled(asked: Refill, name: str, ends: tuple[float, float]) -> list[float] | None:
    """Give what a quantity settles at in the end; None where nothing is let out. [mg/L]"""
    out = asked.out_m3_day or 0.0
    if out <= 0:
        return None
    return [settled_amount(getattr(asked.fresh, name), out + gone, out) for gone in ends]


def assumed(asked: Refill) -> list[str]:
    """Say what was assumed."""
    said = []
    if asked.target is not None:
        said += [
            "The pool mixes through its whole volume, balance tank and pipes included in it.",
            f"The pool is brought back to {asked.water.temperature_c:g} C.",
            "The pH afterwards is that of the mixed water, before any product.",
        ]
    if asked.out_m3_day is not None:
        said.append("A balance holds while no product brings any of what it tells.")
        if asked.room is None:
            said.append("No air is given: nothing is taken to evaporate.")
    if asked.fresh.assumed_zero:
        said.append(
            "Not given of the fresh water, taken as zero in its pH and alkalinity: "
            + ", ".join(asked.fresh.assumed_zero)
        )
    return said
