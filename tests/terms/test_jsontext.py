"""JSON is read with one meaning only."""

import time
from contextlib import suppress

import pytest

from lanewater.terms.errors import InputError
from lanewater.terms.jsontext import read_json


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"nonsense",
        b'{"a": 1, "a": 2}',
        b'{"a": NaN}',
        b'{"a": -Infinity}',
        b'{"a": 1e400}',
        b'"\\ud800"',
        b"\xff\xfe{}",
        b"[" * 50 + b"]" * 50,
        b"[" * 100_000,
        b'"' + b"x" * 1_000_001 + b'"',
    ],
)
def test_what_has_no_single_meaning_is_refused(text: bytes) -> None:
    with pytest.raises(InputError):
        read_json(text)


def test_ordinary_json_is_read() -> None:
    assert read_json(b'{"a": [1, 2.5, "\\u00e9"]}') == {"a": [1, 2.5, "é"]}


def test_the_key_that_stands_twice_is_named() -> None:
    with pytest.raises(InputError, match="'b' stands twice"):
        read_json(b'{"a": 1, "b": 2, "c": 3, "b": 4}')


MANY = b",".join(b'"%x":0' % number for number in range(99_000))
WORST = {
    "a key twice at the end of a hundred thousand": b"{" + MANY + b',"z":0,"z":1}',
    "a hundred thousand keys": b"{" + MANY + b"}",
    "a third of a million lists": b"[" + b"[]," * 333_330 + b"[]]",
    "a third of a million objects": b"[" + b"{}," * 333_330 + b"{}]",
    "as deep as may be, as often as may be": b"["
    + b",".join([b"[" * 38 + b"]" * 38] * 12_900)
    + b"]",
    "half a million numbers": b"[" + b"1," * 499_990 + b"1]",
    "numbers of four thousand digits": b"[" + b",".join([b"9" * 4_000] * 249) + b"]",
    "pairs of surrogates": b'["' + b"\\ud83d\\ude00" * 83_000 + b'"]',
    "a million brackets": b"[" * 999_999,
}


@pytest.mark.parametrize("text", WORST.values(), ids=WORST)
def test_the_worst_million_bytes_are_read_or_refused_in_seconds(text: bytes) -> None:
    assert 800_000 < len(text) <= 1_000_000
    began = time.process_time()
    with suppress(InputError):
        read_json(text)
    assert time.process_time() - began < 8
