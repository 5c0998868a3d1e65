"""Tables of constants: every entry has its source, and stands where the kernel looks for it."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.chemistry.tables import flat_entries, read_entries
from lanewater.terms.errors import InputError

GOOD: dict[str, Any] = {
    "id": "first",
    "name": "a rate",
    "numbers": [1, 2.5],
    "unit": "1/s",
    "valid": "25 C",
    "source": "a paper",
    "tag": "SEEN",
}
SECOND = {**GOOD, "id": "second", "numbers": [7]}
SLOTS = {"first": 0, "second": 2}


def test_a_table_is_laid_flat_where_the_slots_say() -> None:
    entries = read_entries({"entry": [SECOND, GOOD]})
    assert flat_entries(entries, SLOTS) == (1.0, 2.5, 7.0)


@pytest.mark.parametrize(
    "change",
    [
        {"source": " "},
        {"name": ""},
        {"unit": ""},
        {"valid": ""},
        {"tag": "GUESS"},
        {"numbers": []},
        {"numbers": [float("nan")]},
        {"numbers": [True]},
        {"numbers": 3},
        {"more": 1},
    ],
)
def test_an_entry_without_what_it_needs_is_refused(change: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        read_entries({"entry": [{**GOOD, **change}]})


@pytest.mark.parametrize(
    ("entries", "slots"),
    [
        ([GOOD], SLOTS),
        ([GOOD, SECOND], {"first": 0}),
        ([GOOD, SECOND], {"first": 0, "second": 1}),
        ([GOOD, SECOND], {"first": 0, "second": 3}),
        ([GOOD, GOOD, SECOND], SLOTS),
    ],
)
def test_a_table_with_a_gap_or_an_overlap_is_refused(
    entries: list[dict[str, Any]], slots: dict[str, int]
) -> None:
    with pytest.raises(InputError):
        flat_entries(read_entries({"entry": entries}), slots)
