"""A plan by mixed-integer programming: totals are linear in the amounts, and so are bounds on pH.

"pH is at least p" means that the water holds no more carbon than it would at p with the same
alkalinity. That carbon is nearly linear in all totals, so that a bound on pH becomes a linear row;
the saturation index is made linear about the last answer. Solved by HiGHS, through SciPy.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from tests.kernel.water.plan_cases import PlanCase, Totals
from tests.kernel.water.plan_rehearsal import PLAIN, after_step, bands_of, end_faults, rows_of

from lanewater.kernel.water.calcite import saturation_of_state
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import (
    carbon_of_state,
    first_state,
    solve_totals,
    solve_water,
)
from lanewater.kernel.water.planningslots import Q_SATURATION
from lanewater.kernel.water.search import Q_PH
from lanewater.kernel.water.slots import FROM_PH, SOLVED, T_CARBON
from lanewater.service.constants import load_constants

TURNS = 6
LN_10 = 2.302585092994046
# Kept off the edges of bands that are made linear, in pH or log10.
MARGIN = 0.002


@dataclass(frozen=True)
class Line:
    """A quantity that has to lie between two bounds, and is nearly linear in the totals."""

    band: list[float]
    kind: str

    def value(self, case: PlanCase, totals: Totals) -> float:
        """Give the quantity of a water."""
        c = water_constants(load_constants(), case.temperature_c)
        if self.kind == "plain":
            total, factor = PLAIN[int(self.band[0])]
            return totals[total] * factor
        if self.kind == "saturation":
            status, state = solve_totals(c, totals)
            assert status == SOLVED
            return saturation_of_state(c, state) / LN_10
        ph = self.band[1] + MARGIN if self.kind == "lowest ph" else self.band[2] - MARGIN
        _, state = solve_water(c, totals, FROM_PH, 0.0, first_state(c, totals, ph))
        return (carbon_of_state(c, state) - totals[T_CARBON]) * 1e5

    def bounds(self) -> tuple[float, float]:
        """Give the least and the most of it."""
        if self.kind == "lowest ph":
            return 0.0, np.inf
        if self.kind == "highest ph":
            return -np.inf, 0.0
        return self.band[1], self.band[2]


def lines_of(case: PlanCase) -> list[Line]:
    """Give the lines of a problem's bands."""
    found = []
    for band in bands_of(case):
        if band[0] == Q_PH:
            found += [Line(band, "lowest ph"), Line(band, "highest ph")]
        else:
            found.append(Line(band, "saturation" if band[0] == Q_SATURATION else "plain"))
    return found


def end_of(case: PlanCase, counts: np.ndarray) -> Totals:
    """Give the totals once counts of products are in."""
    totals = case.totals
    for row, units in enumerate(counts):
        totals = after_step(case, totals, row, float(units)) if units > 0 else totals
    return totals


def programmed_plan(case: PlanCase) -> tuple[float, list[float]] | None:
    """Give the cost and the counts of the cheapest answer that meets every band, if one does.

    Parameters
    ----------
    case : PlanCase
        Without fresh water, which is not linear beside products.
    """
    rows = np.array(rows_of(case))
    size = len(rows)
    lines = lines_of(case)
    at = np.zeros(size)
    best: tuple[float, list[float]] | None = None
    costs = np.concatenate([rows[:, 4], rows[:, 5]])
    used = np.hstack([np.eye(size), -np.diag(rows[:, 3])])
    for _ in range(TURNS):
        here = end_of(case, at)
        base = np.array([line.value(case, here) for line in lines])
        slopes = np.array(
            [[line.value(case, after_step(case, here, row, 1.0)) for row in range(size)]
             for line in lines]
        ) - base[:, None]  # fmt: skip
        low, high = np.array([line.bounds() for line in lines]).T
        shift = base - slopes @ at
        answer = milp(
            costs,
            constraints=[
                LinearConstraint(
                    np.hstack([slopes, np.zeros_like(slopes)]), low - shift, high - shift
                ),
                LinearConstraint(used, -np.inf, 0.0),
            ],
            integrality=np.ones(2 * size),
            bounds=Bounds(0.0, np.concatenate([rows[:, 3], np.ones(size)])),
            options={"time_limit": 5.0},
        )
        if answer.x is None:
            return best
        counts = np.round(answer.x[:size])
        if not end_faults(case, end_of(case, counts)) and (best is None or answer.fun < best[0]):
            best = (float(answer.fun), list(counts))
        if np.array_equal(counts, at):
            return best
        at = counts
    return best
