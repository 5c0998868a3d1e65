"""From readings to the times of a contact clock: at each, the lowest point and what else was so."""

from typing import Any

from lanewater.kernel.deciding.decimals import reading_thousandths, relation_of
from lanewater.kernel.deciding.pumpstopped import says_stopped, stopped_row
from lanewater.kernel.deciding.tries import legible_text

# Points tested within so long are one test of the water, and the lowest of them counts. JUDG
CONTACT_WINDOW = 600
# How long a pH, a temperature or a stabiliser stands for later tests. JUDG, as rules borrow them.
CONTACT_CARRY = 86400
# A rise of more than so many thousandths is chlorine that was added. JUDG: over test error.
CONTACT_RISE = 100
# What is beyond a range on the wrong side counts as this, and meets no limit.
BEYOND = 1000000000
# Free chlorine over this is a slip of the pen or the point, and counts as none. JUDG
NOT_BELIEVED = 50000
CONTACT_READINGS = ("free_chlorine", "ph", "temperature_c", "cyanuric_acid")
HIGHER_IS_WORSE = ("ph", "cyanuric_acid")


def counted_number(reading: dict[str, Any]) -> int:
    """Give what a reading counts as: out of range at the bound that is not too good to be true.

    Parameters
    ----------
    reading : dict
        Legible reading in normal form.

    Returns
    -------
    int
        Thousandths; free chlorine over range counts at its bound and under range as none, as does
        one that is not believed; a pH
        or a stabiliser over range, and a temperature under range, meet no limit.
    """
    relation = relation_of(reading["value"])
    number = reading_thousandths(reading)
    if relation == "above" and reading["parameter"] in HIGHER_IS_WORSE:
        return BEYOND
    if reading["parameter"] == "free_chlorine":
        if relation == "below" or number > NOT_BELIEVED:
            return 0
    if relation == "below" and reading["parameter"] == "temperature_c":
        return -BEYOND
    return number


def contact_rows(readings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give what a contact clock looks at, one row a reading that has a time and can be read.

    Circulation is looked at where it stood still.

    Parameters
    ----------
    readings : list of dict
        Normal form, in any order.

    Returns
    -------
    list of dict
        {"parameter", "point", "at", "number": thousandths as counted, "relation", "typed":
        thousandths as read, "diluted"}.
    """
    rows = []
    for reading in readings:
        if says_stopped(reading) and reading["at"] is not None:
            rows.append(stopped_row(reading["at"]))
        wanted = reading["parameter"] in CONTACT_READINGS and reading["at"] is not None
        if wanted and legible_text(reading["value"]):
            rows.append(
                {
                    "parameter": reading["parameter"],
                    "point": reading["point"],
                    "at": reading["at"],
                    "number": counted_number(reading),
                    "relation": relation_of(reading["value"]),
                    "typed": reading_thousandths(reading),
                    "diluted": reading["dilution"] > 1,
                }
            )
    return rows


def worse_row(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell whether one row is the worse of two of a parameter.

    Of two alike the one over range is, then the older: so no order of readings changes an answer.
    """
    if one["number"] == other["number"]:
        if one["relation"] != other["relation"]:
            return one["relation"] == "above"
        return one["at"] < other["at"]
    if one["parameter"] in HIGHER_IS_WORSE:
        return one["number"] > other["number"]
    return one["number"] < other["number"]


def rows_by_point(
    rows: list[dict[str, Any]], parameter: str, after: int, until: int
) -> dict[str, Any]:
    """Give the latest row of each point in a stretch of time, the worse of two of one moment.

    Parameters
    ----------
    rows : list of dict
        As `contact_rows` gives them.
    parameter : str
        Which of them.
    after, until : int
        The stretch, without its start. [UTC s]
    """
    found: dict[str, Any] = {}
    for row in rows:
        if row["parameter"] == parameter and after < row["at"] and row["at"] <= until:
            held = found.get(row["point"])
            if held is None or row["at"] > held["at"]:
                found[row["point"]] = row
            elif row["at"] == held["at"] and worse_row(row, held):
                found[row["point"]] = row
    return found


def worst_point(found: dict[str, Any]) -> dict[str, Any] | None:
    """Give the worst of the points' rows, None where there is none."""
    worst: dict[str, Any] | None = None
    for _point, row in found.items():
        if worst is None or worse_row(row, worst):
            worst = row
    return worst


def worst_at(rows: list[dict[str, Any]], parameter: str, at: int) -> dict[str, Any] | None:
    """Give the worst point of a test, or of the last one before it that still stands.

    Free chlorine stands for no later test.

    Parameters
    ----------
    rows : list of dict
        As `contact_rows` gives them.
    parameter : str
        Which of them.
    at : int
        When the test was. [UTC s]
    """
    found = worst_point(rows_by_point(rows, parameter, at - CONTACT_WINDOW, at))
    if found is not None or parameter == "free_chlorine":
        return found
    last: int | None = None
    for row in rows:
        known = row["parameter"] == parameter and at - CONTACT_CARRY <= row["at"]
        if known and row["at"] <= at and (last is None or row["at"] > last):
            last = row["at"]
    if last is None:
        return None
    return worst_point(rows_by_point(rows, parameter, last - 1, last))


def chlorine_times(rows: list[dict[str, Any]]) -> list[int]:
    """Give every moment at which free chlorine was read, once each, in order."""
    return times_of(rows, ("free_chlorine",))


def times_of(rows: list[dict[str, Any]], parameters: tuple[str, ...]) -> list[int]:
    """Give every moment at which one of some parameters was read, once each, in order."""
    moments = []
    for row in rows:
        if row["parameter"] in parameters:
            moments.append(row["at"])
    once: list[int] = []
    for at in sorted(moments):
        if len(once) == 0 or once[-1] != at:
            once.append(at)
    return once


def contact_times(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the state of the water when free chlorine was read, or circulation seen to stand still.

    Parameters
    ----------
    rows : list of dict
        As `contact_rows` gives them.

    Returns
    -------
    list of dict
        In order, {"at", "points": how many were read, "free": lowest point, in thousandths,
        "free_most": highest, "added": the
        last rise up to then, or None, "ph", "temperature_c", "cyanuric_acid": the row that
        counts, or None, "stopped": whether circulation stood still, when no chlorine counts}.
    """
    times = []
    rises = rises_of(rows)
    still = times_of(rows, ("circulation",))
    since = -BEYOND
    for at in times_of(rows, ("free_chlorine", "circulation")):
        stopped = at in still
        found = {}
        if stopped:
            # What was read before the water stood is no test of the water after it.
            since = at
        else:
            found = rows_by_point(rows, "free_chlorine", max(since, at - CONTACT_WINDOW), at)
        lowest = 0 if stopped else BEYOND
        highest = 0
        for _point, row in found.items():
            lowest = min(lowest, row["number"])
            highest = max(highest, BEYOND if row["relation"] == "above" else row["number"])
        added: int | None = None
        for rise in rises:
            if rise <= at:
                added = rise
        times.append(
            {
                "at": at,
                "points": len(found),
                "free": lowest,
                "free_most": highest,
                "added": added,
                "ph": worst_at(rows, "ph", at),
                "temperature_c": worst_at(rows, "temperature_c", at),
                "cyanuric_acid": worst_at(rows, "cyanuric_acid", at),
                "stopped": stopped,
            }
        )
    return times


def rose(before: int, after: int) -> bool:
    """Tell whether free chlorine rose by more than test error: some was added.

    Parameters
    ----------
    before, after : int
        Free chlorine, one reading after the other. [thousandths of mg/L]
    """
    return after * 1000 > before * (1000 + CONTACT_RISE)


def point_rows(rows: list[dict[str, Any]], point: str) -> list[dict[str, Any]]:
    """Give a point's free chlorine in order of time, the lower of two of one moment.

    Parameters
    ----------
    rows : list of dict
        As `contact_rows` gives them.
    point : str
        Which point.
    """
    own = []
    for row in rows:
        if row["parameter"] == "free_chlorine" and row["point"] == point:
            own.append(row)
    series = []
    for at in chlorine_times(own):
        series.append(rows_by_point(own, "free_chlorine", at - 1, at)[point])
    return series


def rises_of(rows: list[dict[str, Any]]) -> list[int]:
    """Give every moment at which a point read more than before by over test error, in order."""
    moments = []
    for point in points_read(rows):
        series = point_rows(rows, point)
        for place in range(1, len(series)):
            if rose(series[place - 1]["number"], series[place]["number"]):
                moments.append(series[place]["at"])
    return sorted(moments)


def points_missing(rows: list[dict[str, Any]], at: int) -> list[str]:
    """Name the points that were read at some time and not about this one, in order.

    Parameters
    ----------
    rows : list of dict
        As `contact_rows` gives them.
    at : int
        The test asked about. [UTC s]
    """
    near = rows_by_point(rows, "free_chlorine", at - CONTACT_WINDOW, at + CONTACT_WINDOW - 1)
    missing = []
    for point in points_read(rows):
        if point not in near:
            missing.append(point)
    return missing


def points_read(rows: list[dict[str, Any]]) -> list[str]:
    """Name the points at which free chlorine was read at any time, in order."""
    found: dict[str, Any] = {}
    for row in rows:
        if row["parameter"] == "free_chlorine":
            found[row["point"]] = True
    names = []
    for point in found:
        names.append(point)
    return sorted(names)
