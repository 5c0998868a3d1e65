"""The Water page's answers: what is known, what is missing, what may be said of it."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from tests.baths import GOOD, Baths

from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.additions import answer_addition
from lanewater.service.opening import everyone_out
from lanewater.service.rounds import record_round
from lanewater.service.rules_texts import Texts
from lanewater.service.set_up import add
from lanewater.service.water import significant, tenths, water_page
from lanewater.terms.errors import MissingError

WHOLE = {"total_alkalinity": "100", "calcium_hardness": "250"}
DAY = 24 * 60
TARGETS = [
    {"parameter": "ph", "low": "7.2", "high": "7.6"},
    {"parameter": "calcium_hardness", "low": "200", "high": "400"},
    {"parameter": "total_alkalinity", "low": "80", "high": "120"},
]


def lane(baths: Baths, pool: str = "main") -> dict[str, Any]:
    """Give one pool's lane."""
    page = water_page(baths.book, baths.who("tester"), baths.now_ms)
    json.dumps(page, allow_nan=False)
    found: dict[str, Any] = next(row for row in page["pools"] if row["pool"] == pool)
    return found


def change(baths: Baths, pool: str, **more: Any) -> None:
    """Set a pool up anew with changes."""
    known = baths.book.state.pools[pool]
    facts = {**known.facts, **more.pop("facts", {})}
    item = {"pool": pool, "name": known.name, "facts": facts, **more}
    add(baths.book, SHELL, "pool", item)


def why(baths: Baths, pool: str = "main") -> dict[str, str]:
    """Give what is missing, by parameter."""
    return {row["parameter"]: row["why"] for row in lane(baths, pool)["missing"]}


def test_before_any_round_everything_is_named_as_missing(baths: Baths) -> None:
    found = lane(baths)
    assert found["state"] == "missing"
    assert [row["parameter"] for row in found["missing"]] == [
        "ph",
        "temperature_c",
        "total_alkalinity",
        "calcium_hardness",
    ]
    assert set(why(baths).values()) == {"never-read"}
    assert (found["index"], found["hocl"], found["balanced"]) == (None, None, False)


def test_a_whole_round_gives_the_index_with_band_drivers_and_table(baths: Baths) -> None:
    baths.round(**WHOLE)
    found = lane(baths)
    assert found["state"] == "known"
    index = found["index"]
    assert float(index["low"]) <= float(index["value"]) <= float(index["high"])
    assert found["drivers"][0]["share_percent"] >= found["drivers"][-1]["share_percent"]
    assert {row["id"] for row in found["handbook"]["causes"]} == {
        "stabiliser",
        "salt",
        "temperature",
        "rest",
    }
    assert float(found["more"]["salt_1000_moves_by"]) < 0
    assert found["taken_as_none"] == ["salt", "boron", "sulfate", "magnesium"]


def test_borrowed_values_carry_their_date_and_widen_the_band(baths: Baths) -> None:
    baths.round(**WHOLE)
    fresh = lane(baths)
    baths.wait(4 * DAY)
    baths.round()
    found = lane(baths)
    rows = {row["parameter"]: row for row in found["inputs"]}
    assert rows["total_alkalinity"]["borrowed"]
    assert rows["total_alkalinity"]["at"] == "2026-07-01T09:51:00.000Z"
    assert rows["total_alkalinity"]["age_minutes"] == 4 * DAY
    assert not rows["ph"]["borrowed"]
    first = {row["parameter"]: row for row in fresh["inputs"]}
    assert float(rows["total_alkalinity"]["error"]) > float(first["total_alkalinity"]["error"])


def test_a_value_past_its_age_is_missing(baths: Baths) -> None:
    baths.round(**WHOLE)
    baths.wait(8 * DAY)
    baths.round()
    assert why(baths) == {"total_alkalinity": "too-old"}
    baths.wait(2 * DAY)
    assert why(baths)["ph"] == "too-old"
    row = lane(baths)["missing"][0]
    assert (row["value"], row["at"]) == ("7.43", "2026-07-09T09:51:00.000Z")


def test_a_doubtful_number_is_missing_and_nothing_is_built_on_it(baths: Baths) -> None:
    baths.round(**WHOLE)
    baths.wait(60)
    baths.round(ph="8.05")
    assert why(baths) == {"ph": "in-doubt"}
    baths.wait(5)
    baths.round(ph=">8.4")
    assert why(baths)["ph"] in ("in-doubt", "not-usable")


def test_points_that_differ_are_tested_again_before_an_index(baths: Baths) -> None:
    readings = [
        {"parameter": key, "value": value, "point": point}
        for point, ph in (("shallow", "7.20"), ("deep", "7.75"))
        for key, value in (GOOD | WHOLE | {"ph": ph}).items()
    ]
    record_round(baths.book, baths.who("tester"), {"pool": "main", "readings": readings})
    assert why(baths) == {"ph": "points-apart"}
    assert not lane(baths)["balanced"]
    baths.wait(5)
    baths.retest("main")
    assert "ph" not in why(baths)


def test_a_surprise_is_not_called_balanced_until_it_is_repeated(baths: Baths) -> None:
    baths.round(**WHOLE, free_chlorine="1.90", total_chlorine="2.00")
    assert lane(baths)["balanced"]
    baths.wait(60)
    low = {"free_chlorine": "0.85", "total_chlorine": "0.95"}
    assert baths.round(**WHOLE, **low)["verdict"]["overall"].startswith("meets")
    assert (lane(baths)["balanced"], lane(baths)["overall"]) == (False, "not-judged")
    baths.wait(5)
    baths.round(**WHOLE, **low)
    assert lane(baths)["balanced"]


def test_stabiliser_and_salt_are_wanted_where_the_water_may_hold_them(baths: Baths) -> None:
    change(baths, "plunge", facts={"stabiliser": "used", "water": "salt"})
    baths.round("plunge", **WHOLE)
    assert why(baths, "plunge") == {"cyanuric_acid": "never-read", "salt": "never-read"}
    baths.wait(5)
    baths.round("plunge", **WHOLE, cyanuric_acid="40", salt="3200")
    found = lane(baths, "plunge")
    assert found["state"] == "known"
    assert found["hocl"]["stabilised"]
    assert float(found["hocl"]["lower_mg_l"]) < float(found["hocl"]["default_mg_l"])
    assert float(found["hocl"]["low_mg_l"]) < float(found["hocl"]["lower_mg_l"])
    assert found["more"]["salt_1000_moves_by"] is None


def test_sea_water_is_not_covered_and_bromine_has_no_hocl(baths: Baths) -> None:
    change(baths, "plunge", facts={"water": "sea"})
    baths.round("plunge", **WHOLE)
    assert lane(baths, "plunge")["state"] == "sea"
    change(baths, "plunge", facts={"water": "fresh", "disinfectant": "bromine"})
    found = lane(baths, "plunge")
    assert (found["state"], found["hocl"]) == ("known", None)


def test_readings_that_no_water_has_give_no_number(baths: Baths) -> None:
    change(baths, "plunge", facts={"stabiliser": "used"})
    baths.round(
        "plunge", ph="7.9", total_alkalinity="30", calcium_hardness="250", cyanuric_acid="90"
    )
    found = lane(baths, "plunge")
    assert found["state"] in ("impossible", "no-end")
    assert (found["index"], found["first"]) == (None, [])


def test_the_word_is_given_only_while_the_round_meets_and_is_in_date(baths: Baths) -> None:
    baths.round(**WHOLE, ph="7.45")
    assert (lane(baths)["overall"], lane(baths)["balanced"]) == ("meets", True)
    baths.wait(300)
    assert (lane(baths)["overall"], lane(baths)["balanced"]) == ("not-judged", False)
    assert lane(baths)["first"][0]["id"] == "judge"


def test_a_ph_outside_the_rules_is_never_called_balanced_and_comes_first(baths: Baths) -> None:
    baths.round(**WHOLE, ph="7.95")
    found = lane(baths)
    assert abs(float(found["index"]["value"])) <= 0.6
    assert not found["balanced"]
    assert [row["id"] for row in found["first"]] == ["rules-ph"]
    assert found["fails"] == ["ph"]


def test_a_house_stop_comes_first(baths: Baths) -> None:
    baths.round(**WHOLE)
    everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "glass"})
    found = lane(baths)
    assert ([row["id"] for row in found["first"]], found["balanced"]) == (["stop"], False)


def test_no_rules_no_word_and_still_an_index(baths: Baths) -> None:
    def gone(_identity: str) -> dict[str, Any]:
        raise MissingError("rules: the folder is gone")

    baths.book.load = gone
    baths.book.texts = Texts(baths.folder / "nowhere")
    baths.round(**WHOLE)
    found = lane(baths)
    assert (found["state"], found["balanced"]) == ("known", False)


def test_soft_water_is_told_to_raise_calcium_inside_the_sites_target(baths: Baths) -> None:
    change(baths, "main", targets=TARGETS, interval_minutes=240)
    baths.round(total_alkalinity="90", calcium_hardness="40")
    found = lane(baths)
    assert found["index"]["tendency"] == "dissolves"
    assert found["first"][-1] == {
        "id": "raise",
        "parameter": "calcium_hardness",
        "low": "200.00",
        "high": "400.00",
    }
    assert "ph" not in {row["parameter"] for row in found["first"]}


def test_a_target_outside_the_rules_is_no_place_to_go(baths: Baths) -> None:
    high = [{"parameter": "ph", "low": "7.9", "high": "8.2"}]
    change(baths, "main", targets=high, interval_minutes=240)
    baths.round(total_alkalinity="90", calcium_hardness="60")
    assert "ph" not in {row["parameter"] for row in lane(baths)["first"]}


def test_a_plan_is_offered_to_recorded_competence_alone(baths: Baths) -> None:
    for name, offered in (("tester", False), ("manager", False), ("operator", True)):
        assert water_page(baths.book, baths.who(name), baths.now_ms)["may_plan"] is offered
    baths.wait(60 * DAY)
    assert not water_page(baths.book, ANYBODY, baths.now_ms)["may_plan"]


def test_no_amount_and_no_product_is_in_the_answer(baths: Baths) -> None:
    baths.round(**WHOLE)
    given = {"pool": "main", "product": "hypo", "amount": "1.234", "unit": "L"}
    answer_addition(baths.book, ANYBODY, {**given, "answer": "added"})
    text = json.dumps(water_page(baths.book, baths.who("tester"), baths.now_ms))
    assert "1.234" not in text
    assert "hypo" not in text


@pytest.mark.parametrize(
    ("value", "low", "high"),
    [(-0.34, "-0.4", "-0.3"), (-0.04, "-0.1", "0.0"), (0.3001, "0.3", "0.4")],
)
def test_the_ends_of_a_band_are_rounded_outwards(value: float, low: str, high: str) -> None:
    assert (tenths(value, math.floor), tenths(value, math.ceil)) == (low, high)


def test_an_estimate_has_two_digits() -> None:
    assert [significant(value) for value in (0.0, 0.0221, 0.96, 1.08, 27.3, 132.0)] == [
        "0",
        "0.022",
        "0.96",
        "1.1",
        "27",
        "132",
    ]
