"""What is let go of changes nothing of how the site stands, on any history."""

from __future__ import annotations

import json

import pytest
from tests.service.fold.held_cases import SMALL, WHOLE, differences, folded, history_of

from lanewater.service.clock import known_instant
from lanewater.service.fold import kept, letting_go
from lanewater.service.fold.draft import Draft

SEEDS = range(60)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_state_is_the_whole_record_s_but_for_what_it_may_let_go(seed: int) -> None:
    lines = history_of(seed, 260)
    now_ms = known_instant(lines[-1][1]) + 60_000
    whole = folded(lines, WHOLE)
    assert len(whole.rounds) > 40
    for size in (len(lines) // 3, len(lines) // 2, len(lines)):
        whole, held = folded(lines[:size], WHOLE), folded(lines[:size], SMALL)
        assert differences(whole, held, now_ms, SMALL) == []
    assert len(held.rounds) < len(whole.rounds)


def test_rounds_amounts_words_and_who_was_told_are_let_go() -> None:
    held = folded(history_of(1, 1500), SMALL)
    assert all(len(rows) < 60 for rows in held.in_order.values())
    assert all(len(trail.items) <= SMALL.words + SMALL.every for trail in held.trails.values())
    assert len(held.told) < 30
    assert held.additions_from > 0
    assert set(held.verdicts) <= set(held.rounds)
    assert all(held.whole_from[pool] > 0 for pool in held.in_order)


def test_planted_a_dropped_house_stop_is_noticed() -> None:
    noticed = 0
    for seed in SEEDS:
        lines = history_of(seed, 260)
        whole, held = folded(lines, WHOLE), folded(lines, SMALL)
        standing = [pool for pool, stops in held.stops.items() if stops]
        for pool in standing[:1]:
            held.stops[pool] = held.stops[pool][1:]
            held.known = None
            assert "stops" in differences(whole, held, known_instant(lines[-1][1]), SMALL)
            noticed += 1
    assert noticed > 10


def test_planted_letting_go_of_what_still_waits_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(letting_go, "settled", lambda _draft, _row: True)
    found = [
        row
        for seed in SEEDS
        for lines in [history_of(seed, 260)]
        for row in differences(
            folded(lines, WHOLE), folded(lines, SMALL), known_instant(lines[-1][1]), SMALL
        )
    ]
    assert any(row.startswith("blocks") for row in found)


def test_planted_letting_go_of_rounds_that_nobody_judged_is_noticed() -> None:
    lines = history_of(3, 260)
    whole, held = folded(lines, WHOLE), folded(lines, SMALL)
    gone = next(row for row in held.in_order["main"] if row.id not in held.verdicts)
    held.in_order["main"].remove(gone)
    held.frozen_rounds.pop("main", None)
    held.known = None
    found = differences(whole, held, known_instant(lines[-1][1]), SMALL)
    assert f"round {gone.id} is gone" in found


def test_every_part_of_a_draft_is_kept_or_made_again_from_the_rounds() -> None:
    assert set(vars(Draft())) == set(kept.KEPT) | set(kept.OF_ROUNDS)


@pytest.mark.parametrize("seed", range(8))
def test_what_is_kept_comes_back_the_same(seed: int) -> None:
    draft = folded(history_of(seed, 260), SMALL)
    raw = kept.as_bytes(kept.keep(draft))
    again = kept.unkeep(json.loads(raw))
    assert kept.keep(again) == kept.keep(draft)
    for name in set(kept.KEPT) - {"kits", "reagents", "products"}:
        assert getattr(again, name) == getattr(draft, name), name
