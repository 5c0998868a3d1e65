"""Each thing that a line, a key or a stamp must hold to, one by one, and the word for it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st
from tests.records.log_cases import Item, Log, curved, edwards, make_log, sealed, secret, told

from lanewater.records import bundle
from lanewater.records.signing import key_from
from lanewater.records.stamps import Head, make_stamp, read_stamp
from lanewater.records.verify_state import Finding
from lanewater.records.verifying import (
    Answer,
    answer_over,
    answer_over_bundle,
    stamps_in,
    walk_over,
)

COUNT = 12


def record() -> Log:
    return make_log(COUNT, "one-by-one", every=4)


def tablets(log: Log) -> list[str]:
    return [dev for dev in log.signers if dev != log.server]


def first(answer: Answer) -> tuple[str, str, int | None]:
    finding = answer.findings[0]
    return finding.what, finding.by, finding.line


def checked(log: Log, *outside: str) -> Answer:
    """Stamp what is there, so that only the lines themselves can fail, and verify it."""
    log.stamps = [log.note()]
    return answer_over_bundle(log.files(), outside)


def put(item: Item, log: Log, **fields: Any) -> None:
    item.content |= fields
    log.sign(item)


# ---------------------------------------------------------------- lines


def other_site(log: Log) -> None:
    put(log.items[-1], log, site="other")


def id_twice(log: Log) -> None:
    put(log.items[-1], log, id=log.items[3].content["id"])


def not_enrolled(log: Log) -> None:
    log.add(log.signer("stranger", edwards), "told", told(1))


def own_enrolment_of_a_tablet(log: Log) -> None:
    stranger = log.signer("stranger", curved)
    log.enrol(stranger, "shared", by=stranger)


def enrolled_as_silent(log: Log) -> None:
    stranger = log.signer("stranger", edwards)
    body = {"device": stranger, "name": "x", "kind": "shared", "algorithm": "none"}
    log.add(log.server, "device-enrolled", body)
    log.add(stranger, "told", told(1))


def revoked_before(log: Log) -> None:
    log.add(log.server, "device-revoked", {"device": tablets(log)[0]})
    log.add(tablets(log)[0], "told", told(1))


def bad_signature(log: Log) -> None:
    log.items[-1].sig = "00" * 64


def gap(log: Log) -> None:
    put(log.items[-1], log, dseq=log.items[-1].content["dseq"] + 2)


def count_goes_back(log: Log) -> None:
    put(log.items[-1], log, dseq=1)


def other_chain(log: Log) -> None:
    put(log.items[-1], log, dprev="ab" * 32)


def saw_another_head(log: Log) -> None:
    put(log.items[-1], log, seen={"size": 4, "root": "ab" * 32})


def saw_the_future(log: Log) -> None:
    put(log.items[-1], log, seen={"size": COUNT, "root": log.tree().root(COUNT).hex()})


def saw_nothing_with_a_head(log: Log) -> None:
    put(log.items[-1], log, seen={"size": 0, "root": "ab" * 32})


def told_of_another_head(log: Log) -> None:
    log.add(log.server, "backup-made", {"size": 3, "root": "ab" * 32, "sha256": "ab" * 32})


def told_of_no_head(log: Log) -> None:
    log.add(log.server, "stamp-sent", {"size": "3", "root": log.tree().root(3).hex()})


def told_of_an_odd_head(log: Log) -> None:
    log.add(log.server, "record-exported", {"size": 3, "root": 7})


def key_of_another_algorithm(log: Log) -> None:
    item = log.enrol(log.signer("new", edwards))
    item.content["body"]["algorithm"] = "ecdsa-p256"
    log.sign(item)


def key_under_another_id(log: Log) -> None:
    item = log.enrol(log.signer("new", edwards))
    item.content["body"]["device"] = "dev-" + "0" * 20
    log.sign(item)


def silent_key_for_a_known_id(log: Log) -> None:
    item = log.enrol(tablets(log)[0])
    item.content["body"] |= {"algorithm": "none", "public_key": ""}
    log.sign(item)


def revokes_a_stranger(log: Log) -> None:
    log.add(log.server, "device-revoked", {"device": ["no", "id"]})


def log_key_that_is_none(log: Log) -> None:
    log.add(log.server, "log-key-named", {"algorithm": "ed25519", "public_key": "xyz"})


def log_key_of_another_kind(log: Log) -> None:
    log.add(log.server, "log-key-named", {"algorithm": "rsa", "public_key": "ab" * 32})


LAST, NEXT = COUNT, COUNT + 1
LINES: dict[str, tuple[Callable[[Log], None], tuple[str, str, int]]] = {
    "another site": (other_site, ("changed", "form", LAST)),
    "an id twice": (id_twice, ("changed", "form", LAST)),
    "a device that is not enrolled": (not_enrolled, ("changed", "device", NEXT)),
    "a tablet enrols itself": (own_enrolment_of_a_tablet, ("changed", "device", NEXT)),
    "a device that does not sign": (enrolled_as_silent, ("changed", "device", NEXT + 1)),
    "a revoked device": (revoked_before, ("changed", "device", NEXT + 1)),
    "a signature that does not fit": (bad_signature, ("changed", "signature", LAST)),
    "a gap in a device's count": (gap, ("device-gap", "chain", LAST)),
    "a device's count goes back": (count_goes_back, ("changed", "chain", LAST)),
    "another previous entry": (other_chain, ("changed", "chain", LAST)),
    "another head was seen": (saw_another_head, ("changed", "seen", LAST)),
    "a head to come was seen": (saw_the_future, ("changed", "seen", LAST)),
    "nothing was seen, with a head": (saw_nothing_with_a_head, ("changed", "seen", LAST)),
    "another head is told": (told_of_another_head, ("changed", "seen", NEXT)),
    "a head is told as text": (told_of_no_head, ("changed", "seen", NEXT)),
    "a head is told as a number": (told_of_an_odd_head, ("changed", "seen", NEXT)),
    "a key of another algorithm": (key_of_another_algorithm, ("changed", "device", NEXT)),
    "a key under another id": (key_under_another_id, ("changed", "device", NEXT)),
    "another key for a known id": (silent_key_for_a_known_id, ("changed", "device", NEXT)),
    "a stranger is revoked": (revokes_a_stranger, ("changed", "device", NEXT)),
    "a log key that is none": (log_key_that_is_none, ("changed", "log-key", NEXT)),
    "a log key of another kind": (log_key_of_another_kind, ("changed", "log-key", NEXT)),
}


@pytest.mark.parametrize("name", LINES)
def test_each_fault_of_a_line_has_its_word_and_its_place(name: str) -> None:
    change, expected = LINES[name]
    log = record()
    change(log)
    assert first(checked(log)) == expected


def test_a_device_gap_names_the_device_and_the_entry() -> None:
    log = record()
    gap(log)
    finding = checked(log).findings[0]
    assert finding.device == log.items[-1].content["dev"]
    assert finding.entry == log.items[-1].content["dseq"] - 2


def test_what_is_honest_of_each_kind_is_complete() -> None:
    log = record()
    new = log.signer("new", curved)
    log.enrol(new)
    log.enrol(new)  # said again, of the same key
    shell = log.signer("shell", edwards)
    log.enrol(shell, "shell", by=shell)
    log.add(new, "told", told(1), seen={"size": 0, "root": log.tree().root(0).hex()})
    log.add(log.server, "record-exported", {"size": 0, "root": log.tree().root(0).hex()})
    log.add(log.server, "device-revoked", {"device": new})
    log.add(log.server, "device-revoked", {"device": new})
    log.log_seeds.append("second")
    log.name_log_key()
    log.add(log.server, "of-tomorrow", {"x": [1, True]})
    answer = checked(log)
    assert answer.findings == ()


def lines_of(log: Log) -> list[bytes]:
    return log.files()[bundle.EVENTS].splitlines(keepends=True)


def of_lines(log: Log, lines: list[bytes]) -> Answer:
    return answer_over_bundle(sealed(log.files() | {bundle.EVENTS: b"".join(lines)}))


def test_a_line_taken_out_is_missing_after_the_one_before() -> None:
    log = record()
    lines = lines_of(log)
    del lines[5]
    answer = of_lines(log, lines)
    assert first(answer) == ("missing", "place", 5)
    assert answer.root == ""


def test_a_line_told_twice_is_out_of_its_place() -> None:
    log = record()
    lines = lines_of(log)
    assert first(of_lines(log, [*lines, lines[3]])) == ("changed", "place", COUNT + 1)


def test_a_last_line_that_was_cut_short_cannot_be_read() -> None:
    log = record()
    lines = lines_of(log)
    lines[-1] = lines[-1][:-1]
    answer = of_lines(log, lines)
    assert first(answer) == ("changed", "form", COUNT)
    assert answer.lines == COUNT


def test_behind_a_line_that_cannot_be_read_stamps_cannot_be_checked() -> None:
    log = record()
    lines = lines_of(log)
    lines[9] = b"{}\n"
    answer = of_lines(log, lines)
    assert [(f.what, f.size) for f in answer.findings if f.by == "stamp-beside" and f.size] == [
        ("not-checked", COUNT)
    ]
    assert answer.stamps_held == 1  # the one of line 8 stands before it


def test_a_first_line_that_cannot_be_read_leaves_every_stamp_unchecked() -> None:
    log = record()
    lines = lines_of(log)
    lines[0] = b"[]\n"
    answer = of_lines(log, lines)
    assert {f.what for f in answer.findings if f.by == "stamp-beside"} == {"not-checked"}
    assert not answer.complete


# ---------------------------------------------------------------- stamps


def restored_log() -> Log:
    """Give a record that was put back to line 12 when 15 were known, and went on."""
    log = record()
    size = len(log.items)
    body = {
        "size": size,
        "root": log.tree().root(size).hex(),
        "held_size": size + 3,
        "held_root": "ab" * 32,
    }
    log.add(log.server, "record-restored", body)
    log.epoch = 2
    return log


def test_a_restore_is_told_and_starts_an_epoch() -> None:
    log = restored_log()
    answer = checked(log)
    assert answer.complete
    assert answer.restored == (COUNT + 1,)
    log.stamps = [log.note(epoch=1)]
    assert first(answer_over_bundle(log.files())) == ("changed", "stamp-beside", None)


def test_what_was_sent_again_after_a_restore_may_have_seen_what_was_lost() -> None:
    log = restored_log()
    for size, root in ((COUNT + 2, "cd"), (COUNT - 1, "cd"), (COUNT + 3, "ab")):
        log.add(tablets(log)[0], "told", told(1), seen={"size": size, "root": root * 32})
    assert checked(log).complete
    for size in (COUNT + 3, COUNT + 4):
        other = log.copy()
        other.add(tablets(log)[0], "told", told(2), seen={"size": size, "root": "cd" * 32})
        assert first(checked(other)) == ("changed", "seen", COUNT + 5)


def test_before_a_restore_no_head_of_what_was_lost_passes() -> None:
    log = record()
    log.add(tablets(log)[0], "told", told(1), seen={"size": COUNT - 1, "root": "cd" * 32})
    assert first(checked(log)) == ("changed", "seen", COUNT + 1)


def lost_stamp(log: Log, size: int) -> str:
    """Give a stamp of what was lost: honest, of the first epoch."""
    first_hash = log.note(1).split("\n")[0].split("/")[2]
    head = Head(f"lanewater/{log.site}/{first_hash}/1", size, bytes(32))
    return make_stamp(head, key_from(secret(log.log_seeds[-1])))


def test_a_stamp_of_what_was_lost_says_that_the_record_tells_it_itself() -> None:
    log = restored_log()
    for size, what in ((COUNT + 1, "changed"), (COUNT + 3, "rolled-back")):
        (finding,) = checked(log.copy(), lost_stamp(log, size)).findings
        assert finding.what == what
        assert f"restored in line {COUNT + 1}, as the record itself says" in finding.says
    (finding,) = checked(log.copy(), lost_stamp(log, 5)).findings
    assert "as the record itself says" not in finding.says


def test_a_stamp_counts_under_the_key_that_was_in_force_at_its_size() -> None:
    log = record()
    before = log.note(10)
    log.log_seeds.append("second")
    log.name_log_key()
    log.add(log.server, "told", told(1))
    assert checked(log, before).complete
    late = log.copy()
    late.log_seeds.pop()
    (finding,) = checked(log, late.note()).findings
    assert (finding.what, finding.by) == ("not-checked", "stamp-outside")


def test_a_stamp_before_any_log_key_is_not_signed_with_this_records_key() -> None:
    (finding,) = checked(record(), record().note(1)).findings
    assert (finding.what, finding.size) == ("not-checked", 1)


@pytest.mark.parametrize("size", [1, 4, 400])
def test_with_no_lines_every_stamp_shows_that_some_are_missing(size: int) -> None:
    stamp = read_stamp(record().note(COUNT).replace(f"\n{COUNT}\n", f"\n{size}\n"))
    answer = answer_over(walk_over([]), [stamp], [stamp])
    assert [(f.what, f.by, f.line) for f in answer.findings] == [
        ("missing", "stamp-beside", 0),
        ("not-checked", "stamp-beside", 0),
        ("rolled-back", "stamp-outside", 0),
    ]


def test_a_store_needs_no_stamp_of_its_newest_lines() -> None:
    log = record()
    stamps = [read_stamp(note) for note in log.stamps[:1]]
    walk = walk_over(log.lines())
    assert answer_over(walk, stamps, covered=False).complete
    assert not answer_over(walk, stamps).complete


def test_stamps_are_found_in_any_text_and_a_broken_one_is_never_passed_over() -> None:
    note = record().note(8)
    text = f"Hello,\r\n\r\n{note}\r\nlanewater/broken\n{note}"
    found = stamps_in(text)
    assert [stamp is not None for stamp in found] == [True, False, True]
    assert stamps_in("") == [None]
    assert stamps_in("lanewater/") == [None]


def test_only_a_hundred_findings_are_listed_and_the_rest_is_counted() -> None:
    others = [Finding("changed", "form", "x", line=number) for number in range(250)]
    told_all = answer_over(walk_over([]), [], others=others).fields()
    assert len(told_all["findings"]) == 100
    assert told_all["more"] == 151


# ---------------------------------------------------------------- files


@pytest.mark.parametrize(
    "manifest",
    [
        b"\n",
        b"x",
        b"\xff\n",
        ("a" * 64 + "  events.jsonl").encode(),
        ("A" * 64 + "  events.jsonl\n").encode(),
        ("a" * 64 + "  ../events.jsonl\n").encode(),
        ("a" * 64 + "  manifest.sha256\n").encode(),
        (("a" * 64 + "  keys.json\n") * 2).encode(),
        ("a" * 64 + "  stamps.txt\n" + "a" * 64 + "  keys.json\n").encode(),
        ("a" * 64 + " *events.jsonl\n").encode(),
    ],
)
def test_a_manifest_in_another_form_is_refused(manifest: bytes) -> None:
    answer = answer_over_bundle(record().files() | {bundle.MANIFEST: manifest})
    (finding,) = answer.findings
    assert (finding.what, finding.file) == ("file-changed", bundle.MANIFEST)


def test_an_empty_manifest_vouches_for_nothing() -> None:
    answer = answer_over_bundle(record().files() | {bundle.MANIFEST: b""})
    assert [f.what for f in answer.findings] == ["not-checked"] * 3


@pytest.mark.parametrize("name", bundle.REQUIRED)
def test_each_file_is_held_to_its_hash(name: str) -> None:
    files = record().files()
    files[name] += b" "
    found = [f for f in answer_over_bundle(files).findings if f.file == name]
    assert found[0].what == "file-changed"


@pytest.mark.parametrize("text", [b"\n", b"\xff", b"x", b"a\n\nb\n\nc"])
def test_stamps_in_another_form_are_no_stamps(text: bytes) -> None:
    answer = answer_over_bundle(sealed(record().files() | {bundle.STAMPS: text}))
    assert [(f.what, f.file or f.by) for f in answer.findings] == [
        ("file-changed", bundle.STAMPS),
        ("not-checked", "stamp-beside"),
    ]


def test_keys_that_the_lines_do_not_name_are_not_believed() -> None:
    files = record().files()
    files[bundle.KEYS] = record().files()[bundle.KEYS].replace(b'"line":2', b'"line":3')
    (finding,) = answer_over_bundle(sealed(files)).findings
    assert (finding.what, finding.file) == ("file-changed", bundle.KEYS)


NAMES = st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=8)
VALUES = st.recursive(
    st.booleans() | st.integers(1 - 2**53, 2**53 - 1) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(NAMES, inner, max_size=4),
    max_leaves=20,
)


@given(VALUES)
def test_in_the_profile_the_quick_spelling_is_the_canonical_one(value: Any) -> None:
    assert bundle.spelled(value) == rfc8785.dumps(value)


@pytest.mark.parametrize(
    "line",
    [
        b"",
        b"null",
        b"\xff",
        b"[" * 3000,
        b'{"entry":"{}","index":0,"received_at":"2026-07-01T08:00:00.000Z"}',
        b'{"entry":"{}","index":-1,"received_at":"2026-07-01T08:00:00.000Z","sig":"SIG"}',
        b'{"entry":"{}","index":true,"received_at":"2026-07-01T08:00:00.000Z","sig":"SIG"}',
        b'{"entry":"{}","index":0,"received_at":"yesterday","sig":"SIG"}',
        b'{"entry":1,"index":0,"received_at":"2026-07-01T08:00:00.000Z","sig":"SIG"}',
        b'{"entry":"{}","index":0,"received_at":"2026-07-01T08:00:00.000Z","sig":"00"}',
        b'{"entry":"{}", "index":0,"received_at":"2026-07-01T08:00:00.000Z","sig":"SIG"}',
        b'{"entry":"' + b"x" * 300_000 + b'"}',
    ],
)
def test_a_line_in_another_form_cannot_be_read(line: bytes) -> None:
    assert bundle.read_line(line.replace(b"SIG", b"ab" * 64)) is None
