"""When an addition has mixed, and whether its pool was tested at two points since."""

from __future__ import annotations

from lanewater.service.clock import MINUTE_MS
from lanewater.service.state import DISINFECTANTS, Addition, Round, SiteState

# Common practice, no source: how long to wait before the retest where nothing says more.
LEAST_WAIT_MINUTES = 30
RETEST_POINTS = 2
SECOND_MS = 1000


def wait_ends(addition: Addition) -> int:
    """Give when the wait after an addition is over, in UTC milliseconds."""
    minutes = max(addition.wait_minutes, LEAST_WAIT_MINUTES)
    return addition.answered_ms + minutes * MINUTE_MS


def tested_at_points(found: Round, since_ms: int) -> bool:
    """Tell whether a round read its disinfectant at two points at least, sampled since then.

    A round is saved at one time and may hold samples of an earlier one.
    """
    return tested_until(found) >= since_ms


def tested_until(found: Round) -> int:
    """Give the latest instant since which a round counts as a retest, 0 where it is none. [UTC ms]

    That is when the second of its points was sampled, to the end of that second of the clock.
    """
    sampled: dict[str, int] = {}
    for row in found.readings:
        if row.parameter in DISINFECTANTS:
            at_ms = found.at_ms
            if row.at_ms is not None:
                at_ms = min(at_ms, row.at_ms // SECOND_MS * SECOND_MS + SECOND_MS - 1)
            sampled[row.point] = max(at_ms, sampled.get(row.point, 0))
    latest = sorted(sampled.values(), reverse=True)
    return latest[RETEST_POINTS - 1] if len(latest) >= RETEST_POINTS else 0


def retested(state: SiteState, pools: tuple[str, ...], since_ms: int) -> bool:
    """Tell whether every pool of a circuit was tested at two points since an instant."""
    return all(state.tested.get(pool, 0) >= since_ms for pool in pools)
