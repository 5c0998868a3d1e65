"""A pool's facts with house stops that an entry of a device opens or ends; see `carriedfacts`."""

from typing import Any

from lanewater.kernel.deciding.incidentsafter import (
    incidents_after,
    standstills_after,
    stop_ended_with,
)
from lanewater.kernel.deciding.wordsafter import words_after


def with_parts(facts: dict[str, Any], parts: dict[str, Any]) -> dict[str, Any]:
    """Give facts with some of them put anew."""
    found = {}
    for key, value in facts.items():
        found[key] = parts.get(key, value)
    return found


def word_said(entry: dict[str, Any], status: str, stop: str, since: int) -> dict[str, Any]:
    """Give what an entry says of a pool."""
    body = entry["body"]
    return {
        "status": status,
        "since": since,
        "by": entry["user"],
        "reason": entry["reason"] if stop == "" else "house stop: " + stop,
        "entry": entry["id"],
        "marked": body.get("marked", []) if stop == "" else [],
        "round": body.get("round", "") if stop == "" else "",
        "through": entry["device"]["id"],
        "device": entry["device"]["name"],
        "stop": stop,
        "word_of": body.get("word_of", ""),
        "standing": body.get("standing", ""),
        "confirmed": None,
        "confirmed_by": "",
        "on_device": stop == "" and entry["method"] == "pin",
        "without_authority": False,
    }


def stops_opened(
    facts: dict[str, Any], stops: list[dict[str, Any]], entry: dict[str, Any], since: int
) -> dict[str, Any]:
    """Open house stops once; the pool is not open while one stands, nor after it by itself."""
    if len(stops) == 0:
        return facts
    standing = []
    known: list[str] = []
    for stop in facts["stops"]:
        standing.append(stop)
        known.append(stop["id"])
    for stop in stops:
        if stop["id"] not in known:
            standing.append(stop)
            known.append(stop["id"])
    word = word_said(entry, "closed", stops[0]["id"], since)
    parts = words_after(facts, "stop", word, [])
    parts["stops"] = standing
    return with_parts(facts, parts)


def stop_opened(entry: dict[str, Any], identity: str, since: int, told: bool) -> dict[str, Any]:
    """Give a house stop that the readings of a round open."""
    return {
        "id": identity,
        "entry": entry["id"],
        "since": since,
        "by": entry["user"],
        "words": "",
        "round": entry["id"],
        "told": told,
    }


def stops_without(facts: dict[str, Any], ended: list[str]) -> list[dict[str, Any]]:
    """Give the house stops that are left once some have ended."""
    kept = []
    for stop in facts["stops"]:
        if stop["id"] not in ended:
            kept.append(stop)
    return kept


def after_incident(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in what an entry says of an incident: it stops its pools until it is ended.

    Parameters
    ----------
    facts : dict
        The pool's.
    entry : dict
        As `facts_after` takes it.
    """
    before: list[dict[str, Any]] = facts.get("incidents", [])
    parts: dict[str, Any] = {"incidents": incidents_after(facts, entry)}
    parts["standstills"] = standstills_after(facts.get("standstills", []), entry)
    found = with_parts(facts, parts)
    begun = len(found["incidents"]) > len(before)
    if begun:
        row = found["incidents"][len(before)]
        stop = stop_opened(entry, row["stop"], entry["at"], False)
        stop["words"] = row["words"]
        stop["round"] = ""
        return stops_opened(found, [stop], entry, entry["at"])
    if entry["kind"] == "incident-ended":
        ended = [stop_ended_with(facts, entry)]
        return with_parts(found, {"stops": stops_without(facts, ended)})
    return found
