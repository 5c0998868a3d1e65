"""Every kind of entry says what its body may hold, and refuses the rest by name."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lanewater.records.kinds import HOUSE_STOPS, KINDS
from lanewater.terms.errors import InputError
from lanewater.terms.shapes import Check, Shape, anything

SHAPES = {kind: shape for kind, shape in KINDS.items() if isinstance(shape, Shape)}


def test_every_kind_has_a_shape_and_is_in_the_past_tense() -> None:
    assert SHAPES.keys() == KINDS.keys()
    irregular = ("set-up", "told", "everyone-out", "given", "chosen", "made", "sent", "forgotten")
    irregular += ("done", "met", "set")
    assert all(kind.endswith(("ed", *irregular)) for kind in KINDS)


@pytest.mark.parametrize("kind", SHAPES)
def test_an_unknown_field_is_refused_by_its_name(kind: str) -> None:
    with pytest.raises(InputError) as caught:
        KINDS[kind]({"surprise": "x"}, "body")
    assert caught.value.field == "body.surprise"


@pytest.mark.parametrize(
    ("kind", "missing"), [(kind, key) for kind, shape in SHAPES.items() for key in shape.required]
)
def test_a_missing_field_is_refused_by_its_name(kind: str, missing: str) -> None:
    shape = SHAPES[kind]
    lone = Shape({missing: shape.required[missing]}, shape.optional)
    with pytest.raises(InputError) as caught:
        lone({}, "body")
    assert caught.value.field == f"body.{missing}"


@given(
    kind=st.sampled_from(sorted(SHAPES)),
    value=st.none() | st.integers() | st.floats() | st.text() | st.lists(st.integers()),
)
def test_a_body_of_any_other_type_is_refused_and_never_breaks(kind: str, value: Any) -> None:
    with pytest.raises(InputError, match="body: must be an object"):
        KINDS[kind](value, "body")


@given(
    kind=st.sampled_from(sorted(SHAPES)),
    value=st.none()
    | st.booleans()
    | st.floats()
    | st.text(alphabet="\x00\x07\ud800", min_size=1)
    | st.dictionaries(st.text(min_size=1), st.none(), min_size=1),
)
def test_no_field_lets_nonsense_through(kind: str, value: Any) -> None:
    shape = SHAPES[kind]
    for name, check in {**shape.required, **shape.optional}.items():
        field = refused_field(check, value, name)
        if field is None:
            assert check is anything or isinstance(value, bool)
        else:
            assert field.startswith(name)


def refused_field(check: Check, value: Any, name: str) -> str | None:
    """Give the field by which a value is refused, None where it passes."""
    try:
        check(value, name)
    except InputError as error:
        return error.field
    return None


@pytest.mark.parametrize("value", ["", "NaN", "1e400", "-", "1.", ".5", "1,2,3", "١", "1 ", "++1"])
def test_a_reading_is_a_number_as_typed_or_a_word(value: str) -> None:
    body = {
        "pool": "main",
        "source": "direct",
        "tester": {"unlisted": True},
        "readings": [{"parameter": "ph", "value": value}],
    }
    with pytest.raises(InputError) as caught:
        KINDS["round-recorded"](body, "body")
    assert caught.value.field == "body.readings[0].value"


def test_house_stops_are_those_of_the_kernel_and_those_that_people_call() -> None:
    kernel = ("bottom-not-seen", "bottom-cannot-tell", "circulation-stopped", "hot-pool")
    called = ("stool", "vomit", "blood", "glass", "spill", "drain-cover", "smell-or-gas")
    assert set(kernel) | set(called) <= set(HOUSE_STOPS)
