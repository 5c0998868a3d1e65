"""What a device's own line changes of what is due: a round read something, a duty was done, rain.

Entries are those of `carriedfacts`; instants are UTC milliseconds.
"""

from typing import Any

from lanewater.kernel.deciding.readtimes import read_with

EVENTS_KEPT = 24
DONE_KEPT = 3


def read_in_round(entry: dict[str, Any]) -> list[str]:
    """Give what a round read; one that is no sample is a round as well."""
    found: list[str] = []
    if entry["body"].get("purpose", "round") == "round":
        found.append("round")
    for row in entry["readings"]:
        if row["parameter"] not in found:
            found.append(row["parameter"])
    return found


def values_with(
    facts: dict[str, Any], at: int, readings: list[dict[str, Any]]
) -> list[dict[str, Any]]:
    """Give the readings that conditions of schedules ask for, once more of them are taken in.

    Of each parameter only the latest round that read it is kept. "at" is in UTC seconds there.
    """
    wanted: list[str] = facts["asked_of"]["parameters"]
    chosen = []
    for row in readings:
        if row["parameter"] in wanted:
            chosen.append(row)
    rows = []
    placed = False
    fresh = {"at": at // 1000, "readings": chosen}
    for other in facts["read_values"]:
        if not placed and other["at"] > fresh["at"]:
            rows.append(fresh)
            placed = True
        rows.append(other)
    if not placed:
        rows.append(fresh)
    return latest_values(rows)


def latest_values(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Leave of rounds, oldest first, the readings that no later one read again."""
    found = []
    for index in range(len(rows)):
        later: list[str] = []
        for place in range(index + 1, len(rows)):
            for reading in rows[place]["readings"]:
                later.append(reading["parameter"])
        kept = []
        for reading in rows[index]["readings"]:
            if reading["parameter"] not in later:
                kept.append(reading)
        if len(kept) > 0:
            found.append({"at": rows[index]["at"], "readings": kept})
    return found


def latest_rows(rows: list[dict[str, Any]], most: int) -> list[dict[str, Any]]:
    """Give the last rows of a list, so many at most."""
    found = []
    for index in range(max(len(rows) - most, 0), len(rows)):
        found.append(rows[index])
    return found


def row_in_time(rows: list[dict[str, Any]], row: dict[str, Any]) -> list[dict[str, Any]]:
    """Put a row where its time and its entry belong, once."""
    found = []
    placed = False
    for other in rows:
        if other["entry"] == row["entry"]:
            return rows
        later = other["at"] > row["at"]
        same = other["at"] == row["at"] and other["entry"] > row["entry"]
        if not placed and (later or same):
            found.append(row)
            placed = True
        found.append(other)
    if not placed:
        found.append(row)
    return found


def done_with(rows: list[dict[str, Any]], row: dict[str, Any]) -> list[dict[str, Any]]:
    """Give what was said of duties with one more row; the last three of each are kept."""
    whole = row_in_time(rows, row)
    found = []
    for index in range(len(whole)):
        left = 0
        for place in range(index, len(whole)):
            if whole[place]["duty"] == whole[index]["duty"]:
                left = left + 1
        if left <= DONE_KEPT:
            found.append(whole[index])
    return found


def event_row(entry: dict[str, Any]) -> dict[str, Any]:
    """Give what somebody noted that happened."""
    return {
        "what": entry["body"]["what"],
        "at": entry["at"],
        "entry": entry["id"],
        "by": entry["user"],
        "words": entry["body"].get("words", ""),
    }


def done_row(entry: dict[str, Any]) -> dict[str, Any]:
    """Give what somebody said of a duty."""
    return {
        "duty": entry["body"]["duty"],
        "answer": entry["body"]["answer"],
        "at": entry["at"],
        "entry": entry["id"],
        "by": entry["user"],
    }


def duty_parts_after(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Give the parts of a pool's facts on what is due that an entry changes; empty where none.

    Parameters
    ----------
    facts : dict
        The pool's, or the site's own ("pool" is "").
    entry : dict
        The next own entry. An event of no pool is one of every pool; a duty of no pool is the
        site's.
    """
    found: dict[str, Any] = {}
    kind = entry["kind"]
    pool: str = entry["body"].get("pool", "")
    if kind == "event-noted" and (pool == "" or pool == facts["pool"]):
        events = row_in_time(facts["events"], event_row(entry))
        found["events"] = latest_rows(events, EVENTS_KEPT)
    if kind == "duty-done" and pool == facts["pool"]:
        found["duties_done"] = done_with(facts["duties_done"], done_row(entry))
    if kind == "round-recorded" and pool == facts["pool"]:
        found["read"] = read_with(facts["read"], read_in_round(entry), entry["at"])
        found["read_values"] = values_with(facts, entry["at"], entry["normal"])
    return found
