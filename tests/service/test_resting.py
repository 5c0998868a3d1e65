"""A long record opens from a resting point with the state that the whole of it gives."""

from __future__ import annotations

import json
from random import Random

import pytest
from sqlalchemy import select, update
from tests.baths import GOOD, Baths
from tests.service.fold.held_cases import differences

from lanewater.records.store.schema import resting as table
from lanewater.service import folded, resting
from lanewater.service.actor import SHELL
from lanewater.service.additions import answer_addition, start_addition
from lanewater.service.book import Book
from lanewater.service.fold import letting_go
from lanewater.service.fold.draft import Draft
from lanewater.service.fold.letting_go import Held
from lanewater.service.judging import judging_case, readings_of
from lanewater.service.opening import close_pool, end_house_stop, everyone_out
from lanewater.service.past import as_of, with_round
from lanewater.service.past_rounds import one_round, rounds
from lanewater.service.record import lines
from lanewater.service.rounds import correct_reading, record_round
from lanewater.service.trends import pool_trends
from lanewater.terms.errors import LanewaterError

SMALL = Held(rounds=5, amounts=2, words=6, told=3, every=4)
DAY_MINUTES = 24 * 60


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the state hold little, and rest often."""
    monkeypatch.setattr(letting_go, "HELD", SMALL)
    monkeypatch.setattr(folded, "REST_EVERY", 9)


def live(baths: Baths, seed: int, steps: int) -> list[str]:
    """Do what is done at a pool, drawn; give the rounds."""
    rng, made = Random(seed), []  # noqa: S311 - a drawn history
    for _ in range(steps):
        baths.wait(rng.randrange(20, 300))
        pool = rng.choice(("main", "main", "teaching", "plunge"))
        try:
            made += act(baths, rng, pool, made)
        except LanewaterError:
            continue
    return made


def act(baths: Baths, rng: Random, pool: str, made: list[str]) -> list[str]:
    """Do one thing."""
    draw = rng.random()
    if draw < 0.6:
        changes = {"free_chlorine": "0.00", "total_chlorine": "0.10"} if rng.random() < 0.1 else {}
        if rng.random() < 0.3:
            return [baths.retest(pool)["round"]]
        return [baths.round(pool, **changes)["round"]]
    if draw < 0.7 and made:
        value = f"7.{rng.randrange(20, 60)}"
        change = {"round": rng.choice(made), "parameter": "ph", "value": value, "reason": "slip"}
        correct_reading(baths.book, SHELL, change)
    elif draw < 0.8:
        operator = baths.who("operator")
        given = {"pool": pool, "product": "hypo"}
        started = start_addition(baths.book, operator, given)
        answer = {"addition": started["addition"], "answer": rng.choice(("added", "unknown"))}
        answer_addition(baths.book, operator, answer)
    elif draw < 0.86:
        everyone_out(baths.book, baths.who("tester"), {"pool": pool, "stop": "stool"})
    elif draw < 0.93:
        end_house_stop(baths.book, baths.who("manager"), {"pool": pool, "reason": "cleaned"})
    else:
        close_pool(baths.book, baths.who("manager"), {"pool": pool, "kind": "shut"})
    return []


def whole_draft(book: Book, monkeypatch: pytest.MonkeyPatch) -> Draft:
    """Fold the whole record and let nothing go."""
    with monkeypatch.context() as patch:
        patch.setattr(letting_go, "HELD", Held(10**9, 10**9, 10**9, 10**9, 1))
        patch.setattr(folded, "resume", lambda *_: None)
        book.folded.forget()
        book.refresh()
        found = book.draft
    book.folded.forget()
    return found


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("seed", range(3))
def test_what_is_resumed_is_what_the_whole_record_gives(
    baths: Baths, monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    live(baths, seed, 40)
    resumed = baths.reopened()
    assert resumed.folded.rested > 0
    held = resumed.draft
    whole = whole_draft(resumed, monkeypatch)
    assert differences(whole, held, baths.now_ms, SMALL) == []
    assert resumed.draft is not held
    assert resumed.state.index == whole.index


@pytest.mark.usefixtures("small")
def test_older_rounds_are_read_corrected_and_judged_as_ever(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = baths.round("main", ph="7.41")["round"]
    made = [first, *(baths_round(baths) for _ in range(14))]
    book = baths.reopened()
    assert book.state.round_by_id(first) is None
    assert one_round(book, first)["verdict"]["overall"] == "meets"
    assert [row["id"] for row in rounds(book, pool="main")] == made
    assert [row["id"] for row in rounds(book, pool="main", limit=3)] == made[-3:]
    change = {"round": first, "parameter": "ph", "value": "8.90", "reason": "read wrong"}
    answer = correct_reading(book, SHELL, change)
    assert answer["judged"] is True
    assert answer["verdict"]["overall"] != "meets"
    assert one_round(book, first)["readings"][2]["corrected"][0]["value"] == "8.90"
    assert book.state.stops.get("main", ()) == ()
    line = next(row for row in lines(book) if row["id"] == first)
    assert [row["overall"] for row in line["judged"]] == ["meets", answer["verdict"]["overall"]]
    found = pool_trends(book, "main", baths.now_ms, 30)
    series = next(row for row in found["series"] if row["parameter"] == "ph")
    assert len(series["rows"]) == len(made)


def baths_round(baths: Baths) -> str:
    """Record one round a day later."""
    baths.wait(DAY_MINUTES)
    return str(baths.round("main")["round"])


@pytest.mark.usefixtures("small")
def test_a_resend_of_a_round_long_past_stands_once(baths: Baths) -> None:
    identity = "0197c0de-0000-7000-8000-000000000001"
    given = {"pool": "main", "readings": GOOD, "id": identity}
    record_round(baths.book, baths.who("tester"), given)
    for _ in range(14):
        baths_round(baths)
    book = baths.reopened()
    before = book.state.index
    answer = record_round(book, baths.who("tester"), given)
    assert (answer["repeated"], answer["judged"]) == (True, True)
    assert book.state.index == before


@pytest.mark.usefixtures("small")
def test_an_older_round_is_judged_by_what_was_known_then(baths: Baths) -> None:
    before = baths_round(baths)
    first = baths_round(baths)
    for _ in range(14):
        baths_round(baths)
    book = baths.reopened()
    assert book.state.round_by_id(first) is None
    state = with_round(book, first)
    found = state.round_by_id(first)
    assert found is not None
    then = as_of(book, state, found)
    assert [row.id for row in then.rounds["main"]] == [before, first]
    case = judging_case(then, "main", readings_of(found), found.at_ms, without=first)
    assert [row["at"] for row in case["history"]] == [then.rounds["main"][0].at_ms // 1000]


@pytest.mark.usefixtures("small")
def test_a_stop_however_old_still_stands(baths: Baths) -> None:
    everyone_out(baths.book, baths.who("tester"), {"pool": "plunge", "stop": "glass"})
    for _ in range(30):
        baths_round(baths)
    book = baths.reopened()
    assert book.folded.rested > 0
    assert [stop.id for stop in book.state.stops["plunge"]] == ["glass"]


def kept_row(book: Book) -> dict[str, object]:
    """Give the resting point that is kept."""
    return dict(book.connection.execute(select(table)).one()._mapping)


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("harm", ["stop", "form", "sig", "device", "place"])
def test_a_resting_point_that_was_tampered_with_is_not_taken(baths: Baths, harm: str) -> None:
    everyone_out(baths.book, baths.who("tester"), {"pool": "plunge", "stop": "glass"})
    for _ in range(12):
        baths_round(baths)
    row = kept_row(baths.book)
    content = json.loads(bytes(row["kept"]))  # type: ignore[call-overload]  # a row's value is of any type
    content["draft"]["stops"]["plunge"] = []
    harmed = {
        "stop": {"kept": json.dumps(content).encode()},
        "form": {"form": "0" * 64},
        "sig": {"sig": bytes(64)},
        "device": {"dev": "dev-00000000000000000000"},
        "place": {"log_index": 3},
    }[harm]
    baths.book.connection.execute(update(table).values(**harmed))
    book = baths.reopened()
    assert book.folded.rested == 0
    assert [stop.id for stop in book.state.stops["plunge"]] == ["glass"]


@pytest.mark.usefixtures("small")
def test_planted_without_the_signature_a_dropped_stop_would_be_believed(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    everyone_out(baths.book, baths.who("tester"), {"pool": "plunge", "stop": "glass"})
    for _ in range(12):
        baths_round(baths)
    content = json.loads(bytes(kept_row(baths.book)["kept"]))  # type: ignore[call-overload]  # a row's value is of any type
    content["draft"]["stops"]["plunge"] = []
    baths.book.connection.execute(update(table).values(kept=json.dumps(content).encode()))
    monkeypatch.setattr(resting, "vouched_for", lambda *_: True)
    held = baths.reopened().draft
    whole = whole_draft(baths.book, monkeypatch)
    assert "stops" in differences(whole, held, baths.now_ms, SMALL)


@pytest.mark.usefixtures("small")
def test_a_transaction_that_is_undone_leaves_no_resting_point(baths: Baths) -> None:
    for _ in range(6):
        baths_round(baths)
    before = kept_row(baths.book)

    def undone() -> None:
        with baths.book.writing():
            for _ in range(12):
                baths_round(baths)
            raise KeyError

    with pytest.raises(KeyError):
        undone()
    assert kept_row(baths.book) == before
    assert baths.reopened().state.index == baths.book.state.index


def test_a_short_record_needs_no_resting_point(baths: Baths) -> None:
    baths.round()
    assert baths.book.connection.execute(select(table)).all() == []
