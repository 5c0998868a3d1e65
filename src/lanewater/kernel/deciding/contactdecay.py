"""How free chlorine goes down during a contact time, from the readings themselves."""

from typing import Any

from lanewater.kernel.deciding.contactrounds import point_rows, points_read, rose
from lanewater.kernel.deciding.decimals import thousandths_of_float
from lanewater.kernel.water.contacttime import decay_fitted

# One standard error of a reading, in thousandths of it. MEM, as readingerror.py has it.
CONTACT_ERROR = 30


def last_fall(series: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the last two or more exact readings of a point between which nothing was added.

    Parameters
    ----------
    series : list of dict
        As `point_rows` gives them.
    """
    run: list[dict[str, Any]] = []
    found: list[dict[str, Any]] = []
    for row in series:
        if row["relation"] != "exact" or row["number"] <= 0:
            continue
        if len(run) > 0 and rose(run[-1]["number"], row["number"]):
            run = []
        run.append(row)
        if len(run) > 1:
            found = run
    return found


def decay_of(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Tell how fast free chlorine falls: all points together, since the last rise of each.

    Parameters
    ----------
    rows : list of dict
        As `contact_rows` gives them.

    Returns
    -------
    dict
        {"state": "unknown" (no two readings to compare), "level" (no fall beyond test error) or
        "falling", "rate": 1/min}.
    """
    minutes: list[float] = []
    free: list[float] = []
    runs: list[int] = []
    count = 0
    for point in points_read(rows):
        fall = last_fall(point_rows(rows, point))
        for row in fall:
            minutes.append((row["at"] - fall[0]["at"]) / 60)
            free.append(row["number"] / 1000)
            runs.append(count)
        if len(fall) > 0:
            count = count + 1
    if count == 0:
        return {"state": "unknown", "rate": 0.0}
    rate, strength = decay_fitted(minutes, free, runs, count)
    if thousandths_of_float(strength) > 2 * CONTACT_ERROR:
        return {"state": "falling", "rate": rate}
    return {"state": "level", "rate": rate}
