"""When an addition has mixed, and whether a pool was tested at two points since."""

from __future__ import annotations

from lanewater.kernel.deciding import retesting
from lanewater.service.state import Addition, Round

SECOND_MS = 1000


def wait_ends(addition: Addition) -> int:
    """Give when the wait after an addition is over, in UTC milliseconds."""
    return retesting.wait_end(
        {"answered": addition.answered_ms, "wait_minutes": addition.wait_minutes}
    )


def tested_at_points(found: Round, since_ms: int) -> bool:
    """Tell whether a round read its disinfectant at two points at least, sampled since then.

    A round is saved at one time and may hold samples of an earlier one.
    """
    return tested_until(found) >= since_ms


def tested_until(found: Round) -> int:
    """Give the latest instant since which a round counts as a retest, 0 where it is none. [UTC ms]

    That is when the second of its points was sampled, to the end of that second of the clock.
    """
    rows = [
        {
            "parameter": row.parameter,
            "point": row.point,
            "at": None if row.at_ms is None else row.at_ms // SECOND_MS,
        }
        for row in found.readings
    ]
    return retesting.tested_until(found.at_ms, rows)
