"""One list of what is due today, for each person: rounds, duties, deadlines and incidents."""

from typing import Any

from lanewater.kernel.deciding.deadlines import deadlines_now
from lanewater.kernel.deciding.duenow import due_now
from lanewater.kernel.deciding.opendays import local_day
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
        }
    ]


def pool_due(facts: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give what is due at a pool: its next round, and what that round does not answer already."""
    found = round_due_row(facts, now)
    at: int | None = None
    if len(found) > 0:
        at = found[0]["due_ms"]
    for row in duties_now(facts, now):
        of_round = row["kind"] == "round" or asks_for_round({"test": row["test"], "duty": ""})
        same = at is not None and abs(row["due_ms"] - at) <= SAME_ROUND_MS
        if not (of_round and same and row["state"] != "missed"):
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
        in the order of time.
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
