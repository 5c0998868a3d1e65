"""Fresh water goes in before all products: the waters that its units make, and what follows."""

import math

from lanewater.kernel.water.additions import mixed_totals
from lanewater.kernel.water.planningslots import (
    BINDS_NOTHING,
    MOST_PLAN_STEPS,
    R_MOST,
    R_STEP,
    R_UNIT,
    ROW_WIDTH,
)
from lanewater.kernel.water.planningwater import (
    is_fresh_water,
    solved_from,
    step_fault,
    with_units,
)
from lanewater.kernel.water.slots import SOLVED

TOTALS = 10


def fresh_waters(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    state: tuple[float, ...],
    fill: tuple[float, ...],
    rows: list[float],
    bands: list[float],
) -> list[float]:
    """Give the totals after 0, 1, 2.. units of fresh water, ten numbers each, then its portion.

    The steps are as large as the caps allow, the last holds what is left. The list ends where no
    further unit or step may go in; it holds the water before alone where no row is fresh water.

    Returns
    -------
    list of float
        Eleven numbers a count: ten totals [mol/L] and the units of the last step.
    """
    found: list[float] = []
    for total in totals:
        found.append(total)
    found.append(0.0)
    for row in range(len(rows) // ROW_WIDTH):
        place = row * ROW_WIDTH
        if is_fresh_water(rows, row):
            within = 0.0
            portions = 1
            last = totals
            start = totals
            start_state = state
            last_state = state
            for _ in range(math.floor(rows[place + R_MOST])):
                within = within + 1.0
                if not may_go_in(c, start, start_state, fill, rows, bands, row, within):
                    start = last
                    start_state = last_state
                    within = 1.0
                    portions = portions + 1
                    may = may_go_in(c, start, start_state, fill, rows, bands, row, within)
                    if portions > MOST_PLAN_STEPS or not may:
                        return found
                last = mixed_totals(start, fill, within * rows[place + R_UNIT])
                last_state = solved_from(c, last, start_state)[1]
                for total in last:
                    found.append(total)
                found.append(within)
    return found


def may_go_in(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    state: tuple[float, ...],
    fill: tuple[float, ...],
    rows: list[float],
    bands: list[float],
    row: int,
    units: float,
) -> bool:
    """Tell whether some units of fresh water may go in at once; never the whole volume."""
    place = row * ROW_WIDTH
    share = units * rows[place + R_UNIT]
    if units > rows[place + R_STEP] or share >= 1.0:
        return False
    after = mixed_totals(totals, fill, share)
    status, state_after = solved_from(c, after, state)
    if status != SOLVED:
        return False
    return step_fault(c, totals, state, after, state_after, bands, True) == BINDS_NOTHING


def planned_totals(
    waters: list[float], rows: list[float], counts: list[float]
) -> tuple[float, ...]:
    """Give the totals once all units are in: fresh water first, then each product. [mol/L]"""
    place = 0
    for row in range(len(counts)):
        if is_fresh_water(rows, row):
            place = math.floor(counts[row]) * (TOTALS + 1)
    totals: tuple[float, ...] = (
        waters[place],
        waters[place + 1],
        waters[place + 2],
        waters[place + 3],
        waters[place + 4],
        waters[place + 5],
        waters[place + 6],
        waters[place + 7],
        waters[place + 8],
        waters[place + 9],
    )
    for row in range(len(counts)):
        if counts[row] > 0.0 and not is_fresh_water(rows, row):
            totals = with_units(totals, rows, row, counts[row])
    return totals


def fresh_steps(rows: list[float], waters: list[float], counts: list[float]) -> list[float]:
    """Give the steps of fresh water: row and units of each, the first first."""
    sizes: list[float] = []
    steps: list[float] = []
    for row in range(len(counts)):
        if is_fresh_water(rows, row):
            left = counts[row]
            while left > 0.0:
                size = waters[math.floor(left) * (TOTALS + 1) + TOTALS]
                sizes.append(size)
                left = left - size
            for turn in range(len(sizes)):
                steps.append(row * 1.0)
                steps.append(sizes[len(sizes) - 1 - turn])
    return steps
