"""An incident that a device ended by itself: what it found met is worked out again on the record.

An ending that the server would have refused is kept as it was said, and the incident goes on.
"""

from __future__ import annotations

from lanewater.kernel.deciding.incidents import incident_now
from lanewater.records.entries import Entry
from lanewater.service.actor import Actor
from lanewater.service.book import Writing
from lanewater.service.clock import known_instant
from lanewater.service.incident_facts import told_at
from lanewater.service.rounds import JUDGING_ERRORS
from lanewater.service.rules_held import pack_or_why

NOT_WORKED_OUT = "not-worked-out"


def unmet_at_end(writing: Writing, entry: Entry) -> list[str]:
    """Give what the record has not as met where a device ends an incident; nothing of any other.

    Parameters
    ----------
    writing : Writing
        The transaction, before the entry is taken in.
    entry : Entry
        What the device wrote.

    Returns
    -------
    list of str
        Criteria as `incident_now` names them at the entry's time, by the rules of that time; where
        they cannot be worked out, that.
    """
    state = writing.state
    row = state.incidents.get(entry.body.get("incident", ""))
    if entry.body.get("outcome") != "criteria-met" or row is None or "ended" in row:
        return []
    at_ms = min(known_instant(entry.at), writing.book.clock())
    try:
        pack, _ = pack_or_why(writing.book, state, row["pool"], at_ms)
        found: list[str] = incident_now(told_at(state, row, row["pool"]), pack, at_ms)["why_not"]
    except JUDGING_ERRORS:
        return [NOT_WORKED_OUT]
    return found


def keep_going(writing: Writing, entry: Entry, unmet: list[str]) -> None:
    """Write that an incident goes on, where an ending that was taken in does not hold.

    Parameters
    ----------
    writing : Writing
        The transaction, after the entry is taken in.
    entry : Entry
        What ended it.
    unmet : list of str
        As `unmet_at_end` gave it.
    """
    if not unmet:
        return
    row = writing.state.incidents[entry.body["incident"]]
    # Without authority it ended nothing, and is noted as such.
    if row.get("ended", {}).get("entry") == entry.id:
        body = {key: row[key] for key in ("incident", "pool", "pools")}
        body |= {"ended": entry.id, "unmet": unmet}
        writing.append("incident-continued", body, Actor(person="lanewater", method="device"))
