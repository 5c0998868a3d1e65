"""JSON is read with one meaning only."""

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
