"""Each attack is seen by the layers that can see it, and by no other: row by row."""

from __future__ import annotations

from functools import cache

import pytest
from tests.records.attacks import LAYERS, OUTSIDE_AT, TABLE, attacked
from tests.records.log_cases import make_log, size_of

from lanewater.records.verifying import Answer, answer_over_bundle

HONEST = make_log(40)
SEES = {
    "chain": {"chain", "place"},
    "signature": {"chain", "place", "signature", "device"},
    "beside": {"stamp-beside"},
    "outside": {"stamp-outside"},
}


@cache
def answer_to(name: str) -> Answer:
    found = attacked(name, HONEST)
    return answer_over_bundle(found.files, found.outside)


@pytest.mark.parametrize("name", TABLE)
@pytest.mark.parametrize("layer", LAYERS)
def test_a_layer_sees_what_it_can_see_and_nothing_else(name: str, layer: str) -> None:
    expected = dict(zip(LAYERS, TABLE[name][1].split(), strict=True))[layer] == "yes"
    seen = [finding for finding in answer_to(name).findings if finding.by in SEES[layer]]
    assert bool(seen) is expected


def test_the_table_counts_two_six_nine_and_eleven_of_fourteen() -> None:
    rows = [expected.split() for _, expected in TABLE.values()]
    assert [sum(row[at] == "yes" for row in rows) for at in range(4)] == [2, 6, 9, 11]


@pytest.mark.parametrize(
    ("name", "outcome", "line"),
    [
        ("edit a value in place", "changed", 15),
        ("edit and fix that row's hash", "changed", 15),
        ("edit and recompute all hashes", "changed", 15),
        ("delete a middle row and recompute", "changed", 16),
        ("insert a back-dated row without the device's key", "changed", 15),
        ("drop the last 5", "missing", 35),
        ("drop the last 15", "missing", 25),
        ("restore an older backup with its own stamp", "rolled-back", 20),
        ("put another site's record in place", "another-record", None),
        ("server key stolen: edit, rehash, sign again", "changed", 15),
        ("all keys stolen, change only after the outside stamp", "complete", None),
        ("a false value typed honestly", "complete", None),
    ],
)
def test_the_answer_names_the_place(name: str, outcome: str, line: int | None) -> None:
    answer = answer_to(name)
    assert answer.outcome == outcome
    first = next((f.line for f in answer.findings if f.what == outcome), None)
    assert first == line


def test_a_rebuilt_history_is_placed_before_the_stamp_that_shows_it() -> None:
    found = attacked("all keys stolen, rebuild history", HONEST)
    older = HONEST.note(10)
    (finding,) = answer_over_bundle(found.files, [older, *found.outside]).findings
    assert (finding.what, finding.by) == ("changed", "stamp-outside")
    assert (finding.line, finding.until) == (11, OUTSIDE_AT)
    assert "between line 11 and line 30" in finding.says


def test_the_heads_in_later_entries_see_a_swap_without_any_stamp() -> None:
    found = attacked("swap two rows of different devices and recompute", HONEST)
    stampless = answer_over_bundle(found.files).findings
    assert {f.by for f in stampless} >= {"seen"}


def test_an_honest_record_is_complete_against_every_stamp_of_it() -> None:
    stamps = [HONEST.note(size) for size in range(2, 41)]
    answer = answer_over_bundle(HONEST.files(), stamps)
    assert answer.findings == ()
    assert answer.complete
    assert answer.stamps_held == len(HONEST.stamps)


@pytest.mark.parametrize("size", [10, 20, 30])
def test_a_stamp_kept_beside_but_older_leaves_lines_uncovered(size: int) -> None:
    log = HONEST.copy()
    log.stamps = [note for note in log.stamps if size_of(note) <= size]
    answer = answer_over_bundle(log.files())
    assert answer.outcome == "not-checked"
    assert (answer.findings[0].line, answer.findings[0].until) == (size + 1, 40)
