"""Closing for cause, by order and by oneself; lifting, reopening, deadlines: people, on record."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import GOOD, Baths
from tests.offline_tablet import OfflineTablet
from tests.service.closing_cases import APPROVED, AT_LEAST_TWO, CHAIN, GRATES, with_rows

from lanewater.kernel.deciding.poolnow import pool_now
from lanewater.service.actor import ANYBODY
from lanewater.service.closures import keep_met, keep_notice, keep_notified, lift_closure
from lanewater.service.now import lane
from lanewater.service.opening import close_pool, open_pool, opening_answer, told
from lanewater.service.permission import NotAllowedError
from lanewater.service.pool_facts import lane_facts
from lanewater.service.record import lines
from lanewater.service.rounds import record_round
from lanewater.terms.errors import InputError, RefusedError

ORDER = {"by_order": True, "authority": "Harbour health office", "reference": "HO-17"}
DAY = 24 * 60


def close(baths: Baths, pool: str = "main", **more: Any) -> str:
    """Let the duty manager close a pool for cause."""
    given = {"pool": pool, "kind": "closed", "reason": "Low chlorine"} | more
    return str(close_pool(baths.book, baths.who("manager"), given)["entry"])


def lift(baths: Baths, closure: str, **more: Any) -> None:
    """Let the duty manager keep that the authority lifted its order."""
    given = {"pool": "main", "closure": closure, "authority": "Inspector Ida Inspekt"} | more
    lift_closure(baths.book, baths.who("manager"), given)


def now(baths: Baths, pool: str = "main") -> dict[str, Any]:
    """Give a pool's lane."""
    return lane(baths.book, pool, baths.now_ms)


def answer(baths: Baths, pool: str = "main") -> dict[str, Any]:
    """Tell whether a pool may be opened."""
    return opening_answer(baths.book, pool, baths.now_ms)


def open_main(baths: Baths, **more: Any) -> None:
    """Let the duty manager open Main."""
    open_pool(baths.book, baths.who("manager"), {"pool": "main"} | more)


def test_an_own_closure_keeps_what_it_was_for(baths: Baths) -> None:
    entry = close(baths, clause="s. 17", scope="pool")
    row = now(baths)["closures"][0]
    assert (row["entry"], row["clause"], row["reason"]) == (entry, "s. 17", "Low chlorine")
    assert not row["by_order"]
    told(baths.book, ANYBODY, {"pool": "main", "about": entry, "whom": "p-area"})
    keep_notice(baths.book, ANYBODY, {"pool": "main", "about": entry, "languages": ["en", "fr"]})
    row = now(baths)["closures"][0]
    assert row["told"]
    assert row["notice"] is not None


@pytest.mark.parametrize(("scope", "pools"), [("pool", 1), ("circuit", 2), ("site", 3)])
def test_one_word_closes_every_pool_of_its_scope_and_each_is_on_record(
    baths: Baths, scope: str, pools: int
) -> None:
    given = {"pool": "teaching", "kind": "closed", "reason": "Stool", "scope": scope}
    found = close_pool(baths.book, baths.who("manager"), given)["closed"]
    assert found[0]["pool"] == "teaching"
    assert len({row["entry"] for row in found}) == pools
    closed = {pool for pool, word in baths.book.state.openings.items() if word.status == "closed"}
    assert closed == {row["pool"] for row in found}


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"by_order": True}, "authority"),
        ({"authority": "Health office"}, "authority"),
        ({"reference": "HO-17"}, "reference"),
        ({"kind": "shut", "clause": "s. 17"}, "clause"),
        ({"scope": "street"}, "scope"),
    ],
)
def test_a_closing_says_all_of_it_or_nothing(
    baths: Baths, given: dict[str, Any], field: str
) -> None:
    with pytest.raises(InputError, match=field):
        close(baths, **given)


def test_an_ordered_closure_is_opened_by_nobody_until_it_is_lifted(baths: Baths) -> None:
    closure = close(baths, **ORDER)
    baths.wait(1)
    baths.round()
    assert answer(baths) == {"may": "never", "why": ["closed-by-order"]}
    with pytest.raises(RefusedError, match="closed-by-order"):
        open_main(baths, reason="It meets again")
    lift(baths, closure, reference="HO-17/2")
    assert answer(baths)["may"] == "open"
    assert baths.book.state.openings["main"].status == "closed"
    row = now(baths)["closures"][0]
    assert (row["lifted_by"], row["lifted_authority"]) == ("p-manager", "Inspector Ida Inspekt")
    # Quebec's own row: that its chapter II is met again is for a person to say.
    with pytest.raises(InputError, match="chapter-two-met"):
        open_main(baths)
    open_main(baths, confirmed=["chapter-two-met"])
    assert now(baths)["closures"] == []


def test_shutting_for_the_hours_or_calling_out_does_not_lift_an_order(baths: Baths) -> None:
    close(baths, **ORDER)
    close_pool(baths.book, baths.who("manager"), {"pool": "main", "kind": "shut"})
    baths.round()
    assert "closed-by-order" in answer(baths)["why"]


@pytest.mark.parametrize("name", ["tester", "operator"])
def test_only_who_may_open_keeps_that_an_order_was_lifted(baths: Baths, name: str) -> None:
    closure = close(baths, **ORDER)
    given = {"pool": "main", "closure": closure, "authority": "Inspector"}
    with pytest.raises(NotAllowedError):
        lift_closure(baths.book, baths.who(name), given)
    baths.round()
    assert answer(baths)["why"] == ["closed-by-order"]


def test_nothing_is_lifted_that_is_no_order_or_twice(baths: Baths) -> None:
    own = close(baths)
    with pytest.raises(RefusedError, match="no such order"):
        lift(baths, own)
    order = close(baths, **ORDER)
    lift(baths, order)
    with pytest.raises(RefusedError, match="already"):
        lift(baths, order)


def test_a_tablet_s_opening_that_knew_of_no_order_does_not_end_it(baths: Baths) -> None:
    tablet = OfflineTablet(baths.book, "Poolside").enrol()
    baths.round()
    close(baths, **ORDER)
    tablet.write("pool-opened", {"pool": "main"}, user="p-manager", pin=True)
    assert "closed-by-order" in answer(baths)["why"]
    assert [row["by_order"] for row in now(baths)["closures"]] == [True]


def test_an_own_closure_is_never_locked_behind_an_approval(baths: Baths) -> None:
    with_rows(baths, APPROVED)
    close(baths)
    baths.wait(1)
    baths.round()
    row = now(baths)["reopening"][0]
    assert (row["kind"], row["binds"], row["why"]) == ("approval", False, "own-closure")
    open_main(baths)


def test_an_ordered_closure_waits_for_the_approval(baths: Baths) -> None:
    with_rows(baths, APPROVED)
    closure = close(baths, **ORDER)
    baths.round()
    row = now(baths)["reopening"][0]
    assert (row["binds"], row["met"], row["why"]) == (True, "no", "not-lifted")
    assert answer(baths)["why"] == ["closed-by-order", "reopening:approval"]
    lift(baths, closure)
    assert now(baths)["reopening"][0]["met"] == "yes"
    open_main(baths)


def test_a_condition_that_nobody_read_since_the_closing_is_not_met(baths: Baths) -> None:
    with_rows(baths, AT_LEAST_TWO)
    baths.round(free_chlorine="2.00", total_chlorine="2.10")
    baths.wait(1)
    close(baths)
    row = now(baths)["reopening"][0]
    assert (row["met"], row["why"]) == ("not-known", "not-read-since")
    assert answer(baths) == {"may": "never", "why": ["reopening:free-two"]}
    baths.wait(1)
    baths.round()
    row = now(baths)["reopening"][0]
    assert (row["met"], row["why"], row["value"], row["clause"]) == (
        "no",
        "not-met",
        "1.52",
        "s. 18",
    )
    with pytest.raises(RefusedError, match="reopening:free-two"):
        open_main(baths, reason="It meets")
    baths.wait(1)
    baths.round(free_chlorine="2.00", total_chlorine="2.10")
    assert now(baths)["reopening"][0]["met"] == "yes"
    open_main(baths)
    assert baths.book.state.openings["main"].status == "open"
    assert now(baths)["reopening"] == []


def test_a_pool_that_is_not_closed_for_cause_is_held_to_no_reopening(baths: Baths) -> None:
    with_rows(baths, AT_LEAST_TWO, GRATES)
    close_pool(baths.book, baths.who("manager"), {"pool": "main", "kind": "shut"})
    baths.round()
    assert now(baths)["reopening"] == []
    open_main(baths)


def test_what_a_person_has_to_see_to_is_said_by_who_opens_and_kept(baths: Baths) -> None:
    with_rows(baths, GRATES)
    close(baths)
    baths.wait(1)
    baths.round()
    with pytest.raises(InputError, match="grates"):
        open_main(baths)
    with pytest.raises(InputError, match="grates"):
        open_main(baths, confirmed=["something-else"])
    open_main(baths, confirmed=["grates"])
    line = [row for row in lines_of(baths) if row["type"] == "pool-opened"][-1]
    assert line["body"]["criteria"] == ["grates"]


def lines_of(baths: Baths) -> list[dict[str, Any]]:
    """Give the record's lines."""
    return lines(baths.book, limit=200)


def test_a_chain_of_deadlines_runs_as_each_is_met(baths: Baths) -> None:
    with_rows(baths, deadlines=CHAIN)
    began = baths.now_ms
    closure = close(baths)

    def states() -> dict[str, str]:
        return {row["id"]: row["state"] for row in now(baths)["deadlines"]}

    assert states() == {
        "notify": "ahead",
        "clean": "ahead",
        "resample": "waits",
        "submit": "waits",
    }
    baths.wait(DAY - 60)
    assert states()["notify"] == "due"
    baths.wait(61)
    assert states()["notify"] == "overdue"
    keep_notified(
        baths.book, ANYBODY, {"pool": "main", "about": closure, "authority": "Health office"}
    )
    row = next(row for row in now(baths)["deadlines"] if row["id"] == "notify")
    assert (row["state"], row["late"]) == ("met", True)
    keep_met(baths.book, ANYBODY, {"pool": "main", "about": closure, "deadline": "clean"})
    due = {row["id"]: row["due_at"] for row in raw_deadlines(baths)}
    assert due["clean"] == began + 3 * DAY * 60_000
    assert due["resample"] == baths.now_ms + DAY * 60_000
    assert due["submit"] is None


def raw_deadlines(baths: Baths) -> list[dict[str, Any]]:
    """Give a pool's deadlines with instants as numbers."""
    facts = lane_facts(baths.book, baths.book.state, "main", baths.now_ms)
    return list(pool_now(facts, baths.now_ms)["deadlines"])


def test_a_deadline_runs_on_after_the_pool_is_open_again(baths: Baths) -> None:
    with_rows(baths, deadlines=CHAIN)
    close(baths)
    baths.wait(1)
    baths.round()
    open_main(baths)
    assert now(baths)["closures"] == []
    assert [row["id"] for row in now(baths)["deadlines"]][:2] == ["notify", "clean"]


def test_one_chain_may_run_from_several_things(baths: Baths) -> None:
    several = CHAIN[0] | {"on": "diarrhoea", "or_on": ["closure"]}
    with_rows(baths, deadlines=[several])
    close(baths)
    assert [row["id"] for row in now(baths)["deadlines"]] == ["notify"]


def test_a_failing_laboratory_result_closes_until_another_one_is_there(baths: Baths) -> None:
    def sample(value: str) -> None:
        given = {
            "pool": "main",
            "purpose": "sample",
            "readings": [{"parameter": "e_coli", "value": value, "unit": "per 100 mL"}],
        }
        record_round(baths.book, baths.who("tester"), given)

    plain = baths.book.load

    def load(identity: str) -> dict[str, Any]:
        pack = dict(plain(identity))
        rules = [
            dict(row) | {"level": "close"} if row["parameter"] == "e_coli" else row
            for row in pack["rules"]
        ]
        return pack | {"rules": rules}

    baths.book.load = load  # type: ignore[method-assign]  # other rules in the place of those held
    baths.round()
    open_main(baths)
    sample("40")
    assert now(baths)["lead"] == "everyone-out"
    assert now(baths)["samples"][0]["value"] == "40"
    assert answer(baths)["why"] == ["sample-says-close"]
    baths.wait(10)
    # Another round's chemistry, however good, says nothing of what the laboratory found.
    baths.round()
    assert answer(baths)["why"] == ["sample-says-close"]
    record_round(
        baths.book,
        baths.who("tester"),
        {"pool": "main", "purpose": "sample", "readings": [{"parameter": "nitrate", "value": "9"}]},
    )
    assert answer(baths)["why"] == ["sample-says-close"]
    baths.wait(10)
    sample("<1")
    assert answer(baths)["may"] == "open"


def test_quebecs_second_failing_sample_closes_and_the_first_does_not(baths: Baths) -> None:
    def sample(value: str) -> dict[str, Any]:
        baths.wait(24 * 60)
        readings = [{"parameter": "e_coli", "value": value}]
        given = {"pool": "main", "purpose": "sample", "readings": readings}
        return record_round(baths.book, baths.who("tester"), given)

    first = sample("12")
    assert first["verdict"]["overall"] == "does-not-meet"
    baths.round()
    assert answer(baths)["may"] == "open"
    second = sample("3")
    assert second["verdict"]["overall"] == "evacuate"
    baths.round()
    assert answer(baths)["why"] == ["sample-says-evacuate"]
    close(baths, round=second["round"], clause="s.17(1)", reason="Laboratory result")
    assert now(baths)["closures"][0]["of_sample"]
    assert sample("<1")["verdict"]["overall"] == "meets"
    baths.round()
    assert answer(baths)["may"] == "open"
    with pytest.raises(InputError, match="chapter-two-met"):
        open_main(baths)


def test_a_sample_that_meets_makes_no_opening_meet(baths: Baths) -> None:
    given = {"pool": "main", "purpose": "sample", "readings": [dict(READ) for READ in whole()]}
    record_round(baths.book, baths.who("tester"), given)
    assert answer(baths)["why"][0] == "no-round"


def whole() -> list[dict[str, str]]:
    """Give the readings of a good round."""
    return [{"parameter": key, "value": value} for key, value in GOOD.items()]
