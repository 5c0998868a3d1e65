"""What is refused in an entry or a bundle, to the word and to the last number that is allowed."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from typing import Any

import pytest
from tests.records.entry_cases import entry
from tests.records.log_cases import make_log

from lanewater.records import bundle
from lanewater.records.entries import (
    LARGEST,
    MOST_BYTES,
    canonical,
    hold_to_profile,
    hold_to_size,
    parse,
    signed_message,
)
from lanewater.terms.errors import InputError

ALLOWED = "text, whole numbers, true and false are allowed"
SAID: list[tuple[Any, str]] = [
    (LARGEST + 1, "a: 9007199254740992 is beyond 2**53 - 1"),
    (-LARGEST - 1, "a: -9007199254740992 is beyond 2**53 - 1"),
    ([1, [1.5]], f"a[1][0]: holds float; {ALLOWED}"),
    ({"b": None}, f"a.b: holds null; {ALLOWED}"),
    ({"b": {"c": b"x"}}, f"a.b.c: holds bytes; {ALLOWED}"),
    ((1, {2}), f"a[1]: holds set; {ALLOWED}"),
    ({"é": 1}, "a: the name 'é' must be plain ASCII"),
    ({"x": 1, "": 1}, "a: the name '' must be plain ASCII"),
    ({"\n": 1}, "a: the name '\\n' must be plain ASCII"),
    ({1: 1}, "a: the name 1 must be plain ASCII"),
    ("\ud800", "a: holds half a character (a lone surrogate)"),
    ("é\udfff", "a: holds half a character (a lone surrogate)"),
    ("e\u0301", "a: is not in Unicode normal form C"),
    ([[[[[1]]]]], ""),
    ([[[[[[]]]]]], "a[0][0][0][0][0]: is nested deeper than 6"),
    ({"b": {"c": {"d": {"e": {"f": 1}}}}}, ""),
    ({"b": {"c": {"d": {"e": {"f": {}}}}}}, "a.b.c.d.e.f: is nested deeper than 6"),
    ([LARGEST, -LARGEST, 0, True, False, "", "é\ud7ff\ue000", {"~ !": ()}], ""),
]


@pytest.mark.parametrize(("value", "said"), SAID)
def test_the_profile_is_held_to_in_these_words(value: Any, said: str) -> None:
    if said == "":
        hold_to_profile({"a": value})
        return
    with pytest.raises(InputError) as caught:
        hold_to_profile({"a": value})
    assert str(caught.value) == said


def test_the_largest_entry_is_taken_and_one_byte_more_is_not() -> None:
    hold_to_size(b"x" * MOST_BYTES)
    with pytest.raises(InputError) as caught:
        hold_to_size(b"x" * (MOST_BYTES + 1))
    assert str(caught.value) == "entry: is 16385 bytes long; at most 16384"
    with pytest.raises(InputError, match="entry: is 16385 bytes long"):
        parse(b"x" * (MOST_BYTES + 1))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda _raw: b"[]", "entry: must be an object"),
        (lambda _raw: b'"x"', "entry: must be an object"),
        (lambda raw: b" " + raw, "entry: is not in canonical form (RFC 8785)"),
        (
            lambda raw: raw.replace(b'"about":"x"', b'"about":null'),
            f"body.about: holds null; {ALLOWED}",
        ),
    ],
)
def test_bytes_that_somebody_handed_in_are_refused_in_these_words(change: Any, said: str) -> None:
    with pytest.raises(InputError) as caught:
        parse(change(canonical(entry())))
    assert str(caught.value) == said


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("reason", "Because"),
        ("amends", entry().id),
        ("rules", {"id": "ca-qc", "edition": "x" * 200, "hash": "ab:1"}),
    ],
)
def test_what_may_be_left_out_is_kept_where_it_is_given(field: str, value: Any) -> None:
    raw = canonical(replace(entry(), **{field: value}))
    assert json.loads(raw)[field] == value
    assert getattr(parse(raw), field) == value
    assert field not in json.loads(canonical(entry()))


@pytest.mark.parametrize("edition", ["x" * 201, 7])
def test_an_edition_is_text_of_at_most_200_characters(edition: Any) -> None:
    rules = {"id": "ca-qc", "edition": edition, "hash": ""}
    with pytest.raises(InputError) as caught:
        canonical(replace(entry(), rules=rules))
    assert str(caught.value) == "rules.edition: must be text of at most 200 characters"


def test_a_body_is_held_to_the_shape_of_its_type() -> None:
    with pytest.raises(InputError) as caught:
        canonical(entry(body={"pool": "main", "about": 7, "whom": "y"}))
    assert caught.value.field == "body.about"


def test_what_a_device_signs_begins_with_what_it_is() -> None:
    assert signed_message(b"raw") == b"lanewater/entry/v1\nraw"


# ---------------------------------------------------------------- bundles

LINE = {
    "index": 3,
    "received_at": "2026-07-01T08:00:00.000Z",
    "entry": "é",
    "sig": "ab" * 64,
}


def written(**changes: Any) -> bytes:
    return json.dumps(
        LINE | changes, ensure_ascii=False, sort_keys=True, separators=(",", ":")
    ).encode()


def test_a_line_comes_back_as_it_was_written() -> None:
    line = bundle.Line(3, LINE["received_at"], "é".encode(), "ab" * 64)  # type: ignore[arg-type]  # a line's parts are of many types
    assert bundle.read_line(written()) == line
    text = bundle.events_line(line.index, line.received_at, line.raw, bytes.fromhex(line.sig))
    assert text == written() + b"\n"
    assert list(bundle.read_lines(text * 2)) == [line, line]
    assert list(bundle.read_lines(text + text[:-1])) == [line, None]
    assert list(bundle.read_lines(b"")) == []


@pytest.mark.parametrize(
    ("changes", "read"),
    [
        ({"index": 0}, True),
        ({"index": LARGEST}, True),
        ({"index": LARGEST + 1}, False),
        ({"index": -1}, False),
        ({"index": False}, False),
        ({"index": "3"}, False),
        ({"entry": 3}, False),
        ({"received_at": 3}, False),
        ({"sig": 3}, False),
        ({"sig": "AB" * 64}, False),
        ({"sig": "ab" * 65}, False),
        ({"received_at": "2026-07-01T08:00:00Z"}, False),
        ({"more": 1}, False),
        ({"entry": "x" * (bundle.LONGEST_LINE - len(written()) + 2)}, True),
        ({"entry": "x" * (bundle.LONGEST_LINE - len(written()) + 3)}, False),
    ],
)
def test_a_line_is_read_to_the_last_number_that_is_allowed(
    changes: dict[str, Any], read: bool
) -> None:
    assert (bundle.read_line(written(**changes)) is not None) is read


def test_each_stamp_of_a_file_is_read_and_one_cut_short_is_told() -> None:
    notes = make_log(12, "words", every=4).stamps
    text = bundle.stamps_text(notes)
    assert text == notes[0] + "\n" + notes[1]
    assert [stamp.head.size for stamp in bundle.read_stamps(text)] == [8, 12]
    assert bundle.read_stamps("") == []
    with pytest.raises(InputError) as caught:
        bundle.read_stamps(text.rpartition("\n\n")[0])
    assert str(caught.value) == "stamps: a note is cut short"
    for odd in (text + "\n", text[:-1], "\n" + text):
        with pytest.raises(InputError):
            bundle.read_stamps(odd)


def test_a_manifest_is_sorted_by_name_and_comes_back() -> None:
    files = {"keys.json": b"k", "events.jsonl": b"e"}
    hashes = {name: hashlib.sha256(raw).hexdigest() for name, raw in files.items()}
    text = bundle.manifest_text(files)
    assert text.decode() == (
        f"{hashes['events.jsonl']}  events.jsonl\n{hashes['keys.json']}  keys.json\n"
    )
    assert bundle.read_manifest(text) == hashes
    assert bundle.read_manifest(b"") == {}


def test_keys_are_written_in_their_one_form() -> None:
    assert bundle.keys_text({"b": [1], "a": "é"}) == '{"a":"é","b":[1]}\n'.encode()
