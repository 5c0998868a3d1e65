"""Lanes as the Now page gives them, for tests of the handover."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st
from tests.kernel.deciding.deciding_cases import AT

KINDS = (
    "tell",
    "repeat",
    "house-stop",
    "wait",
    "dose-running",
    "advice-unanswered",
    "addition-unknown",
    "retest-first",
    "confirm-opening",
    "devices-disagree",
    "not-judged-yet",
    "of-a-kind-to-come",
)


def lane(pool: str, **more: Any) -> dict[str, Any]:
    """Give one pool's lane with nothing open."""
    return {
        "pool": pool,
        "name": pool.title(),
        "status": "open",
        "since": None,
        "by": "",
        "reason": "",
        "marked": [],
        "lead_why": [],
        "stale": False,
        "due": {"late": False},
        "stops": [],
        "open_actions": [],
        "round": None,
        "verdict": None,
        **more,
    }


def handed(rows: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    """Give the case of a handover."""
    return {
        "now": AT,
        "person": "",
        "listed": 2,
        "rows": rows,
        "rounds": {},
        "acts": [],
        "unsent": 0,
        **more,
    }


@st.composite
def rows(draw: st.DrawFn) -> dict[str, Any]:
    """Draw a lane with anything open; each thing that is open has its own id."""
    pool = draw(st.sampled_from(["a", "b", "c", "d"]))
    kinds = draw(st.lists(st.sampled_from(KINDS), max_size=60))
    actions = [
        {"id": kind, "about": f"{pool}-{number}", **({"pool": pool} if number % 2 else {})}
        for number, kind in enumerate(kinds)
    ]
    stops = [
        {"id": "glass", "entry": action["about"]}
        for action in actions
        if action["id"] == "house-stop"
    ]
    stops += [{"id": "vomit", "entry": f"{pool}-alone"}] * draw(st.integers(0, 1))
    return lane(
        pool,
        status=draw(st.sampled_from(["open", "closed", "shut", "unknown", "everyone-out"])),
        open_actions=actions,
        stops=stops,
        marked=draw(st.lists(st.sampled_from(["not-judged", "by-telephone"]), unique=True)),
        lead_why=draw(
            st.lists(st.sampled_from(["rules-say-close", "house-stop:glass", "doubt"]), unique=True)
        ),
        due={"late": draw(st.booleans())},
    )


ROWS = rows()
