"""One list of what is due today, for each person: rounds, duties, deadlines and incidents."""

from typing import Any

from lanewater.kernel.deciding.deadlines import deadlines_now
from lanewater.kernel.deciding.due import MINUTE
from lanewater.kernel.deciding.duenow import due_now
from lanewater.kernel.deciding.opendays import local_day
from lanewater.kernel.deciding.roundsasked import OPENED_UNTESTED
from lanewater.kernel.deciding.schedules import (
    asks_for_round,
    duties_now,
    placed_in_time,
)

SAME_ROUND_MS = 900000
SECOND_OF_MS = 1000


def round_due_row(facts: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give when a pool's next round is due, as a row of the list; none where nothing asks."""
    due = due_now(facts, now)
    if due["at"] is None:
        return []
    state = "ahead"
    if due["late"]:
        state = "overdue"
    elif due["at"] - SAME_ROUND_MS <= now:
        state = "due"
    return [
        {
            "id": "round",
            "of": "rules" if due["why"] in ("pack-interval", "schedule") else "site",
            "kind": "round",
            "test": ["round"],
            "pool": facts["pool"],
            "words": "",
            "clause": due["detail"] if due["why"] in ("pack-interval", "schedule") else "",
            "from_ms": due["at"] - SAME_ROUND_MS,
            "due_ms": due["at"],
            "state": state,
            "why": due["why"],
            "roles": [],
            "reasons": [
                {
                    "why": due["why"],
                    "detail": due["detail"],
                    "every_minutes": due["every_minutes"],
                }
            ],
        }
    ]


def reason_of(facts: dict[str, Any], row: dict[str, Any]) -> dict[str, Any]:
    """Give why a round is asked for, in the words of `next_due`."""
    why = "schedule"
    every = 0
    detail = row["clause"] + ": " + row["words"]
    if row["id"] == "rules:interval":
        why = "pack-interval"
        detail = row["clause"]
    elif row["id"] == "site:interval":
        why = "plan-interval"
        every = facts["plan"]["every_seconds"]
        detail = ""
    elif row["id"] == "site:before-opening":
        why = "before-opening"
        detail = ""
    return {"why": why, "detail": detail, "every_minutes": every // MINUTE}


def is_of_round(row: dict[str, Any]) -> bool:
    """Tell whether a row asks for what a round reads."""
    return row["kind"] == "round" or asks_for_round({"test": row["test"], "duty": ""})


def with_reason(row: dict[str, Any], reason: dict[str, Any]) -> dict[str, Any]:
    """Give a row with one more reason, once."""
    found = {}
    for key, value in row.items():
        found[key] = value
    reasons = []
    for known in row["reasons"]:
        if known["why"] == reason["why"] and known["detail"] == reason["detail"]:
            return row
        reasons.append(known)
    reasons.append(reason)
    found["reasons"] = reasons
    return found


def are_owed(row: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell whether one of two rows is overdue and the time of the other has begun as well."""
    states = [row["state"], other["state"]]
    return "overdue" in states and "missed" not in states and "ahead" not in states


def is_same_round(row: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell whether one round answers two rows: near in time, or both owed by now."""
    near = abs(other["due_ms"] - row["due_ms"]) <= SAME_ROUND_MS
    alike = (other["state"] == "missed") == (row["state"] == "missed")
    return (near and alike) or are_owed(row, other)


def owed_since(row: dict[str, Any], other: dict[str, Any]) -> dict[str, Any]:
    """Give a row that is owed since the earlier of two, where both are owed by now."""
    found = {}
    for key, value in row.items():
        found[key] = value
    if are_owed(row, other):
        found["state"] = "overdue"
        found["from_ms"] = min(row["from_ms"], other["from_ms"])
        found["due_ms"] = min(row["due_ms"], other["due_ms"])
    return found


def joined_round(
    rows: list[dict[str, Any]], row: dict[str, Any], reason: dict[str, Any]
) -> list[dict[str, Any]]:
    """Put a row that asks for a round; where one asks for the same, that one gets its reason."""
    found: list[dict[str, Any]] = []
    joined = False
    for other in rows:
        if not joined and len(other["reasons"]) > 0 and is_same_round(row, other):
            joined = True
            found = placed_in_time(found, owed_since(with_reason(other, reason), row))
        else:
            found.append(other)
    if joined:
        return found
    return placed_in_time(found, with_reason(row, reason))


def pool_due(facts: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give what is due at a pool; what asks for the same round is one row with all its reasons."""
    found = round_due_row(facts, now)
    for row in duties_now(facts, now):
        row["reasons"] = []
        if is_of_round(row) and row["kind"] != OPENED_UNTESTED:
            found = joined_round(found, row, reason_of(facts, row))
        else:
            found = placed_in_time(found, row)
    return found


def incident_rows(facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the open incidents of a pool, each at the pool where it was started."""
    found = []
    for row in facts.get("incidents", []):
        if row["pool"] == facts["pool"]:
            found.append(
                {
                    "id": "incident:" + row["incident"],
                    "of": "incident",
                    "kind": row["kind"],
                    "test": [],
                    "pool": row["pool"],
                    "words": "",
                    "clause": "",
                    "from_ms": row["at"],
                    "due_ms": row["at"],
                    "state": "due",
                    "why": row["incident"],
                    "roles": [],
                    "reasons": [],
                }
            )
    return found


def deadline_due_rows(facts: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give the deadlines of a pool that run: who is to be notified, and until when."""
    found = []
    pack = {"deadlines": facts.get("deadline_rules", [])}
    for row in deadlines_now(facts, pack, now):
        if row["state"] in ("ahead", "due", "overdue"):
            due: int = row["since"] if row["due_at"] is None else row["due_at"]
            found.append(
                {
                    "id": "deadline:" + row["id"],
                    "of": "rules",
                    "kind": "deadline",
                    "test": [],
                    "pool": facts["pool"],
                    "words": row["words"],
                    "clause": row["clause"],
                    "from_ms": row["since"],
                    "due_ms": due,
                    "state": row["state"],
                    "why": row["about"],
                    "roles": [],
                    "reasons": [],
                }
            )
    return found


def is_for(row: dict[str, Any], roles: list[str]) -> bool:
    """Tell whether somebody with some roles is asked; a row of no role is everybody's."""
    if len(row["roles"]) == 0:
        return True
    for role in roles:
        if role in row["roles"]:
            return True
    return False


def part_of_list(facts: dict[str, Any], row: dict[str, Any], roles: list[str], now: int) -> str:
    """Tell where a row stands in the list: mine, others or later."""
    today = local_day(facts["offsets"], now // SECOND_OF_MS)
    day = local_day(facts["offsets"], row["due_ms"] // SECOND_OF_MS)
    if row["state"] == "ahead" and day > today:
        return "later"
    return "mine" if is_for(row, roles) else "others"


def due_list(places: list[dict[str, Any]], roles: list[str], now: int) -> dict[str, Any]:
    """Give one list of what is due at a site, for somebody.

    Parameters
    ----------
    places : list of dict
        The facts of every pool, and those of the site itself ("pool" is "").
    roles : list of str
        The person's; none for somebody who is not on the list.
    now : int
        UTC ms.

    Returns
    -------
    dict
        {"mine", "others": what other roles are asked for, "later": what is due after today}, each
        in the order of time; rows as `duties_now` gives them with "reasons": [{"why", "detail",
        "every_minutes"}], why a round is asked for in the words of `next_due`.
    """
    found: dict[str, Any] = {"mine": [], "others": [], "later": []}
    for facts in places:
        rows = pool_due(facts, now)
        for row in incident_rows(facts):
            rows.append(row)
        for row in deadline_due_rows(facts, now):
            rows.append(row)
        for row in rows:
            part = part_of_list(facts, row, roles, now)
            found[part] = placed_in_time(found[part], row)
    return found
