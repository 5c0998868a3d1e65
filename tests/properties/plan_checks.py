"""What no plan may do, checked from the outside.

Nothing here asks the planner: amounts become moles by the formulas in this file, the water is
followed with the equilibrium itself, and every cap and limit is worked out again from what was
asked.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tests.properties.plan_situations import FIGURES, Situation

from lanewater.kernel.water.additions import add_product, mixed_totals, use_up_chlorine
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import solve_totals, totals_of_reading
from lanewater.kernel.water.slots import (
    S_LN_PROTON,
    SOLVED,
    T_ALKALINITY,
    T_CALCIUM,
    T_CYANURATE,
    T_HYPOCHLORITE,
)

# g of what a strength counts in a mol, and the product's place in the kernel's table.
GRAMS_A_MOL = {
    "sodium-hypochlorite": (70.906, 0),
    "calcium-hypochlorite": (141.812, 1),
    "sodium-dichloroisocyanurate": (141.812, 3),
    "hydrochloric-acid": (36.461, 5),
    "sodium-bisulfate": (120.05, 6),
    "sodium-bicarbonate": (84.006, 9),
    "sodium-carbonate": (105.988, 10),
    "calcium-chloride": (110.98, 12),
    "sodium-thiosulfate": (158.1, 16),
}
PURPOSES = {
    "sodium-hypochlorite": "raise-chlorine",
    "calcium-hypochlorite": "raise-chlorine",
    "sodium-dichloroisocyanurate": "raise-chlorine",
    "hydrochloric-acid": "lower-ph",
    "sodium-bisulfate": "lower-ph",
    "sodium-bicarbonate": "raise-alkalinity",
    "sodium-carbonate": "raise-ph",
    "calcium-chloride": "raise-calcium",
    "sodium-thiosulfate": "lower-chlorine",
}
CHLORINES = ("sodium-hypochlorite", "calcium-hypochlorite", "sodium-dichloroisocyanurate")
ALL_CHLORINES = (*CHLORINES, "trichloroisocyanuric-acid")
LIQUIDS = ("sodium-hypochlorite", "hydrochloric-acid")
NAMES = {key: parameter for key, parameter, _, _ in FIGURES} | {
    "saturation_index": "saturation_index"
}
EXCESS_CAUSTIC = 0.05
CAPS = {"ph": 0.2, "free_chlorine": 3.0, "total_alkalinity": 15.0, "calcium_hardness": 30.0}
# Numbers are told to a hundredth; what is followed here may differ by that and by rounding.
TOLD = 0.011
HELD = ("scoop", "stock")
READS_NONE = 0.05
CLOSE = 0.004
HALF_HOUR_S = 1800
MOST_STEPS = 24
# Of the volume, and half of it where the volume is a guess.
MOST_DRAINED = 0.32
ORDER = (
    "ph",
    "temperature_c",
    "total_alkalinity",
    "calcium_hardness",
    "cyanuric_acid",
    "boron",
    "salt",
    "sulfate",
    "free_chlorine",
    "magnesium",
)

Totals = tuple[float, ...]


@dataclass(frozen=True)
class Bottle:
    """A product at hand, as it was stated.

    Attributes
    ----------
    grams_a_unit : float
        Of what its strength counts, in a g or a mL.
    stock : float
        In g or mL; infinite where it is not stated.
    """

    substance: str
    grams_a_unit: float
    stock: float
    scoop: float
    jug: str
    approved: tuple[str, ...]
    by_hand: bool


@dataclass(frozen=True)
class Stated:
    """What a situation stated, in plain numbers.

    Attributes
    ----------
    bottles : mapping
        By the product's name in the plan.
    targets, limits : mapping
        (low, high) by parameter, infinite where there is no end.
    """

    water: Mapping[str, float]
    volume_l: float
    bottles: Mapping[str, Bottle]
    targets: Mapping[str, tuple[float, float]]
    limits: Mapping[str, tuple[float, float]]
    pool: Mapping[str, Any]
    feeder: str
    guess: bool
    fill: Mapping[str, float]


def totals_read(k: Totals, water: Mapping[str, float]) -> Totals | None:
    """Give the totals of a water, None where there is no such water."""
    status, totals = totals_of_reading(k, tuple(water.get(name, 0.0) for name in ORDER))
    return totals if status == SOLVED else None


def followed(k: Totals, temperature_c: float, totals: Totals) -> dict[str, float]:
    """Give what a tester would read in a water."""
    status, state = solve_totals(water_constants(k, temperature_c), totals)
    if status != SOLVED:
        return {}
    return {
        "ph": -state[S_LN_PROTON] / math.log(10),
        "free_chlorine": totals[T_HYPOCHLORITE] * 70.906 * 1000,
        "total_alkalinity": totals[T_ALKALINITY] * 100.087 * 500,
        "calcium_hardness": totals[T_CALCIUM] * 100.087 * 1000,
        "cyanuric_acid": totals[T_CYANURATE] * 129.075 * 1000,
    }


def with_step(
    stated: Stated, fill: Totals | None, totals: Totals, step: Mapping[str, Any]
) -> Totals:
    """Give the totals after a step, by the formulas of this file."""
    if step["substance"] == "fresh-water":
        assert fill is not None
        return mixed_totals(totals, fill, step["amount"] / stated.volume_l)
    molar, place = GRAMS_A_MOL[step["substance"]]
    grams = step["amount"] * stated.bottles[step["product"]].grams_a_unit
    caustic = EXCESS_CAUSTIC if place == 0 else 0.0
    return add_product(totals, place, grams / molar / stated.volume_l, caustic)


def faults_of_steps(
    k: Totals,
    stated: Stated,
    start: Totals,
    steps: list[Mapping[str, Any]],
    answer: Mapping[str, Any],
) -> list[str]:
    """Name every fault of a plan's steps when they are followed from its first water.

    Parameters
    ----------
    k : tuple
        The kernel's constants.
    stated : Stated
        What was asked.
    start : tuple
        The totals before the first step. [mol/L]
    steps : list
        In the kernel's form: product, substance, amount in g, mL or L of fresh water.
    answer : mapping
        The plan, with `unreached`.
    """
    fill = totals_read(k, stated.fill) if stated.fill else None
    temperature = stated.water["temperature_c"]
    before = followed(k, temperature, start)
    if not before:
        return ["a plan for a water that there is not"]
    first = before
    totals = start
    added = 0.0
    found = []
    for step in steps:
        found += faults_of_one(stated, step)
        if found:
            return found
        chlorine = totals[T_HYPOCHLORITE]
        totals = with_step(stated, fill, totals, step)
        if step["purpose"] == "raise-chlorine":
            added += totals[T_HYPOCHLORITE] - chlorine
        after = followed(k, temperature, totals)
        if not after:
            return ["a step into a water that there is not"]
        found += faults_of_move(stated, step, before, after)
        before = after
    used = followed(k, temperature, use_up_chlorine(totals, added))
    least = stated.limits.get("ph", (-math.inf, math.inf))[0]
    if first["ph"] >= least > used["ph"] + CLOSE:
        found.append("pH under the rules once the chlorine is used")
    return found + faults_of_end(stated, first, before, steps, answer)


def faults_of_one(stated: Stated, step: Mapping[str, Any]) -> list[str]:
    """Name what a step may not be, whatever it does to the water."""
    substance = step["substance"]
    bottle = stated.bottles.get(step["product"])
    found = named(
        {
            "an amount that cannot be measured": step["amount"] <= 0
            or step["amount"] != int(step["amount"]),
            "a step without a wait and a two-point test": step["wait_s"] < HALF_HOUR_S
            or step["retest"]["points"] != len(("shallow", "deep")),
        }
    )
    if substance == "fresh-water":
        most = MOST_DRAINED / 2 if stated.guess else MOST_DRAINED
        return found + named(
            {
                "fresh water that nobody knows": not stated.fill,
                "more drained at once than may be": step["amount"] > most * stated.volume_l + 1,
            }
        )
    if bottle is None or bottle.substance != substance or substance not in GRAMS_A_MOL:
        return [*found, "a product that is not at hand, or never given"]
    elsewhere = stated.pool.get("location") != "outdoor" or stated.pool.get("stabiliser") != "used"
    return found + named(
        {
            "a product that is never given by hand": not bottle.by_hand,
            "a product for what it is not approved for": step["purpose"] != PURPOSES[substance]
            or step["purpose"] not in bottle.approved,
            "a unit that the product is not measured in": step["unit"]
            != ("mL" if substance in LIQUIDS else "g"),
            "part of a scoop": bool(bottle.scoop and step["amount"] % bottle.scoop),
            "another chlorine than the feeder's": substance in CHLORINES
            and stated.feeder not in ("none", "", substance),
            "stabilised chlorine where it must not be": substance == "sodium-dichloroisocyanurate"
            and elsewhere,
        }
    )


def named(faults: Mapping[str, bool]) -> list[str]:
    """Give the names of the faults that are there."""
    return [name for name, there in faults.items() if there]


def faults_of_move(
    stated: Stated, step: Mapping[str, Any], before: Mapping[str, float], after: Mapping[str, float]
) -> list[str]:
    """Name the caps and limits that a step passes, and where it is told otherwise."""
    found = []
    half = 0.5 if stated.guess and step["substance"] != "fresh-water" else 1.0
    for name, cap in CAPS.items():
        exempt = step["purpose"] in ("dilute", "lower-chlorine") and name != "ph"
        allowed = cap if name == "ph" and half < 1 else cap * half
        if not exempt and abs(after[name] - before[name]) > allowed + CLOSE * cap:
            found.append(f"a step past the cap of {name}")
    top = free_top(stated)
    if after["free_chlorine"] > max(top, before["free_chlorine"]) + CLOSE:
        found.append("free chlorine past the rules' maximum less test error")
    told = {row["parameter"] for row in step["breaks"]}
    for name, (low, high) in stated.limits.items():
        if name in after and name != "free_chlorine":
            over = before[name] <= high and after[name] > high + CLOSE
            under = before[name] >= low and after[name] < low - CLOSE
            if (over or under) and not (name == "ph" and name in told):
                found.append(f"a limit of {name} left on the way")
    for name, text in step["predicted"].items():
        if name in after and abs(float(text) - after[name]) > TOLD:
            found.append(f"another {name} foreseen than comes of it")
    return found


def free_top(stated: Stated) -> float:
    """Give what free may reach: the rules' maximum less the error of a test there."""
    if "free_chlorine" in stated.limits:
        most = stated.limits["free_chlorine"][1]
        return most - 2 * math.hypot(0.02, 0.03 * most) if math.isfinite(most) else math.inf
    return stated.targets.get("free_chlorine", (0, math.inf))[1]


def faults_of_end(
    stated: Stated,
    first: Mapping[str, float],
    last: Mapping[str, float],
    steps: list[Mapping[str, Any]],
    answer: Mapping[str, Any],
) -> list[str]:
    """Name what a whole plan misses: a target it was to meet, a limit, the stock, a jug."""
    excused = {row["parameter"] for row in answer["unreached"]}
    found = []
    for name, target in stated.targets.items():
        low, high = within(stated, name, *target)
        asked = name in last and name not in excused and not answer["again"]
        if asked and not low - TOLD <= last[name] <= high + TOLD:
            found.append(f"a target of {name} missed and not said")
    for name, (low, high) in stated.limits.items():
        inside = name in first and low <= first[name] <= high
        if inside and not low - CLOSE <= last[name] <= high + CLOSE:
            found.append(f"a limit of {name} left at the end")
    found += [
        f"{row['parameter']} called within test error, and far from its target"
        for row in answer["unreached"]
        if row["id"] == "within-test-error" and not told_near(row)
    ]
    if stated.water["free_chlorine"] <= READS_NONE:
        found.append("an amount by chlorine that reads none")
    return found + faults_of_supply(stated, steps, answer)


def told_near(row: Mapping[str, str]) -> bool:
    """Tell whether a target is missed by less than a quarter of its band, the most of a margin."""
    if not row["low"] or not row["high"]:
        return True
    low, high, end = float(row["low"]), float(row["high"]), float(row["predicted"])
    return max(low - end, end - high) <= (high - low) / 4 + TOLD


def faults_of_supply(
    stated: Stated, steps: list[Mapping[str, Any]], answer: Mapping[str, Any]
) -> list[str]:
    """Name what is wrong with what a whole plan takes."""
    taken: dict[str, float] = {}
    for step in steps:
        taken[step["product"]] = taken.get(step["product"], 0) + step["amount"]
    bottles = {name: stated.bottles[name] for name in taken if name in stated.bottles}
    jugs = [bottle.jug for bottle in bottles.values() if bottle.jug]
    totals = answer["totals"]
    return named(
        {
            "more than there is in the store": any(
                taken[name] > bottle.stock for name, bottle in bottles.items()
            ),
            "one jug for two products": len(set(jugs)) < len(jugs),
            "two kinds of chlorine": len({step["substance"] for step in steps} & set(CHLORINES))
            > 1,
            "more steps than anybody follows": len(steps) > MOST_STEPS,
            "a total outside its own range": any(
                not row["low"] <= row["amount"] <= row["high"] for row in totals
            ),
            "a total that its steps do not add up to": {
                row["product"]: row["amount"] for row in totals
            }
            != taken,
        }
    )


def within(stated: Stated, name: str, low: float, high: float) -> tuple[float, float]:
    """Give a target as far as the rules allow it."""
    least, most = stated.limits.get(name, (-math.inf, math.inf))
    return max(low, least), min(high, most)


# --- a whole situation ---------------------------------------------------------------------------


def stated_of(situation: Situation) -> Stated:
    """Give what a situation states, in plain numbers."""
    if situation.request is None:
        return stated_alone(situation)
    request = situation.request
    used = {}
    for product in request.products:
        used[product.id] = bottle_of(
            product.substance,
            float(product.strength.value or 0),
            product.strength.unit,
            float(product.density_kg_l or 0),
            (product.scoop[0], product.stock[0], product.jug),
            (product.approved, product.method == "by-hand"),
        )
    return Stated(
        water=situation.water,
        volume_l=float(request.volume.m3 or 0) * 1000,
        bottles=used,
        targets={name: ends_of(band) for name, band in request.targets.items()},
        limits={name: ends_of(band) for name, band in (request.limits or {}).items()},
        pool=request.case["pool"],
        feeder=request.feeder,
        guess=False,
        fill={},
    )


def stated_alone(situation: Situation) -> Stated:
    """Give what a question that stands alone states."""
    asked = situation.question
    used = {}
    for index, row in enumerate(asked.get("products", ())):
        by_litre = "strength_g_l" in row
        used[f"{index}"] = bottle_of(
            row["product"],
            row.get("strength_g_l", row.get("strength_percent_w_w", 0)),
            "g-l" if by_litre else "percent-w-w",
            row.get("density_kg_l", 0),
            (*(f"{row[name]['amount']}" if name in row else "" for name in HELD), ""),
            (tuple(PURPOSES.values()), row["product"] in PURPOSES),
        )
    kinds = {row.substance for row in used.values()} & set(ALL_CHLORINES)
    limits = {NAMES[key]: ends_of(band) for key, band in asked.get("limits", {}).items()}
    return Stated(
        water=situation.water,
        volume_l=(asked.get("volume_m3") or 0) * 1000,
        bottles=used,
        targets={NAMES[key]: ends_of(band) for key, band in asked.get("targets", {}).items()},
        limits=limits,
        pool=asked["pool"],
        feeder=next(iter(kinds)) if len(kinds) == 1 else "nothing that is said",
        guess=asked["volume_known"] == "guess",
        fill={NAMES.get(key, key): value for key, value in asked.get("fresh_water", {}).items()},
    )


def ends_of(band: Sequence[Any]) -> tuple[float, float]:
    """Give the ends of a band; none is infinite."""
    low, high = band
    return (
        -math.inf if low in ("", None) else float(low),
        math.inf if high in ("", None) else float(high),
    )


def bottle_of(
    substance: str,
    strength: float,
    unit: str,
    density: float,
    held: tuple[str, ...],
    allowed: tuple[tuple[str, ...], bool],
) -> Bottle:
    """Give a product at hand; held is its scoop, its stock and its jug."""
    if unit == "g-l":
        grams = strength / 1000
    else:
        grams = strength / 100 * (density if substance in LIQUIDS else 1.0)
    scoop, stock, jug = held
    return Bottle(
        substance,
        grams,
        float(stock) if stock else math.inf,
        float(scoop) if scoop else 0.0,
        jug,
        *allowed,
    )


def told_of_others(stated: Stated, answer: Mapping[str, Any], covered: Collection[str]) -> bool:
    """Tell whether a plan names a product that its reader is not competent for, and why not."""
    rows = [*answer["left_out"], *answer["totals"]]
    return any(
        row["product"] in stated.bottles and stated.bottles[row["product"]].substance not in covered
        for row in rows
    )


def faults_of(
    k: Totals, situation: Situation, answer: Mapping[str, Any], start: Totals | None = None
) -> list[str]:
    """Name every fault of an answer to a situation.

    Parameters
    ----------
    k : tuple
        The kernel's constants.
    situation : Situation
        What was asked, and by whom.
    answer : mapping
        As `plan_for` or `worked_out` gives it.
    start : tuple, optional
        The totals after the advice's own first step; left out where there is none.
    """
    steps = answer.get("steps", [])
    shown = bool(steps or answer.get("totals"))
    if situation.refuse:
        return [f"an amount in spite of: {situation.made}"] if shown else []
    if not shown:
        return []
    if answer["state"] != "plan":
        return ["an amount without a plan"]
    covered = situation.may_dose
    if "*" not in covered and not {step["substance"] for step in steps} <= covered:
        return ["an amount for somebody without the competence"]
    if situation.request is not None and any(step["for_now"] for step in steps):
        return ["an amount for now beside the advice"]
    stated = stated_of(situation)
    if (
        situation.request is not None
        and "*" not in covered
        and told_of_others(stated, answer, covered)
    ):
        return ["a product named to somebody without the competence"]
    begun = start or totals_read(k, stated.water)
    if begun is None:
        return ["a plan for a water that there is not"]
    return faults_of_steps(k, stated, begun, steps, answer)
