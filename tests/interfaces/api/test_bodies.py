"""What cannot be read is refused by name, saves nothing, and is never repeated."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator

import pytest
from tests.interfaces.api.baths import ROUND, Baths

MARK = "SECRET-MARK"
GOOD = json.dumps(ROUND)


def with_value(text: str) -> bytes:
    """Give a round's body with one value put in as it is written."""
    return ('{"pool": "main", "readings": {"free_chlorine": ' + text + "}}").encode()


NOT_JSON = {
    "nothing": b"",
    "blank": b"   ",
    "half": GOOD[:40].encode(),
    "NaN": with_value("NaN"),
    "Infinity": with_value("-Infinity"),
    "too large a number": with_value("1e400"),
    "a number of ten thousand digits": with_value("1" * 10_000),
    "a key twice": b'{"pool": "main", "pool": "teaching", "readings": {"ph": "7.4"}}',
    "a key twice, deep": b'{"pool": "main", "readings": {"ph": "7.4", "ph": "7.1"}}',
    "half a surrogate pair": with_value('"\\ud83d"'),
    "not UTF-8": with_value('"\xff"').decode().encode("latin-1"),
    "too deep": b'{"pool": ' + b"[" * 200 + b"]" * 200 + b"}",
    "far too deep": b"[" * 100_000,
    "a comment": b'{"pool": "main" /* ' + MARK.encode() + b" */}",
    "a list": b"[]",
    "a text": b'"main"',
    "null": b"null",
}


@pytest.mark.parametrize("raw", NOT_JSON.values(), ids=NOT_JSON)
def test_what_is_not_json_with_one_meaning_is_refused(shared_baths: Baths, raw: bytes) -> None:
    before = shared_baths.entries()
    answer = shared_baths.ask("POST", "/api/v1/rounds", role="tester", raw=raw)
    assert answer.status_code == 400
    assert answer.json()["error"]["id"] == "json"
    assert MARK not in answer.text
    assert shared_baths.entries() == before


UNFIT = {
    "unknown key": ({**ROUND, MARK: 1}, MARK),
    "unknown key, deep": (
        {"pool": "main", "readings": [{"parameter": "ph", "value": "7", MARK: 1}]},
        f"readings[0].{MARK}",
    ),
    "number as text": ({**ROUND, "bathers": "12"}, "bathers"),
    "true as a number": ({**ROUND, "bathers": True}, "bathers"),
    "a fraction": ({**ROUND, "bathers": 1.5}, "bathers"),
    "beyond its bound": ({**ROUND, "bathers": 100_001}, "bathers"),
    "below its bound": ({**ROUND, "bathers": -1}, "bathers"),
    "two to the 63rd": ({**ROUND, "bathers": 2**63}, "bathers"),
    "a huge number": ({**ROUND, "bathers": 10**400}, "bathers"),
    "a value as a number": ({"pool": "main", "readings": {"ph": 7.4}}, "readings.ph"),
    "no value": ({"pool": "main", "readings": [{"parameter": "ph"}]}, "readings[0].value"),
    "empty value": ({"pool": "main", "readings": {"ph": ""}}, "readings.ph"),
    "a million letters": ({**ROUND, "note": "a" * 700_000}, "note"),
    "no readings": ({"pool": "main", "readings": {}}, "readings"),
    "too many readings": (
        {"pool": "main", "readings": [{"parameter": "ph", "value": "7"}] * 121},
        "readings",
    ),
    "unknown parameter": ({"pool": "main", "readings": {MARK: "7"}}, f"readings.{MARK}"),
    "a list for a text": ({**ROUND, "pool": ["main"]}, "pool"),
    "an object for a text": ({**ROUND, "pool": {"main": 1}}, "pool"),
    "a path": ({**ROUND, "pool": "../main"}, "pool"),
    "a NUL": ({**ROUND, "note": "a\x00b"}, "note"),
    "no such time": ({**ROUND, "at": "2026-13-01T00:00:00Z"}, "at"),
    "no offset": ({**ROUND, "at": "2026-11-25T05:00:00"}, "at"),
    "the future": ({**ROUND, "at": "2099-01-01T00:00:00Z"}, "at"),
    "not a UUID": ({**ROUND, "id": MARK}, "id"),
    "below zero": ({"pool": "main", "readings": {"free_chlorine": "-1"}}, "readings.free_chlorine"),
    "no pool": ({"readings": {"ph": "7"}}, "pool"),
    "nothing": ({}, "pool"),
}


@pytest.mark.parametrize(("body", "field"), UNFIT.values(), ids=UNFIT)
def test_a_field_that_does_not_fit_is_named(shared_baths: Baths, body: object, field: str) -> None:
    before = shared_baths.entries()
    answer = shared_baths.post("/rounds", body, role="tester")
    assert answer.status_code == 422, answer.text
    error = answer.json()["error"]
    assert error["field"].startswith(field)
    assert MARK not in error["message"]
    assert shared_baths.entries() == before


def test_null_is_a_field_left_out(baths: Baths) -> None:
    answer = baths.post("/rounds", {**ROUND, "note": None, "at": None, "bathers": None})
    assert answer.status_code == 200


def test_a_body_of_two_million_bytes_is_refused(baths: Baths) -> None:
    answer = baths.ask("POST", "/api/v1/rounds", role="tester", raw=b" " * 2_000_000)
    assert answer.status_code == 413


def test_a_stranger_may_send_a_first_key_and_no_more(baths: Baths) -> None:
    sent = {"key": "k" * 20, "name": "n" * 10_000}
    assert baths.ask("POST", "/api/v1/enrol", sent).status_code == 413
    assert baths.ask("POST", "/api/v1/enrol", sent | {"name": "n"}).status_code == 409


def test_a_body_that_never_ends_is_cut_off_as_it_arrives(baths: Baths) -> None:
    sent = 0

    async def endless() -> AsyncIterator[bytes]:
        nonlocal sent
        while sent < 50_000_000:
            sent += 100_000
            yield b" " * 100_000

    answer = baths.ask("POST", "/api/v1/rounds", role="tester", raw=endless())
    assert answer.status_code == 413


@pytest.mark.parametrize(
    "kind", ["", "text/plain", "application/x-www-form-urlencoded", "multipart/form-data", "json"]
)
def test_another_content_type_is_refused(shared_baths: Baths, kind: str) -> None:
    before = shared_baths.entries()
    answer = shared_baths.post("/rounds", ROUND, role="tester", headers={"Content-Type": kind})
    assert answer.status_code == 415
    assert shared_baths.entries() == before


def test_the_content_type_may_name_its_charset(baths: Baths) -> None:
    kind = {"Content-Type": "Application/JSON; charset=utf-8"}
    assert baths.post("/rounds", ROUND, headers=kind).status_code == 200


def test_a_stranger_is_refused_before_the_body_is_looked_at(baths: Baths) -> None:
    answer = baths.ask("POST", "/api/v1/rounds", role="nobody", raw=b"{" * 100)
    assert answer.status_code == 401


HOSTILE = (
    "'; DROP TABLE entry; --",
    '<script>alert("x")</script>',
    "=cmd|' /C calc'!A0",
    "\u202etxt.exe",
    "${jndi:ldap://x}",
    "%00%0d%0aSet-Cookie: a=b",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_text_is_kept_as_it_was_typed(baths: Baths, text: str) -> None:
    made = baths.post("/rounds", {**ROUND, "note": text})
    assert made.status_code == 200
    found = baths.get(f"/rounds/{made.json()['round']}").json()
    assert found["note"] == text


def test_no_wrong_type_of_any_field_is_a_fault_of_the_server(baths: Baths) -> None:
    wrong = (None, True, -1, 2**70, 1.5, "", "x" * 400, [], {}, [[]], {"a": {}})
    for name in ("at", "id", "pool", "readings", "source", "changed_after_result", "bathers"):
        for value in wrong:
            answer = baths.post("/rounds", {**ROUND, name: value}, role="tester")
            assert answer.status_code in (200, 422), (name, value, answer.text)
