"""Steps through stiff reactions: a Rosenbrock method, L-stable, with a step that suits the error.

RODAS (Hairer and Wanner): six stages, order four with an embedded third, stiffly accurate. The
matrix is exact and its sums over chlorine and over nitrogen vanish, so that every step keeps both.
"""

import math

from lanewater.kernel.water.chloramine import change_of, slopes_of
from lanewater.kernel.water.chloramineslots import (
    HELD,
    Q_COUPLINGS,
    Q_GAMMA,
    Q_STAGES,
    Q_STEPS,
    Q_TOLERANCES,
    REACTING,
    TOO_MANY_STEPS,
)
from lanewater.kernel.water.slots import SOLVED

STAGES = 6
MOST_TRIES = 20000


def split_matrix(slopes: list[float], lead: float) -> list[float]:
    """Split lead * I - slopes of what reacts into a lower and an upper triangle, in one list."""
    e: list[float] = []
    for place in range(REACTING * REACTING):
        e.append(-slopes[place])
    for row in range(REACTING):
        e[row * REACTING + row] += lead
    for pivot in range(REACTING):
        top = pivot * REACTING
        inverse = 1 / e[top + pivot]
        e[top + pivot] = inverse
        for row in range(pivot + 1, REACTING):
            left = row * REACTING
            if e[left + pivot] != 0.0:
                factor = e[left + pivot] * inverse
                e[left + pivot] = factor
                for column in range(pivot + 1, REACTING):
                    e[left + column] -= factor * e[top + column]
    return e


def solve_split(e: list[float], slopes: list[float], lead: float, right: list[float]) -> None:
    """Solve for one stage in its place: what reacts by the triangles, what has gone by sums."""
    for row in range(1, REACTING):
        left = row * REACTING
        total = right[row]
        for column in range(row):
            total -= e[left + column] * right[column]
        right[row] = total
    for back in range(REACTING):
        row = REACTING - 1 - back
        left = row * REACTING
        total = right[row]
        for column in range(row + 1, REACTING):
            total -= e[left + column] * right[column]
        right[row] = total * e[left + row]
    for row in range(REACTING, HELD):
        left = row * REACTING
        total = right[row]
        for column in range(REACTING):
            total += slopes[left + column] * right[column]
        right[row] = total / lead


def stiff_step(
    q: tuple[float, ...], v: tuple[float, ...], y: list[float], slopes: list[float], step: float
) -> tuple[list[float], float]:
    """Take one step.

    Parameters
    ----------
    q, v : tuple of float
        The flat tuple of `chloramine.toml`; the water's rates.
    y, slopes : list of float
        What is in the water [mol/L], and `slopes_of` it.
    step : float
        Its length. [s]

    Returns
    -------
    list of float
        What is in the water then.
    float
        The error against the tolerances, as a root mean square; 1 is just allowed.
    """
    lead = 1 / (q[Q_GAMMA] * step)
    e = split_matrix(slopes, lead)
    stages: list[float] = []
    for _ in range(STAGES * HELD):
        stages.append(0.0)
    reached = y
    for stage in range(STAGES):
        first = stage * (stage - 1) // 2
        if stage == STAGES - 1:
            reached = beyond(reached, stages, stage - 1)
        else:
            reached = along(q, Q_STAGES + first, stages, stage, y, 1.0)
        right = along(q, Q_COUPLINGS + first, stages, stage, change_of(v, reached), 1 / step)
        solve_split(e, slopes, lead, right)
        for place in range(HELD):
            stages[stage * HELD + place] = right[place]
    after = beyond(reached, stages, STAGES - 1)
    squares = 0.0
    for place in range(REACTING):
        size = max(abs(y[place]), abs(after[place]))
        part = (after[place] - reached[place]) / (q[Q_TOLERANCES] * size + q[Q_TOLERANCES + 1])
        squares += part * part
    return (after, math.sqrt(squares / REACTING))


def beyond(reached: list[float], stages: list[float], stage: int) -> list[float]:
    """Add one stage as a whole."""
    after: list[float] = []
    for place in range(HELD):
        after.append(reached[place] + stages[stage * HELD + place])
    return after


def along(
    q: tuple[float, ...],
    slot: int,
    stages: list[float],
    done: int,
    base: list[float],
    scale: float,
) -> list[float]:
    """Add the stages that are done to a base, each by its own coefficient."""
    moved: list[float] = []
    for number in base:
        moved.append(number)
    for stage in range(done):
        weight = q[slot + stage] * scale
        for place in range(HELD):
            moved[place] += weight * stages[stage * HELD + place]
    return moved


def lowest_reacting(y: list[float]) -> float:
    """Give the least of what reacts."""
    low = y[0]
    for place in range(1, REACTING):
        low = min(low, y[place])
    return low


def react(
    q: tuple[float, ...], v: tuple[float, ...], start: list[float], seconds: float, first: float
) -> tuple[int, list[float], float]:
    """Let the water react for a time.

    Nothing falls below zero by more than the tolerance for what is next to nothing: a step that
    would is taken shorter.

    Parameters
    ----------
    q, v : tuple of float
        The flat tuple of `chloramine.toml`; the water's rates.
    start : list of float
        What is in the water, and what has gone. [mol/L]
    seconds : float
        Zero or more. [s]
    first : float
        Length of the first step, or 0 for the shortest that is tried. [s]

    Returns
    -------
    int
        SOLVED, or TOO_MANY_STEPS: the state is then that of an earlier time.
    list of float
        What is in the water then. [mol/L]
    float
        The step that would come next. [s]
    """
    y: list[float] = []
    for number in start:
        y.append(number)
    left = seconds
    step = first
    if step <= 0.0:
        step = q[Q_STEPS]
    slopes = slopes_of(v, y)
    for _ in range(MOST_TRIES):
        if left <= 0.0:
            return (SOLVED, y, step)
        taken = min(step, left)
        after, error = stiff_step(q, v, y, slopes, taken)
        if error <= 1.0 and lowest_reacting(after) >= -q[Q_TOLERANCES + 1]:
            left = left - taken
            y = after
            slopes = slopes_of(v, y)
        elif error <= 1.0:
            error = q[Q_STEPS + 2]
        growth = q[Q_STEPS + 1]
        if error > 0.0:
            growth = min(growth, q[Q_STEPS + 3] / math.sqrt(math.sqrt(error)))
        longer = taken * max(growth, 1 / q[Q_STEPS + 1])
        if taken == step or longer < step:
            step = longer
    return (TOO_MANY_STEPS, y, step)
