"""Whether a pool may be opened now, and by whom: facts are those of `poolnow`, instants UTC ms."""

from typing import Any

from lanewater.kernel.deciding.duenow import overall_of_last, round_out_of_date
from lanewater.kernel.deciding.reopening import why_not_reopened
from lanewater.kernel.deciding.retesting import water_blocks

ENDS_NOTHING = ("dose-running", "wait")
RULES_SAY_OUT = ("close", "evacuate")
TAKES_A_REASON = ("does-not-meet", "does-not-meet-borderline", "not-judged")
IN_CONFLICT = "devices-disagree"


def why_never(facts: dict[str, Any], now: int) -> list[str]:
    """Give what keeps a pool closed whoever asks; empty where nothing does."""
    found: list[str] = []
    for stop in facts["stops"]:
        found.append("house-stop:" + stop["id"])
    if len(facts["disputes"]) > 0:
        found.append(IN_CONFLICT)
    for row in water_blocks(facts, now):
        if row["id"] in ENDS_NOTHING:
            found.append(row["id"])
    overall = overall_of_last(facts)
    if overall in RULES_SAY_OUT:
        found.append("rules-say-" + overall)
    for row in facts.get("incidents", []):
        found.append("incident:" + row["kind"])
    for why in why_not_reopened(facts, now):
        found.append(why)
    return found


def why_reason(facts: dict[str, Any], now: int) -> list[str]:
    """Give why an opening takes a reason and is marked; empty where it takes none.

    Parameters
    ----------
    facts : dict
        The pool's.
    now : int
        UTC ms.
    """
    return reasons_when(facts, round_out_of_date(facts, now), now)


def reasons_when(facts: dict[str, Any], out_of_date: bool, now: int) -> list[str]:
    """Give the same where it is known already whether the last round is out of date."""
    reasons: list[str] = []
    for row in water_blocks(facts, now):
        if row["id"] not in ENDS_NOTHING and row["id"] not in reasons:
            reasons.append(row["id"])
    overall = overall_of_last(facts)
    if overall in TAKES_A_REASON:
        reasons.append(overall)
    elif overall == "":
        reasons.append("no-round")
    last = facts["last"]
    if last is not None:
        verdict = last["verdict"]
        if verdict is not None and verdict.get("changed_to_pass", False) is True:
            reasons.append("changed-to-pass")
        if last["verified"] is not True:
            reasons.append("round-not-verified")
        if out_of_date:
            reasons.append("round-out-of-date")
    return reasons


def opening_now(facts: dict[str, Any], now: int) -> dict[str, Any]:
    """Tell whether a pool may be opened by somebody who may open pools.

    Parameters
    ----------
    facts : dict
        The pool's.
    now : int
        UTC ms.

    Returns
    -------
    dict
        {"may": "open", "reason" (only with a reason, and marked) or "never", "why": ids}.
    """
    return opening_when(facts, round_out_of_date(facts, now), now)


def opening_when(facts: dict[str, Any], out_of_date: bool, now: int) -> dict[str, Any]:
    """Tell the same where it is known already whether the last round is out of date."""
    never = why_never(facts, now)
    if len(never) > 0:
        return {"may": "never", "why": never}
    reasons = reasons_when(facts, out_of_date, now)
    if len(reasons) > 0:
        return {"may": "reason", "why": reasons}
    return {"may": "open", "why": reasons}


def by_word_alone(word: dict[str, Any]) -> bool:
    """Tell whether a pool was opened on a word by telephone that nobody has confirmed yet."""
    return word["status"] == "open" and word["word_of"] != "" and word["confirmed"] is None


def opens_by_role(person: dict[str, Any]) -> bool:
    """Tell whether the matrix gives the opening of pools to somebody."""
    return person["may"].get("open", "no") == "yes"


def who_opens(authority: dict[str, Any], person: str) -> list[str]:
    """Give the others who may open pools, in the order of the list."""
    found: list[str] = []
    for other in authority["people"]:
        if opens_by_role(other) and other["id"] != person:
            found.append(other["id"])
    return found


def standing_for(pool: str, person: str, authority: dict[str, Any], now: int) -> str:
    """Give the line of a standing authority that covers somebody at a pool now, "" for none."""
    for row in authority["standing"]:
        fits = row["person"] == person and pool in row["pools"]
        if fits and row["from"] <= now < row["until"]:
            return row["entry"]
    return ""


def way_to_open(how: str, standing: str, call: list[str], why: list[str]) -> dict[str, Any]:
    """Write one answer."""
    return {"how": how, "standing": standing, "call": call, "why": why}


def may_open(
    facts: dict[str, Any], person: dict[str, Any], authority: dict[str, Any], now: int
) -> dict[str, Any]:
    """Tell by what right somebody may open a pool, or whom to call.

    A word by telephone and a standing authority hold only where every reading meets and nothing
    stands in the way; they never carry an opening that takes a reason.

    Parameters
    ----------
    facts : dict
        The pool's.
    person : dict
        {"id": "" for nobody on the list, "may": {decision: yes, no or competent}}.
    authority : dict
        {"telephone": whether the site allows it, "standing": [{"entry", "person", "pools", "from",
        "until"}] those that nobody ended, "people": [as person]}.
    now : int
        UTC ms.

    Returns
    -------
    dict
        {"how": own, standing, telephone or nobody, "standing": the line of the authority or "",
        "call": ids of who may open, "why": what stands in the way of this person}. "own" says that
        the role is there; `opening_now` says whether it takes a reason, or may not be.
    """
    opening = opening_now(facts, now)
    call = who_opens(authority, person["id"])
    if opens_by_role(person):
        return way_to_open("own", "", call, opening["why"])
    if opening["may"] != "open":
        return way_to_open("nobody", "", call, opening["why"])
    if person["id"] == "":
        return way_to_open("nobody", "", call, ["not-on-the-list"])
    standing = standing_for(facts["pool"], person["id"], authority, now)
    if standing != "":
        return way_to_open("standing", standing, call, [])
    if authority["telephone"] is True and len(call) > 0:
        return way_to_open("telephone", "", call, [])
    return way_to_open("nobody", "", call, ["role"])
