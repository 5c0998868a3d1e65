"""What a device's own line changes of what is due: a round, a duty done, rain, a pool opened.

Entries are those of `carriedfacts`; instants are UTC milliseconds.
"""

from typing import Any

from lanewater.kernel.deciding.inorder import turned_round
from lanewater.kernel.deciding.opendays import local_day
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
    facts: dict[str, Any], entry: dict[str, Any], round_id: str, at: int
) -> list[dict[str, Any]]:
    """Give the readings that conditions of schedules ask for, once more of them are taken in.

    Of each parameter only the latest round that read it is kept. "at" is in UTC seconds there.
    """
    row = {"at": at, "round": round_id, "readings": []}
    row["readings"] = values_asked(facts["asked_of"]["parameters"], entry["normal"])
    rows = []
    placed = False
    for other in facts["read_values"]:
        if not placed and other["at"] > at:
            rows.append(row)
            placed = True
        if other["round"] == round_id:
            rows.append(row)
            placed = True
        else:
            rows.append(other)
    if not placed:
        rows.append(row)
    return latest_read(rows)


def values_asked(wanted: list[str], readings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the readings of a round that conditions of schedules ask for."""
    found = []
    for row in readings:
        if row["parameter"] in wanted:
            found.append(row)
    return found


def latest_read(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Leave of rounds, oldest first, the readings that no later one read again."""
    later: dict[str, str] = {}
    found = []
    for row in turned_round(rows):
        kept = []
        for reading in row["readings"]:
            if later.get(reading["parameter"], row["round"]) == row["round"]:
                kept.append(reading)
                later[reading["parameter"]] = row["round"]
        if len(kept) > 0:
            found.append({"at": row["at"], "round": row["round"], "readings": kept})
    return turned_round(found)


def values_corrected(facts: dict[str, Any], entry: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the same readings after a correction of a round among them."""
    for row in facts["read_values"]:
        if row["round"] == entry["body"]["round"]:
            return values_with(facts, entry, row["round"], row["at"])
    found: list[dict[str, Any]] = facts["read_values"]
    return found


def latest_rows(rows: list[dict[str, Any]], most: int) -> list[dict[str, Any]]:
    """Give the last rows of a list, so many at most.

    Parameters
    ----------
    rows : list of dict
        Oldest first.
    most : int
        How many.
    """
    found = []
    for index in range(max(len(rows) - most, 0), len(rows)):
        found.append(rows[index])
    return found


def row_in_time(rows: list[dict[str, Any]], row: dict[str, Any]) -> list[dict[str, Any]]:
    """Put a row where its time and its entry belong, once.

    Parameters
    ----------
    rows : list of dict
        {"at", "entry", ...} in that order.
    row : dict
        One more.
    """
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
    """Give what was said of duties with one more row; the last three of each are kept.

    Parameters
    ----------
    rows : list of dict
        As `done_row` gives them, in the order of time.
    row : dict
        One more.
    """
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


def closed_days_after(facts: dict[str, Any]) -> list[int]:
    """Give a pool's closed days without the one on which it was opened: its tests are asked for."""
    word = facts["opening"]
    if word is None or word["status"] != "open":
        kept: list[int] = facts["closed_days"]
        return kept
    opened = local_day(facts["offsets"], word["since"] // 1000)
    found: list[int] = []
    for day in facts["closed_days"]:
        if day != opened:
            found.append(day)
    return found


def duty_parts_after(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Give the parts of a pool's facts on what is due that an entry changes; empty where none.

    Parameters
    ----------
    facts : dict
        The pool's with the entry's word on how it stands, or the site's own ("pool" is "").
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
    if (kind == "pool-opened" or kind == "opening-settled") and pool == facts["pool"]:
        found["closed_days"] = closed_days_after(facts)
    if kind == "round-recorded" and pool == facts["pool"]:
        found["read"] = read_with(facts["read"], read_in_round(entry), entry["at"])
        found["read_values"] = values_with(facts, entry, entry["id"], entry["at"] // 1000)
    if kind == "reading-corrected" and pool == facts["pool"]:
        found["read_values"] = values_corrected(facts, entry)
    return found


def site_after(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Give the site's own facts ("pool" is "") after one entry of this device."""
    parts = duty_parts_after(facts, entry)
    found = {}
    for key, value in facts.items():
        found[key] = parts.get(key, value)
    return found
