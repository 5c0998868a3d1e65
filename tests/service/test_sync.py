"""What devices send later: taken once, judged in its order, and refused with a word."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.baths import GOOD, MINUTE_MS, Baths
from tests.service.test_enrolment import enrolled
from tests.sync.device import Device

from lanewater.records.errors import BrokenPromiseError, NotRecordingError
from lanewater.records.receiving import MOST_AT_ONCE, Sealed
from lanewater.records.signing import make_key
from lanewater.records.stamps import make_stamp, read_stamp, receipt_holds
from lanewater.records.store import evidence
from lanewater.records.tree import holds_consistency, holds_inclusion, inclusion_path
from lanewater.service import sync
from lanewater.service.actor import SHELL, Actor
from lanewater.service.additions import answer_addition, blocks
from lanewater.service.backup import make_backup
from lanewater.service.book import new_id
from lanewater.service.enrolment import revoke_device
from lanewater.service.opening import open_pool
from lanewater.service.record import lines
from lanewater.service.replicas import lines_from, stamp_from
from lanewater.service.restore import accept_restored, restore_backup
from lanewater.service.rounds import judge_missing, record_round
from lanewater.service.set_up import add
from lanewater.service.whole_record import answer_for_store
from lanewater.terms.errors import InputError, RefusedError

FACTS = {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"}


class Tablet(Device):
    """A tablet of the baths, and how it speaks to them."""

    def send(self, baths: Baths, most: int = MOST_AT_ONCE) -> list[dict[str, Any]]:
        """Send what waits and take in the answer."""
        batch = [Sealed(*one) for one in self.batch(most)]
        held = self.held
        answer = sync.receive(baths.book, self.device, batch, self.held_text)
        self.take_answer(answer, held)
        return list(answer["outcomes"])

    def look(self, baths: Baths) -> None:
        """Ask for what is new."""
        start, held = self.wanted_from(), self.held
        self.take_lines(start, lines_from(baths.book, start, 500, device=self.device), held)

    def say(self, baths: Baths, kind: str, body: dict[str, Any], **more: Any) -> str:
        """Make a fact now, or at `at_ms`."""
        at_ms = more.pop("at_ms", baths.now_ms)
        return self.write(new_id(baths.now_ms), kind, body, at_ms, **more).id

    def round(self, baths: Baths, pool: str = "main", **changes: Any) -> str:
        """Make a round."""
        at_ms = changes.pop("at_ms", baths.now_ms)
        readings = [{"parameter": key, "value": text} for key, text in (GOOD | changes).items()]
        body = {"pool": pool, "source": "direct", "tester": {"unlisted": True}}
        return self.say(baths, "round-recorded", body | {"readings": readings}, at_ms=at_ms)


@pytest.fixture
def tablet(baths: Baths) -> Tablet:
    """Enrol a tablet that signs for itself."""
    key = make_key()
    enrolled(baths, key)
    return Tablet(key, baths.book.site, baths.book.own.log.public_hex)


def outcomes(told: list[dict[str, Any]]) -> list[str]:
    """Give what came of each entry, or why not."""
    return [one.get("why", one["outcome"]) for one in told]


def test_a_round_that_a_tablet_signed_is_recorded_judged_and_receipted(
    baths: Baths, tablet: Tablet
) -> None:
    made = tablet.round(baths)
    told = tablet.send(baths)[0]
    verdict = baths.book.state.verdicts[made]
    assert (told["outcome"], verdict.overall) == ("recorded", "meets")
    assert receipt_holds(told["receipt"], tablet.log_key)
    tablet.look(baths)
    assert tablet.held is not None
    index, size = told["receipt"]["index"], tablet.held.size
    path = inclusion_path(index, size, tablet.replica.node)
    leaf = bytes.fromhex(told["receipt"]["leaf"])
    assert holds_inclusion(leaf, index, size, path, tablet.held.root)


def test_a_resend_gets_the_same_receipt_and_records_nothing(baths: Baths, tablet: Tablet) -> None:
    tablet.round(baths)
    batch = [Sealed(*one) for one in tablet.batch()]
    first = sync.receive(baths.book, tablet.device, batch)
    size = baths.book.state.index
    again = sync.receive(baths.book, tablet.device, batch)
    assert again["outcomes"][0]["outcome"] == "known"
    assert again["outcomes"][0]["receipt"] == first["outcomes"][0]["receipt"]
    assert (baths.book.state.index, again["stamp"]) == (size, first["stamp"])


def test_a_house_stop_in_a_batch_stands_for_the_rounds_after_it(
    baths: Baths, tablet: Tablet
) -> None:
    tablet.round(baths, clarity="not-visible")
    baths.wait(10)
    later = tablet.round(baths)
    tablet.send(baths)
    state = baths.book.state
    assert [stop.id for stop in state.stops["main"]] == ["bottom-not-seen"]
    assert state.verdicts[later].overall == "not-judged"


def test_a_clock_that_is_a_year_ahead_neither_hides_later_rounds_nor_puts_off_a_stop(
    baths: Baths, tablet: Tablet
) -> None:
    year_ms = 365 * 24 * 60 * MINUTE_MS
    ahead = tablet.round(baths, at_ms=baths.now_ms + year_ms)
    body = {"pool": "teaching", "stop": "glass"}
    tablet.say(baths, "everyone-out", body, at_ms=baths.now_ms + year_ms)
    assert outcomes(tablet.send(baths)) == ["recorded", "recorded"]
    baths.wait(30)
    now = baths.round()["round"]
    stopped = baths.round("teaching")
    last = baths.book.state.last_round("main")
    assert last is not None
    assert last.id == now
    assert stopped["verdict"]["overall"] == "not-judged"
    line = next(row for row in lines(baths.book) if row["id"] == ahead)
    assert (line["at"][:4], line["timing"]) == ("2027", "ahead")
    again = baths.reopened().state.last_round("main")
    assert again is not None
    assert again.id == now


def test_a_pool_that_is_not_set_up_yet_is_taken_once_it_is(baths: Baths, tablet: Tablet) -> None:
    tablet.round(baths, pool="new")
    told = tablet.send(baths)[0]
    assert (told["why"], told["again"], told["about"]) == ("not-yet", True, "body.pool")
    add(baths.book, SHELL, "pool", {"pool": "new", "name": "New", "facts": FACTS})
    assert outcomes(tablet.send(baths)) == ["recorded"]


@pytest.mark.parametrize(
    ("readings", "about"),
    [
        ([{"parameter": "ph", "value": "visible"}], "body.readings[0]"),
        ([{"parameter": "ph", "value": "7.4", "unit": "furlong"}], "body.readings[0]"),
        ([{"parameter": "free_chlorine", "value": "-1"}], "body.readings[0].value"),
        (
            [{"parameter": "ph", "value": "7.4", "at": "2026-07-02T09:51:00.000Z"}],
            "body.readings[0].at",
        ),
    ],
)
def test_a_reading_that_nobody_can_read_is_kept_as_evidence_and_poisons_no_later_round(
    baths: Baths, tablet: Tablet, readings: list[dict[str, str]], about: str
) -> None:
    body = {"pool": "main", "source": "direct", "tester": {"unlisted": True}}
    wrong = tablet.say(baths, "round-recorded", body | {"readings": readings})
    good = tablet.round(baths)
    told = tablet.send(baths)
    assert (outcomes(told), told[0]["about"]) == (["does-not-fit", "gap"], about)
    assert tablet.aside == {wrong: "does-not-fit"}
    assert outcomes(tablet.send(baths)) == ["recorded"]
    assert good in baths.book.state.verdicts
    kept = evidence.rows(baths.book.connection)
    assert [(dev, why) for _, dev, why, _, _ in kept] == [(tablet.device, "does-not-fit")]


def test_a_tester_is_the_one_who_speaks(baths: Baths, tablet: Tablet) -> None:
    readings = [{"parameter": "ph", "value": "7.4"}]
    body = {"pool": "main", "source": "direct", "tester": {"person": "p-manager"}}
    tablet.say(baths, "round-recorded", body | {"readings": readings})
    assert outcomes(tablet.send(baths)) == ["does-not-fit"]


def correction(round_id: str, **changes: Any) -> dict[str, Any]:
    """Give a correction of a round's pH."""
    told = {"pool": "main", "round": round_id, "parameter": "ph", "was": "7.43", "value": "8.90"}
    return told | changes


def test_a_correction_of_an_own_round_is_judged_again(baths: Baths, tablet: Tablet) -> None:
    made = tablet.round(baths)
    tablet.say(baths, "reading-corrected", correction(made), amends=made, reason="Misread")
    assert outcomes(tablet.send(baths)) == ["recorded", "recorded"]
    assert baths.book.state.verdicts[made].overall == "does-not-meet"


def test_a_fail_corrected_to_a_pass_is_held_to_its_first_result(
    baths: Baths, tablet: Tablet
) -> None:
    made = tablet.round(baths, ph="8.90")
    body = correction(made, was="8.90", value="7.43")
    tablet.say(baths, "reading-corrected", body, amends=made, reason="Misread")
    tablet.send(baths)
    verdict = baths.book.state.verdicts[made]
    assert (verdict.overall, verdict.body["changed_to_pass"]) == ("not-judged", True)


def test_another_testers_round_is_not_corrected_by_a_device_itself(
    baths: Baths, tablet: Tablet
) -> None:
    theirs = baths.round()["round"]
    tablet.say(baths, "reading-corrected", correction(theirs), amends=theirs, reason="Misread")
    assert outcomes(tablet.send(baths)) == ["does-not-fit"]


def test_a_correction_of_what_is_not_here_waits(baths: Baths, tablet: Tablet) -> None:
    nowhere = new_id(baths.now_ms)
    tablet.say(baths, "reading-corrected", correction(nowhere), amends=nowhere, reason="Misread")
    assert outcomes(tablet.send(baths)) == ["not-yet"]


def test_two_devices_that_contradict_each_other_on_an_addition_leave_it_unknown(
    baths: Baths, tablet: Tablet
) -> None:
    with baths.book.writing() as writing:
        body = {"pool": "main", "product": "hypo", "circuit": "hall"}
        begun = writing.append("addition-started", body, baths.who("operator")).id
    answer_addition(baths.book, SHELL, {"addition": begun, "answer": "added"})
    tablet.say(
        baths, "addition-answered", {"pool": "main", "addition": begun, "answer": "not-added"}
    )
    assert outcomes(tablet.send(baths)) == ["recorded"]
    state = baths.book.state
    assert state.additions[begun].answer == "unknown"
    assert [row["id"] for row in blocks(state, "main", baths.now_ms)] == ["addition-unknown"]


@pytest.mark.parametrize("body", [{"amount": "1"}, {"amount": "1", "unit": "cup"}])
def test_an_amount_that_nobody_can_add_up_is_refused(
    baths: Baths, tablet: Tablet, body: dict[str, str]
) -> None:
    told = {"pool": "main", "product": "hypo", "answer": "added"}
    tablet.say(baths, "addition-answered", told | body)
    assert outcomes(tablet.send(baths)) == ["does-not-fit"]


def failing(error: Exception) -> Callable[..., Any]:
    """Make a judging that fails."""

    def judge(*_args: Any, **_more: Any) -> Any:
        raise error

    return judge


def test_a_round_that_cannot_be_judged_is_recorded_and_judged_later(
    baths: Baths, tablet: Tablet, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = tablet.round(baths)
    with monkeypatch.context() as patch:
        patch.setattr(sync, "judge_round", failing(ValueError("odd")))
        assert outcomes(tablet.send(baths)) == ["recorded"]
    assert made not in baths.book.state.verdicts
    assert judge_missing(baths.book) == [made]


@pytest.mark.parametrize("error", [NotRecordingError("disk"), BrokenPromiseError("store")])
def test_a_disk_lost_in_the_middle_keeps_nothing_of_the_batch(
    baths: Baths, tablet: Tablet, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    size = baths.book.state.index
    tablet.say(baths, "everyone-out", {"pool": "main", "stop": "glass"})
    tablet.round(baths)
    monkeypatch.setattr(sync, "judge_round", failing(error))
    with pytest.raises(type(error)):
        tablet.send(baths)
    monkeypatch.undo()
    book = baths.reopened()
    assert (book.state.index, book.state.stops.get("main", ())) == (size, ())
    assert outcomes(tablet.send(baths)) == ["recorded", "recorded"]


def test_a_batch_that_was_rolled_back_leaves_no_trace_in_the_open_book(
    baths: Baths, tablet: Tablet
) -> None:
    size = baths.book.state.index
    tablet.say(baths, "everyone-out", {"pool": "main", "stop": "glass"})

    def send_and_fail() -> None:
        with baths.book.writing():
            tablet.send(baths)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        send_and_fail()
    state = baths.book.state
    assert (state.index, state.stops.get("main", ())) == (size, ())


def test_more_than_two_hundred_at_once_are_refused(baths: Baths, tablet: Tablet) -> None:
    with pytest.raises(InputError, match="200"):
        sync.receive(baths.book, tablet.device, [Sealed("{}", "")] * 201)


def test_a_device_that_is_not_on_record_is_refused(baths: Baths) -> None:
    with pytest.raises(RefusedError, match="enrol"):
        sync.receive(baths.book, "dev-nobody", [])


def test_what_a_revoked_device_sends_is_kept_once_and_what_it_sent_before_stays(
    baths: Baths, tablet: Tablet
) -> None:
    before = tablet.round(baths)
    tablet.send(baths)
    late = tablet.round(baths)
    revoke_device(baths.book, SHELL, tablet.device)
    batch = [Sealed(*one) for one in tablet.batch()]
    for _ in range(2):
        told = sync.receive(baths.book, tablet.device, batch)["outcomes"]
        assert outcomes(told) == ["revoked"]
    rounds = [found.id for found in baths.book.state.rounds["main"]]
    assert before in rounds
    assert late not in rounds
    assert [row[2] for row in evidence.rows(baths.book.connection)] == ["revoked"]


def test_no_device_fills_the_disk_with_evidence(
    baths: Baths, tablet: Tablet, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(evidence, "MOST_KEPT", 3)
    for _ in range(5):
        tablet.say(baths, "pool-opened", {"pool": "main"})
        tablet.send(baths)
    assert len(evidence.rows(baths.book.connection)) == 3


def test_amounts_go_out_as_hashes_and_the_tree_is_built_all_the_same(
    baths: Baths, tablet: Tablet
) -> None:
    with baths.book.writing() as writing:
        body = {"pool": "main", "product": "hypo", "amount": "1.5", "unit": "L"}
        writing.append("addition-started", body, baths.who("operator"))
    tablet.look(baths)
    told = [row for row in tablet.replica.lines if "entry" not in row]
    assert len(told) == 2  # the product's strength, and what was added
    assert tablet.held is not None
    assert tablet.held.root == tablet.replica.root()
    assert all("1.5" not in json.dumps(row) for row in told)


def test_the_proof_that_the_record_goes_on_holds(baths: Baths, tablet: Tablet) -> None:
    before = read_stamp(stamp_from(baths.book, 0)["stamp"]).head
    tablet.round(baths)
    tablet.send(baths)
    told = stamp_from(baths.book, before.size)
    head = read_stamp(told["stamp"]).head
    path = [bytes.fromhex(part) for part in told["consistency"]]
    assert holds_consistency(before.size, before.root, head.size, head.root, path)
    with pytest.raises(InputError, match="beyond"):
        stamp_from(baths.book, head.size + 1)


@pytest.mark.parametrize("text", ["", "x", "lanewater/baths/0123456789abcdef/1\n3\n"])
def test_a_stamp_that_is_none_is_refused(baths: Baths, tablet: Tablet, text: str) -> None:
    if text:
        with pytest.raises(InputError, match="stamp"):
            sync.receive(baths.book, tablet.device, [], text)


def test_a_stamp_of_another_key_proves_nothing(baths: Baths, tablet: Tablet) -> None:
    head = read_stamp(stamp_from(baths.book, 0)["stamp"]).head
    forged = make_stamp(type(head)(head.origin, head.size + 9, b"\1" * 32), make_key())
    with pytest.raises(InputError, match="key of this record"):
        sync.receive(baths.book, tablet.device, [], forged)
    assert baths.book.recording


def test_a_stamp_of_another_record_with_the_same_key_proves_nothing(
    baths: Baths, tablet: Tablet
) -> None:
    head = read_stamp(stamp_from(baths.book, 0)["stamp"]).head
    other = head.origin.replace(head.origin.split("/")[2], "0123456789abcdef")
    forged = make_stamp(type(head)(other, head.size + 9, b"\1" * 32), baths.book.own.log)
    with pytest.raises(InputError, match="another record"):
        sync.receive(baths.book, tablet.device, [], forged)
    assert baths.book.recording


def copied(baths: Baths, folder: Path) -> Path:
    """Make a backup."""
    place = folder / "backup"
    make_backup(baths.book, baths.config, SHELL, place)
    return place


def put_back(baths: Baths, backup: Path) -> None:
    """Put a backup back and open the book again."""
    baths.book.close()
    restore_backup(baths.config, backup, now_ms=baths.now_ms, replace=True)
    baths.reopened()


def test_a_server_put_back_asks_for_a_decision_and_then_gets_everything_again(
    baths: Baths, tablet: Tablet, tmp_path: Path
) -> None:
    first = tablet.round(baths)
    tablet.send(baths)
    backup = copied(baths, tmp_path)
    baths.wait(30)
    second = tablet.round(baths, ph="7.50")
    tablet.send(baths)
    tablet.look(baths)
    third = tablet.round(baths)
    put_back(baths, backup)
    assert "ROLLED BACK" in baths.book.trouble
    with pytest.raises(NotRecordingError):
        tablet.send(baths)
    accept_restored(baths.book, SHELL, "The disk was lost")
    told = tablet.send(baths)
    assert (outcomes(told), told[0]["send_from"]) == (["gap"], 2)
    assert (tablet.recopy, tablet.waiting) == (True, 2)
    assert outcomes(tablet.send(baths)) == ["recorded", "recorded"]
    tablet.look(baths)
    assert tablet.events["restoring-followed"] == 1
    assert [found.id for found in baths.book.state.rounds["main"]] == [first, second, third]
    assert tablet.held is not None
    assert (tablet.held.epoch, tablet.held.root) == (2, tablet.replica.root())
    with baths.book.reading() as connection:
        assert answer_for_store(connection, baths.book.site, [tablet.held_text]).complete


def test_a_whole_folder_put_back_is_told_by_the_first_tablet_and_remembered(
    baths: Baths, tablet: Tablet, tmp_path: Path
) -> None:
    backup = copied(baths, tmp_path)
    seen = baths.config.seen.read_text(encoding="utf-8")
    tablet.round(baths)
    tablet.send(baths)
    tablet.look(baths)
    baths.book.close()
    baths.config.seen.write_text(seen, encoding="utf-8")
    restore_backup(baths.config, backup, now_ms=baths.now_ms, replace=True)
    baths.reopened()
    assert baths.book.recording
    baths.round("teaching")
    with pytest.raises(NotRecordingError, match="ROLLED BACK"):
        tablet.send(baths)
    assert not baths.reopened().recording
    accept_restored(baths.book, SHELL, "A whole folder was put back")
    tablet.send(baths)
    tablet.look(baths)
    tablet.send(baths)
    tablet.look(baths)
    assert (tablet.waiting, tablet.trouble) == (0, "")
    with baths.book.reading() as connection:
        assert answer_for_store(connection, baths.book.site, [tablet.held_text]).complete


def test_a_line_whose_device_saw_what_was_lost_is_not_called_back_dated(
    baths: Baths, tablet: Tablet, tmp_path: Path
) -> None:
    backup = copied(baths, tmp_path)
    baths.round()
    tablet.look(baths)
    made = tablet.round(baths)
    tablet.send(baths)
    tablet.look(baths)
    baths.wait(600)
    put_back(baths, backup)
    accept_restored(baths.book, SHELL, "The disk was lost")
    for _ in range(4):
        baths.round("teaching")
    tablet.send(baths)
    tablet.send(baths)
    line = next(row for row in lines(baths.book) if row["id"] == made)
    assert (line["timing"], "from" in line["window"]) == ("sent-later", False)


def test_an_everyone_out_from_a_tablet_beats_an_opening_that_it_did_not_know_of(
    baths: Baths, tablet: Tablet
) -> None:
    record_round(baths.book, baths.who("tester"), {"pool": "main", "readings": GOOD})
    tablet.look(baths)
    tablet.say(baths, "everyone-out", {"pool": "main", "stop": "glass"})
    manager = Actor("p-manager", "pin", verified=True)
    open_pool(baths.book, manager, {"pool": "main"})
    assert baths.book.state.openings["main"].status == "open"
    tablet.send(baths)
    state = baths.book.state
    assert state.openings["main"].status == "closed"
    assert len(state.disputes["main"]) == 1
