"""When circulation stood still by what is told of other incidents: no contact time counts then.

An incident's row holds as "standstills" the rows of those of STANDS_STILL that share a pool with it
and were open while it was, each as `incidentrows` keeps it, with "ended" where it is. Chlorine that
does not circulate does not count: from when it is said to have begun, however late that is said,
until the pump was set going by its steps, or it was ended. Instants are UTC ms.
"""

from typing import Any

from lanewater.kernel.deciding.incidentkinds import STANDS_STILL
from lanewater.kernel.deciding.incidentrows import incident_with
from lanewater.kernel.deciding.incidentsteps import steps_asked, steps_now


def pump_on_at(steps: list[dict[str, Any]]) -> int | None:
    """Give when the pump was set going by an incident's steps, None where it was not. [UTC ms]"""
    for row in steps:
        if row["id"] == "pump-nobody-in" and row["state"] == "done":
            at: int = row["at"]
            return at
    return None


def said_between(row: dict[str, Any], begun: int, until: int | None) -> dict[str, Any]:
    """Give an incident with only what was said before it happened anew. [UTC ms]

    Parameters
    ----------
    row : dict
        As `incidentrows` keeps it.
    begun, until : int
        When it happened, and when it happened the next time or None.
    """
    found = {}
    for key, value in row.items():
        found[key] = value
    notes = []
    for note in row["notes"]:
        if note["at"] <= begun:
            notes.append(note)
    found["notes"] = notes
    steps = []
    for step in row["steps"]:
        if until is None or step["at"] < until:
            steps.append(step)
    found["steps"] = steps
    return found


def times_happened(row: dict[str, Any]) -> list[int]:
    """Give when an incident began, and each time that it happened again. [UTC ms]"""
    found: list[int] = [row["at"]]
    for note in row["notes"]:
        if note["what"] == "again" and note["at"] > row["at"]:
            found.append(note["at"])
    return sorted(found)


def stretches_of(row: dict[str, Any]) -> list[dict[str, Any]]:
    """Give when circulation stood still by one incident.

    Parameters
    ----------
    row : dict
        One of STANDS_STILL, as `incidentrows` keeps it.

    Returns
    -------
    list of dict
        {"pools", "from", "until": None where it stands still}, in order.
    """
    found = []
    happened = times_happened(row)
    for place in range(len(happened)):
        last = place + 1 == len(happened)
        until: int | None = None if last else happened[place + 1]
        then = said_between(row, happened[place], until)
        steps = steps_now(then, steps_asked(then, [], None, False), None, {})
        set_going = pump_on_at(steps)
        if set_going is not None:
            until = set_going
        ended = row.get("ended")
        if ended is not None and (until is None or ended["at"] < until):
            until = ended["at"]
        found.append({"pools": row["pools"], "from": happened[place], "until": until})
    return found


def still_by(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give when circulation stood still by some incidents; see `stretches_of`."""
    found = []
    for row in rows:
        for stretch in stretches_of(row):
            found.append(stretch)
    return found


def holds_clock_of(row: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell whether an incident by which circulation stands still holds another's clock.

    Parameters
    ----------
    row, other : dict
        As `incidentrows` keeps them; the first with "ended" where it is.
    """
    if row["kind"] not in STANDS_STILL or row["incident"] == other["incident"]:
        return False
    ended = row.get("ended")
    if ended is not None and ended["at"] < other["at"]:
        return False
    for pool in row["pools"]:
        if pool in other["pools"]:
            return True
    return False


def standstills_with(
    rows: list[dict[str, Any]], entry: dict[str, Any], named: bool
) -> list[dict[str, Any]]:
    """Give incidents by which circulation stands still after one more entry, ended ones kept.

    Parameters
    ----------
    rows : list of dict
        As an incident's row holds them.
    entry : dict
        As `incidents_after` takes it.
    named : bool
        Whether it is by somebody on the list who was proved to act.
    """
    found = []
    for row in rows:
        kept = row
        if entry["body"].get("incident", "") == row["incident"]:
            kept = incident_with(row, entry, named)
            if entry["kind"] == "incident-ended" and "ended" not in row:
                kept["ended"] = {"at": entry["at"]}
        found.append(kept)
    return found
