"""What a lane says beside how it stands: words by telephone, unopened pools, other judgements."""

from __future__ import annotations

from typing import Any

import pytest
from tests.kernel.deciding.facts_cases import MINUTE, NOW, facts, last, row, stop, verdict, word

from lanewater.kernel.deciding import duenow
from lanewater.kernel.deciding.competent import may_be_shown
from lanewater.kernel.deciding.due import next_due
from lanewater.kernel.deciding.duenow import due_now, round_out_of_date
from lanewater.kernel.deciding.mayopen import may_open, opening_now
from lanewater.kernel.deciding.poolnow import pool_now

TESTER = {"id": "p1", "may": {"open": "no"}}
MANAGER = {"id": "p2", "may": {"open": "yes"}}
WELL = {"last": last(1), "tested": {}}


def actions(**more: Any) -> list[str]:
    """Name the open actions of a pool."""
    return [each["id"] for each in pool_now(facts(**more), NOW)["open_actions"]]


def way(who: dict[str, Any], *, telephone: bool = False, ago: int = 0, **more: Any) -> str:
    """Tell how somebody may open a pool."""
    standing = [
        {"entry": "s1", "person": "p1", "pools": ["main"], "from": NOW, "until": NOW + MINUTE}
    ]
    people = [TESTER, MANAGER]
    authority = {"telephone": telephone, "standing": standing if ago else [], "people": people}
    return str(may_open(facts(**{**WELL, **more}), who, authority, NOW + (ago - 1) * MINUTE)["how"])


def test_a_word_by_telephone_is_marked_until_it_is_confirmed() -> None:
    opened = word("open", 30, word_of="p2")
    lane = pool_now(facts(opening=opened), NOW)
    assert lane["marked"] == ["by-telephone"]
    assert "confirm-opening" in actions(opening=opened)
    confirmed = {**opened, "confirmed": NOW}
    assert pool_now(facts(opening=confirmed), NOW)["marked"] == []
    assert "confirm-opening" not in actions(opening=confirmed)


def test_two_rounds_in_one_opening_that_nobody_began_are_told() -> None:
    rounds = [row("a", 30), row("b", 10)]
    assert "opened-without-authority" in actions(rounds=rounds)
    assert "opened-without-authority" not in actions(rounds=rounds[:1])
    assert "opened-without-authority" not in actions(rounds=rounds, opening=word("open"))
    assert "opened-without-authority" not in actions(rounds=rounds, opening=word("closed"))
    assert "opened-without-authority" not in actions(rounds=rounds, hours=None)


def test_a_judgement_that_differs_from_what_was_shown_is_open_to_be_looked_at() -> None:
    other = last(verdict=verdict("does-not-meet", differs_from="meets"))
    assert "judged-otherwise" in actions(last=other)
    assert "judged-otherwise" not in actions()


def test_a_word_by_telephone_opens_only_where_all_is_well_and_the_site_allows_it() -> None:
    assert way(TESTER, telephone=True) == "telephone"
    assert way(TESTER) == "nobody"
    assert way(TESTER, telephone=True, stops=[stop()]) == "nobody"
    assert way(TESTER, telephone=True, last=last(1, verified=False)) == "nobody"
    assert way({"id": "", "may": {}}, telephone=True) == "nobody"
    assert way(MANAGER) == "own"


def test_a_standing_authority_holds_from_its_first_to_before_its_last_instant() -> None:
    assert way(TESTER, ago=1) == "standing"
    assert way(TESTER, ago=2) == "nobody"
    assert way(TESTER, ago=1, last=last(1, verdict=verdict("not-judged"))) == "nobody"


def test_an_amount_is_shown_only_within_the_days_of_a_competence() -> None:
    held = {"substance": "acid", "from": 100, "until": 110}
    person = {"may": {"hand-dose": "competent"}, "hand_dosing": [held]}
    assert [day for day in (99, 100, 110, 111) if may_be_shown(person, "acid", day)] == [100, 110]
    assert not may_be_shown(person, "hypo", 105)
    assert not may_be_shown({**person, "may": {"hand-dose": "no"}}, "acid", 105)


@pytest.mark.parametrize(
    "more",
    [
        {"last": None},
        {"last": last(1)},
        {"last": last(400)},
        {"last": last(1), "stops": [stop("glass", 5)]},
        {"last": last(400), "plan": {"every_seconds": 3600, "before_opening_seconds": 0}},
    ],
)
def test_a_lane_works_out_once_what_is_due_and_says_of_it_what_each_question_alone_does(
    more: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    known = facts(**more)
    asked: list[int] = []

    def counted(case: dict[str, Any]) -> dict[str, Any]:
        asked.append(case["now"])
        return next_due(case)

    with monkeypatch.context() as patch:
        patch.setattr(duenow, "next_due", counted)
        lane = pool_now(known, NOW)
    assert len(asked) == 1
    assert lane["due"] == due_now(known, NOW)
    assert lane["stale"] == round_out_of_date(known, NOW)
    assert lane["opening"] == opening_now(known, NOW)


def test_a_round_that_is_late_is_stale_and_takes_a_reason_to_open_upon() -> None:
    late = facts(last=last(400))
    assert pool_now(late, NOW)["stale"]
    assert "round-out-of-date" in pool_now(late, NOW)["opening"]["why"]
    assert not pool_now(facts(last=last(1)), NOW)["stale"]
