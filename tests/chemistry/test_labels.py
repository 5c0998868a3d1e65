"""`calc strength`: one strength in every unit, the label's trap, and a tank that ages."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.chemistry.labels import describe_label, label_from
from lanewater.service.constants import load_table
from lanewater.terms.errors import InputError

HYPO = {"product": "sodium-hypochlorite"}
FIRST = {"at": "2026-10-01", "strength_g_l": 140}
SECOND = {"at": "2026-10-31", "strength_g_l": 120}


def told(**given: Any) -> dict[str, Any]:
    return describe_label(load_table("plant"), label_from(given))


def ids(answer: dict[str, Any]) -> list[str]:
    return [found["id"] for found in answer["findings"]]


def test_120_g_l_is_10_37_percent_of_chlorine_and_10_89_of_hypochlorite() -> None:
    # White (1972) by way of a public reprint: 120 g/L, SG 1.157.
    answer = told(**HYPO, strength_g_l=120, specific_gravity=1.157)
    assert answer["percent_w_w"] == pytest.approx(10.37, abs=0.005)
    assert answer["percent_w_w_compound"] == pytest.approx(10.89, abs=0.005)
    assert answer["trade_percent"] == pytest.approx(12.0)
    assert answer["percent_w_v"] == pytest.approx(12.0)


@pytest.mark.parametrize(
    "stated",
    [
        {"strength_trade_percent": 12},
        {"strength_percent_w_v": 12},
        {"strength_percent_w_w": 100 * 120 / 1157},
        {"strength_percent_w_w": 1.04987 * 100 * 120 / 1157, "strength_counts": "compound"},
    ],
)
def test_however_it_is_written_it_is_the_same_strength(stated: dict[str, Any]) -> None:
    answer = told(**HYPO, **stated, density_kg_l=1.157)
    assert answer["g_l"] == pytest.approx(120, rel=1e-5)
    assert answer["percent_w_w"] == pytest.approx(10.3717, rel=1e-5)


def test_twelve_and_a_half_percent_by_weight_is_a_seventh_more_than_trade_percent() -> None:
    answer = told(**HYPO, strength_trade_percent=12.5, specific_gravity=1.193)
    trade, _chlorine, compound = (each["g_l"] for each in answer["read_as"])
    assert (trade, compound) == (pytest.approx(125), pytest.approx(142, abs=0.1))
    assert 100 * (compound / trade - 1) == pytest.approx(14, abs=0.5)
    assert "percent-of-what" in ids(answer)


def test_a_strength_in_g_l_is_no_trap() -> None:
    answer = told(**HYPO, strength_g_l=125)
    assert answer["read_as"] == []
    assert answer["findings"] == []
    assert answer["percent_w_w"] is None
    assert any("Without density" in text for text in answer["assumed"])


@pytest.mark.parametrize(
    ("product", "percent"),
    [
        ("calcium-hypochlorite", 99.18),
        ("sodium-dichloroisocyanurate", 64.48),
        ("trichloroisocyanuric-acid", 91.53),
    ],
)
def test_the_pure_compound_holds_the_chlorine_it_should(product: str, percent: float) -> None:
    answer = told(product=product, strength_percent_w_w=100, strength_counts="compound")
    assert answer["percent_w_w"] == pytest.approx(percent, abs=0.01)
    assert answer["percent_w_w_compound"] == pytest.approx(100)
    assert answer["trade_percent"] is None


def test_two_measurements_give_the_tanks_own_half_life() -> None:
    answer = told(**HYPO, strength_g_l=150, measured=[SECOND, FIRST], days=[30, 0])
    own = answer["ageing"]["own"]
    # 1/120 - 1/140 in 30 days: from 120 on half is gone in 30 x (1/120) / (1/120 - 1/140) days.
    assert own["half_life_days"] == pytest.approx(30 / 120 / (1 / 120 - 1 / 140))
    assert own["half_life_short_days"] < own["half_life_days"] < own["half_life_long_days"]
    today, later = own["course"]
    assert today["g_l"] == pytest.approx(120)
    assert later["g_l"] == pytest.approx(1 / (2 / 120 - 1 / 140))
    assert later["low_g_l"] < later["g_l"] < later["high_g_l"]
    assert answer["ageing"]["published"] is None


def test_measurements_within_their_error_promise_no_loss() -> None:
    close = {"at": "2026-10-08", "strength_g_l": 139}
    answer = told(**HYPO, strength_g_l=150, measured=[FIRST, close])
    assert answer["ageing"]["own"]["half_life_long_days"] is None
    assert answer["ageing"]["own"]["course"][0]["high_g_l"] == pytest.approx(139)
    assert "loss-within-error" in ids(answer)


def test_one_measurement_gives_no_loss() -> None:
    answer = told(**HYPO, strength_g_l=150, measured=[FIRST])
    assert answer["ageing"]["own"] is None
    assert "one-measurement" in ids(answer)


def test_the_published_loss_is_a_range_and_not_for_dosing() -> None:
    answer = told(**HYPO, strength_trade_percent=12.5, temperature_c=25)
    published = answer["ageing"]["published"]
    assert published["note"] == "from memory, not for dosing"
    assert published["half_life_long_days"] == pytest.approx(3 * published["half_life_short_days"])
    assert published["half_life_long_days"] == pytest.approx(187, abs=1)
    assert answer["ageing"]["own"] is None
    assert "published-loss-is-a-range" in ids(answer)
    assert "published-loss-extrapolated" not in ids(answer)
    cold = told(**HYPO, strength_trade_percent=12.5, temperature_c=5)
    weak = told(**HYPO, strength_trade_percent=4, temperature_c=25)
    assert all("published-loss-extrapolated" in ids(one) for one in (cold, weak))


def test_without_measurement_or_temperature_nothing_is_said_of_ageing() -> None:
    assert told(**HYPO, strength_g_l=125)["ageing"] is None


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"strength_g_l": 125}, "product"),
        ({**HYPO}, "strength"),
        ({**HYPO, "strength": 12.5}, "strength"),
        (
            {"product": "hydrochloric-acid", "strength_percent_w_w": 33, "temperature_c": 20},
            "temperature_c",
        ),
        ({**HYPO, "strength_g_l": 125, "days": [3]}, "days"),
        ({**HYPO, "strength_g_l": 125, "temperature_c": 20, "days": [999]}, "days[0]"),
        ({**HYPO, "strength_g_l": 125, "measured": [{"strength_g_l": 120}]}, "measured[0].at"),
        ({**HYPO, "strength_g_l": 125, "measured": [{"at": "2026-10-01"}]}, "measured[0].strength"),
        (
            {**HYPO, "strength_g_l": 125, "measured": [{**FIRST, "at": "yesterday"}]},
            "measured[0].at",
        ),
        (
            {**HYPO, "strength_g_l": 125, "measured": [{**FIRST, "at": "2026-10-01T06:00:00"}]},
            "measured[0].at",
        ),
        ({**HYPO, "strength_g_l": 125, "measured": [FIRST, FIRST]}, "measured"),
        (
            {
                **HYPO,
                "strength_g_l": 125,
                "measured": [{"at": "2026-10-01", "strength_percent_w_w": 10}],
            },
            "measured[0].density_kg_l",
        ),
        ({"product": "other:descaler", "strength_g_l": 1}, "product"),
        (
            {**HYPO, "strength_g_l": 125, "measured": [{**FIRST, "strength_g_l": 0.5}]},
            "measured[0].strength_g_l",
        ),
    ],
)
def test_what_is_missing_or_odd_is_refused_by_name(given: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as raised:
        told(**given)
    assert raised.value.field == field
