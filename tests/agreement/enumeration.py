"""The cheapest plan of at most three products, by trying every count of units.

It shares with the planner what a unit of fresh water means, and nothing of its search. Its
functions are also compiled, over the compiled kernel's own, where thousands of problems are tried.
"""

from __future__ import annotations

import types
from collections.abc import Callable
from itertools import combinations
from typing import Any

from tests.kernel.water.plan_cases import PlanCase

from lanewater.kernel.water.additions import add_product
from lanewater.kernel.water.calcite import saturation_of_state
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import solve_totals
from lanewater.kernel.water.planningfresh import fresh_waters
from lanewater.kernel.water.search import quantity_of
from lanewater.service.constants import load_constants

ROW, BAND, TABLE = 8, 6, 11
FRESH = 18.0
SATURATION = 5.0
LN_10 = 2.302585092994046
NOTHING_FOUND = 1e18


def mixed_in(table: Any, units: float) -> Any:
    """Give the totals after some units of fresh water."""
    at = int(units) * TABLE
    return (
        table[at], table[at + 1], table[at + 2], table[at + 3], table[at + 4],
        table[at + 5], table[at + 6], table[at + 7], table[at + 8], table[at + 9],
    )  # fmt: skip


def put_in(table: Any, rows: Any, chosen: Any, counts: Any) -> Any:
    """Give the totals once everything is in."""
    totals = mixed_in(table, 0.0)
    for place in range(3):
        if rows[chosen[place] * ROW] == FRESH:
            totals = mixed_in(table, counts[place])
    for place in range(3):
        at = chosen[place] * ROW
        if rows[at] != FRESH and counts[place] > 0.0:
            totals = add_product(totals, int(rows[at]), counts[place] * rows[at + 1], rows[at + 2])
    return totals


def plainly_inside(c: Any, bands: Any, totals: Any) -> bool:
    """Tell whether a water lies in the bands that need no equilibrium."""
    for at in range(0, len(bands), BAND):
        if bands[at] != 0.0 and bands[at] != SATURATION:
            value = quantity_of(c, totals, int(bands[at]))[1]
            if value < bands[at + 1] or value > bands[at + 2]:
                return False
    return True


def inside(c: Any, bands: Any, totals: Any) -> bool:
    """Tell whether a water lies in every band."""
    if not plainly_inside(c, bands, totals):
        return False
    status, state = solve_totals(c, totals)
    for at in range(0, len(bands), BAND):
        value = bands[at + 1]
        if bands[at] == 0.0:
            value = -state[0] / LN_10
        if bands[at] == SATURATION:
            value = saturation_of_state(c, state) / LN_10
        if value < bands[at + 1] or value > bands[at + 2]:
            return False
    return status == 0


def cost_of_three(rows: Any, chosen: Any, counts: Any) -> float:
    """Give what three counts cost, efforts included."""
    cost = 0.0
    for place in range(3):
        if counts[place] > 0.0:
            at = chosen[place] * ROW
            cost = cost + rows[at + 5] + rows[at + 4] * counts[place]
    return cost


def cheapest_of_choice(
    c: Any, table: Any, rows: Any, bands: Any, chosen: Any, best: float
) -> float:
    """Try every count of three rows; those that cost more than the best so far are passed over."""
    most = [rows[row * ROW + 3] for row in chosen]
    for place in range(3):
        if rows[chosen[place] * ROW] == FRESH:
            most[place] = min(most[place], len(table) // TABLE - 1.0)
    counts = [0.0, 0.0, 0.0]
    while counts[0] <= most[0]:
        while counts[1] <= most[1]:
            while counts[2] <= most[2]:
                cost = cost_of_three(rows, chosen, counts)
                if cost >= best:
                    break
                if inside(c, bands, put_in(table, rows, chosen, counts)):
                    best = cost
                counts[2] += 1.0
            counts[1] += 1.0
            counts[2] = 0.0
        counts[0] += 1.0
        counts[1] = 0.0
    return best


FUNCTIONS = (mixed_in, put_in, plainly_inside, inside, cost_of_three, cheapest_of_choice)


def compiled(module: types.ModuleType, decorate: Callable[[Any], Any]) -> dict[str, Any]:
    """Give the functions compiled, over those of a compiled kernel."""
    names = {
        "ROW": ROW, "BAND": BAND, "TABLE": TABLE, "FRESH": FRESH, "SATURATION": SATURATION,
        "LN_10": LN_10,
    }  # fmt: skip
    found: dict[str, Any] = {**vars(module), **names}
    for function in FUNCTIONS:
        plain = types.FunctionType(function.__code__, found, function.__name__)
        found[function.__name__] = decorate(plain)
    return found


def least_cost(case: PlanCase, choice: Callable[..., float] = cheapest_of_choice) -> float:
    """Give the least cost of a plan of at most three rows; NOTHING_FOUND where there is none.

    Parameters
    ----------
    case : PlanCase
        Of three rows or more.
    choice : callable
        `cheapest_of_choice`, or the compiled one.
    """
    c = water_constants(load_constants(), case.temperature_c)
    c = tuple(tuple(float(number) for number in group) for group in c)
    state = solve_totals(c, case.totals)[1]
    table = fresh_waters(c, case.totals, state, case.fill, case.rows, case.bands)
    best = NOTHING_FOUND
    for chosen in combinations(range(len(case.rows) // ROW), 3):
        best = choice(c, as_given(choice, table), as_given(choice, case.rows),
                      as_given(choice, case.bands), chosen, best)  # fmt: skip
    return best


def as_given(choice: Callable[..., float], numbers: list[float]) -> Any:
    """Give a list as a function takes it."""
    if choice is cheapest_of_choice:
        return numbers
    import numpy as np  # noqa: PLC0415 - only beside the compiled kernel

    return np.array(numbers)
