"""How a number moved over many rounds: its series, its slope, its worth against test error."""

from typing import Any

from lanewater.kernel.deciding.readingerror import reading_error
from lanewater.kernel.deciding.steps import exact_tries
from lanewater.kernel.deciding.tries import number_of

TREND_DAY = 86400
# Two readings closer than this say little of a slope, and a trend takes so many rounds. JUDG.
LEAST_APART = 21600
LEAST_ROUNDS = 4
MOST_ROUNDS = 40


def mean_reading(rows: list[dict[str, Any]]) -> dict[str, int]:
    """Give the mean number of one or more readings and the largest of their errors."""
    total = 0
    error = 0
    for row in rows:
        total = total + number_of(row)
        error = max(error, reading_error(row))
    return {"number": total // len(rows), "error": error}


def series_of(rounds: list[dict[str, Any]], parameter: str) -> list[dict[str, int]]:
    """Give a parameter over rounds: the mean of its points at each time.

    Parameters
    ----------
    rounds : list of dict
        {"at": UTC s, "readings": normal form, "doubtful"?: parameters not to build on}, oldest
        first.
    parameter : str
        Parameter id.

    Returns
    -------
    list of dict
        {"at", "number", "error"}, the latest MOST_ROUNDS at most, in thousandths.
    """
    found: list[dict[str, int]] = []
    for one in rounds:
        rows = exact_tries(one["readings"], parameter)
        doubted = one.get("doubtful")
        if doubted is not None and parameter in doubted:
            rows = []
        if len(rows) > 0:
            mean = mean_reading(rows)
            found.append({"at": one["at"], "number": mean["number"], "error": mean["error"]})
    return latest(found, MOST_ROUNDS)


def latest(rows: list[dict[str, int]], most: int) -> list[dict[str, int]]:
    """Give the last so many rows of a list."""
    found = []
    for index in range(max(len(rows) - most, 0), len(rows)):
        found.append(rows[index])
    return found


def difference_series(
    rounds: list[dict[str, Any]], parameter: str, other: str
) -> list[dict[str, int]]:
    """Give one parameter less another where a round read both; errors add as squares' bound.

    Parameters
    ----------
    rounds : list of dict
        As `series_of` takes them.
    parameter, other : str
        Parameter ids.

    Returns
    -------
    list of dict
        As `series_of` gives it; the error is the sum of both, which is on the wide side.
    """
    found = []
    for one in rounds:
        alone = [one]
        first = series_of(alone, parameter)
        second = series_of(alone, other)
        if len(first) == 1 and len(second) == 1:
            found.append(
                {
                    "at": one["at"],
                    "number": first[0]["number"] - second[0]["number"],
                    "error": first[0]["error"] + second[0]["error"],
                }
            )
    return latest(found, MOST_ROUNDS)


def median_of(numbers: list[int]) -> int:
    """Give the median of one or more whole numbers, the lower of two in the middle."""
    ordered = sorted(numbers)
    return ordered[(len(ordered) - 1) // 2]


def slope_a_day(series: list[dict[str, int]]) -> int:
    """Give the median slope of all pairs that are far enough apart, in thousandths a day.

    Theil and Sen's estimate: one wild reading does not move it. 0 where no pair is.
    """
    slopes = []
    for later in range(len(series)):
        for earlier in range(later):
            apart = series[later]["at"] - series[earlier]["at"]
            if apart >= LEAST_APART:
                moved = series[later]["number"] - series[earlier]["number"]
                slopes.append(moved * TREND_DAY // apart)
    if len(slopes) == 0:
        return 0
    return median_of(slopes)


def moved_over(series: list[dict[str, int]]) -> int:
    """Give how far a series moved from its first to its last time, by its slope."""
    span = series[len(series) - 1]["at"] - series[0]["at"]
    return slope_a_day(series) * span // TREND_DAY


def trend_of(series: list[dict[str, int]]) -> dict[str, Any]:
    """Tell whether a series rises, falls or stands, against test error.

    Returns
    -------
    dict
        {"way": "up", "down", "level" or "too-few", "moved": thousandths, "days": whole days,
        "rounds"}.
    """
    if len(series) < LEAST_ROUNDS:
        return {"way": "too-few", "moved": 0, "days": 0, "rounds": len(series)}
    moved = moved_over(series)
    error = median_of([series[0]["error"], series[len(series) - 1]["error"], series[1]["error"]])
    way = "level"
    if moved > error:
        way = "up"
    elif moved < -error:
        way = "down"
    days = (series[len(series) - 1]["at"] - series[0]["at"]) // TREND_DAY
    return {"way": way, "moved": moved, "days": days, "rounds": len(series)}
