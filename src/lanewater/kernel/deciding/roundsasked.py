"""What asks for the standard round by itself: interval, plan, and that the pool was opened."""

from typing import Any

from lanewater.kernel.deciding.opendays import day_begins, local_day
from lanewater.kernel.deciding.readtimes import any_between, when_read
from lanewater.kernel.deciding.windowsdue import SECOND_OF_WINDOW_MS, opened_at

OPENED_UNTESTED = "opened-before-test"
# A round of the same night counts where a pool opens soon after midnight. JUDG.
OPENED_AFTER_SECONDS = 21600


def clause_of_opening(facts: dict[str, Any]) -> str:
    """Give the clause that asks for a test before opening, "" where none does."""
    for schedule in facts["schedules"]:
        if schedule["of"] == "rules" and schedule["form"] == "before-opening":
            clause: str = schedule["clause"]
            return clause
    return ""


def opened_untested(facts: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give that a pool was opened today before any round of the day, where it was so. [UTC s]"""
    since = opened_at(facts)
    offsets = facts["offsets"]
    if since is None or since > now or local_day(offsets, since) != local_day(offsets, now):
        return []
    start = min(day_begins(offsets, local_day(offsets, since)), since - OPENED_AFTER_SECONDS)
    if any_between(when_read(facts, "round", "hand"), start, since):
        return []
    return [
        {
            "id": OPENED_UNTESTED,
            "of": "rules",
            "kind": OPENED_UNTESTED,
            "test": ["round"],
            "pool": facts["pool"],
            "words": "",
            "clause": clause_of_opening(facts),
            "from_ms": start * SECOND_OF_WINDOW_MS,
            "due_ms": facts["opening"]["since"],
            "state": "missed",
            "why": facts["opening"]["entry"],
            "roles": [],
        }
    ]


def opened_untested_now(facts: dict[str, Any], now_ms: int) -> list[dict[str, Any]]:
    """Give the same for a lane; nothing where it is not known when what was read. [UTC ms]"""
    if "schedules" not in facts:
        return []
    return opened_untested(facts, now_ms // SECOND_OF_WINDOW_MS)


def own_schedule(identity: str, form: str, seconds: int, clause: str) -> dict[str, Any]:
    """Give the rules' or the plan's interval of the standard round as a schedule."""
    return {
        "id": identity,
        "of": "site" if clause == "" else "rules",
        "kind": "round",
        "duty": "",
        "test": ["round"],
        "words": "",
        "clause": clause,
        "roles": [],
        "form": form,
        "seconds": seconds,
        "count": 0,
        "unit": "",
        "at": [],
        "clock": [],
        "after": [],
        "by": "hand",
        "spacing_days": 0,
        "grace_seconds": 0,
        "while_closed": False,
        "from_day": None,
        "when": [],
    }


def round_schedules(facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Give what asks for the standard round: the rules' interval and the site's own plan."""
    found = []
    pack = facts["pack"]
    plan = facts["plan"]
    if pack["every_seconds"] > 0:
        detail = pack["detail"]
        found.append(own_schedule("rules:interval", "every", pack["every_seconds"], detail))
    if plan["every_seconds"] > 0:
        found.append(own_schedule("site:interval", "every", plan["every_seconds"], ""))
    if plan["before_opening_seconds"] > 0 and facts["hours"] is not None:
        before = plan["before_opening_seconds"]
        found.append(own_schedule("site:before-opening", "before-opening", before, ""))
    return found
