"""Which earlier rounds a device carries, and which of them a round is held against.

Rows are rounds oldest first, each with "at" in UTC milliseconds and "parameters": what was read.
"""

from typing import Any

from lanewater.kernel.deciding.due import offset_at
from lanewater.kernel.deciding.duenow import site_day
from lanewater.kernel.deciding.inorder import placed_by, turned_round
from lanewater.kernel.deciding.lookback import looked_back, window_of_history

HELD_AGAINST = 3
OLDEST_HELD_MS = 34560000000
DAY_LONG_MS = 86400000


def place_of_round(rows: list[dict[str, Any]], row: dict[str, Any]) -> list[dict[str, Any]]:
    """Put a round where it was taken, after others of the same instant."""
    return placed_by(rows, row, "at")


def kept_by(rows: list[dict[str, Any]], latest: int, times: int) -> list[dict[str, Any]]:
    """Give the latest rounds, and those that read something not read so often in later ones."""
    counts: dict[str, int] = {}
    chosen: list[dict[str, Any]] = []
    for row in turned_round(rows):
        wanted = len(chosen) < latest
        for parameter in row["parameters"]:
            if counts.get(parameter, 0) < times:
                wanted = True
        if wanted:
            chosen.append(row)
            for parameter in row["parameters"]:
                counts[parameter] = counts.get(parameter, 0) + 1
    return turned_round(chosen)


def rounds_kept(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the rounds that are carried: `held_against` finds its own among them.

    One more than a round is held against, and each parameter's last two, since a round that is
    corrected is not held against itself.
    """
    young = []
    for row in rows:
        if rows[len(rows) - 1]["at"] - row["at"] <= OLDEST_HELD_MS:
            young.append(row)
    return kept_by(young, HELD_AGAINST + 1, 2)


def held_against(rows: list[dict[str, Any]], at: int, without: str) -> list[dict[str, Any]]:
    """Give the rounds that one is held against: the latest, and the latest of each parameter.

    Parameters
    ----------
    rows : list of dict
        With "id" too.
    at : int
        Rounds taken later are left out, and those more than 400 days older. [UTC ms]
    without : str
        The id of the round itself, "" where it is not among them.
    """
    found = []
    for row in rows:
        if row["at"] <= at and at - row["at"] <= OLDEST_HELD_MS and row["id"] != without:
            found.append(row)
    return kept_by(found, HELD_AGAINST, 1)


def history_held(facts: dict[str, Any], at: int, without: str) -> list[dict[str, Any]]:
    """Give the history that a round of a pool is judged with."""
    found = []
    for row in held_against(facts["rounds"], at, without):
        found.append({"at": row["at"] // 1000, "readings": row["readings"]})
    return found


def events_held(facts: dict[str, Any], at: int) -> list[dict[str, Any]]:
    """Give what was added to a pool's filter in the day before: whether it was a chlorine."""
    found = []
    for row in facts["additions"]:
        age = at - row["started"]
        fits = row["pool"] in facts["mates"] and row["answer"] != "not-added"
        if fits and 0 <= age <= DAY_LONG_MS:
            event: dict[str, Any] = {"kind": "addition"}
            if row["chlorine"] is True:
                event["product"] = "chlorine"
            event["at"] = row["started"] // 1000
            found.append(event)
    return found


def rounds_to_look_at(facts: dict[str, Any], carried: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the rounds that were carried to be looked back at, with those of the facts among them.

    Where both hold a round the facts know of its corrections.
    """
    known: list[str] = []
    for row in facts["rounds"]:
        known.append(row["id"])
    rows = []
    for row in carried:
        if row["id"] not in known:
            rows.append(row)
    for row in facts["rounds"]:
        rows = place_of_round(rows, row)
    return rows


def case_drawn(
    base: dict[str, Any], facts: dict[str, Any], at: int, without: str
) -> dict[str, Any]:
    """Give the case of a pool's round without its readings.

    Parameters
    ----------
    base : dict
        The case of the pool's context: "pool", "kits" and "lookback"? are taken from it.
    facts : dict
        The pool's, a device's own lines included.
    at : int
        When the round is taken. [UTC ms]
    without : str
        The id of the round itself where it is judged once more, else "".
    """
    case = {
        "purpose": "round",
        "pool": base["pool"],
        "readings": [],
        "history": history_held(facts, at, without),
        "at": at // 1000,
        "offset_seconds": offset_at(facts["offsets"], at // 1000),
        "kits": base["kits"],
        "between": [],
        "events": events_held(facts, at),
        "expired": [],
    }
    asked: dict[str, Any] | None = base.get("lookback")
    if asked is not None:
        rows = rounds_to_look_at(facts, asked["rows"])
        back = looked_back(rows, asked, at, without)
        case["window"] = window_of_history(case["history"], back)
    return case


def point_of_day(points: list[str], offsets: list[dict[str, Any]], now: int) -> str:
    """Give the sample point whose turn it is by the site's date, "" where none are set up."""
    if len(points) == 0:
        return ""
    return points[site_day(offsets, now) % len(points)]
