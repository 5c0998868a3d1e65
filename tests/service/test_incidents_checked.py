"""What the record does not bear out of an incident's ending lets it go on, in whatever order."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import Any

import pytest
from tests.baths import LOW, MINUTE_MS, Baths
from tests.service.test_decided_elsewhere import OPERATOR, Tablet, actions, made, status, stops

from lanewater.kernel.deciding.incidentkinds import INCIDENTS, MEASURED
from lanewater.records.errors import NotRecordingError
from lanewater.records.receiving import Sealed
from lanewater.service import incident_facts, incidents_checked, rounds, sync
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.book import new_id
from lanewater.service.clock import DAY_MS, instant_text
from lanewater.service.incidents import end_incident, start_incident, step_incident
from lanewater.service.incidents_checked import NOT_WORKED_OUT
from lanewater.service.opening import opening_answer
from lanewater.service.record import lines
from lanewater.service.rounds import correct_reading, judge_missing, record_round
from lanewater.service.set_up import add
from lanewater.service.sheets import status_before

BEGUN = {"incident": "inc-1", "kind": "glass", "pools": ["main"]}
MET = {"incident": "inc-1", "outcome": "criteria-met", "criteria": ["steps-done", "named-word"]}


@pytest.fixture
def tablet(baths: Baths) -> Tablet:
    """Give a tablet on which everybody signed in once."""
    add(baths.book, SHELL, "person", OPERATOR | {"pin": "405162"})
    return made(baths)


def row(baths: Baths, incident: str = "inc-1") -> dict[str, Any]:
    """Give an incident as it is kept."""
    return dict(baths.book.state.incidents[incident])


def walk_through(baths: Baths, tablet: Tablet, *left_out: str) -> None:
    """Begin one for glass on the tablet and say there that all was done, but for what is left."""
    tablet.say(baths, "p-tester", "incident-started", BEGUN)
    for step in INCIDENTS["glass"]["steps"]:
        baths.wait(1)
        if step not in left_out:
            said = {"incident": "inc-1", "step": step, "answer": "done", "words": "seen to"}
            tablet.say(baths, "p-manager", "incident-step-done", said)


def continued(baths: Baths) -> list[dict[str, Any]]:
    """Give what the record says of endings that do not hold."""
    return [one["body"] for one in lines(baths.book) if one["type"] == "incident-continued"]


def test_what_the_record_has_met_as_well_is_ended_as_the_tablet_said(
    baths: Baths, tablet: Tablet
) -> None:
    walk_through(baths, tablet)
    entry = tablet.say(baths, "p-manager", "incident-ended", MET)
    assert set(tablet.send(baths)) == {"recorded"}
    assert row(baths)["ended"]["entry"] == entry
    assert (stops(baths), continued(baths)) == ([], [])
    assert "incident-continued" not in actions(baths)


def test_an_ending_that_the_record_does_not_bear_out_is_kept_and_the_incident_goes_on(
    baths: Baths, tablet: Tablet
) -> None:
    walk_through(baths, tablet, "glass-word")
    entry = tablet.say(baths, "p-manager", "incident-ended", MET)
    assert set(tablet.send(baths)) == {"recorded"}
    (body,) = continued(baths)
    assert (body["ended"], body["unmet"]) == (entry, ["steps-done", "named-word"])
    assert "ended" not in row(baths)
    assert stops(baths) == ["glass"]
    assert status(baths) == "closed"
    assert {"incident", "incident-continued", "house-stop"} <= set(actions(baths))
    assert opening_answer(baths.book, "main", baths.now_ms)["may"] == "never"


def test_an_ending_that_is_said_to_be_of_long_ago_is_not_believed_either(
    baths: Baths, tablet: Tablet
) -> None:
    walk_through(baths, tablet)
    long_ago = baths.now_ms - 40 * DAY_MS
    body, said = {"pool": "main"} | MET, {"user": "p-manager", "rec_ms": baths.now_ms}
    tablet.write(new_id(baths.now_ms), "incident-ended", body, long_ago, **said)
    tablet.send(baths)
    assert "steps-done" in continued(baths)[0]["unmet"]
    assert stops(baths) == ["glass"]


def test_an_opening_sent_behind_such_an_ending_opens_nothing(baths: Baths, tablet: Tablet) -> None:
    walk_through(baths, tablet, "glass-word")
    tablet.say(baths, "p-manager", "incident-ended", MET)
    opened = {"round": tablet.round(baths), "overall": "meets"}
    tablet.say(baths, "p-manager", "pool-opened", opened)
    assert set(tablet.send(baths)) == {"recorded"}
    assert status(baths) == "closed"
    assert "devices-disagree" in actions(baths)


def test_a_step_taken_back_elsewhere_meanwhile_lets_it_go_on(baths: Baths, tablet: Tablet) -> None:
    walk_through(baths, tablet)
    tablet.send(baths)
    baths.wait(1)
    given = {"incident": "inc-1", "step": "glass-searched", "answer": "not-done"}
    step_incident(baths.book, baths.who("tester"), given)
    baths.wait(1)
    tablet.say(baths, "p-manager", "incident-ended", MET)
    assert tablet.send(baths) == ["recorded"]
    assert "steps-done" in continued(baths)[0]["unmet"]


def test_it_is_ended_once_everything_is_met(baths: Baths, tablet: Tablet) -> None:
    walk_through(baths, tablet, "glass-word")
    tablet.say(baths, "p-manager", "incident-ended", MET)
    tablet.send(baths)
    given = {"incident": "inc-1", "step": "glass-word", "answer": "done", "words": "Dagny: clear"}
    step_incident(baths.book, baths.who("manager"), given)
    end_incident(baths.book, baths.who("manager"), {"incident": "inc-1"})
    assert stops(baths) == []
    assert "incident-continued" not in actions(baths)


def test_an_ending_without_authority_is_noted_as_that_and_no_more(
    baths: Baths, tablet: Tablet
) -> None:
    walk_through(baths, tablet, "glass-word")
    entry = tablet.say(baths, "p-tester", "incident-ended", MET)
    tablet.send(baths)
    assert [one.entry for one in baths.book.state.unauthorised] == [entry]
    assert continued(baths) == []


def test_what_cannot_be_worked_out_is_not_met(
    baths: Baths, tablet: Tablet, monkeypatch: pytest.MonkeyPatch
) -> None:
    walk_through(baths, tablet)
    tablet.say(baths, "p-manager", "incident-ended", MET)

    def broken(*_: Any) -> None:
        raise KeyError("a fault")

    monkeypatch.setattr(incidents_checked, "incident_now", broken)
    assert set(tablet.send(baths)) == {"recorded"}
    assert continued(baths)[0]["unmet"] == [NOT_WORKED_OUT]
    assert stops(baths) == ["glass"]


# --- What others wrote meanwhile comes before the ending, or after it ------------------------


@pytest.fixture
def other(baths: Baths, tablet: Tablet) -> Tablet:
    """Give another tablet, out of reach as well."""
    assert tablet
    return made(baths)


def began_for_both(baths: Baths, tablet: Tablet, other: Tablet, kind: str = "glass") -> None:
    """Begin one on a tablet and let the other hear of it."""
    tablet.say(baths, "p-tester", "incident-started", BEGUN | {"kind": kind})
    tablet.send(baths)
    other.look(baths)
    baths.wait(1)


def steps_of(baths: Baths, tablet: Tablet, kind: str = "glass") -> None:
    """Say on a tablet that all was done."""
    for step in INCIDENTS[kind]["steps"]:
        baths.wait(1)
        said = {"incident": "inc-1", "step": step, "answer": "done", "words": "seen to"}
        tablet.say(baths, "p-manager", "incident-step-done", said)
    baths.wait(1)


@pytest.mark.parametrize("other_first", [True, False])
def test_a_step_taken_back_out_of_reach_counts_whichever_comes_first(
    baths: Baths, tablet: Tablet, other: Tablet, *, other_first: bool
) -> None:
    began_for_both(baths, tablet, other)
    steps_of(baths, tablet)
    back = {"incident": "inc-1", "step": "glass-searched", "answer": "not-done"}
    other.say(baths, "p-tester", "incident-step-done", back)
    baths.wait(1)
    entry = tablet.say(baths, "p-manager", "incident-ended", MET)
    for one in (other, tablet) if other_first else (tablet, other):
        assert set(one.send(baths)) == {"recorded"}
    (body,) = continued(baths)
    assert (body["ended"], body["unmet"]) == (entry, ["steps-done"])
    assert "ended" not in row(baths)
    assert stops(baths) == ["glass"]
    assert baths.reopened().state.incidents == baths.book.state.incidents


@pytest.mark.parametrize("other_first", [True, False])
def test_what_another_took_back_after_the_end_they_had_not_heard_of_counts(
    baths: Baths, tablet: Tablet, other: Tablet, *, other_first: bool
) -> None:
    began_for_both(baths, tablet, other)
    steps_of(baths, tablet)
    tablet.say(baths, "p-manager", "incident-ended", MET)
    baths.wait(30)
    back = {"incident": "inc-1", "step": "glass-searched", "answer": "not-done"}
    other.say(baths, "p-tester", "incident-step-done", back)
    for one in (other, tablet) if other_first else (tablet, other):
        assert set(one.send(baths)) == {"recorded"}
    assert len(continued(baths)) == 1
    assert stops(baths) == ["glass"]


def test_what_was_done_only_after_the_end_does_not_bear_it_out(
    baths: Baths, tablet: Tablet, other: Tablet
) -> None:
    began_for_both(baths, tablet, other)
    tablet.say(baths, "p-manager", "incident-ended", MET)
    baths.wait(30)
    steps_of(baths, other)
    other.send(baths)
    tablet.send(baths)
    assert continued(baths)[0]["unmet"] == ["steps-done", "named-word"]


def test_steps_that_come_after_an_ending_that_did_not_hold_let_it_be_ended(
    baths: Baths, tablet: Tablet, other: Tablet
) -> None:
    began_for_both(baths, tablet, other)
    steps_of(baths, other)
    tablet.say(baths, "p-manager", "incident-ended", MET)
    assert tablet.send(baths) == ["recorded"]
    assert set(other.send(baths)) == {"recorded"}
    assert len(continued(baths)) == 1
    assert stops(baths) == ["glass"]
    end_incident(baths.book, baths.who("manager"), {"incident": "inc-1"})
    assert stops(baths) == []


def test_thunder_heard_elsewhere_before_the_end_lets_it_go_on(
    baths: Baths, tablet: Tablet, other: Tablet
) -> None:
    began_for_both(baths, tablet, other, "thunder")
    steps_of(baths, tablet, "thunder")
    baths.wait(25)
    other.say(baths, "p-tester", "incident-noted", {"incident": "inc-1", "what": "again"})
    baths.wait(15)
    tablet.say(baths, "p-manager", "incident-ended", MET | {"criteria": ["steps-done", "quiet"]})
    tablet.send(baths)
    assert stops(baths) == []
    other.send(baths)
    assert continued(baths)[0]["unmet"] == ["steps-done", "quiet"]
    assert stops(baths) == ["lightning"]


def test_a_word_that_comes_late_and_changes_nothing_lets_it_be(
    baths: Baths, tablet: Tablet, other: Tablet
) -> None:
    began_for_both(baths, tablet, other)
    steps_of(baths, tablet)
    said = {"incident": "inc-1", "what": "people", "count": 4}
    other.say(baths, "p-tester", "incident-noted", said)
    other.round(baths)
    tablet.say(baths, "p-manager", "incident-ended", MET)
    tablet.send(baths)
    assert set(other.send(baths)) == {"recorded"}
    assert (continued(baths), stops(baths)) == ([], [])


def test_what_is_sent_twice_lets_it_go_on_once(baths: Baths, tablet: Tablet) -> None:
    walk_through(baths, tablet, "glass-word")
    tablet.say(baths, "p-manager", "incident-ended", MET)
    batch = [Sealed(*one) for one in tablet.batch()]
    for _ in range(2):
        sync.receive(baths.book, tablet.device, batch, tablet.held_text, tablet.grants)
    assert len(continued(baths)) == 1


def test_an_ending_of_one_that_is_not_known_yet_comes_again(
    baths: Baths, tablet: Tablet, other: Tablet
) -> None:
    tablet.say(baths, "p-tester", "incident-started", BEGUN)
    other.say(baths, "p-manager", "incident-ended", MET)
    assert other.send(baths) == ["not-yet"]
    tablet.send(baths)
    assert other.send(baths) == ["recorded"]
    assert len(continued(baths)) == 1
    assert stops(baths) == ["glass"]


def test_it_can_be_ended_elsewhere_again_and_goes_on_again(baths: Baths, tablet: Tablet) -> None:
    walk_through(baths, tablet, "glass-word")
    tablet.say(baths, "p-manager", "incident-ended", MET)
    tablet.send(baths)
    tablet.look(baths)
    again = tablet.say(baths, "p-manager", "incident-ended", MET)
    tablet.send(baths)
    assert [one["ended"] for one in continued(baths)][1:] == [again]
    assert stops(baths) == ["glass"]


# --- Rounds that show that it was not over ---------------------------------------------------


def nothing() -> None:
    """Do nothing meanwhile."""


def read_at_two_points(baths: Baths) -> tuple[str, str]:
    """Begin one for circulation, do its steps and test at two points, all at the server."""
    given = {"kind": "circulation-failure", "pool": "main", "nobody_in": True}
    incident = start_incident(baths.book, ANYBODY, given)["incident"]
    for step in INCIDENTS["circulation-failure"]["steps"]:
        baths.wait(1)
        if step not in (*MEASURED, "water-word"):
            said = {"incident": incident, "step": step, "answer": "done", "words": "Dagny: yes"}
            step_incident(baths.book, baths.who("manager"), said)
    baths.wait(1)
    tested = [baths.retest(pool)["round"] for pool in ("teaching", "main")][1]
    baths.wait(1)
    return incident, tested


def ended_after_a_test(baths: Baths, meanwhile: Callable[[], object] = nothing) -> tuple[str, str]:
    """Begin one for circulation, test at two points and end it, all at the server."""
    incident, tested = read_at_two_points(baths)
    meanwhile()
    baths.wait(1)
    end_incident(baths.book, baths.who("manager"), {"incident": incident})
    return incident, tested


def test_a_reading_corrected_after_the_end_lets_it_go_on(baths: Baths) -> None:
    incident, tested = ended_after_a_test(baths)
    assert "circulation-stopped" not in stops(baths)
    baths.wait(60)
    given = {"round": tested, "parameter": "free_chlorine", "point": "deep", "value": "0.12"}
    correct_reading(baths.book, baths.who("tester"), given | {"reason": "misread"})
    (body,) = continued(baths)
    assert (body["incident"], body["unmet"][0]) == (incident, "steps-done")
    assert "two-point-round" in body["unmet"]
    assert "ended" not in row(baths, incident)
    baths.reopened()
    assert "ended" not in row(baths, incident)


def test_a_reading_corrected_to_what_meets_as_well_lets_it_be(baths: Baths) -> None:
    incident, tested = ended_after_a_test(baths)
    given = {"round": tested, "parameter": "free_chlorine", "point": "deep", "value": "1.61"}
    correct_reading(baths.book, baths.who("tester"), given | {"reason": "misread"})
    assert (continued(baths), "ended" in row(baths, incident)) == ([], True)


def test_a_round_of_that_time_that_comes_late_lets_it_go_on(baths: Baths, tablet: Tablet) -> None:
    incident, _ = ended_after_a_test(baths, lambda: tablet.round(baths, **LOW))
    assert continued(baths) == []
    baths.wait(40)
    assert tablet.send(baths) == ["recorded"]
    assert [one["incident"] for one in continued(baths)] == [incident]


def test_a_round_taken_at_once_after_the_end_is_none_of_it(baths: Baths) -> None:
    incident, _ = ended_after_a_test(baths)
    baths.wait(0.1)
    baths.round(**LOW)
    assert (continued(baths), "ended" in row(baths, incident)) == ([], True)


def test_a_round_of_today_says_nothing_of_what_was_ended_yesterday(
    baths: Baths, tablet: Tablet
) -> None:
    ended_after_a_test(baths)
    baths.wait(60)
    baths.round(**LOW)
    tablet.round(baths, **LOW)
    tablet.send(baths)
    assert continued(baths) == []


def test_ordinary_rounds_after_the_end_do_not_push_out_those_it_was_ended_on(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    incident, tested = ended_after_a_test(baths)
    monkeypatch.setattr(incident_facts, "INCIDENT_ROUNDS", 4)
    days_of_rounds(baths)
    given = {"round": tested, "parameter": "free_chlorine", "point": "deep", "value": "0.12"}
    correct_reading(baths.book, baths.who("tester"), given | {"reason": "misread"})
    (body,) = continued(baths)
    assert (body["incident"], "two-point-round" in body["unmet"]) == (incident, True)


def test_an_ending_that_comes_after_many_ordinary_rounds_holds(
    baths: Baths, tablet: Tablet, monkeypatch: pytest.MonkeyPatch
) -> None:
    incident, _ = read_at_two_points(baths)
    tablet.look(baths)
    tablet.say(baths, "p-manager", "incident-ended", MET | {"incident": incident})
    monkeypatch.setattr(incident_facts, "INCIDENT_ROUNDS", 4)
    days_of_rounds(baths)
    assert tablet.send(baths) == ["recorded"]
    assert (continued(baths), "ended" in row(baths, incident)) == ([], True)


def days_of_rounds(baths: Baths) -> None:
    """Test once more than an incident keeps, where nothing is wrong."""
    for _ in range(5):
        baths.wait(60)
        baths.round()


# --- A crash or a lost disk in between -------------------------------------------------------


class CrashError(BaseException):
    """The program dies."""


@pytest.mark.parametrize("error", [CrashError(), NotRecordingError("disk")])
@pytest.mark.parametrize("again", ["resent", "at the opening", "with the next"])
def test_a_late_round_whose_look_was_lost_lets_it_go_on_all_the_same(
    baths: Baths, monkeypatch: pytest.MonkeyPatch, error: BaseException, again: str
) -> None:
    incident, _ = ended_after_a_test(baths)
    late = late_low(baths)
    with monkeypatch.context() as patch, suppress(CrashError):
        patch.setattr(rounds, "look_at_endings", failing(error))
        answer = record_round(baths.book, baths.who("tester"), late)
        assert (answer["judged"], answer["why_not_judged"]) == (False, "saved, not judged: disk")
        assert not baths.book.recording
    baths.reopened()
    assert (late["id"] in baths.book.state.verdicts, continued(baths)) == (False, [])
    if again == "resent":
        answer = record_round(baths.book, baths.who("tester"), late)
        assert (answer["repeated"], answer["judged"]) == (True, True)
    elif again == "at the opening":
        assert judge_missing(baths.book) == [late["id"]]
    else:
        baths.round()
    assert [one["incident"] for one in continued(baths)] == [incident]
    assert "circulation-stopped" in stops(baths)
    record_round(baths.book, baths.who("tester"), late)
    assert len(continued(baths)) == 1


@pytest.mark.parametrize("at_tablet", [True, False])
def test_a_round_that_is_corrected_before_it_was_looked_at_lets_it_go_on(
    baths: Baths, tablet: Tablet, monkeypatch: pytest.MonkeyPatch, *, at_tablet: bool
) -> None:
    incident, _ = ended_after_a_test(baths)
    late = late_low(baths)
    with monkeypatch.context() as patch, suppress(CrashError):
        patch.setattr(rounds, "judge_round", failing(CrashError()))
        record_round(baths.book, baths.who("tester"), late)
    given = {"round": late["id"], "parameter": "ph", "value": "7.41"}
    if at_tablet:
        baths.wait(1)
        tablet.look(baths)
        body = given | {"was": "7.43", "dilution": 1}
        more = {"amends": late["id"], "reason": "misread"}
        tablet.say(baths, "p-tester", "reading-corrected", body, **more)
        assert tablet.send(baths) == ["recorded"]
    else:
        correct_reading(baths.book, baths.who("tester"), given | {"reason": "misread"})
    assert [one["incident"] for one in continued(baths)] == [incident]


@pytest.mark.parametrize("error", [CrashError(), NotRecordingError("disk")])
@pytest.mark.parametrize("lost", ["judge_round", "look_at_endings"])
def test_a_correction_is_on_record_with_what_follows_from_it_or_not_at_all(
    baths: Baths, monkeypatch: pytest.MonkeyPatch, error: BaseException, lost: str
) -> None:
    _, tested = ended_after_a_test(baths)
    given = {"round": tested, "parameter": "free_chlorine", "point": "deep", "value": "0.12"}
    given |= {"reason": "misread"}
    with monkeypatch.context() as patch:
        patch.setattr(rounds, lost, failing(error))
        with pytest.raises(type(error)):
            correct_reading(baths.book, baths.who("tester"), given)
    found = baths.reopened().state.round_by_id(tested)
    assert found is not None
    assert found.corrections == ()
    correct_reading(baths.book, baths.who("tester"), given)
    assert len(continued(baths)) == 1


@pytest.mark.parametrize("lost", ["judge_round", "look_at_endings"])
def test_a_correction_stays_on_record_where_what_follows_cannot_be_worked_out(
    baths: Baths, monkeypatch: pytest.MonkeyPatch, lost: str
) -> None:
    tested = baths.round()["round"]
    monkeypatch.setattr(rounds, lost, failing(KeyError("a fault")))
    given = {"round": tested, "parameter": "free_chlorine", "value": "0.12", "reason": "misread"}
    answer = correct_reading(baths.book, baths.who("tester"), given)
    assert ("why_not_judged" in answer) is (lost == "judge_round")
    found = baths.reopened().state.round_by_id(tested)
    assert found is not None
    assert len(found.corrections) == 1


def late_low(baths: Baths) -> dict[str, Any]:
    """Give a round of a minute ago that does not meet, with an id."""
    at = instant_text(baths.now_ms - MINUTE_MS)
    given = {"id": new_id(baths.now_ms), "pool": "main", "source": "late", "at": at}
    return given | {"readings": LOW}


def failing(error: BaseException) -> Callable[..., None]:
    """Fail in place of what would be done."""

    def fail(*_: Any, **_more: Any) -> None:
        raise error

    return fail


def test_the_sheet_of_the_next_day_knows_that_an_incident_goes_on(
    baths: Baths, tablet: Tablet
) -> None:
    walk_through(baths, tablet, "glass-word")
    tablet.say(
        baths, "p-manager", "pool-opened", {"round": tablet.round(baths), "overall": "meets"}
    )
    baths.wait(1)
    tablet.say(baths, "p-manager", "incident-ended", MET)
    tablet.send(baths)
    assert len(continued(baths)) == 1
    with baths.book.reading() as connection:
        found = status_before(connection, baths.book.site, "main", baths.now_ms + 1)
    assert found == ("closed", baths.now_ms)
