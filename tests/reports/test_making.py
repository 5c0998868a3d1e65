"""A sheet shows what was done, what was not, and who says so."""

from __future__ import annotations

from datetime import timedelta

import pytest
from tests.baths import GOOD, LOW, Baths
from tests.reports.sheet_cases import FIRST_DAY, correct, late_round, part, rows, sheet

from lanewater.records.bundle import events_line
from lanewater.records.entries import parse
from lanewater.service.actor import SHELL
from lanewater.service.additions import answer_addition, start_addition
from lanewater.service.opening import close_pool, end_house_stop, everyone_out, open_pool, told
from lanewater.service.people_forget import forget_person
from lanewater.service.rounds import record_round
from lanewater.terms.errors import InputError
from lanewater.terms.jsontext import read_json


def test_a_round_is_a_row_with_its_tester_its_numbers_and_what_the_rules_say(baths: Baths) -> None:
    baths.round()
    (row,) = rows(sheet(baths), "round")
    assert (row.at, row.by, row.outcome) == ("2026-07-01 05:51", "TT", "meets")
    assert [value.text for value in row.values["free_chlorine"]] == ["1.52"]
    assert row.values["combined_chlorine"][0].computed
    assert row.timing == "on-time"
    assert not row.flags


def test_each_point_of_a_round_is_a_row_and_only_the_first_carries_the_outcome(
    baths: Baths,
) -> None:
    baths.retest("main")
    found = rows(sheet(baths), "round")
    assert [(row.point, row.first, bool(row.outcome)) for row in found] == [
        ("shallow", True, True),
        ("deep", False, False),
    ]


def test_a_correction_leaves_the_first_number_to_be_seen_and_says_who_and_why(
    baths: Baths,
) -> None:
    entry = baths.round()["round"]
    correct(baths, entry, "ph", "7.34", "digits exchanged")
    correct(baths, entry, "ph", "7.35", "and again")
    (row,) = rows(sheet(baths), "round")
    assert [(value.text, value.was) for value in row.values["ph"]] == [("7.35", ("7.43", "7.34"))]
    assert "corrected" in row.flags
    assert "pH 7.43 corrected to 7.34" in row.text
    assert "digits exchanged" in row.text


def test_a_number_changed_after_its_result_was_shown_leaves_what_was_shown(baths: Baths) -> None:
    changed = [{"parameter": "free_chlorine", "value": "0.62"}]
    given = {"pool": "main", "readings": GOOD, "changed_after_result": changed}
    record_round(baths.book, baths.who("tester"), given)
    (row,) = rows(sheet(baths), "round")
    assert row.values["free_chlorine"][0].was == ("0.62",)
    assert "when its result was shown" in row.text
    assert row.fails


def test_a_correction_made_days_later_still_stands_on_the_sheet_of_the_day(baths: Baths) -> None:
    entry = baths.round()["round"]
    baths.wait(3 * 24 * 60)
    correct(baths, entry, "ph", "7.34")
    (row,) = rows(sheet(baths), "round")
    assert row.values["ph"][0].was == ("7.43",)


def test_a_failed_round_shows_each_broken_rule_with_its_clause_and_what_was_done(
    baths: Baths,
) -> None:
    entry = baths.round(**LOW)["round"]
    manager = baths.who("manager")
    tell = {"pool": "main", "about": entry, "whom": "p-manager", "how": "by radio"}
    told(baths.book, baths.who("tester"), tell)
    close_pool(baths.book, manager, {"pool": "main", "kind": "closed", "reason": "low chlorine"})
    begun = start_addition(
        baths.book,
        baths.who("operator"),
        {"pool": "main", "product": "hypo", "amount": "3.5", "unit": "L"},
    )
    answer = {"addition": begun["addition"], "answer": "added"}
    answer_addition(baths.book, baths.who("operator"), answer)
    baths.wait(60)
    baths.retest("main")
    confirmed = {"confirmed": ["chapter-two-met"]}
    open_pool(baths.book, manager, {"pool": "main", "reason": "tested again", **confirmed})
    ((row, done),) = part(sheet(baths)).failures
    assert row.outcome.startswith(("does not meet", "rules say close"))
    assert "free 0.62, at least" in row.outcome
    assert "[" in row.outcome
    words = "\n".join(done)
    for wanted in (
        "told DD by radio (TT)",
        "closed: low chlorine (DD)",
        "added: 3.5 L of Hypo",
        "tested again by TT: free 1.52",
        "opened",
    ):
        assert wanted in words


def test_a_failed_round_after_which_nothing_was_done_says_so(baths: Baths) -> None:
    baths.round(**LOW)
    ((_, done),) = part(sheet(baths)).failures
    assert done[-1] == "No test after it within a day, in this period."


def test_a_round_that_was_not_judged_stands_among_what_did_not_meet(baths: Baths) -> None:
    given = {"pool": "main", "readings": {"ph": "7.4"}}
    record_round(baths.book, baths.who("tester"), given)
    ((row, _),) = part(sheet(baths)).failures
    assert row.outcome.startswith("Not judged. Not a pass.")


def test_a_test_that_was_due_and_not_done_is_a_row_in_its_place(baths: Baths) -> None:
    baths.round()
    baths.wait(9 * 60)
    baths.round()
    found = part(sheet(baths))
    (gap,) = rows(sheet(baths), "gap")
    assert gap.at == "2026-07-01 09:51"
    assert gap.text == "a test was due 09:51: none until 14:51, 5 h later; 2 tests in that time"
    assert found.counts["missed"] == 2
    assert [row.kind for row in found.rows] == ["round", "gap", "round"]


def test_a_pool_closed_on_record_has_a_quiet_row_and_no_gap(baths: Baths) -> None:
    baths.round()
    close_pool(
        baths.book, baths.who("manager"), {"pool": "main", "kind": "closed", "reason": "holiday"}
    )
    baths.wait(4 * 24 * 60)
    later = sheet(baths, FIRST_DAY + timedelta(days=1), FIRST_DAY + timedelta(days=3))
    assert not rows(later, "gap")
    (quiet,) = rows(later, "quiet")
    assert quiet.text == (
        "no test Thu 2 Jul 2026 to Sat 4 Jul 2026: closed on record since 2026-07-01 05:51"
    )


def test_a_pool_that_stays_open_and_untested_is_a_gap_every_day(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(3 * 24 * 60)
    later = sheet(baths, FIRST_DAY + timedelta(days=1), FIRST_DAY + timedelta(days=2))
    assert [row.at for row in rows(later, "gap")] == ["2026-07-02 06:30", "2026-07-03 06:30"]
    assert not rows(later, "quiet")


def test_a_house_stop_closes_the_pool_until_it_is_opened_again(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(60)
    everyone_out(baths.book, baths.who("tester"), {"pool": "main", "stop": "glass"})
    end = {"pool": "main", "reason": "swept", "stop": "glass"}
    end_house_stop(baths.book, baths.who("manager"), end)
    baths.wait(16 * 60)
    found = sheet(baths)
    assert not rows(found, "gap")
    assert [row.text for row in rows(found, "everyone-out", "stop-ended")] == [
        "everyone out: glass",
        "stop ended: glass: swept",
    ]


def test_a_pool_without_any_interval_says_that_gaps_cannot_be_told(baths: Baths) -> None:
    found = part(sheet(baths), "plunge")
    assert found.counts["missed"] == 0 or found.intervals != (
        "neither rules nor plan say how often: gaps cannot be told",
    )


@pytest.mark.parametrize("source", ["late", "paper"])
def test_a_late_entry_is_marked_and_says_why(baths: Baths, source: str) -> None:
    baths.wait(30 * 60)
    late_round(baths, "2026-07-01T10:02:00-04:00", source=source, reason="no tablet")
    (row,) = rows(sheet(baths), "round")
    assert row.timing == source
    assert row.flags[0] == {"late": "late", "paper": "from paper"}[source]
    assert "reason: no tablet" in row.text
    assert row.on_record.endswith("2 Jul 11:51")


def test_people_are_named_as_they_are_known_when_it_is_printed(baths: Baths) -> None:
    baths.round()
    assert ("TT", "Tove Testerlund") in sheet(baths).people
    forget_person(baths.book, baths.who("area"), "p-tester")
    found = sheet(baths)
    assert "Testerlund" not in repr(found.people)
    (row,) = rows(found, "round")
    assert row.by
    assert "TT" not in row.by


def test_somebody_not_on_the_list_is_shown_so(baths: Baths) -> None:
    record_round(baths.book, SHELL, {"pool": "main", "readings": GOOD})
    (row,) = rows(sheet(baths), "round")
    assert row.by == "not listed"
    assert "by command" in row.flags


def test_the_limits_in_force_stand_with_their_clauses(baths: Baths) -> None:
    baths.round()
    found = part(sheet(baths))
    assert found.rules[0].startswith("ca-qc, ")
    assert any(row.startswith("free chlorine at least") and "[" in row for row in found.limits)


def test_a_sheet_of_one_pool_holds_nothing_of_another(baths: Baths) -> None:
    baths.round("main")
    baths.round("plunge")
    found = sheet(baths, pools=("plunge",))
    assert [pool.id for pool in found.pools] == ["plunge"]
    assert b'"pool\\":\\"main' not in found.events
    with pytest.raises(InputError, match="not set up here"):
        sheet(baths, pools=("lake",))


def test_the_lines_inside_are_the_records_own_bytes_and_signatures(baths: Baths) -> None:
    entry = baths.round()["round"]
    lines = [read_json(line) for line in sheet(baths).events.splitlines()]
    assert [set(line) for line in lines] == [{"index", "received_at", "entry", "sig"}] * len(lines)
    known = {parse(line["entry"].encode()).id for line in lines}
    assert entry in known
    assert [line["index"] for line in lines] == sorted(line["index"] for line in lines)
    assert {len(line["sig"]) for line in lines} == {128}


def test_a_line_inside_is_written_as_in_a_bundle(baths: Baths) -> None:
    note = '"é" \\ \x7f\u2028 \n\t </x> \U0001f44d'
    record_round(baths.book, baths.who("tester"), {"pool": "main", "readings": GOOD, "note": note})
    for written in sheet(baths).events.splitlines(keepends=True):
        line = read_json(written)
        entry, sig = line["entry"].encode(), bytes.fromhex(line["sig"])
        assert written == events_line(line["index"], line["received_at"], entry, sig)
