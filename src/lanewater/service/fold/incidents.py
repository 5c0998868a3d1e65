"""Fold incidents: begun by anybody, added to, ended by somebody who may; rows by the kernel.

A tablet counts its own lines with the same functions, so both come to the same.
"""

from __future__ import annotations

from typing import Any

from lanewater.kernel.deciding.incidentkinds import INCIDENTS
from lanewater.kernel.deciding.incidentrows import incident_begun, incident_with
from lanewater.records.entries import Entry
from lanewater.service.clock import known_instant
from lanewater.service.fold.authority import may_decide, note, proved, through_of
from lanewater.service.fold.draft import Draft
from lanewater.service.fold.opening import drop_calls, open_stops, writer_of
from lanewater.service.state import Stop

# How many ended incidents are held; the record keeps them all.
ENDED_HELD = 256


def line_of(entry: Entry) -> dict[str, Any]:
    """Give an entry as the kernel takes it."""
    return {
        "kind": entry.type,
        "id": entry.id,
        "at": known_instant(entry.at),
        "rec": known_instant(entry.rec),
        "user": entry.user,
        "body": dict(entry.body),
    }


def take_incident(draft: Draft, entry: Entry) -> None:
    """Begin an incident: the house stop of its kind opens on every pool of it, once."""
    if entry.body["incident"] in draft.incidents:
        return
    row = incident_begun(line_of(entry))
    row["pools"] = with_mates(draft, row)
    draft.incidents[row["incident"]] = row
    stop_pools(draft, row, entry)


def stop_pools(draft: Draft, row: dict[str, Any], entry: Entry) -> None:
    """Open the house stop of an incident on every pool of it."""
    for pool in row["pools"]:
        if pool in draft.pools:
            stop = Stop(row["stop"], pool, row["entry"], row["at"], row["by"], "", row["words"])
            open_stops(draft, [stop], entry.id, writer_of(draft, entry), through_of(entry))


def with_mates(draft: Draft, row: dict[str, Any]) -> list[str]:
    """Give an incident's pools with those on the same filter, which a device may not know of."""
    scope = INCIDENTS[row["kind"]]["scope"]
    pools = [pool for pool in draft.pools.values() if pool.id in row["pools"]]
    circuits = {pool.circuit for pool in pools if scope != "pool"} - {""}
    mates = [pool.id for pool in draft.pools.values() if pool.circuit in circuits]
    return [*row["pools"], *(mate for mate in mates if mate not in row["pools"])]


def open_row(draft: Draft, entry: Entry) -> dict[str, Any] | None:
    """Give the incident that an entry is about, None where none of that id is open."""
    row = draft.incidents.get(entry.body["incident"])
    return None if row is None or "ended" in row else row


def take_incident_line(draft: Draft, entry: Entry) -> None:
    """Take in a step or a note; anybody may write one, and whose words count is kept with it.

    One that comes once the incident is ended is kept with it too: it may not hold then.
    """
    row = draft.incidents.get(entry.body["incident"])
    if row is not None:
        named = proved(entry) and entry.user in draft.people
        draft.incidents[row["incident"]] = incident_with(row, line_of(entry), named)


def take_route(draft: Draft, entry: Entry) -> None:
    """Take in which of the rules' routes a person chose; without authority none is chosen."""
    given = may_decide(draft, entry, "end-incident") or may_decide(draft, entry, "close")
    if not note(draft, entry, given=given):
        take_incident_line(draft, entry)


def take_incident_ended(draft: Draft, entry: Entry) -> None:
    """End an incident and the house stops it opened, as far as the writer knew of them.

    A pool of it stays closed until somebody opens it; without authority nothing is ended.
    """
    row = open_row(draft, entry)
    if note(draft, entry, given=may_decide(draft, entry, "end-incident")) or row is None:
        return
    ended = {
        "at": known_instant(entry.at),
        "by": entry.user,
        "entry": entry.id,
        "outcome": entry.body["outcome"],
        "criteria": list(entry.body.get("criteria", ())),
        "reason": entry.reason or "",
    }
    draft.incidents[row["incident"]] = row | {"ended": ended}
    for pool in row["pools"]:
        if not held_by_another(draft, pool, row):
            end_stop(draft, pool, row["stop"], entry)
    past = [one for one in draft.incidents.values() if "ended" in one]
    for old in past[:-ENDED_HELD]:
        del draft.incidents[old["incident"]]


def take_incident_continued(draft: Draft, entry: Entry) -> None:
    """Let an incident go on that a device ended while the record had not everything met."""
    row = draft.incidents.get(entry.body["incident"])
    if row is None or "ended" not in row or row["ended"]["entry"] != entry.body["ended"]:
        return
    kept = {key: value for key, value in row.items() if key != "ended"}
    draft.incidents[row["incident"]] = kept | {"continued": entry.body["ended"]}
    stop_pools(draft, row, entry)


def held_by_another(draft: Draft, pool: str, row: dict[str, Any]) -> bool:
    """Tell whether another open incident of a pool opened the same house stop."""
    return any(
        pool in other["pools"] and other["stop"] == row["stop"] and "ended" not in other
        for other in draft.incidents.values()
    )


def end_stop(draft: Draft, pool: str, stop: str, entry: Entry) -> None:
    """End a house stop at a pool, but for calls that the writer did not know of."""
    writer = writer_of(draft, entry)
    drop_calls(
        draft,
        pool,
        lambda call: (
            call.stop.id == stop and (call.device == writer.device or call.index < writer.seen_size)
        ),
    )
