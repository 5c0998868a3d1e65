"""Every word of a verifier's answer and every place it names, to the letter: people act on them."""

from __future__ import annotations

import pytest
from tests.records.log_cases import Log, edwards, make_log, sealed, secret
from tests.records.test_verifying import (
    COUNT,
    LINES,
    checked,
    lines_of,
    lost_stamp,
    of_lines,
    record,
    restored_log,
    tablets,
)

from lanewater.records import bundle
from lanewater.records.signing import key_from
from lanewater.records.stamps import read_stamp
from lanewater.records.verify_state import Finding
from lanewater.records.verifying import (
    OUTCOMES,
    answer_over,
    answer_over_bundle,
    keys_of,
    walk_over,
)

NOT_ENROLLED = "is by {dev}, which is not enrolled to write it"
NOT_FOLLOWING = "does not follow its device's previous entry"
OTHER_RECORD = "was written over another record than this"
NO_STATE = "names a state that this record never had"
NO_ENROLMENT = "enrols a device in a way that cannot be"
NO_LOG_KEY = "names a log key that is none"
SAID = {
    "another site": "is of another site",
    "an id twice": "repeats the id of an earlier line",
    "a device that is not enrolled": NOT_ENROLLED,
    "a tablet enrols itself": NOT_ENROLLED,
    "a device that does not sign": NOT_ENROLLED,
    "a revoked device": "is by {dev}, revoked in line 13",
    "a signature that does not fit": "does not carry the signature of its device",
    "a device's count goes back": NOT_FOLLOWING,
    "another previous entry": NOT_FOLLOWING,
    "another head was seen": OTHER_RECORD,
    "a head to come was seen": OTHER_RECORD,
    "nothing was seen, with a head": OTHER_RECORD,
    "another head is told": NO_STATE,
    "a head is told as text": NO_STATE,
    "a head is told as a number": NO_STATE,
    "a key of another algorithm": NO_ENROLMENT,
    "a key under another id": NO_ENROLMENT,
    "another key for a known id": NO_ENROLMENT,
    "a stranger is revoked": "revokes a device that is not enrolled",
    "a log key that is none": NO_LOG_KEY,
    "a log key of another kind": NO_LOG_KEY,
}


def where_line(number: int, says: str, by: str) -> Finding:
    return Finding("changed", by, f"line {number} {says}", line=number)


@pytest.mark.parametrize("name", SAID)
def test_each_fault_of_a_line_is_told_in_these_words(name: str) -> None:
    change, (_what, by, line) = LINES[name]
    log = record()
    change(log)
    says = SAID[name].format(dev=log.items[-1].content["dev"])
    assert checked(log).findings[0] == where_line(line, says, by)


def test_a_gap_is_told_with_the_device_and_what_it_misses() -> None:
    log = record()
    LINES["a gap in a device's count"][0](log)
    dev = log.items[-1].content["dev"]
    says = f"device {dev} misses its entry 4, before line 12"
    assert checked(log).findings == (
        Finding("device-gap", "chain", says, line=12, device=dev, entry=4),
    )


# ---------------------------------------------------------------- places


def misses(dev: str, entry: int, line: int) -> Finding:
    says = f"device {dev} misses its entry {entry}, before line {line}"
    return Finding("device-gap", "chain", says, line=line, device=dev, entry=entry)


def no_cover(first: int, last: int) -> Finding:
    says = f"no stamp covers line {first} to line {last}"
    return Finding("not-checked", "stamp-beside", says, line=first, until=last)


def unread_before(size: int) -> Finding:
    says = f"the stamp of size {size}: a line before cannot be read"
    return Finding("not-checked", "stamp-beside", says, size=size)


def test_lines_taken_out_are_told_in_these_words() -> None:
    log = record()
    lines = lines_of(log)
    first, other = tablets(log)
    says = "missing after line 10: the stamp of size 12 says so"
    assert of_lines(log, [*lines[:5], *lines[7:]]).findings == (
        Finding("missing", "place", "2 missing after line 5", line=5),
        misses(other, 1, 6),
        misses(first, 2, 7),
        unread_before(8),
        Finding("missing", "stamp-beside", says, line=10, size=12),
        no_cover(1, 10),
    )
    assert Finding("missing", "place", "1 missing after line 0", line=0) in (
        of_lines(log, lines[1:]).findings
    )


def test_a_line_told_twice_is_told_in_these_words() -> None:
    lines = lines_of(record())
    assert of_lines(record(), [*lines, lines[3]]).findings == (
        where_line(13, "is out of its place", "place"),
        where_line(13, "repeats the id of an earlier line", "form"),
        no_cover(13, 13),
    )


def test_a_line_that_cannot_be_read_is_told_in_these_words() -> None:
    log = record()
    lines = lines_of(log)
    answer = of_lines(log, [*lines[:9], b"{}\n", *lines[10:]])
    assert answer.findings == (
        where_line(10, "cannot be read as it was written", "form"),
        misses(tablets(log)[1], 3, 12),
        unread_before(12),
        no_cover(9, 12),
    )
    assert (answer.lines, answer.root, answer.stamps_held) == (12, "", 1)


def test_an_entry_in_another_form_is_told_in_these_words() -> None:
    log = record()
    log.items[5].content["v"] = 2
    log.sign(log.items[5])
    assert checked(log).findings == (
        where_line(6, "is no entry in the form of the record", "form"),
        misses(tablets(log)[1], 1, 8),
        *(where_line(number, OTHER_RECORD, "seen") for number in (9, 10, 11, 12)),
    )


# ---------------------------------------------------------------- stamps


def outside(log: Log, *texts: str) -> tuple[Finding, ...]:
    return checked(log.copy(), *texts).findings


def test_a_stamp_of_more_than_there_is_is_told_in_these_words() -> None:
    stamp = read_stamp(record().note(COUNT).replace(f"\n{COUNT}\n", "\n400\n"))
    says = "missing after line 0: the stamp of size 400 says so"
    back = "rolled back against the stamp of size 400"
    unread = "the stamp number 1 cannot be read"
    assert answer_over(walk_over([]), [stamp], [None, stamp]).findings == (
        Finding("missing", "stamp-beside", says, line=0, size=400),
        Finding("not-checked", "stamp-beside", "nothing is on record", line=0),
        Finding("not-checked", "stamp-outside", unread, stamp=1),
        Finding("rolled-back", "stamp-outside", back, line=0, size=400),
    )


RESTORED_SAYS = " (restored in line 13, as the record itself says)"


@pytest.mark.parametrize(("size", "after"), [(5, ""), (12, ""), (13, RESTORED_SAYS)])
def test_a_stamp_of_another_history_is_told_in_these_words(size: int, after: str) -> None:
    log = restored_log()
    says = f"changed between line 1 and line {size}, against the stamp of size {size}{after}"
    assert outside(log, lost_stamp(log, size)) == (
        Finding("changed", "stamp-outside", says, line=1, until=size, size=size),
    )


def test_a_stamp_of_what_was_lost_is_told_in_these_words() -> None:
    log = restored_log()
    says = f"rolled back against the stamp of size 15{RESTORED_SAYS}"
    assert outside(log, lost_stamp(log, 15)) == (
        Finding("rolled-back", "stamp-outside", says, line=13, size=15),
    )


def test_a_change_lies_behind_the_newest_stamp_that_holds() -> None:
    log = restored_log()
    says = "changed between line 6 and line 12, against the stamp of size 12"
    assert outside(log, lost_stamp(log, 12), log.note(3, epoch=1), log.note(5, epoch=1)) == (
        Finding("changed", "stamp-outside", says, line=6, until=12, size=12),
    )
    says = "changed between line 1 and line 12, against the stamp of size 12"
    assert outside(log, lost_stamp(log, 12), log.note(12, epoch=1), log.note(13)) == (
        Finding("changed", "stamp-outside", says, line=1, until=12, size=12),
    )


def test_a_stamp_of_another_epoch_is_told_in_these_words() -> None:
    log = restored_log()
    log.stamps = [log.note(epoch=1)]
    says = f"the stamp of size 13{RESTORED_SAYS} is of another epoch"
    assert answer_over_bundle(log.files()).findings == (
        Finding("changed", "stamp-beside", says, size=13),
        no_cover(1, 13),
    )


def test_a_stamp_of_an_epoch_to_come_is_told_in_these_words() -> None:
    log = record()
    says = "the stamp of size 12 is of another epoch"
    assert outside(log, log.note(epoch=2)) == (Finding("changed", "stamp-outside", says, size=12),)


def test_a_stamp_of_another_record_is_told_in_these_words() -> None:
    other = make_log(8, "other", every=4).note()
    name = other.split("\n")[0].rsplit("/", 1)[0]
    assert outside(record(), other, "hello") == (
        Finding(
            "another-record",
            "stamp-outside",
            f"the stamp of size 8 is of another record: {name}",
            size=8,
        ),
        Finding("not-checked", "stamp-outside", "the stamp number 2 cannot be read", stamp=2),
    )


def test_a_stamp_that_is_not_signed_by_this_record_is_told_in_these_words() -> None:
    log = record()
    stolen = log.copy()
    stolen.log_seeds = ["another"]
    log.stamps = [stolen.note(), log.note()]
    says = "the stamp of size 12 is not signed with this record's key"
    assert answer_over_bundle(log.files(), [stolen.note()]).findings == (
        Finding("changed", "stamp-beside", says, size=12),
        Finding("not-checked", "stamp-outside", says, size=12),
    )


def test_behind_a_first_line_in_another_form_stamps_are_told_in_these_words() -> None:
    log = record()
    note = log.note()
    log.items[0].content["v"] = 2
    walk = walk_over(log.lines())
    says = "the stamp of size 12: line 1 cannot be read"
    assert answer_over(walk, [], [read_stamp(note)]).findings[-2:] == (
        no_cover(1, 12),
        Finding("not-checked", "stamp-outside", says, size=12),
    )


def test_a_stamp_of_some_lines_leaves_the_rest_uncovered_in_these_words() -> None:
    log = record()
    log.stamps = [log.note(4)]
    assert answer_over_bundle(log.files()).findings == (no_cover(5, 12),)
    log.stamps = [log.note(4), log.note(11)]
    assert answer_over_bundle(log.files()).findings == (no_cover(12, 12),)


def test_a_new_log_key_without_a_word_is_told_in_these_words() -> None:
    log = record()
    log.log_seeds.append("second")
    item = log.name_log_key()
    del item.content["body"]["word"]
    log.sign(item)
    says = "line 13 names a new log key without the word of the one before"
    told_so = Finding("not-checked", "log-key", says, line=13)
    assert checked(log).findings == (told_so,)
    accepted = frozenset({item.content["body"]["public_key"]})
    assert answer_over_bundle(log.files(), (), accepted).complete
    item.content["body"]["word"] = 7
    log.sign(item)
    assert checked(log).findings == (told_so,)
    item.content["body"]["word"] = "AB" * 64
    log.sign(item)
    assert checked(log).findings == (told_so,)


def test_a_new_log_key_that_replaces_another_is_told_in_these_words() -> None:
    log = record()
    log.log_seeds.append("second")
    item = log.name_log_key()
    item.content["body"]["replaces"] = "ab" * 32
    log.sign(item)
    says = "line 13 names a new log key without the word of the one before"
    assert checked(log).findings == (Finding("not-checked", "log-key", says, line=13),)


# ---------------------------------------------------------------- files


def of_file(what: str, name: str, says: str) -> Finding:
    return Finding(what, "file", f"{name} {says}", file=name)


KEYS_DIFFER = of_file("file-changed", "keys.json", "does not say what the lines say")
WITHOUT = {
    "events.jsonl": (
        of_file("file-changed", "events.jsonl", "is missing"),
        KEYS_DIFFER,
        *(
            Finding(
                "missing",
                "stamp-beside",
                f"missing after line 0: the stamp of size {size} says so",
                line=0,
                size=size,
            )
            for size in (8, 12)
        ),
        Finding("not-checked", "stamp-beside", "nothing is on record", line=0),
    ),
    "stamps.txt": (of_file("file-changed", "stamps.txt", "is missing"), no_cover(1, 12)),
    "keys.json": (of_file("file-changed", "keys.json", "is missing"),),
    "manifest.sha256": (of_file("not-checked", "manifest.sha256", "is missing"),),
}


@pytest.mark.parametrize("name", WITHOUT)
def test_a_file_that_is_missing_is_told_in_these_words(name: str) -> None:
    files = record().files()
    del files[name]
    assert answer_over_bundle(files).findings == WITHOUT[name]


def test_what_a_manifest_does_not_say_is_told_in_these_words() -> None:
    files = record().files()
    manifest = files[bundle.MANIFEST]
    unread = of_file("file-changed", "manifest.sha256", "cannot be read")
    assert answer_over_bundle(files | {bundle.MANIFEST: b"x"}).findings == (unread,)
    assert answer_over_bundle(files | {bundle.MANIFEST: b""}).findings == tuple(
        of_file("not-checked", name, "is not in manifest.sha256")
        for name in ("events.jsonl", "keys.json", "stamps.txt")
    )
    listed = b"".join(sorted([*manifest.splitlines(True), b"a" * 64 + b"  names.json\n"], key=at66))
    assert answer_over_bundle(files | {bundle.MANIFEST: listed}).findings == (
        of_file("file-changed", "names.json", "is missing"),
    )
    assert answer_over_bundle(files | {bundle.MANIFEST: listed, "names.json": b""}).findings == (
        of_file("file-changed", "names.json", "is not the one in manifest.sha256"),
    )
    rest = {name: raw for name, raw in files.items() if name != bundle.STAMPS}
    assert answer_over_bundle(rest | {bundle.MANIFEST: b"x"}).findings[:2] == (
        of_file("file-changed", "stamps.txt", "is missing"),
        unread,
    )
    del rest[bundle.MANIFEST]
    assert answer_over_bundle(rest).findings[:2] == (
        of_file("file-changed", "stamps.txt", "is missing"),
        of_file("not-checked", "manifest.sha256", "is missing"),
    )


def at66(line: bytes) -> bytes:
    """Give the name in a line of a manifest."""
    return line[66:]


def test_files_that_were_changed_are_told_in_these_words() -> None:
    files = record().files()
    keys = files[bundle.KEYS].replace(b'"line":2', b'"line":3')
    assert answer_over_bundle(files | {bundle.KEYS: keys}).findings == (
        of_file("file-changed", "keys.json", "is not the one in manifest.sha256"),
        KEYS_DIFFER,
    )
    for text in (b"x", b"\xff"):
        answer = answer_over_bundle(sealed(files | {bundle.STAMPS: text}))
        assert answer.findings == (
            of_file("file-changed", "stamps.txt", "cannot be read"),
            no_cover(1, 12),
        )


# ---------------------------------------------------------------- the answer


def test_a_good_record_is_answered_in_full() -> None:
    log = record()
    assert answer_over_bundle(log.files()).fields() == {
        "outcome": "complete",
        "lines": 12,
        "root": log.tree().root(12).hex(),
        "stamps_held": 2,
        "restored": [],
        "findings": [],
        "more": 0,
    }
    assert checked(restored_log()).fields()["restored"] == [13]


def test_the_gravest_word_is_the_outcome() -> None:
    for number, word in enumerate(OUTCOMES):
        others = [Finding(what, "form", "x") for what in reversed(OUTCOMES[number:])]
        assert answer_over(walk_over([]), [], others=others, covered=False).outcome == word
    assert answer_over(walk_over([]), [], covered=False).outcome == "complete"


def test_a_finding_tells_only_what_applies() -> None:
    finding = Finding("changed", "form", "x", line=0, until=2, size=3)
    assert finding.fields() == {
        "what": "changed",
        "by": "form",
        "says": "x",
        "line": 0,
        "until": 2,
        "size": 3,
    }


def test_the_keys_of_a_record_are_told_in_full() -> None:
    log = record()
    server, first, other = log.server, *tablets(log)
    silent = log.signer("silent", edwards)
    body = {"device": silent, "name": "x", "kind": "shared", "algorithm": "none"}
    log.add(server, "device-enrolled", body)
    log.add(server, "device-revoked", {"device": first})
    log.add(server, "device-revoked", {"device": first})
    keys = keys_of(walk_over(log.lines()))
    public = {dev: signer.public_key for dev, signer in log.signers.items()}
    assert keys == {
        "origin_name": log.note().split("\n")[0].rsplit("/", 1)[0],
        "log_keys": [
            {
                "algorithm": "ed25519",
                "line": 2,
                "public_key": key_from(secret(log.log_seeds[0])).public_hex,
            }
        ],
        "devices": [
            {"device": server, "algorithm": "ed25519", "line": 1, "public_key": public[server]},
            {
                "device": first,
                "algorithm": "ed25519",
                "line": 3,
                "public_key": public[first],
                "revoked_line": 14,
            },
            {"device": other, "algorithm": "ecdsa-p256", "line": 4, "public_key": public[other]},
            {"device": silent, "algorithm": "none", "line": 13},
        ],
    }
    assert keys_of(walk_over([])) == {"origin_name": "", "log_keys": [], "devices": []}
