"""Closures, samples and deadlines of a pool after one more line, on a device and in the fold."""

from typing import Any

from lanewater.kernel.deciding.comparing import OF_THE_LABORATORY
from lanewater.kernel.deciding.deadlines import (
    asks_for_time,
    broken_rules,
    event_of_round,
)
from lanewater.kernel.deciding.reopening import ORDERED, OWN_CLOSURE

UNDECIDED = "not-judged"
MOST_EVENTS = 60
MOST_FOLDED = 300
MOST_SAID_DONE = 200


def closure_row(entry: dict[str, Any], of_sample: bool) -> dict[str, Any]:
    """Give a closure for cause, as it begins."""
    body = entry["body"]
    found = {
        "entry": entry["id"],
        "at": entry["at"],
        "by": entry["user"],
        "by_order": body.get("by_order", False),
        "of_sample": of_sample,
        "reason": entry["reason"],
        "lifted": None,
        "lifted_by": "",
        "lifted_authority": "",
        "lifted_reference": "",
        "told": False,
        "notice": None,
    }
    for key in ["authority", "reference", "clause", "scope", "incident", "round"]:
        found[key] = body.get(key, "")
    return found


def closures_left(closures: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the closures that an opening leaves: an order stands until it is lifted."""
    found = []
    for row in closures:
        if row["by_order"] is True and row["lifted"] is None:
            found.append(row)
    return found


def closures_with(
    closures: list[dict[str, Any]], about: str, parts: dict[str, Any]
) -> list[dict[str, Any]]:
    """Give closures with something said of one of them; what was said first stays."""
    found = []
    for row in closures:
        kept = row
        if row["entry"] == about:
            kept = {}
            for key, value in row.items():
                kept[key] = value
            for key, value in parts.items():
                if kept[key] is None or kept[key] == "" or kept[key] is False:
                    kept[key] = value
        found.append(kept)
    return found


def sample_rows_after(rows: list[dict[str, Any]], sample: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the latest decided laboratory result of each parameter, a judged sample taken in.

    Parameters
    ----------
    rows : list of dict
        As this function gives them.
    sample : dict
        {"round", "at": UTC ms, "results": rows of its judgement}. A result that decides nothing
        leaves the one before it.
    """
    worst: dict[str, dict[str, Any]] = {}
    for result in sample["results"]:
        parameter = result["parameter"]
        # Only such a result keeps a pool closed until another one is there.
        decided_here = parameter in OF_THE_LABORATORY and result["verdict"] != UNDECIDED
        known = worst.get(parameter)
        if decided_here and (known is None or worse_result(result, known)):
            worst[parameter] = result
    found = []
    for row in rows:
        parameter = row["parameter"]
        replaced = parameter in worst and row["at"] <= sample["at"]
        if parameter in worst and row["at"] > sample["at"]:
            worst[parameter] = {"verdict": ""}
        if not replaced and row["round"] != sample["round"]:
            found.append(row)
    for _parameter, result in worst.items():
        if result["verdict"] != "":
            found.append(sample_row(sample, result))
    return found


def sample_row(sample: dict[str, Any], result: dict[str, Any]) -> dict[str, Any]:
    """Give one laboratory result as facts carry it, its reading in normal form beside it."""
    reading = {
        "parameter": result["parameter"],
        "value": result["value"],
        "dilution": 1,
        "point": "",
        "at": None,
        "uncertainty": None,
        "kit": "",
    }
    return {
        "round": sample["round"],
        "at": sample["at"],
        "parameter": result["parameter"],
        "rule": result["rule"],
        "clause": result["clause"],
        "value": result["value"],
        "verdict": result["verdict"],
        "reading": reading,
    }


def worse_result(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell whether a result is worse than another of the same parameter."""
    order = ["evacuate", "close", "does-not-meet", "does-not-meet-borderline"]
    for verdict in order:
        if other["verdict"] == verdict:
            return False
        if one["verdict"] == verdict:
            return True
    return False


def events_asking(
    events: list[dict[str, Any]], rules: list[dict[str, Any]]
) -> list[dict[str, Any]]:
    """Give the latest events from which some deadline runs.

    Parameters
    ----------
    events : list of dict
        Everything that happened, oldest first.
    rules : list of dict
        The rules' deadlines.
    """
    asking = []
    for row in events:
        if asks_for_time(row, rules):
            asking.append(row)
    found = []
    for index in range(max(0, len(asking) - MOST_EVENTS), len(asking)):
        found.append(asking[index])
    return found


def events_with(facts: dict[str, Any], event: dict[str, Any] | None) -> list[dict[str, Any]]:
    """Give the events of a pool with one more; the record's own fold keeps more of them."""
    found = []
    for row in facts["deadline_events"]:
        found.append(row)
    if event is not None:
        found.append(event)
    rules = facts["deadline_rules"]
    if rules is not None:
        return events_asking(found, rules)
    kept = []
    for index in range(max(0, len(found) - MOST_FOLDED), len(found)):
        kept.append(found[index])
    return kept


def event_on(entry: dict[str, Any], pool: str, word: str) -> dict[str, Any]:
    """Give an entry as the event that it is for the rules."""
    return {"about": entry["id"], "pool": pool, "on": [word], "at": entry["at"], "actions": []}


def is_sample(facts: dict[str, Any], identity: str) -> bool:
    """Tell whether a round is a laboratory sample, by what is carried of it."""
    for row in facts["rounds"]:
        if row["id"] == identity:
            return row["purpose"] == "sample"
    for row in facts["samples"]:
        if row["round"] == identity:
            return True
    return False


def parts_of_word(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in an opening or a closing; `facts` hold the pool's words after it."""
    parts: dict[str, Any] = {}
    if entry["kind"] == "pool-closed" and entry["body"]["kind"] == "closed":
        closures = []
        for row in facts["closures"]:
            closures.append(row)
        named: str = entry["body"].get("round", "")
        closures.append(closure_row(entry, named != "" and is_sample(facts, named)))
        ordered = entry["body"].get("by_order", False) is True
        word = ORDERED if ordered else OWN_CLOSURE
        parts["closures"] = closures
        parts["deadline_events"] = events_with(facts, event_on(entry, facts["pool"], word))
    elif facts["opening"] is not None and facts["opening"]["status"] == "open":
        parts["closures"] = closures_left(facts["closures"])
    return parts


def parts_of_said(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in what was said of a closure, or that a deadline was met."""
    body = entry["body"]
    kind: str = entry["kind"]
    about: str = body.get("closure", body.get("about", ""))
    said: dict[str, Any] = {}
    if kind == "closure-lifted":
        said = {
            "lifted": entry["at"],
            "lifted_by": entry["user"],
            "lifted_authority": body["authority"],
            "lifted_reference": body.get("reference", ""),
        }
    elif kind == "notice-posted":
        said = {"notice": entry["at"]}
    elif kind == "told":
        said = {"told": True}
    parts: dict[str, Any] = {"closures": closures_with(facts["closures"], about, said)}
    if kind == "authority-notified" or kind == "deadline-met":
        done = []
        for row in facts["deadlines_met"]:
            done.append(row)
        deadline: str = body.get("deadline", "")
        row = {"about": about, "deadline": deadline, "at": entry["at"], "by": entry["user"]}
        done.append(row)
        kept = []
        for index in range(max(0, len(done) - MOST_SAID_DONE), len(done)):
            kept.append(done[index])
        parts["deadlines_met"] = kept
    return parts


def parts_of_judged(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in a judged round or sample, or one that a correction changed."""
    parts: dict[str, Any] = {}
    if entry["verdict"] is None:
        return parts
    body: dict[str, Any] = entry["verdict"]["body"]
    identity: str = entry["body"].get("round", entry["id"])
    sample = entry["body"].get("purpose", "round") == "sample"
    at = entry["at"]
    if entry["kind"] == "reading-corrected":
        sample = is_sample(facts, identity)
        for row in facts["rounds"]:
            if row["id"] == identity:
                at = row["at"]
    if sample:
        given = {"round": identity, "at": at, "results": body.get("results", [])}
        parts["samples"] = sample_rows_after(facts["samples"], given)
    before: list[str] = facts["broken"].get("sample" if sample else "round", [])
    judged = {"id": identity, "at": at, "verdict": body}
    event = event_of_round(judged, facts["pool"], before)
    broken = {}
    for key, value in facts["broken"].items():
        broken[key] = value
    broken["sample" if sample else "round"] = broken_rules(body)
    parts["broken"] = broken
    parts["deadline_events"] = events_with(facts, event)
    return parts


def closure_parts_after(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Give what an entry changes of a pool's closures, samples and deadlines.

    Parameters
    ----------
    facts : dict
        The pool's, with the entry's word on the pool in them already.
    entry : dict
        As `carriedfacts.facts_after` takes it.

    Returns
    -------
    dict
        "closures", "samples", "deadline_events", "deadlines_met", "broken": those that changed.
    """
    kind: str = entry["kind"]
    body = entry["body"]
    here = body.get("pool", "") == facts["pool"] and "closures" in facts
    if kind == "incident-started" and "closures" in facts:
        if facts["pool"] in body["pools"]:
            event = event_on(entry, facts["pool"], body["kind"])
            return {"deadline_events": events_with(facts, event)}
        return {}
    if not here:
        return {}
    if kind == "pool-opened" or kind == "pool-closed" or kind == "opening-settled":
        return parts_of_word(facts, entry)
    if kind == "closure-lifted" or kind == "notice-posted" or kind == "told":
        return parts_of_said(facts, entry)
    if kind == "authority-notified" or kind == "deadline-met":
        return parts_of_said(facts, entry)
    if kind == "round-recorded" or kind == "reading-corrected":
        return parts_of_judged(facts, entry)
    return {}
