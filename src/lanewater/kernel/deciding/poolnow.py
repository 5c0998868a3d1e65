"""How a pool stands now: its lane, from what is known of it and the time.

Facts are a pool's part of the record without any "now" in them; `service.pool_facts` writes them on
the server, `carriedfacts.facts_after` adds a device's own lines. Instants are UTC milliseconds.
"""

from typing import Any

from lanewater.kernel.deciding.deadlines import deadlines_now
from lanewater.kernel.deciding.due import open_by_hours, openings_between
from lanewater.kernel.deciding.duenow import (
    FAILED_OVERALL,
    MS_A_SECOND,
    due_now,
    out_of_date_by,
    overall_of_last,
    why_again,
)
from lanewater.kernel.deciding.mayopen import (
    IN_CONFLICT,
    RULES_SAY_OUT,
    by_word_alone,
    opening_when,
)
from lanewater.kernel.deciding.reopening import (
    ordered_standing,
    reopening_wanted,
    samples_against,
)
from lanewater.kernel.deciding.retesting import water_blocks
from lanewater.kernel.deciding.roundsasked import opened_untested_now

SIGHT_STOPS = ("bottom-not-seen", "bottom-cannot-tell")
BY_TELEPHONE = "by-telephone"
DAY_OF_MS = 86400000
MS_A_MINUTE = 60000


def status_now(facts: dict[str, Any], now: int) -> dict[str, Any]:
    """Tell whether a pool is open, closed, shut, has everyone out, or is not known."""
    word = facts["opening"]
    within = open_by_hours(facts, now // MS_A_SECOND)
    found: dict[str, Any] = {"status": "unknown", "since": None, "by": "", "reason": ""}
    marked: list[str] = []
    if len(facts["stops"]) > 0:
        first = facts["stops"][0]
        found["status"] = "everyone-out"
        found["since"] = first["since"]
        found["by"] = first["by"]
        found["reason"] = first["id"]
    elif word is not None:
        for key in ["status", "since", "by", "reason"]:
            found[key] = word[key]
    elif not within:
        found["status"] = "shut"
    if word is not None and found["status"] == "open":
        for mark in word["marked"]:
            marked.append(mark)
        if by_word_alone(word):
            marked.append(BY_TELEPHONE)
    found["marked"] = marked
    found["within_hours"] = within
    return found


def opened_how(facts: dict[str, Any], status: str) -> dict[str, Any]:
    """Tell how an open pool was opened: on whose word, under which authority, who confirmed it."""
    word = facts["opening"]
    if word is None or status != "open":
        return {
            "word_of": "",
            "standing": "",
            "confirmed": None,
            "confirmed_by": "",
            "on_device": False,
            "without_authority": False,
        }
    found = {}
    for key in [
        "word_of",
        "standing",
        "confirmed",
        "confirmed_by",
        "on_device",
        "without_authority",
    ]:
        found[key] = word[key]
    return found


def lead_now(facts: dict[str, Any], status: str) -> dict[str, Any]:
    """Tell what a lane must lead with, before how the pool stands.

    Returns
    -------
    dict
        {"lead": everyone-out, repeat or "", "lead_why": ids}. A pool that is open while the rules
        say close or evacuate of its last round leads with everyone-out, as under a house stop.
    """
    why: list[str] = []
    for stop in facts["stops"]:
        why.append("house-stop:" + stop["id"])
    for row in facts.get("incidents", []):
        why.append("incident:" + row["kind"])
    overall = overall_of_last(facts)
    if status == "open" and overall in RULES_SAY_OUT:
        why.append("rules-say-" + overall)
    if status == "open":
        for row in samples_against(facts):
            why.append("sample-says-" + row["verdict"])
        if len(ordered_standing(facts)) > 0:
            why.append("closed-by-order")
    if len(why) > 0:
        return {"lead": "everyone-out", "lead_why": why}
    again = why_again(facts)
    if again != "":
        return {"lead": "repeat", "lead_why": [again]}
    return {"lead": "", "lead_why": []}


def seen_no_longer(facts: dict[str, Any], reading: dict[str, Any]) -> bool:
    """Tell whether the bottom was seen before a stop that says it is not, which still stands."""
    if reading["parameter"] != "clarity":
        return False
    for stop in facts["stops"]:
        if stop["id"] in SIGHT_STOPS and reading["at"] < stop["since"]:
            return True
    return False


def round_told(facts: dict[str, Any], now: int) -> dict[str, Any] | None:
    """Give the last round's readings as they stand, each with its time; None for none."""
    last = facts["last"]
    if last is None:
        return None
    readings = []
    for reading in last["readings"]:
        if not seen_no_longer(facts, reading):
            readings.append(reading)
    return {
        "id": last["id"],
        "at": last["at"],
        "age_minutes": max(0, now - last["at"]) // MS_A_MINUTE,
        "by": last["by"],
        "verified": last["verified"],
        "source": last["source"],
        "corrected": last["corrected"],
        "changed_after_result": last["changed_after_result"],
        "readings": readings,
    }


def side_told(word: dict[str, Any]) -> dict[str, Any]:
    """Give one side of a disagreement: what was said, who by, when and through which device."""
    return {
        "entry": word["entry"],
        "said": word["status"],
        "stop": word["stop"],
        "by": word["by"],
        "at": word["since"],
        "device": word["device"],
    }


def disagreements(facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Give what two devices wrote of a pool without knowing of each other; at most one.

    Its entries are in the order of what is claimed for them, to be named by who settles it.
    """
    sides: list[dict[str, Any]] = []
    for pair in facts["disputes"]:
        for word in [pair["opened"], pair["closed"]]:
            sides = side_in_order(sides, word)
    if len(sides) == 0:
        return []
    entries = []
    told = []
    for word in sides:
        entries.append(word["entry"])
        told.append(side_told(word))
    return [{"id": IN_CONFLICT, "about": entries[0], "entries": entries, "sides": told}]


def side_in_order(sides: list[dict[str, Any]], word: dict[str, Any]) -> list[dict[str, Any]]:
    """Put a side where its time and id belong, once."""
    found = []
    placed = False
    for side in sides:
        if side["entry"] == word["entry"]:
            return sides
        later = side["since"] > word["since"]
        if not placed and (
            later or (side["since"] == word["since"] and side["entry"] > word["entry"])
        ):
            found.append(word)
            placed = True
        found.append(side)
    if not placed:
        found.append(word)
    return found


def round_actions(facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Give what the last round asks of somebody: to be judged, told, repeated, looked into."""
    last = facts["last"]
    found: list[dict[str, Any]] = []
    if last is None:
        return found
    verdict = last["verdict"]
    if verdict is None:
        found.append({"id": "not-judged-yet", "about": last["id"]})
        return found
    changed = verdict.get("changed_to_pass", False) is True
    if (verdict["overall"] in FAILED_OVERALL or changed) and last["told"] is not True:
        found.append({"id": "tell", "about": last["id"]})
    why = why_again(facts)
    if why != "":
        found.append({"id": "repeat", "about": last["id"], "why": why, "do": "Repeat the test"})
    shown: str = verdict.get("differs_from", "")
    if shown != "":
        overall = verdict["overall"]
        other = {"id": "judged-otherwise", "about": last["id"], "shown": shown}
        other["overall"] = overall
        found.append(other)
    return found


def rounds_went_on(facts: dict[str, Any], now: int) -> bool:
    """Tell whether rounds go on within the opening hours although nobody opened the pool.

    One round may be the one that an opening waits for: two in one opening are of a pool in use.
    """
    word = facts["opening"]
    if facts["hours"] is None or len(facts["stops"]) > 0:
        return False
    if word is not None and (word["status"] == "open" or word["status"] == "closed"):
        return False
    seconds = now // MS_A_SECOND
    for window in openings_between(facts, seconds, seconds):
        if window["opens"] <= seconds < window["closes"]:
            count = 0
            for row in facts["rounds"]:
                if row["purpose"] == "round" and row["at"] >= window["opens"] * MS_A_SECOND:
                    count = count + 1
            if count > 1:
                return True
    return False


def opening_actions(facts: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give what stands open of who opened a pool: to be confirmed, or done without authority."""
    found: list[dict[str, Any]] = []
    word = facts["opening"]
    if word is not None and by_word_alone(word):
        about = word["entry"]
        found.append({"id": "confirm-opening", "about": about, "person": word["word_of"]})
    for row in opened_untested_now(facts, now):
        found.append({"id": "opened-before-test", "about": row["why"]})
    last = facts["last"]
    if last is not None and rounds_went_on(facts, now):
        found.append({"id": "opened-without-authority", "about": last["id"]})
    for row in facts["unauthorised"]:
        stands = word is not None and word["entry"] == row["entry"]
        if stands or now - row["at"] < DAY_OF_MS:
            told = {"id": "without-authority", "about": row["entry"], "kind": row["kind"]}
            told["by"] = row["by"]
            found.append(told)
    return found


def actions_now(facts: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give what waits for somebody: to be told, repeated, answered, confirmed, tested."""
    found = disagreements(facts)
    if facts["pack"].get("missing", "") != "":
        found.append({"id": "rules-missing", "about": facts["pool"]})
    for row in facts.get("incidents", []):
        told = {"id": "incident", "about": row["entry"], "incident": row["incident"]}
        told["kind"] = row["kind"]
        found.append(told)
        if row.get("continued", "") != "":
            other = {"id": "incident-continued", "about": row["continued"], "kind": row["kind"]}
            other["incident"] = row["incident"]
            found.append(other)
    for row in round_actions(facts):
        found.append(row)
    for stop in facts["stops"]:
        if stop["told"] is not True:
            found.append({"id": "tell", "about": stop["entry"], "stop": stop["id"]})
        found.append({"id": "house-stop", "about": stop["entry"], "stop": stop["id"]})
    for row in opening_actions(facts, now):
        found.append(row)
    for row in water_blocks(facts, now):
        found.append(row)
    return found


def pool_now(facts: dict[str, Any], now: int) -> dict[str, Any]:
    """Give one pool's lane; people are ids.

    Parameters
    ----------
    facts : dict
        What is known of the pool: `service.pool_facts` names the keys.
    now : int
        UTC ms.

    Returns
    -------
    dict
        As a pool of the Now page, with instants in UTC ms, None where there is none.
    """
    status = status_now(facts, now)
    lead = lead_now(facts, status["status"])
    last = facts["last"]
    heard = None
    verdict = None
    if last is not None:
        verdict = last["verdict"]
        heard = {"at": last["recorded"], "through": last["through"], "device": last["device"]}
    others = []
    for mate in facts["mates"]:
        if mate != facts["pool"]:
            others.append(mate)
    found = {"pool": facts["pool"], "name": facts["name"], "same_filter": others}
    for part in [status, opened_how(facts, status["status"]), lead]:
        for key, value in part.items():
            found[key] = value
    stops = []
    for stop in facts["stops"]:
        told = {}
        for key in ["id", "entry", "since", "by", "words"]:
            told[key] = stop[key]
        stops.append(told)
    also = []
    for word in facts["also_closed"]:
        also.append(side_told(word))
    found["round"] = round_told(facts, now)
    found["verdict"] = verdict
    found["heard"] = heard
    found["due"] = due_now(facts, now)
    # What is due is worked out once: it is half the work of a lane.
    found["stale"] = out_of_date_by(facts, found["due"], now)
    found["stops"] = stops
    found["open_actions"] = actions_now(facts, now)
    found["opening"] = opening_when(facts, found["stale"], now)
    found["also_closed"] = also
    found["closures"] = facts.get("closures", [])
    found["reopening"] = reopening_wanted(facts, now)
    rules = {"deadlines": facts.get("deadline_rules", [])}
    found["deadlines"] = deadlines_now(facts, rules, now)
    found["samples"] = facts.get("samples", [])
    return found
