"""When a pool is due from what is known of it, and whether its last round still says how it is.

Facts are those of `poolnow`; instants are UTC milliseconds.
"""

from typing import Any

from lanewater.kernel.deciding.due import closed_of, next_due, offset_at
from lanewater.kernel.deciding.retesting import retest_times
from lanewater.kernel.deciding.schedules import schedules_due

FAILED_OVERALL = ("evacuate", "close", "does-not-meet", "does-not-meet-borderline")
DOUBTED_EFFECTS = ("not-judged", "not-believable")
REPEAT_GRACE_MS = 900000
DAY_OF_SECONDS = 86400
MS_A_SECOND = 1000


def overall_of_last(facts: dict[str, Any]) -> str:
    """Give what the rules said of a pool's latest round; "" where there is no round."""
    last = facts["last"]
    if last is None:
        return ""
    if last["verdict"] is None:
        return "not-judged"
    return last["verdict"]["overall"]


def why_repeated(verdict: dict[str, Any]) -> str:
    """Tell why a judgement wants the test done again, "" where it does not.

    Returns
    -------
    str
        changed, doubt, fails, surprise or "".
    """
    if verdict.get("changed_to_pass", False) is True:
        return "changed"
    found = ""
    for row in verdict.get("findings", []):
        if row.get("effect", "") in DOUBTED_EFFECTS:
            return "doubt"
        if row["id"] == "surprising":
            found = "surprise"
    if verdict.get("overall", "") in FAILED_OVERALL:
        return "fails"
    return found


def added_since(facts: dict[str, Any], since: int) -> bool:
    """Tell whether something was, or may have been, added to a pool's filter since an instant."""
    for row in facts["additions"]:
        fits = row["pool"] in facts["mates"] and row["answer"] != "not-added"
        if fits and row["started"] >= since:
            return True
    return False


def why_again(facts: dict[str, Any]) -> str:
    """Tell why a pool's last round is to be done again now, "" where it is not.

    Once something is being added after a round that fails, its own retest takes this one's place.
    """
    last = facts["last"]
    if last is None or last["verdict"] is None:
        return ""
    why = why_repeated(last["verdict"])
    if why == "fails" and added_since(facts, last["at"]):
        return ""
    return why


def due_case(facts: dict[str, Any], now: int) -> dict[str, Any]:
    """Put together what `next_due` asks for."""
    last = facts["last"]
    retests = []
    for instant in retest_times(facts):
        retests.append({"at": instant // MS_A_SECOND, "detail": "addition"})
    taken = None
    if last is not None:
        taken = last["at"] // MS_A_SECOND
        if why_again(facts) != "":
            retests.append({"at": taken, "detail": "repeat"})
    return {
        "now": now // MS_A_SECOND,
        "last": taken,
        "pack": facts["pack"],
        "plan": facts["plan"],
        "retests": retests,
        "events": [],
        "schedules": schedules_due(facts, now // MS_A_SECOND),
        "hours": facts["hours"],
        "offsets": facts["offsets"],
        "closed_days": closed_of(facts),
    }


def due_now(facts: dict[str, Any], now: int) -> dict[str, Any]:
    """Give when a pool's next round is due and why.

    Parameters
    ----------
    facts : dict
        The pool's.
    now : int
        UTC ms.

    Returns
    -------
    dict
        {"at": UTC ms or None, "at_ms": the same, "why", "detail", "every_minutes", "late"}; why as
        `next_due` gives it. A repeat, which is due at once, may take a quarter of an hour.
    """
    found = next_due(due_case(facts, now))
    at = None
    late = False
    if found["at"] is not None:
        at = found["at"] * MS_A_SECOND
        grace = 0
        if found["why"] == "retest" and found["detail"] == "repeat":
            grace = REPEAT_GRACE_MS
        late = at + grace < now
    return {
        "at": at,
        "at_ms": at,
        "why": found["why"],
        "detail": found["detail"],
        "every_minutes": found["every_seconds"] // 60,
        "late": late,
    }


def site_day(offsets: list[dict[str, Any]], instant: int) -> int:
    """Give the site's day at an instant (UTC ms), counted from 1970-01-01."""
    seconds = instant // MS_A_SECOND
    return (seconds + offset_at(offsets, seconds)) // DAY_OF_SECONDS


def round_out_of_date(facts: dict[str, Any], now: int) -> bool:
    """Tell whether a pool's last round no longer says how it is.

    A round is good until the next is due, never longer than the shortest interval that rules or
    plan set, and never into the site's next day.

    Parameters
    ----------
    facts : dict
        The pool's.
    now : int
        UTC ms.
    """
    if facts["last"] is None:
        return True
    return out_of_date_by(facts, due_now(facts, now), now)


def out_of_date_by(facts: dict[str, Any], due: dict[str, Any], now: int) -> bool:
    """Tell the same where it is known already when the next round is due, as `due_now` gives it."""
    last = facts["last"]
    if last is None or due["late"]:
        return True
    for every in [facts["pack"]["every_seconds"], facts["plan"]["every_seconds"]]:
        if every > 0 and now - last["at"] > every * MS_A_SECOND:
            return True
    return site_day(facts["offsets"], last["at"]) != site_day(facts["offsets"], now)
