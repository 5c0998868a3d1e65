"""The search for whole numbers of units that bring a water into every band, at least cost.

A change is kept if it misses the bands by less, or as much at less cost. What needs no equilibrium
is looked at first: most changes end there.
"""

import math

from lanewater.kernel.water.planningfresh import TOTALS, planned_totals
from lanewater.kernel.water.planningslots import R_COST, R_MOST, R_STEP, R_UNIT, ROW_WIDTH
from lanewater.kernel.water.planningwater import (
    NO_WATER_MISS,
    cost_of,
    is_fresh_water,
    plain_miss,
    solved_from,
    solved_miss,
)
from lanewater.kernel.water.slots import SOLVED
from lanewater.kernel.water.units import MOST_PLANNED, PLAN_WORTH

# Two sizes and two signs of each of two rows.
NEAR_TURNS = 16
# Of changes by one and by two rows, one round after the other; few searches take as many.
MOST_SEARCH_ROUNDS = 60


def most_units(waters: list[float], rows: list[float], row: int) -> float:
    """Give how many units of a row a plan may hold: what there is, and never MOST_PLANNED."""
    place = row * ROW_WIDTH
    most = rows[place + R_MOST]
    if rows[place + R_STEP] < 1.0 or most < 1.0:
        return 0.0
    if is_fresh_water(rows, row):
        return min(math.floor(most), len(waters) // (TOTALS + 1) - 1) * 1.0
    if rows[place + R_UNIT] * most > MOST_PLANNED:
        most = MOST_PLANNED / rows[place + R_UNIT]
    return math.floor(most) * 1.0


def miss_of_counts(
    c: tuple[tuple[float, ...], ...],
    waters: list[float],
    rows: list[float],
    bands: list[float],
    counts: list[float],
    state: tuple[float, ...],
    most: float,
) -> tuple[float, tuple[float, ...]]:
    """Give the miss of all bands, in scales, and the state; above `most` it may be told too low.

    Parameters
    ----------
    c, waters, rows, bands, counts, most
        The same as in `plan_search` and what it makes of them.
    state : tuple of float
        Of a water close by, from which the solver starts.
    """
    totals = planned_totals(waters, rows, counts)
    miss = plain_miss(c, totals, bands)
    if miss > most:
        return (miss, state)
    status, after = solved_from(c, totals, state)
    if status != SOLVED:
        return (NO_WATER_MISS, state)
    return (miss + solved_miss(c, totals, after, bands), after)


def attempt(
    c: tuple[tuple[float, ...], ...],
    waters: list[float],
    rows: list[float],
    bands: list[float],
    counts: list[float],
    standing: list[float],
    state: tuple[float, ...],
) -> tuple[bool, tuple[float, ...]]:
    """Tell whether counts are better than what stands, and let them stand if so.

    Parameters
    ----------
    c, waters, rows, bands, counts, state
        The same as in `plan_search` and what it makes of them.
    standing : list of float
        Miss and cost of what stands, which are changed; and whether less cost counts while a band
        is missed, 1 or 0.
    """
    cost = cost_of(rows, counts)
    dearer = cost >= standing[1] * (1.0 - PLAN_WORTH)
    if dearer and standing[0] == 0.0:
        return (False, state)
    miss, after = miss_of_counts(c, waters, rows, bands, counts, state, standing[0])
    nearer = miss < standing[0] * (1.0 - PLAN_WORTH) or (miss == 0.0 and standing[0] > 0.0)
    cheaper = miss <= standing[0] and not dearer
    if nearer or (cheaper and (miss == 0.0 or standing[2] > 0.0)):
        standing[0] = miss
        standing[1] = cost
        return (True, after)
    return (False, state)


def largest_size(most: float) -> float:
    """Give the largest power of two that is not over a number; 1 where there is none."""
    size = 1.0
    while size * 2 <= most:
        size = size * 2
    return size


def improve_singly(
    c: tuple[tuple[float, ...], ...],
    waters: list[float],
    rows: list[float],
    bands: list[float],
    counts: list[float],
    most: list[float],
    standing: list[float],
    state: tuple[float, ...],
) -> tuple[bool, tuple[float, ...]]:
    """Change one row at a time, by halving sizes and to none, until no such change is better.

    Parameters
    ----------
    c, waters, rows, bands, standing, state
        The same as in `plan_search` and what it makes of them.
    counts : list of float
        Changed.
    most : list of float
        The most units of each row; a row that may not change has less than none.
    """
    rows_in_all = len(counts)
    any_kept = False
    row = 0
    idle = 0
    while idle < rows_in_all:
        was = counts[row]
        if most[row] >= 0.0:
            if was > 0.0:
                counts[row] = 0.0
                kept, state = attempt(c, waters, rows, bands, counts, standing, state)
                if not kept:
                    counts[row] = was
            size = largest_size(most[row])
            while size >= 1.0:
                for sign in range(-1, 2, 2):
                    held = counts[row]
                    if 0.0 <= held + sign * size <= most[row]:
                        counts[row] = held + sign * size
                        kept, state = attempt(c, waters, rows, bands, counts, standing, state)
                        if not kept:
                            counts[row] = held
                size = size / 2
        idle = idle + 1
        if counts[row] != was:
            idle = 1
            any_kept = True
        row = (row + 1) % rows_in_all
    return (any_kept, state)


def attempt_pair(
    c: tuple[tuple[float, ...], ...],
    waters: list[float],
    rows: list[float],
    bands: list[float],
    counts: list[float],
    standing: list[float],
    state: tuple[float, ...],
    change: tuple[int, float, int, float],
) -> tuple[bool, tuple[float, ...]]:
    """Change two rows at once, by the units that stand beside each; or leave them as they are."""
    row, one, other, two = change
    was = counts[row]
    other_was = counts[other]
    counts[row] = was + one
    counts[other] = other_was + two
    kept, state = attempt(c, waters, rows, bands, counts, standing, state)
    if not kept:
        counts[row] = was
        counts[other] = other_was
    return (kept, state)


def cheapen_in_pairs(
    c: tuple[tuple[float, ...], ...],
    waters: list[float],
    rows: list[float],
    bands: list[float],
    counts: list[float],
    most: list[float],
    standing: list[float],
    state: tuple[float, ...],
) -> tuple[bool, tuple[float, ...]]:
    """Take units of one row out and put units of another in for less; or take out of both.

    It ends with the first change that is better.
    """
    for row in range(len(counts)):
        size = largest_size(counts[row])
        while 1.0 <= size <= counts[row]:
            for other in range(len(counts)):
                by = 1.0
                gain = rows[row * ROW_WIDTH + R_COST] * size
                while row != other and by <= most[other] - counts[other]:
                    if rows[other * ROW_WIDTH + R_COST] * by >= gain and size < counts[row]:
                        break
                    change = (row, -size, other, by)
                    kept, state = attempt_pair(
                        c, waters, rows, bands, counts, standing, state, change
                    )
                    if kept:
                        return (True, state)
                    by = by * 2
                by = largest_size(counts[other])
                while other > row and 1.0 <= by <= counts[other]:
                    change = (row, -size, other, -by)
                    kept, state = attempt_pair(
                        c, waters, rows, bands, counts, standing, state, change
                    )
                    if kept:
                        return (True, state)
                    by = by / 2
            size = size / 2
    return (False, state)


def near_in_pairs(
    c: tuple[tuple[float, ...], ...],
    waters: list[float],
    rows: list[float],
    bands: list[float],
    counts: list[float],
    most: list[float],
    standing: list[float],
    state: tuple[float, ...],
) -> tuple[bool, tuple[float, ...]]:
    """Change two rows at once, each up or down, large sizes first, until a change is better."""
    grain = largest_size(max(most))
    while grain >= 1.0:
        for row in range(len(counts)):
            for other in range(row):
                for turn in range(NEAR_TURNS):
                    # The two sizes lie within a factor of four of each other.
                    one = grain * (1 + turn % 2 * 3) * (1 - turn // 2 % 2 * 2)
                    two = grain * (1 + turn // 4 % 2 * 3) * (1 - turn // 8 % 2 * 2)
                    end = counts[row] + one
                    other_end = counts[other] + two
                    if 0.0 <= end <= most[row] and 0.0 <= other_end <= most[other]:
                        change = (row, one, other, two)
                        kept, state = attempt_pair(
                            c, waters, rows, bands, counts, standing, state, change
                        )
                        if kept:
                            return (True, state)
        grain = grain / 4
    return (False, state)


def search_from(
    c: tuple[tuple[float, ...], ...],
    waters: list[float],
    rows: list[float],
    bands: list[float],
    counts: list[float],
    most: list[float],
    state: tuple[float, ...],
) -> None:
    """Improve counts, which are changed, by one row and by two, until nothing is better."""
    miss, state = miss_of_counts(c, waters, rows, bands, counts, state, NO_WATER_MISS)
    standing = [miss, cost_of(rows, counts), 1.0]
    better = True
    turn = 0
    while better and turn < MOST_SEARCH_ROUNDS:
        turn = turn + 1
        state = improve_singly(c, waters, rows, bands, counts, most, standing, state)[1]
        if standing[0] > 0.0:
            # Of cheaper pairs that miss as much there is no end.
            standing[2] = 0.0
            better, state = near_in_pairs(c, waters, rows, bands, counts, most, standing, state)
            standing[2] = 1.0
        else:
            better, state = cheapen_in_pairs(c, waters, rows, bands, counts, most, standing, state)
