"""What additions and their retests teach: how fast chlorine goes, how much water there is.

Two straight lines through nothing, each weighted by test error. Between two rounds without an
addition chlorine moves by a drift (what the feeder brings less what is used). Over an addition it
moves by the drift and by what was added over the volume. Both are opinions: shown beside what was
stated, never put in its place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

# From here on an estimate is told; fewer say nothing of how they scatter. JUDG.
LEAST_INTERVALS = 5
LEAST_ADDITIONS = 3
# Scatter beyond this many times test error means that something else moved the water. JUDG.
MOST_SCATTER = 3.0
# A volume is told where it is known to within this share of itself. JUDG.
WIDEST_SHARE = 0.5
LEAST_HOURS = 0.25
# Student's t at 95 %, two-sided, by degrees of freedom 1 to 10; standard tables.
STUDENT_95 = (12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228)
NORMAL_95 = 1.96
BEYOND_TABLE = 2.7  # CALC: within 0.5 % of the quantiles from 11 on, and never under them


@dataclass(frozen=True, slots=True)
class Interval:
    """Free chlorine at two times with nothing added by hand between them.

    Attributes
    ----------
    hours : float
        Between the two samples, above 0. [h]
    change_mg_l : float
        Later less earlier. [mg/L]
    error_mg_l : float
        Of that change at 95 %, above 0. [mg/L]
    """

    hours: float
    change_mg_l: float
    error_mg_l: float


@dataclass(frozen=True, slots=True)
class Trial:
    """One addition of chlorine with the round before it and the retest after it.

    Attributes
    ----------
    chlorine_g : float
        Available chlorine that was added, above 0. [g]
    over : Interval
        Free chlorine over the addition.
    """

    chlorine_g: float
    over: Interval


@dataclass(frozen=True, slots=True)
class Estimate:
    """A number that the record suggests, or why it suggests none.

    Attributes
    ----------
    value, low, high : float
        The number and its 95 % range; 0 where there is none.
    count : int
        How many observations it rests on.
    reason : str
        "", too-few, too-scattered, not-precise-enough or wrong-way.
    """

    value: float = 0.0
    low: float = 0.0
    high: float = 0.0
    count: int = 0
    reason: str = ""


def learn_drift(intervals: Sequence[Interval]) -> Estimate:
    """Estimate how fast free chlorine moves with nothing added by hand.

    Parameters
    ----------
    intervals : sequence of Interval
        Of one pool and one part of the day; shorter than a quarter of an hour are left out.

    Returns
    -------
    Estimate
        In mg/L an hour; negative where it falls.
    """
    rows = [
        (interval.hours, interval.change_mg_l, interval.error_mg_l)
        for interval in intervals
        if interval.hours >= LEAST_HOURS
    ]
    if len(rows) < LEAST_INTERVALS:
        return Estimate(count=len(rows), reason="too-few")
    slope, half, scatter = line_through_nothing(rows)
    if scatter > MOST_SCATTER:
        return Estimate(count=len(rows), reason="too-scattered")
    return Estimate(slope, slope - half, slope + half, len(rows))


def learn_volume(trials: Sequence[Trial], drift: Estimate) -> Estimate:
    """Estimate the volume of water that additions went into.

    Parameters
    ----------
    trials : sequence of Trial
        Of one water.
    drift : Estimate
        As `learn_drift` gives it; where it suggests none, none is taken and nothing is added to
        the error.

    Returns
    -------
    Estimate
        In m3.
    """
    spread = (drift.high - drift.low) / 2
    rows = []
    for trial in trials:
        over = trial.over
        error = math.hypot(over.error_mg_l, spread * over.hours)
        rows.append((trial.chlorine_g, over.change_mg_l - drift.value * over.hours, error))
    if len(rows) < LEAST_ADDITIONS:
        return Estimate(count=len(rows), reason="too-few")
    per_m3, half, scatter = line_through_nothing(rows)
    if scatter > MOST_SCATTER:
        return Estimate(count=len(rows), reason="too-scattered")
    if per_m3 <= 0:
        return Estimate(count=len(rows), reason="wrong-way")
    if half > WIDEST_SHARE * per_m3:
        return Estimate(count=len(rows), reason="not-precise-enough")
    return Estimate(1 / per_m3, 1 / (per_m3 + half), 1 / (per_m3 - half), len(rows))


def line_through_nothing(rows: Sequence[tuple[float, float, float]]) -> tuple[float, float, float]:
    """Fit y = slope * x by weighted least squares.

    Parameters
    ----------
    rows : sequence of (x, y, error of y at 95 %)
        Two or more, errors above 0, not all x 0.

    Returns
    -------
    slope, half, scatter : float
        The slope, half its 95 % range, and how far the rows scatter about the line, in test
        errors: about 1 where nothing else is at work. The range is widened where it is more.
    """
    weights = [(NORMAL_95 / error) ** 2 for _, _, error in rows]
    over = sum(weight * x * x for weight, (x, _, _) in zip(weights, rows, strict=True))
    slope = sum(weight * x * y for weight, (x, y, _) in zip(weights, rows, strict=True)) / over
    missed = sum(
        weight * (y - slope * x) ** 2 for weight, (x, y, _) in zip(weights, rows, strict=True)
    )
    scatter = math.sqrt(missed / (len(rows) - 1))
    return slope, student_95(len(rows) - 1) * max(scatter, 1.0) / math.sqrt(over), scatter


def student_95(freedom: int) -> float:
    """Give Student's t at 95 %, two-sided; beyond 10 by a formula on the wide side."""
    if freedom <= len(STUDENT_95):
        return STUDENT_95[freedom - 1]
    return NORMAL_95 + BEYOND_TABLE / freedom
