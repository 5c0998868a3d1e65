"""A plan's units put into steps: each is checked by the equilibrium before and after it."""

import math

from lanewater.kernel.water.additions import mixed_totals
from lanewater.kernel.water.planningslots import (
    BACKWARDS,
    BINDS_LIMIT,
    BINDS_NOTHING,
    BINDS_STEP,
    BINDS_STEPS,
    LIMITS_LAST,
    MOST_PLAN_STEPS,
    R_GROUP,
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


def fault_of_portion(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    state: tuple[float, ...],
    rows: list[float],
    bands: list[float],
    row: int,
    units: float,
) -> int:
    """Name what some units of a product, put into a solved water at once, would break."""
    after = with_units(totals, rows, row, units)
    status, state_after = solved_from(c, after, state)
    if status != SOLVED:
        return BINDS_STEPS
    return step_fault(c, totals, state, after, state_after, bands, False)


def largest_portion(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    state: tuple[float, ...],
    rows: list[float],
    bands: list[float],
    row: int,
    wanted: float,
) -> tuple[float, int]:
    """Give the most units of a product that one step may hold, by halving, and what holds more."""
    high = min(wanted, rows[row * ROW_WIDTH + R_STEP])
    if high < 1.0:
        return (0.0, BINDS_STEPS)
    held = fault_of_portion(c, totals, state, rows, bands, row, high)
    if held == BINDS_NOTHING:
        return (high, held)
    low = 0.0
    while high - low > 1.0:
        middle = low + math.floor((high - low) / 2)
        fault = fault_of_portion(c, totals, state, rows, bands, row, middle)
        if fault == BINDS_NOTHING:
            low = middle
        else:
            high = middle
            held = fault
    return (low, held)


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


def order_of(rows: list[float], backwards: bool) -> list[int]:
    """Give the rows that are products, by group and then by place; or the other way about."""
    order: list[int] = []
    left = len(rows) // ROW_WIDTH
    taken: list[float] = []
    for row in range(left):
        taken.append(1.0 if is_fresh_water(rows, row) else 0.0)
    for _ in range(left):
        next_row = -1
        for row in range(left):
            if taken[row] == 0.0:
                first = next_row == -1
                if not first:
                    group = rows[row * ROW_WIDTH + R_GROUP]
                    best = rows[next_row * ROW_WIDTH + R_GROUP]
                    first = group > best if backwards else group < best
                if first:
                    next_row = row
        if next_row >= 0:
            order.append(next_row)
            taken[next_row] = 1.0
    return order


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


def slotted(
    c: tuple[tuple[float, ...], ...],
    state: tuple[float, ...],
    waters: list[float],
    rows: list[float],
    bands: list[float],
    counts: list[float],
    way: int,
) -> tuple[int, list[float]]:
    """Put a plan's units into steps, each the largest that its caps allow.

    Parameters
    ----------
    state : tuple of float
        The solved state of the water before.
    waters : list of float
        As `fresh_waters` gives them; its steps come before all others.
    counts : list of float
        Units of each row.
    way : int
        BY_GROUP; LIMITS_LAST, where a row that a limit cuts short waits for the others; or
        BACKWARDS. A row none of which may go in yet lets others go before it in any case.

    Returns
    -------
    int
        BINDS_NOTHING, or what held the first row that could not go on.
    list of float
        Row and units of each step.
    """
    steps = fresh_steps(rows, waters, counts)
    left: list[float] = []
    none: list[float] = []
    for row in range(len(counts)):
        none.append(counts[row] if is_fresh_water(rows, row) else 0.0)
        left.append(counts[row] - none[row])
    totals = planned_totals(waters, rows, none)
    state = solved_from(c, totals, state)[1]
    order = order_of(rows, way == BACKWARDS)
    while max(left) > 0.0:
        row, units, held = next_step(c, totals, state, rows, bands, order, left, way)
        if units == 0.0:
            return (held, steps)
        totals = with_units(totals, rows, row, units)
        state = solved_from(c, totals, state)[1]
        left[row] = left[row] - units
        steps.append(row * 1.0)
        steps.append(units)
        if len(steps) > 2 * MOST_PLAN_STEPS:
            return (BINDS_STEPS, steps)
    return (BINDS_NOTHING, steps)


def next_step(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    state: tuple[float, ...],
    rows: list[float],
    bands: list[float],
    order: list[int],
    left: list[float],
    way: int,
) -> tuple[int, float, int]:
    """Give the row and units of the next step; no units, and what holds them, where none may go.

    Parameters
    ----------
    order : list of int
        The rows, the first to go in first.
    left : list of float
        Units of each row that are still to go in.
    """
    waiting = -1
    waiting_units = 0.0
    held = BINDS_NOTHING
    for row in order:
        if left[row] > 0.0:
            units, fault = largest_portion(c, totals, state, rows, bands, row, left[row])
            waits = way == LIMITS_LAST and BINDS_LIMIT <= fault < BINDS_STEP
            if units > 0.0 and not waits:
                return (row, units, BINDS_NOTHING)
            if units > 0.0 and waiting == -1:
                waiting = row
                waiting_units = units
            if held == BINDS_NOTHING:
                held = fault
    return (max(waiting, 0), waiting_units, held)
