"""When an addition has mixed, whether its water was tested at two points since, what answers say.

Instants are UTC milliseconds.
"""

from typing import Any

# Common practice, no source: how long to wait before the retest where nothing says more.
LEAST_WAIT_MINUTES = 30
RETEST_POINTS = 2
MINUTE_IN_MS = 60000
SECOND_IN_MS = 1000
READ_AT_POINTS = ("free_chlorine", "total_bromine")
STOPS_UNTIL_REPEAT = ("disinfectant-none", "disinfectant-over-range")
# So many additions at least are carried, besides those that something still waits for.
ADDITIONS_CARRIED = 24


def tested_until(at: int, readings: list[dict[str, Any]]) -> int:
    """Give the latest instant since which a round counts as a retest, 0 where it is none. [UTC ms]

    That is when the second of its points was sampled, to the end of that second of the clock: a
    round is saved at one time and may hold samples of an earlier one.

    Parameters
    ----------
    at : int
        When the round was taken. [UTC ms]
    readings : list of dict
        {"parameter", "point", "at": UTC s or None}.
    """
    sampled: dict[str, int] = {}
    for row in readings:
        if row["parameter"] in READ_AT_POINTS:
            taken = at
            if row["at"] is not None:
                taken = min(at, row["at"] * SECOND_IN_MS + SECOND_IN_MS - 1)
            sampled[row["point"]] = max(taken, sampled.get(row["point"], 0))
    times: list[int] = []
    for _point, taken in sampled.items():
        times.append(taken)
    if len(times) < RETEST_POINTS:
        return 0
    return sorted(times)[len(times) - RETEST_POINTS]


def wait_end(addition: dict[str, Any]) -> int:
    """Give when the wait after an addition is over. [UTC ms]"""
    minutes = max(addition["wait_minutes"], LEAST_WAIT_MINUTES)
    return addition["answered"] + minutes * MINUTE_IN_MS


def both_answers(before: str, after: str) -> str:
    """Give what two answers come to: where two devices contradict each other, nobody knows.

    Parameters
    ----------
    before : str
        The answer so far: "", started, added, not-added or unknown.
    after : str
        The next one.
    """
    decided = before == "added" or before == "not-added"
    if decided and after != before:
        return "unknown"
    return after


def mates_tested(facts: dict[str, Any], since: int) -> bool:
    """Tell whether every pool of a filter was tested at two points since an instant."""
    for mate in facts["mates"]:
        if facts["tested"].get(mate, 0) < since:
            return False
    return True


def in_the_water_of(facts: dict[str, Any], row: dict[str, Any]) -> bool:
    """Tell whether an amount is of a pool's filter, as set up now or as it was set up then."""
    then = row["circuit"] != "" and row["circuit"] == facts["circuit"]
    return then or row["pool"] in facts["mates"]


def block_of(identity: str, row: dict[str, Any], why: str, do: str) -> dict[str, Any]:
    """Write what stands in the way."""
    return {"id": identity, "about": row["id"], "pool": row["pool"], "why": why, "do": do}


def addition_blocks(
    facts: dict[str, Any], addition: dict[str, Any], now: int
) -> list[dict[str, Any]]:
    """Give the block of one addition, if it still stands in the way."""
    if addition["answer"] == "":
        why = "Somebody is adding something now."
        do = "Wait until it is answered: added or not."
        return [block_of("dose-running", addition, why, do)]
    if addition["answer"] == "not-added":
        return []
    if addition["answer"] == "unknown":
        if mates_tested(facts, addition["answered"]):
            return []
        why = "Nobody knows whether something was added."
        do = "Test at two points before anything else."
        return [block_of("addition-unknown", addition, why, do)]
    until = wait_end(addition)
    if now < until:
        why = "What was added has not mixed yet."
        found = block_of("wait", addition, why, "Circulate, wait, then test.")
        found["until"] = until
        return [found]
    if not mates_tested(facts, until):
        why = "What was added has not been tested since."
        do = "Test at two points: shallow and deep."
        return [block_of("retest-first", addition, why, do)]
    return []


def water_blocks(facts: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give what stands in the way of adding anything to a pool's filter now.

    Parameters
    ----------
    facts : dict
        "mates", "tested", "advices" and "additions" of a pool's facts.
    now : int
        UTC ms.

    Returns
    -------
    list of dict
        {"id", "about", "pool", "until"? UTC ms, "why", "do"}; ids are advice-unanswered,
        dose-running, wait, retest-first, addition-unknown.
    """
    found = []
    for advice in facts["advices"]:
        why = "An amount was shown and nobody said what came of it."
        found.append(block_of("advice-unanswered", advice, why, "Say whether it was added."))
    for addition in facts["additions"]:
        for block in addition_blocks(facts, addition, now):
            found.append(block)
    return found


def retest_times(facts: dict[str, Any]) -> list[int]:
    """Give when the retests after additions are due that nobody did yet at a pool. [UTC ms]"""
    tested = facts["tested"].get(facts["pool"], 0)
    found: list[int] = []
    for addition in facts["additions"]:
        if addition["answer"] == "added" and tested < wait_end(addition):
            found.append(wait_end(addition))
        if addition["answer"] == "unknown" and tested < addition["answered"]:
            found.append(addition["answered"])
    return found


def waits_no_more(facts: dict[str, Any], addition: dict[str, Any]) -> bool:
    """Tell whether nothing waits for an addition: not made, or tested for in all its pools."""
    if addition["answer"] == "added":
        return mates_tested(facts, wait_end(addition))
    if addition["answer"] == "unknown":
        return mates_tested(facts, addition["answered"])
    return addition["answer"] == "not-added"


def additions_carried(facts: dict[str, Any], rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the additions that a device carries: those that something waits for, and the last.

    Parameters
    ----------
    facts : dict
        "mates" and "tested" of the pool's facts.
    rows : list of dict
        The additions to its filter, in the order of the record.
    """
    starts: list[int] = []
    for row in rows:
        starts.append(row["started"])
    since = 0
    if len(starts) > ADDITIONS_CARRIED:
        since = sorted(starts)[len(starts) - ADDITIONS_CARRIED]
    found = []
    for row in rows:
        if row["started"] >= since or not waits_no_more(facts, row):
            found.append(row)
    return found


def ended_by_repeat(stop: dict[str, Any], round_id: str, readings: list[dict[str, Any]]) -> bool:
    """Tell whether a later round that shows no cause for it any more ends a stop by itself.

    Parameters
    ----------
    stop : dict
        {"id", "round": the round that asked for it or ""}.
    round_id : str
        The later round.
    readings : list of dict
        What was read in it.
    """
    if stop["id"] not in STOPS_UNTIL_REPEAT or stop["round"] == "" or stop["round"] == round_id:
        return False
    for reading in readings:
        if reading["parameter"] in READ_AT_POINTS:
            return True
    return False
