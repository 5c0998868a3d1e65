"""What an entry may hold, and that it has one string of bytes."""

from __future__ import annotations

import json
import unicodedata
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.records.entry_cases import entry

from lanewater.records.entries import MOST_BYTES, Entry, canonical, digest, parse, read
from lanewater.terms.errors import InputError

JUDGED = {
    "pool": "main",
    "round": "r",
    "purpose": "round",
    "overall": "meets",
    "level": "note",
    "engine": "x",
}
anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4)
    ),
    max_leaves=12,
)


def refused_field(made: Entry) -> str:
    """Give the field by which an entry is refused, "" where it is not."""
    try:
        canonical(made)
    except InputError as error:
        return error.field
    return ""


@given(anything)
def test_any_body_is_refused_by_field_name_or_kept_verbatim(value: Any) -> None:
    made = entry("round-judged", JUDGED | {"findings": [value]})
    field = refused_field(made)
    if field:
        assert field.startswith("body.findings[0]") or field == "entry"
        return
    raw = canonical(made)
    again = parse(raw)
    assert again.body["findings"] == [value]
    assert type(again.body["findings"][0]) is type(value)
    assert canonical(again) == raw


@given(st.permutations(list(JUDGED)))
def test_the_order_of_keys_changes_no_byte(order: list[str]) -> None:
    shuffled = {key: JUDGED[key] for key in order}
    assert canonical(entry("round-judged", shuffled)) == canonical(entry("round-judged", JUDGED))


@pytest.mark.parametrize(
    ("value", "about"),
    [
        (1.0, "float"),
        (float("nan"), "float"),
        (None, "null"),
        (2**53, "2**53"),
        ("e\u0301", "form C"),
        ("\ud800", "surrogate"),
        ({"é": 1}, "ASCII"),
        ([[[["too", "deep"]]]], "deeper"),
        (b"x", "bytes"),
    ],
)
def test_what_canonical_form_could_decide_two_ways_is_refused(value: Any, about: str) -> None:
    with pytest.raises(InputError, match=r"body\.findings\[0\].*") as caught:
        canonical(entry("round-judged", JUDGED | {"findings": [value]}))
    assert about in str(caught.value).replace(r"\\", "")


def test_text_in_normal_form_c_is_kept() -> None:
    text = unicodedata.normalize("NFC", "e\u0301 €")
    made = entry("round-judged", JUDGED | {"findings": [text]})
    assert parse(canonical(made)).body["findings"] == [text]


def test_an_entry_of_more_than_16_kib_is_refused() -> None:
    made = entry("round-judged", JUDGED | {"findings": ["x" * 600] * 30})
    with pytest.raises(InputError, match=f"at most {MOST_BYTES}"):
        canonical(made)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("v", 2),
        ("id", "not-a-uuid"),
        ("id", "018bcfe5-687b-4623-94fb-16d0e5ac74ad"),
        ("site", "No Spaces"),
        ("dseq", 0),
        ("dseq", True),
        ("dprev", "abc"),
        ("type", "reading-deleted"),
        ("at", "2026-07-01T09:51:00Z"),
        ("at", "2026-07-01T09:51:00.000+02:00"),
        ("off", 2000),
        ("user", ""),
        ("auth", {"method": "magic", "verified": True}),
        ("auth", {"method": "pin"}),
        ("clk", {"offset_ms": 0.5, "rtt_ms": 0, "age_s": 0}),
        ("amends", "x"),
        ("reason", ""),
        ("rules", {"id": "ca-qc"}),
    ],
)
def test_each_field_of_the_envelope_is_held_to_its_shape(field: str, value: Any) -> None:
    with pytest.raises(InputError) as caught:
        canonical(replace(entry(), **{field: value}))
    assert caught.value.field.startswith(field)


@pytest.mark.parametrize(
    "change",
    [
        lambda text: " " + text,
        lambda text: text.replace('"dseq":1', '"dseq": 1'),
        lambda text: text.replace('"dseq":1', '"dseq":1,"dseq":1'),
        lambda text: text.replace('"v":1', '"v":1.0'),
        lambda text: text.replace('"off":-240', '"off":-2.4e2'),
        lambda text: text.replace('"v":1}', '"v":1,"x":1}'),
        lambda text: text[:-1],
        lambda text: text + "\n",
        lambda text: json.dumps(json.loads(text), sort_keys=True),
        lambda text: text.replace("main", "\\u006dain"),
    ],
)
def test_bytes_that_are_not_the_one_form_are_refused(change: Any) -> None:
    raw = canonical(entry())
    with pytest.raises(InputError):
        parse(change(raw.decode()).encode())


def test_bytes_that_are_no_text_are_refused() -> None:
    with pytest.raises(InputError):
        parse(b"\xff\xfe" + canonical(entry()))


def test_reading_our_own_bytes_gives_the_entry_again() -> None:
    made = entry()
    assert read(canonical(made)) == made
    assert parse(canonical(made)) == made


def test_the_digest_is_sha_256_of_the_bytes() -> None:
    assert digest(b"") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
