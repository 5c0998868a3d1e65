"""Each constant carries its source, and is what its source says at 25 degrees."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path
from typing import Any

import pytest

import lanewater
from lanewater.chemistry.constants import (
    DEFAULT_SET,
    KELVIN_25,
    LOW_SET,
    PLAIN,
    SETS,
    SLOTS,
    TWO_TERM,
    Constant,
    flat_tuple,
    read_constants,
    row_of,
)
from lanewater.service import constants as service
from lanewater.terms.errors import InputError

TEXT = (Path(lanewater.__file__).parent / "chemistry" / "constants.toml").read_text("utf-8")
TABLE: dict[str, Any] = tomllib.loads(TEXT)
CONSTANTS = read_constants(TABLE)
# Half a unit of the last decimal that the source prints.
PRINTED = 0.0051


def value_at_25(constant: Constant) -> float:
    one, t, inverse, log_t, inverse_2, t_2 = row_of(constant)
    kelvin = KELVIN_25
    logarithm = (
        one
        + t * kelvin
        + inverse / kelvin
        + log_t * math.log(kelvin)
        + inverse_2 / kelvin**2
        + t_2 * kelvin**2
    ) / math.log(10)
    return -logarithm if constant.form.startswith("pk") else logarithm


@pytest.mark.parametrize("constant", CONSTANTS, ids=lambda c: f"{c.id}-{'-'.join(c.sets)}")
def test_every_constant_names_source_range_and_how_far_it_was_seen(constant: Constant) -> None:
    assert len(constant.source) > 10
    assert constant.tag in {"SEEN", "DB", "MEM", "CALC", "JUDG"}
    assert constant.range_c[0] <= constant.range_c[1]
    if constant.form not in {"number", "celsius"}:
        assert constant.at_25 is not None


@pytest.mark.parametrize(
    "constant",
    [c for c in CONSTANTS if c.at_25 is not None],
    ids=lambda c: f"{c.id}-{'-'.join(c.sets)}",
)
def test_every_equation_gives_its_value_at_25_degrees(constant: Constant) -> None:
    assert value_at_25(constant) == pytest.approx(constant.at_25, abs=PRINTED)


def test_the_cycles_of_the_cyanurates_close() -> None:
    # K9a is not printed: the 1974 set gives it by K11a (6.90), K8 and K10.
    pk = {c.id: value_at_25(c) for c in CONSTANTS if DEFAULT_SET in c.sets}
    assert pk["monochlorinated-9a"] == pytest.approx(
        6.90 + pk["monochlorinated-8"] - pk["cyanuric-2"], abs=1e-9
    )


def test_the_sets_differ_only_where_their_sources_do() -> None:
    flats = {name: flat_tuple(CONSTANTS, name) for name in SETS}
    own = {slot + i for name in ("cyanuric-1", "monochlorinated-9a", "dichlorinated-7a")
           for slot in [SLOTS[name]] for i in range(6)}  # fmt: skip
    for index, values in enumerate(zip(*flats.values(), strict=True)):
        if index not in own:
            assert len(set(values)) == 1
    assert len(set(flats.values())) == len(SETS)
    assert flats["OBM74_25C"] != flats[DEFAULT_SET] != flats[LOW_SET]


def test_all_sets_fill_every_slot_in_order() -> None:
    for name in SETS:
        flat = flat_tuple(CONSTANTS, name)
        assert len(flat) == 6 * len(SLOTS)
        assert all(math.isfinite(value) for value in flat)
    assert sorted(SLOTS.values()) == list(range(0, 6 * len(SLOTS), 6))


def changed(id_: str, **values: Any) -> dict[str, Any]:
    """Give the table with one constant changed; a value of None takes the key away."""
    entries = [dict(entry) for entry in TABLE["constant"]]
    entry = next(entry for entry in entries if entry["id"] == id_)
    for key, value in values.items():
        entry.pop(key, None)
        if value is not None:
            entry[key] = value
    return {"constant": entries}


@pytest.mark.parametrize(
    "values",
    [
        {"source": None},
        {"source": "  "},
        {"tag": None},
        {"tag": "sure"},
        {"range_c": None},
        {"range_c": [50, 0]},
        {"name": None},
        {"form": "guess"},
        {"sets": ["OBM74"]},
        {"slope": 3.0},
    ],
)
def test_a_constant_without_its_papers_is_refused(values: dict[str, Any]) -> None:
    with pytest.raises(InputError, match="constant calcite"):
        read_constants(changed("calcite", **values))


def test_a_constant_that_the_kernel_has_no_place_for_is_refused() -> None:
    with pytest.raises(InputError, match="no place"):
        read_constants(changed("calcite", id="aragonite"))


def test_a_missing_constant_is_named() -> None:
    table = {"constant": [entry for entry in TABLE["constant"] if entry["id"] != "boric"]}
    with pytest.raises(InputError, match="missing in WA2019: boric"):
        flat_tuple(read_constants(table), "WA2019")


def test_a_constant_given_twice_is_refused() -> None:
    table = {"constant": [*TABLE["constant"], TABLE["constant"][-1]]}
    with pytest.raises(InputError, match="stands twice"):
        flat_tuple(read_constants(table), DEFAULT_SET)


def test_a_term_that_the_kernel_passes_over_is_refused() -> None:
    assert "cyanuric-2" in TWO_TERM
    assert "davies" in PLAIN
    table = changed("cyanuric-2", form="pk", pk=None, slope=None, one=11.4, T=0.001)
    with pytest.raises(InputError, match="does not read"):
        flat_tuple(read_constants(table), DEFAULT_SET)
    fifth = changed("calcite", inverse_T2=1.0)
    with pytest.raises(InputError, match="does not read"):
        flat_tuple(read_constants(fifth), DEFAULT_SET)
    polynomial = changed("calcite", form="celsius", celsius=[1, 2, 3, 4, 0, 0], one=None, T=None,
                         inverse_T=None, log_T=None)  # fmt: skip
    with pytest.raises(InputError, match="alone is a polynomial"):
        flat_tuple(read_constants(polynomial), DEFAULT_SET)


def test_an_unknown_set_is_refused() -> None:
    with pytest.raises(InputError, match="OBM74_25C"):
        flat_tuple(CONSTANTS, "OBM74")


def test_the_service_knows_the_same_default() -> None:
    assert service.DEFAULT_SET == DEFAULT_SET
