"""What the rules want done by when, once something happened: told, cleaned, tested, sent in.

An event is {"about": the entry, "pool", "on": words that rules name it by, "at", "actions": further
actions of broken rules}; instants are UTC milliseconds. Nothing here decides whether to notify: it
names the rule and the time.
"""

from typing import Any

SOON_MS = 21600000
MS_OF_SECOND = 1000
RULE_WORD = "rule:"
THEN_WORD = "then:"
TO_AUTHORITY = "authority"


def broken_rules(verdict: dict[str, Any] | None) -> list[str]:
    """Give the rules that a judged round broke."""
    found: list[str] = []
    if verdict is None:
        return found
    for action in verdict.get("actions", []):
        if action["rule"] not in found:
            found.append(action["rule"])
    return found


def actions_with_time(verdict: dict[str, Any], rules: list[str]) -> list[dict[str, Any]]:
    """Give what some broken rules ask for by a time, or to be told to somebody."""
    found = []
    for action in verdict.get("actions", []):
        timed = action.get("within_seconds", 0) > 0 or action.get("to", "") != ""
        if timed and action["rule"] in rules:
            row = {}
            for key in ["rule", "clause", "do"]:
                row[key] = action[key]
            row["within_seconds"] = action.get("within_seconds", 0)
            row["to"] = action.get("to", "")
            found.append(row)
    return found


def event_of_round(
    given: dict[str, Any], pool: str, broken_before: list[str]
) -> dict[str, Any] | None:
    """Give the event that a judged round is, None where it broke nothing new.

    A rule that the round before it broke as well is no new event: its time is running.

    Parameters
    ----------
    given : dict
        {"id", "at": UTC ms, "verdict": as told, or None}.
    pool : str
        The pool's id.
    broken_before : list of str
        The rules that the pool's judged round before it broke.
    """
    verdict = given["verdict"]
    fresh: list[str] = []
    on: list[str] = []
    for rule in broken_rules(verdict):
        if rule not in broken_before:
            fresh.append(rule)
            on.append(RULE_WORD + rule)
    if len(fresh) == 0:
        return None
    actions = actions_with_time(verdict, fresh)
    return {"about": given["id"], "pool": pool, "on": on, "at": given["at"], "actions": actions}


def named_start(rule: dict[str, Any], event: dict[str, Any]) -> str:
    """Find the word of an event that a deadline runs from, nothing where it runs from none."""
    first: str = rule["on"]
    if first in event["on"]:
        return first
    others: list[str] = rule.get("or_on", [])
    for word in others:
        if word in event["on"]:
            return word
    return ""


def asks_for_time(event: dict[str, Any], rules: list[dict[str, Any]]) -> bool:
    """Tell whether some deadline runs from an event; only such events are carried."""
    if len(event["actions"]) > 0:
        return True
    for rule in rules:
        if named_start(rule, event) != "":
            return True
    return False


def rules_of_event(event: dict[str, Any], rules: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the deadlines that an event starts, in the rules' own order, its actions last."""
    found = []
    for rule in rules:
        if named_start(rule, event) != "":
            found.append(rule)
    named: list[str] = []
    for action in event["actions"]:
        identity: str = THEN_WORD + action["rule"]
        while identity in named:
            identity = identity + "+"
        named.append(identity)
        found.append(
            {
                "id": identity,
                "on": RULE_WORD + action["rule"],
                "clause": action["clause"],
                "words": action["do"],
                "within_seconds": action["within_seconds"],
                "to": action["to"],
                "after": "",
            }
        )
    return found


def said_done(
    event: dict[str, Any], rule: dict[str, Any], done: list[dict[str, Any]]
) -> dict[str, Any] | None:
    """Find the first line that says that a deadline was met, None where there is none.

    That an authority was told, without saying of which deadline, counts for the first telling.
    """
    found: dict[str, Any] | None = None
    for row in done:
        named: str = row["deadline"]
        plain = named == "" and rule["to"] == TO_AUTHORITY and rule["after"] == ""
        fits = row["about"] == event["about"] and (named == rule["id"] or plain)
        if fits and (found is None or row["at"] < found["at"]):
            found = row
    return found


def started_at(
    event: dict[str, Any],
    rule: dict[str, Any],
    rules: list[dict[str, Any]],
    done: list[dict[str, Any]],
) -> int | None:
    """Give since when a deadline runs, None while what it comes after is not done. [UTC ms]"""
    if rule["after"] == "":
        return event["at"]
    for other in rules:
        if other["id"] == rule["after"]:
            met = said_done(event, other, done)
            if met is not None:
                return met["at"]
    return None


def state_of_deadline(due: int | None, since: int | None, met: bool, now: int) -> str:
    """Tell how a deadline stands; one without a time is due at once."""
    if met:
        return "met"
    if since is None:
        return "waits"
    if due is None:
        return "due"
    if now > due:
        return "overdue"
    if due - now <= SOON_MS:
        return "due"
    return "ahead"


def deadline_row(
    event: dict[str, Any],
    rule: dict[str, Any],
    rules: list[dict[str, Any]],
    done: list[dict[str, Any]],
    now: int,
) -> dict[str, Any]:
    """Give one deadline of one event as it stands now."""
    since = started_at(event, rule, rules, done)
    met = said_done(event, rule, done)
    due = None
    if since is not None and rule["within_seconds"] > 0:
        due = since + rule["within_seconds"] * MS_OF_SECOND
    return {
        "about": event["about"],
        "pool": event["pool"],
        "on": named_start(rule, event),
        "id": rule["id"],
        "clause": rule["clause"],
        "words": rule["words"],
        "to": rule["to"],
        "after": rule["after"],
        "since": since,
        "due_at": due,
        "state": state_of_deadline(due, since, met is not None, now),
        "met_at": None if met is None else met["at"],
        "met_by": "" if met is None else met["by"],
        "late": met is not None and due is not None and met["at"] > due,
    }


def due_before(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell which of two deadlines is told first: what runs before what waits, then by time."""
    if one["due_at"] is None or other["due_at"] is None:
        return one["due_at"] is not None and other["due_at"] is None
    return one["due_at"] < other["due_at"]


def deadlines_now(facts: dict[str, Any], pack: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give every deadline that runs, waits or was met, by its time.

    Parameters
    ----------
    facts : dict
        {"deadline_events", "deadlines_met": [{"about", "deadline", "at", "by"}]} of a pool.
    pack : dict
        {"deadlines": [{"id", "on", "clause", "words", "within_seconds", "to", "after"}]}.
    now : int
        UTC ms.

    Returns
    -------
    list of dict
        {"about", "pool", "on", "id", "clause", "words", "to", "after", "since", "due_at", "state":
        ahead, due, overdue, met or waits (for the deadline named in `after`), "met_at", "met_by",
        "late": it was met after its time}; instants are None where there is none.
    """
    found: list[dict[str, Any]] = []
    for event in facts.get("deadline_events", []):
        rules = rules_of_event(event, pack["deadlines"])
        for rule in rules:
            row = deadline_row(event, rule, rules, facts.get("deadlines_met", []), now)
            placed = []
            put = False
            for other in found:
                if not put and due_before(row, other):
                    placed.append(row)
                    put = True
                placed.append(other)
            if not put:
                placed.append(row)
            found = placed
    return found
