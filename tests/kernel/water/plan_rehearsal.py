"""A plan done again step by step, by plain kernel calls alone, and every rule that it breaks.

Nothing of the planner is used here but the places of its numbers.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

from tests.kernel.water.plan_cases import PlanCase, Totals, drawn_case

from lanewater.kernel.water.additions import add_product, mixed_totals
from lanewater.kernel.water.planningslots import (
    BAND_WIDTH,
    MOST_PLAN_STEPS,
    P_FRESH_WATER,
    Q_SATURATION,
    ROW_WIDTH,
)
from lanewater.kernel.water.saturation import F_PH, F_SATURATION_INDEX, figures_of_totals
from lanewater.kernel.water.search import Q_PH
from lanewater.kernel.water.slots import (
    SOLVED,
    T_ALKALINITY,
    T_CALCIUM,
    T_CYANURATE,
    T_HYPOCHLORITE,
)
from lanewater.service.constants import load_constants

# mg/L of one mol/L, by the quantity's index.
PLAIN = {
    1: (T_HYPOCHLORITE, 70906.0),
    2: (T_ALKALINITY, 50043.5),
    3: (T_CALCIUM, 100087.0),
    4: (T_CYANURATE, 129075.0),
}
# The caps are held to the last digits; a band may be missed by a ten-millionth of a step.
CLOSE = 1e-9
NEAR = 1e-6


def rows_of(case: PlanCase) -> list[list[float]]:
    """Give the rows of a problem, one list each."""
    return [case.rows[at : at + ROW_WIDTH] for at in range(0, len(case.rows), ROW_WIDTH)]


def bands_of(case: PlanCase) -> list[list[float]]:
    """Give the bands of a problem, one list each."""
    return [case.bands[at : at + BAND_WIDTH] for at in range(0, len(case.bands), BAND_WIDTH)]


def quantities(case: PlanCase, totals: Totals) -> list[float]:
    """Give the quantity of each band, solved from nothing."""
    status, figures = figures_of_totals(load_constants(), case.temperature_c, totals)
    assert status == SOLVED
    found = []
    for band in bands_of(case):
        if band[0] == Q_PH:
            found.append(figures[F_PH])
        elif band[0] == Q_SATURATION:
            found.append(figures[F_SATURATION_INDEX])
        else:
            total, factor = PLAIN[int(band[0])]
            found.append(totals[total] * factor)
    return found


def after_step(case: PlanCase, totals: Totals, row: int, units: float) -> Totals:
    """Put units of one row into a water."""
    product, unit, caustic = rows_of(case)[row][:3]
    if product == P_FRESH_WATER:
        return mixed_totals(totals, case.fill, unit * units)
    return add_product(totals, int(product), unit * units, caustic)


def step_faults(case: PlanCase, before: Totals, after: Totals, row: int, units: float) -> list[str]:
    """Name the caps and limits that one step breaks."""
    numbers = rows_of(case)[row]
    faults = []
    if units < 1.0 or units != int(units) or units > numbers[7]:
        faults.append(f"{units} units of row {row} in one step")
    was, now = quantities(case, before), quantities(case, after)
    for (quantity, _, _, low, high, step), one, other in zip(bands_of(case), was, now, strict=True):
        capped = numbers[0] != P_FRESH_WATER or quantity == Q_PH
        if capped and abs(other - one) > step + CLOSE:
            faults.append(f"quantity {quantity} moves by {other - one}")
        if low <= one <= high and not low - CLOSE <= other <= high + CLOSE:
            faults.append(f"quantity {quantity} leaves its limits: {other}")
    return faults


def plan_faults(case: PlanCase, counts: Sequence[float], steps: Sequence[float]) -> list[str]:
    """Name everything that is wrong with a plan."""
    faults = []
    totals = case.totals
    used = [0.0] * len(counts)
    pairs = list(zip(steps[::2], steps[1::2], strict=True))
    for row, units in pairs:
        after = after_step(case, totals, int(row), units)
        faults += step_faults(case, totals, after, int(row), units)
        used[int(row)] += units
        totals = after
    if used != list(counts):
        faults.append(f"the steps hold {used}, the plan {list(counts)}")
    for row, numbers in enumerate(rows_of(case)):
        if used[row] > numbers[3]:
            faults.append(f"{used[row]} units of row {row}, of {numbers[3]} in stock")
    fresh = [rows_of(case)[int(row)][0] == P_FRESH_WATER for row, _ in pairs]
    if fresh != sorted(fresh, reverse=True):
        faults.append("fresh water after a product")
    if len(pairs) > MOST_PLAN_STEPS:
        faults.append(f"{len(pairs)} steps")
    return faults + end_faults(case, totals)


def end_faults(case: PlanCase, totals: Totals) -> list[str]:
    """Name the bands that a water is not in."""
    return [
        f"quantity {quantity} ends at {value}, not in {low} to {high}"
        for (quantity, low, high, *_), value in zip(
            bands_of(case), quantities(case, totals), strict=True
        )
        if not low - NEAR <= value <= high + NEAR
    ]


def steps_by_hand(case: PlanCase) -> list[float]:
    """Put the known plan into steps, unit by unit, by groups; empty where they do not go in so."""
    left = list(case.known)
    totals = case.totals
    steps: list[float] = []
    rows = rows_of(case)
    order = sorted(range(len(rows)), key=lambda row: (rows[row][6], row))
    while sum(left) > 0:
        for row in order:
            units = 0.0
            while units < left[row]:
                after = after_step(case, totals, row, units + 1)
                if step_faults(case, totals, after, row, units + 1):
                    break
                units += 1
            if units > 0:
                break
        else:
            return []
        totals = after_step(case, totals, row, units)
        left[row] -= units
        steps += [float(row), units]
    return steps if len(steps) <= 2 * MOST_PLAN_STEPS else []


def feasible_cases(count: int, seed: int) -> Iterator[PlanCase]:
    """Draw problems that need a plan and whose known one keeps every rule, in steps by hand."""
    draw = random.Random(seed)  # noqa: S311 - problems, not secrets
    while count > 0:
        case = drawn_case(draw)
        if case is not None and end_faults(case, case.totals):
            steps = steps_by_hand(case)
            if steps and not plan_faults(case, case.known, steps):
                count -= 1
                yield case
