"""A plan's units put into steps: each is checked by the equilibrium before and after it."""

import math

from lanewater.kernel.water.planningfresh import fresh_steps, planned_totals
from lanewater.kernel.water.planningslots import (
    BACKWARDS,
    BINDS_LIMIT,
    BINDS_NOTHING,
    BINDS_STEP,
    BINDS_STEPS,
    LIMITS_LAST,
    MOST_PLAN_STEPS,
    R_GROUP,
    R_STEP,
    ROW_WIDTH,
)
from lanewater.kernel.water.planningwater import (
    first_missed,
    is_fresh_water,
    solved_from,
    step_fault,
    with_units,
)
from lanewater.kernel.water.slots import SOLVED


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
    c, rows, bands
        The same as in `plan_search` and what it makes of them.
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
        BINDS_NOTHING, or what held the first row that could not go on, or a band missed at the end.
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
    # What a reducer does depends on what went in before it.
    return (first_missed(c, totals, state, bands), steps)


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
    c, totals, state, rows, bands, way
        The same as in `plan_search` and what it makes of them.
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


def evened(
    c: tuple[tuple[float, ...], ...],
    state: tuple[float, ...],
    waters: list[float],
    rows: list[float],
    bands: list[float],
    steps: list[float],
) -> list[float]:
    """Spread what one product takes several steps on end for over as many steps of one size.

    A last step of a unit or two is hardly worth its wait. Fresh water stays as it is, and so do
    steps that the caps would not allow so.

    Parameters
    ----------
    c, waters, rows, bands
        The same as in `plan_search` and what it makes of them.
    state : tuple of float
        The solved state of the water before.
    steps : list of float
        Row and units of each step, as `slotted` gives them.
    """
    found: list[float] = []
    counts: list[float] = []
    for _ in range(len(rows) // ROW_WIDTH):
        counts.append(0.0)
    place = 0
    while place < len(steps):
        row = math.floor(steps[place])
        end = place
        units = 0.0
        while end < len(steps) and steps[end] == row:
            units = units + steps[end + 1]
            end = end + 2
        sizes = same_sizes(units, (end - place) // 2)
        totals = planned_totals(waters, rows, counts)
        even = not is_fresh_water(rows, row) and may_go_on(
            c, totals, state, rows, bands, row, sizes
        )
        for turn in range(len(sizes)):
            found.append(row * 1.0)
            found.append(sizes[turn] if even else steps[place + 2 * turn + 1])
        counts[row] = counts[row] + units
        place = end
    return found


def same_sizes(units: float, parts: int) -> list[float]:
    """Spread units over parts as evenly as whole numbers go, the larger parts first."""
    sizes: list[float] = []
    left = units
    for part in range(parts):
        size = math.floor(left / (parts - part)) * 1.0
        if size * (parts - part) < left:
            size = size + 1.0
        sizes.append(size)
        left = left - size
    return sizes


def may_go_on(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    state: tuple[float, ...],
    rows: list[float],
    bands: list[float],
    row: int,
    sizes: list[float],
) -> bool:
    """Tell whether a product may go in by steps of these sizes, one after the other."""
    status, state = solved_from(c, totals, state)
    if status != SOLVED:
        return False
    for size in sizes:
        if fault_of_portion(c, totals, state, rows, bands, row, size) != BINDS_NOTHING:
            return False
        if size > rows[row * ROW_WIDTH + R_STEP]:
            return False
        totals = with_units(totals, rows, row, size)
        state = solved_from(c, totals, state)[1]
    return True
