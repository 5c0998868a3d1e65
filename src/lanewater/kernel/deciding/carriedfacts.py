"""A pool's facts after a device's own line, as the server will have them once it holds the line.

An entry is {"kind", "id", "at" and "rec" (UTC ms), "user", "method", "device": {"id", "name"},
"body" as in the record, "reason" or "", "readings": those of a round as typed, each with its time
in UTC ms, "verdict": {"rules", "body"} or None, "normal", "between", "expired" and "doubtful": what
`heldverdict.judged_round` says of the round as it stands after the line, and the parts of its case
that its own readings bring}. Nothing that is handed in is changed.
"""

from typing import Any

from lanewater.kernel.deciding.bleaching import CHLORINE_PRODUCTS
from lanewater.kernel.deciding.carriedstops import (
    after_incident,
    stop_opened,
    stops_opened,
    stops_without,
    with_parts,
    word_said,
)
from lanewater.kernel.deciding.closuresafter import closure_parts_after
from lanewater.kernel.deciding.dutiesafter import duty_parts_after
from lanewater.kernel.deciding.heldverdict import verdict_told
from lanewater.kernel.deciding.retesting import (
    additions_carried,
    both_answers,
    ended_by_repeat,
    in_the_water_of,
    tested_until,
)
from lanewater.kernel.deciding.roundskept import place_of_round, rounds_kept
from lanewater.kernel.deciding.wordsafter import words_after


def stops_of_round(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Open the house stops of the latest round, and end those it shows no cause for any more."""
    last = facts["last"]
    opened = []
    named: list[str] = []
    source = with_parts(entry, {"id": last["id"], "user": last["by"]})
    for stop in last["verdict"]["stops"]:
        opened.append(stop_opened(source, stop["id"], last["at"], last["told"]))
        named.append(stop["id"])
    kept = []
    for stop in facts["stops"]:
        ended = ended_by_repeat(stop, last["id"], last["readings"])
        if stop["id"] in named or not ended:
            kept.append(stop)
    left = with_parts(facts, {"stops": kept})
    return stops_opened(left, opened, source, last["at"])


def round_last(entry: dict[str, Any]) -> dict[str, Any]:
    """Give a round as the pool's latest."""
    verdict = None
    if entry["verdict"] is not None:
        verdict = verdict_told(entry["verdict"]["rules"], entry["verdict"]["body"])
    readings = []
    for row in entry["readings"]:
        at = row["at"]
        told = {}
        for key in ["parameter", "value", "unit", "point", "dilution"]:
            told[key] = row[key]
        told["at"] = entry["at"] if at is None else at
        readings.append(told)
    return {
        "id": entry["id"],
        "at": entry["at"],
        "recorded": entry["rec"],
        "source": entry["body"]["source"],
        "by": entry["user"],
        "verified": entry["method"] == "pin",
        "through": entry["device"]["id"],
        "device": entry["device"]["name"],
        "corrected": False,
        "changed_after_result": len(entry["body"].get("changed_after_result", [])) > 0,
        "told": False,
        "oldest": oldest_taken(entry),
        "normal": entry["normal"],
        "between": entry["between"],
        "expired": entry["expired"],
        "readings": readings,
        "verdict": verdict,
    }


def oldest_taken(entry: dict[str, Any]) -> int:
    """Give when the oldest reading of a round was taken. [UTC ms]"""
    oldest: int = entry["at"]
    for row in entry["readings"]:
        if row["at"] is not None:
            oldest = min(oldest, row["at"])
    return oldest


def round_row_of(entry: dict[str, Any]) -> dict[str, Any]:
    """Give a round as later ones are held against it."""
    parameters: list[str] = []
    for row in entry["readings"]:
        if row["parameter"] not in parameters:
            parameters.append(row["parameter"])
    return {
        "id": entry["id"],
        "at": entry["at"],
        "purpose": entry["body"].get("purpose", "round"),
        "source": entry["body"]["source"],
        "oldest": oldest_taken(entry),
        "parameters": sorted(parameters),
        "readings": entry["normal"],
        "doubtful": entry["doubtful"],
    }


def tested_after(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Give since when each pool of the filter counts as tested, a round taken in."""
    rows = []
    for row in entry["readings"]:
        at = row["at"]
        taken = None if at is None else at // 1000
        rows.append({"parameter": row["parameter"], "point": row["point"], "at": taken})
    pool: str = entry["body"]["pool"]
    until = tested_until(entry["at"], rows)
    found = {}
    for mate in facts["mates"]:
        before: int | None = facts["tested"].get(mate)
        if mate == pool:
            found[mate] = max(until, 0 if before is None else before)
        elif before is not None:
            found[mate] = before
    return found


def after_round(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in a round; one of a pool on the same filter says that the water was tested there."""
    if entry["body"]["pool"] not in facts["mates"]:
        return facts
    found = with_parts(facts, {"tested": tested_after(facts, entry)})
    kept = additions_carried(found, found["additions"])
    found = with_parts(found, {"additions": kept})
    if entry["body"]["pool"] != facts["pool"]:
        return found
    rounds = rounds_kept(place_of_round(facts["rounds"], round_row_of(entry)))
    found = with_parts(found, {"rounds": rounds})
    latest = facts["last"] is None or facts["last"]["at"] <= entry["at"]
    if entry["body"].get("purpose", "round") != "round" or not latest:
        return found
    found = with_parts(found, {"last": round_last(entry)})
    if entry["verdict"] is None:
        return found
    return stops_of_round(found, entry)


def corrected_readings(
    readings: list[dict[str, Any]], change: dict[str, Any]
) -> list[dict[str, Any]]:
    """Give a round's readings with a correction in the place of the last one that it stands for."""
    place = -1
    for index in range(len(readings)):
        row = readings[index]
        same = row["parameter"] == change["parameter"] and row["point"] == change.get("point", "")
        if same and row["value"] == change["was"]:
            place = index
    found = []
    for index in range(len(readings)):
        row = readings[index]
        if index == place:
            unit: str = change.get("unit", "")
            if unit == "":
                unit = row["unit"]
            dilution: int = change.get("dilution", 1)
            parts = {"value": change["value"], "unit": unit, "dilution": dilution}
            row = with_parts(row, parts)
        found.append(row)
    return found


def after_correction(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in a correction, which counts where the round is still carried."""
    body = entry["body"]
    rounds = []
    for row in facts["rounds"]:
        kept = row
        if row["id"] == body["round"]:
            kept = with_parts(row, {"readings": entry["normal"], "doubtful": entry["doubtful"]})
        rounds.append(kept)
    found = with_parts(facts, {"rounds": rounds})
    last = facts["last"]
    if last is None or last["id"] != body["round"]:
        return found
    parts: dict[str, Any] = {"corrected": True}
    parts["readings"] = corrected_readings(last["readings"], body)
    for key in ["normal", "between", "expired"]:
        parts[key] = entry[key]
    verdict = entry["verdict"]
    if verdict is not None:
        parts["verdict"] = verdict_told(verdict["rules"], verdict["body"])
    found = with_parts(found, {"last": with_parts(last, parts)})
    if verdict is None:
        return found
    return stops_of_round(found, entry)


def after_stop_ended(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """End the house stops that are named."""
    return with_parts(facts, {"stops": stops_without(facts, entry["body"]["stops"])})


def after_everyone_out(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Open the house stop that somebody called."""
    body = entry["body"]
    stop = stop_opened(entry, body["stop"], entry["at"], False)
    stop["words"] = body.get("words", "")
    stop["round"] = ""
    return stops_opened(facts, [stop], entry, entry["at"])


def after_told(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in that somebody was told of a round or of a stop."""
    about: str = entry["body"]["about"]
    stops = []
    for stop in facts["stops"]:
        kept = stop
        if stop["entry"] == about:
            kept = with_parts(stop, {"told": True})
        stops.append(kept)
    last = facts["last"]
    if last is not None and last["id"] == about:
        last = with_parts(last, {"told": True})
    return with_parts(facts, {"stops": stops, "last": last})


def after_word(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in that a pool was opened, closed or shut, or that a disagreement was settled."""
    kind = "opened"
    status = "open"
    names: list[str] = []
    if entry["kind"] == "pool-closed":
        kind = entry["body"]["kind"]
        status = kind
    if entry["kind"] == "opening-settled":
        kind = "settled"
        status = entry["body"]["status"]
        names = entry["body"]["entries"]
    word = word_said(entry, status, "", entry["at"])
    return with_parts(facts, words_after(facts, kind, word, names))


def after_confirmed(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in that the person on whose word a pool was opened stands by it."""
    word = facts["opening"]
    if word is None or word["entry"] != entry["body"]["opening"]:
        return facts
    if word["confirmed"] is not None or word["word_of"] != entry["user"]:
        return facts
    confirmed = {"confirmed": entry["at"], "confirmed_by": entry["user"]}
    return with_parts(facts, {"opening": with_parts(word, confirmed)})


def advices_without(facts: dict[str, Any], advice: str) -> list[dict[str, Any]]:
    """Give the amounts that nobody has answered, but for one."""
    found = []
    for row in facts["advices"]:
        if row["id"] != advice:
            found.append(row)
    return found


def row_of_amount(entry: dict[str, Any]) -> dict[str, Any]:
    """Give the pool and the filter of an amount."""
    body = entry["body"]
    return {"id": entry["id"], "pool": body["pool"], "circuit": body.get("circuit", "")}


def after_advice(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in an amount that was shown; it asks to be answered."""
    row = row_of_amount(entry)
    if not in_the_water_of(facts, row):
        return facts
    advices = advices_without(facts, row["id"])
    advices.append(row)
    return with_parts(facts, {"advices": advices})


def addition_row(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Give something that is, or was, added."""
    row = row_of_amount(entry)
    product: str = entry["body"].get("product", "")
    answer: str = entry["body"].get("answer", "")
    row["started"] = entry["at"]
    row["answer"] = answer
    row["answered"] = 0 if answer == "" else entry["at"]
    row["wait_minutes"] = entry["body"].get("wait_minutes", 0)
    row["chlorine"] = product in facts["chlorines"] or product in CHLORINE_PRODUCTS
    return row


def addition_answered(row: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Give an addition with one more answer."""
    parts = {
        "answer": both_answers(row["answer"], entry["body"]["answer"]),
        "answered": max(entry["at"], row["answered"]),
        "wait_minutes": entry["body"].get("wait_minutes", row["wait_minutes"]),
    }
    return with_parts(row, parts)


def after_addition(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in that something is being added, or what came of it."""
    body = entry["body"]
    named: str = body.get("addition", "")
    rows = []
    known = False
    for row in facts["additions"]:
        kept = row
        if row["id"] == named and entry["kind"] == "addition-answered":
            known = True
            kept = addition_answered(row, entry)
        rows.append(kept)
    fresh = addition_row(facts, entry)
    wanted = fresh["answer"] != "not-added" and named == ""
    if wanted and not known and in_the_water_of(facts, fresh):
        rows.append(fresh)
    found = with_parts(facts, {"advices": advices_without(facts, body.get("advice", ""))})
    return with_parts(found, {"additions": additions_carried(found, rows)})


def after_own(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in an entry on the pool itself."""
    kind: str = entry["kind"]
    if kind == "reading-corrected":
        return after_correction(facts, entry)
    if kind == "everyone-out":
        return after_everyone_out(facts, entry)
    if kind == "house-stop-ended":
        return after_stop_ended(facts, entry)
    if kind == "pool-opened" or kind == "pool-closed" or kind == "opening-settled":
        return after_word(facts, entry)
    if kind == "opening-confirmed":
        return after_confirmed(facts, entry)
    return facts


def water_after(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Take in what an entry says of a pool's rounds, its openings and what was added."""
    kind: str = entry["kind"]
    if kind == "round-recorded":
        return after_round(facts, entry)
    if kind == "advice-given":
        return after_advice(facts, entry)
    if kind == "addition-started" or kind == "addition-answered":
        return after_addition(facts, entry)
    if kind == "told":
        return after_told(facts, entry)
    if entry["body"].get("pool", "") == facts["pool"]:
        return after_own(facts, entry)
    return facts


def facts_after(facts: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """Give a pool's facts after one entry of this device, whichever pool it is on.

    Parameters
    ----------
    facts : dict
        The pool's, as they are carried or as this function gives them.
    entry : dict
        The next own entry; kinds that say nothing of a pool change nothing.

    Returns
    -------
    dict
        The facts after it.
    """
    found = after_incident(water_after(facts, entry), entry)
    found = with_parts(found, closure_parts_after(found, entry))
    if "schedules" not in found:
        return found
    return with_parts(found, duty_parts_after(found, entry))
