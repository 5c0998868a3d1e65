"""A pool's open incidents after a device's own line, as the server will have them."""

from typing import Any

from lanewater.kernel.deciding.incidentkinds import STANDS_STILL
from lanewater.kernel.deciding.incidentrows import (
    incident_begun,
    incident_round,
    incident_with,
    overall_of_water,
    round_counts_for,
    rounds_with,
)
from lanewater.kernel.deciding.standstills import holds_clock_of, standstills_with


def incident_for_pool(row: dict[str, Any], parts: dict[str, Any]) -> dict[str, Any]:
    """Give an incident's row as a pool's facts hold it.

    Parameters
    ----------
    row : dict
        As `incidentrows` keeps it.
    parts : dict
        {"facts": the pool's facts as rules ask for them, "quiet_minutes": the site's, 0 where it
        set none, "rounds": since it began, of all its pools}.
    """
    found = {}
    for key, value in row.items():
        found[key] = value
    for key, value in parts.items():
        found[key] = value
    return found


def begun_after(facts: dict[str, Any], entry: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a pool's incidents after one began, once each."""
    found = []
    for row in facts.get("incidents", []):
        if row["incident"] == entry["body"]["incident"]:
            kept: list[dict[str, Any]] = facts["incidents"]
            return kept
        found.append(row)
    if facts["pool"] in entry["body"]["pools"]:
        begun = incident_begun(entry)
        parts = {
            "facts": facts.get("pool_facts", {}),
            "quiet_minutes": facts.get("quiet_minutes", 0),
            "rounds": [],
            "standstills": standstills_for(facts.get("standstills", []), begun),
        }
        found.append(incident_for_pool(begun, parts))
    return found


def standstills_for(rows: list[dict[str, Any]], other: dict[str, Any]) -> list[dict[str, Any]]:
    """Give those of some incidents by which another's clock is held; see `holds_clock_of`."""
    found = []
    for row in rows:
        if holds_clock_of(row, other):
            found.append(row)
    return found


def held_by_begun(row: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Give an incident with one that began, where that holds its clock."""
    rows: list[dict[str, Any]] = row.get("standstills", [])
    begun = standstill_begun(rows, entry)
    if len(begun) == len(rows) or not holds_clock_of(begun[len(rows)], row):
        return row
    return incident_for_pool(row, {"standstills": begun})


def standstills_after(rows: list[dict[str, Any]], entry: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the site's open incidents by which circulation stands still after one entry.

    Parameters
    ----------
    rows : list of dict
        As a pool's facts hold them, whichever pools they stop.
    entry : dict
        As `incidents_after` takes it.
    """
    open_yet = []
    for row in standstills_with(rows, entry, entry["method"] == "pin"):
        if "ended" not in row:
            open_yet.append(row)
    if entry["kind"] == "incident-started":
        return standstill_begun(open_yet, entry)
    return open_yet


def standstill_begun(rows: list[dict[str, Any]], entry: dict[str, Any]) -> list[dict[str, Any]]:
    """Give incidents by which circulation stands still with one that began, once each."""
    found = []
    known = entry["body"]["kind"] not in STANDS_STILL
    for row in rows:
        found.append(row)
        known = known or row["incident"] == entry["body"]["incident"]
    if not known:
        found.append(incident_begun(entry))
    return found


def tested_in(row: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Give an incident with a round of one of its pools, new or corrected."""
    body = entry["body"]
    overall = ""
    if entry["verdict"] is not None:
        overall = overall_of_water(entry["verdict"]["body"])
    told = {"readings": entry["normal"], "doubtful": entry["doubtful"]}
    if entry["kind"] == "reading-corrected":
        for known in row["rounds"]:
            if known["id"] == body["round"]:
                told["id"] = known["id"]
                told["at"] = known["at"]
                given = incident_round(told, known["pool"], overall)
                return incident_for_pool(row, {"rounds": rounds_with(row["rounds"], given)})
        return row
    purpose: str = body.get("purpose", "round")
    if not round_counts_for(row, body["pool"], entry["at"], entry["rec"], purpose):
        return row
    told["id"] = entry["id"]
    told["at"] = entry["at"]
    given = incident_round(told, body["pool"], overall)
    return incident_for_pool(row, {"rounds": rounds_with(row["rounds"], given)})


def incidents_after(facts: dict[str, Any], entry: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a pool's open incidents after one entry of this device.

    Parameters
    ----------
    facts : dict
        The pool's.
    entry : dict
        As `facts_after` takes it.
    """
    kind: str = entry["kind"]
    if kind == "incident-started":
        found = []
        for row in begun_after(facts, entry):
            found.append(held_by_begun(row, entry))
        return found
    named = entry["method"] == "pin"
    found = []
    for row in facts.get("incidents", []):
        kept = row
        about = entry["body"].get("incident", "") == row["incident"]
        if kind == "round-recorded" or kind == "reading-corrected":
            kept = tested_in(row, entry)
        elif about:
            kept = incident_with(row, entry, named)
        elif "incident" in entry["body"]:
            held = standstills_with(row.get("standstills", []), entry, named)
            kept = incident_for_pool(row, {"standstills": held})
        if not (about and kind == "incident-ended"):
            found.append(kept)
    return found


def stop_ended_with(facts: dict[str, Any], entry: dict[str, Any]) -> str:
    """Give the house stop that ends with an incident at a pool, "" for none.

    It goes on where another open incident of the pool opened it as well.
    """
    stop = ""
    for row in facts.get("incidents", []):
        if row["incident"] == entry["body"]["incident"]:
            stop = row["stop"]
    for row in facts.get("incidents", []):
        if row["incident"] != entry["body"]["incident"] and row["stop"] == stop:
            return ""
    return stop
