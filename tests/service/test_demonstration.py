"""The demo: the same from the same seed, whole, marked, and as strict as a real site's record."""

import sqlite3
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from lanewater.service import demonstration
from lanewater.service.book import Book, open_book
from lanewater.service.config import Config
from lanewater.service.demo_site import PEOPLE
from lanewater.service.demonstration import Demo, demo_config, make_demo
from lanewater.service.set_up import new_site
from lanewater.service.state import current_readings
from lanewater.terms.errors import RefusedError

# 2026-07-01T15:00:00Z, a Wednesday morning there.
NOW_MS = 1_782_918_000_000
SHORT_DAYS = 3


def make(folder: Path, days: int = SHORT_DAYS) -> Demo:
    return make_demo(Config(folder), lambda: NOW_MS, days=days)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("demo")
    make(made, days=90)
    return made


@pytest.fixture(scope="module")
def whole(folder: Path) -> Iterator[Book]:
    book = open_book(demo_config(Config(folder)), clock=lambda: NOW_MS)
    yield book
    book.close()


def readings(folder: Path) -> list[tuple[str, int, tuple[tuple[str, str], ...]]]:
    book = open_book(demo_config(Config(folder)), clock=lambda: NOW_MS)
    found = [
        (pool, round_.at_ms, tuple((r.parameter, r.value) for r in round_.readings))
        for pool, rounds in book.state.rounds.items()
        for round_ in rounds
    ]
    book.close()
    return found


def test_the_same_seed_and_present_give_the_same_readings(tmp_path: Path) -> None:
    make(tmp_path / "one")
    make(tmp_path / "two")
    assert readings(tmp_path / "one") == readings(tmp_path / "two")


def test_a_second_start_makes_nothing_and_signs_in_the_same_way(tmp_path: Path) -> None:
    first = make(tmp_path)
    again = make(tmp_path)
    assert (first.made, again.made) == (True, False)
    assert first.people == again.people


def test_a_making_that_was_broken_off_is_begun_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(demonstration, "keep_private", broken_off)
    with pytest.raises(KeyboardInterrupt):
        make(tmp_path)
    monkeypatch.undo()
    assert make(tmp_path).made is True
    assert sorted(path.name for path in tmp_path.iterdir()) == ["demo"]


def broken_off(_path: Path, _content: object) -> None:
    raise KeyboardInterrupt


def test_a_site_in_the_demos_place_is_left_alone(tmp_path: Path) -> None:
    live = {"name": "Live Baths", "timezone": "Europe/Tallinn", "rules": "none"}
    new_site(demo_config(Config(tmp_path)), live)
    with pytest.raises(RefusedError, match="holds a site that is no demo"):
        make(tmp_path)
    book = open_book(demo_config(Config(tmp_path)))
    assert book.state.site.name == "Live Baths"
    book.close()


def test_two_starts_at_once_make_one_demo(tmp_path: Path) -> None:
    with ThreadPoolExecutor(2) as both:
        found = list(both.map(lambda _: make(tmp_path, days=1), range(2)))
    assert sorted(demo.made for demo in found) == [False, True]
    assert found[0].people == found[1].people


def test_pins_differ_between_two_demos_and_their_file_is_private(tmp_path: Path) -> None:
    one, two = make(tmp_path / "one", days=1), make(tmp_path / "two", days=1)
    assert [person["pin"] for person in one.people] != [person["pin"] for person in two.people]
    notes = one.config.data / "pins.json"
    assert notes.stat().st_mode & 0o077 == 0


def test_it_is_marked_as_a_demo_and_open_to_nobody_by_default(whole: Book) -> None:
    assert whole.state.site.demo is True
    assert set(whole.state.pools) == {"main", "teaching", "garden"}


def test_every_round_is_judged(whole: Book) -> None:
    for rounds in whole.state.rounds.values():
        assert all(round_.id in whole.state.verdicts for round_ in rounds)


def test_the_history_holds_what_it_promises(whole: Book) -> None:
    state = whole.state
    everything = [round_ for rounds in state.rounds.values() for round_ in rounds]
    verdicts = {state.verdicts[round_.id].overall for round_ in everything}
    findings = {
        finding["id"]
        for verdict in state.verdicts.values()
        for finding in verdict.body.get("findings", ())
    }
    assert {"meets", "does-not-meet", "evacuate", "not-judged"} <= verdicts
    assert {"impossible-pair", "expired-reagent"} <= findings
    assert any(round_.corrections for round_ in everything)
    assert any(round_.source == "paper" for round_ in everything)
    assert any(round_.by == "unlisted" for round_ in everything)
    assert any(round_.changed_after_result for round_ in everything)
    assert len(state.advices) == 1
    assert all(advice.answer == "added" for advice in state.advices.values())


def test_after_the_advice_both_pools_on_the_filter_were_tested_at_two_points(whole: Book) -> None:
    state = whole.state
    answered = next(iter(state.advices.values()))
    for pool in ("main", "teaching"):
        after = next(r for r in state.rounds[pool] if r.at_ms > answered.at_ms + 30 * 60_000)
        points = {r.point for r in current_readings(after) if r.parameter == "free_chlorine"}
        assert points == {"shallow", "deep"}


def test_the_pools_are_believable(whole: Book) -> None:
    passing = 0
    everything = [r for rounds in whole.state.rounds.values() for r in rounds]
    for round_ in everything:
        passing += whole.state.verdicts[round_.id].overall.startswith("meets")
    assert 0.95 < passing / len(everything) < 1.0


def test_no_name_of_a_person_stands_in_the_record(folder: Path) -> None:
    connection = sqlite3.connect(demo_config(Config(folder)).store)
    lines = [row[0] for row in connection.execute("select bytes from entry")]
    connection.close()
    assert len(lines) > 3000
    for person in PEOPLE:
        assert not [line for line in lines if person["name"].encode() in line]
