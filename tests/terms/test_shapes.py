"""A shape refuses by the path of the first field that does not fit."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.terms.errors import InputError
from lanewater.terms.shapes import (
    Check,
    Shape,
    date,
    decimal,
    either,
    flag,
    identity,
    instant,
    list_of,
    map_of,
    name,
    one_of,
    text,
    time_of_day,
    whole,
)

ROW = Shape({"id": identity}, {"size": whole(1, 9), "tags": list_of(text(3), 2, least=1)})
OUTER = Shape({"rows": list_of(ROW, 3)}, {"by": map_of(decimal, 2)})


@pytest.mark.parametrize(
    ("value", "field"),
    [
        ([], ""),
        ({}, "rows"),
        ({"rows": {}}, "rows"),
        ({"rows": [{}]}, "rows[0].id"),
        ({"rows": [{"id": "a"}, {"id": "A"}]}, "rows[1].id"),
        ({"rows": [{"id": "a", "size": 0}]}, "rows[0].size"),
        ({"rows": [{"id": "a", "size": True}]}, "rows[0].size"),
        ({"rows": [{"id": "a", "size": 1.0}]}, "rows[0].size"),
        ({"rows": [{"id": "a", "tags": []}]}, "rows[0].tags"),
        ({"rows": [{"id": "a", "tags": ["ok", "long"]}]}, "rows[0].tags[1]"),
        ({"rows": [{"id": "a", "x": 1}]}, "rows[0].x"),
        ({"rows": [{"id": "a"}] * 4}, "rows"),
        ({"rows": [], "by": {"é": "1"}}, "by"),
        ({"rows": [], "by": {"e": "x"}}, "by.e"),
        ({"rows": [], "by": {"a": "1", "b": "1", "c": "1"}}, "by"),
    ],
)
def test_the_first_field_that_does_not_fit_is_named(value: Any, field: str) -> None:
    with pytest.raises(InputError) as caught:
        OUTER(value, "")
    assert caught.value.field == field


def test_what_fits_passes() -> None:
    OUTER({"rows": [{"id": "a-1", "size": 9, "tags": ["x"]}], "by": {"ph": "-7.4"}}, "")


@pytest.mark.parametrize(
    ("check", "good", "bad"),
    [
        (decimal, ["0", "1.52", "-3", "123456789.123456"], ["", "1.", ".5", "1e3", "1,5", "+1", 1]),
        (date, ["2026-11-25"], ["2026-13-01", "2026-11-32", "25.11.2026", ""]),
        (instant, ["2026-11-25T05:58:00.000Z"], ["2026-11-25T05:58:00Z", "2026-11-25", ""]),
        (time_of_day, ["00:00", "23:59", "24:00"], ["24:01", "7:00", ""]),
        (flag, [True, False], [0, 1, "yes", None]),
        (name, ["Åsa", "a"], ["", "  ", "x" * 121, "a\x00b", "\ud800", 5]),
        (one_of("a", "b"), ["a"], ["c", "", None, ["a"]]),
        (either(flag, one_of("maybe")), [True, "maybe"], ["no", 1]),
    ],
)
def test_each_check_lets_the_good_through_and_nothing_else(
    check: Check, good: list[Any], bad: list[Any]
) -> None:
    for value in good:
        check(value, "f")
    for value in bad:
        with pytest.raises(InputError, match=r"^f: "):
            check(value, "f")


def test_a_refused_value_is_shown_briefly() -> None:
    with pytest.raises(InputError) as caught:
        decimal("9" * 5000, "f")
    assert len(str(caught.value)) < 120
