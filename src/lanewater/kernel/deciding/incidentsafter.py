"""A pool's open incidents after a device's own line, as the server will have them."""

from typing import Any

from lanewater.kernel.deciding.incidentrows import (
    incident_begun,
    incident_round,
    incident_with,
    overall_of_water,
    round_counts_for,
    rounds_with,
)


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
        parts = {
            "facts": facts.get("pool_facts", {}),
            "quiet_minutes": facts.get("quiet_minutes", 0),
            "rounds": [],
        }
        found.append(incident_for_pool(incident_begun(entry), parts))
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
        return begun_after(facts, entry)
    named = entry["method"] == "pin"
    found = []
    for row in facts.get("incidents", []):
        kept = row
        about = entry["body"].get("incident", "") == row["incident"]
        if kind == "round-recorded" or kind == "reading-corrected":
            kept = tested_in(row, entry)
        elif about:
            kept = incident_with(row, entry, named)
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
