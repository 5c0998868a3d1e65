"""The cause finder: ranked by the pool's own history, silent where it says too little."""

from __future__ import annotations

from typing import Any

import pytest
from tests.kernel.deciding.cause_cases import (
    DAY,
    beside_a_probe,
    creeping,
    days_and_nights,
    history,
    rising_ph,
)
from tests.kernel.deciding.deciding_cases import AT, HOUR, reading

from lanewater.kernel.deciding.causes import causes_of

QUESTIONS = ["ph-rises", "chlorine-goes", "combined-creeps", "probe-parts"]
STEADY = ["7.40", "7.42", "7.39", "7.41", "7.40", "7.42"]
RISING = ["7.20", "7.28", "7.36", "7.44", "7.52", "7.60"]
BREAKING = ["7.38", "7.40", "7.40", "7.42", "7.40", "7.41", "7.60", "7.85", "8.10"]
HOLDING = [("1.50", "1.46"), ("1.52", "1.47"), ("1.49", "1.45"), ("1.50", "1.46")]
FALLING = [("1.90", "0.40"), ("1.80", "0.35"), ("1.95", "0.50"), ("1.85", "0.42")]


def answer(case: dict[str, Any], question: str) -> dict[str, Any]:
    """Give one of the four answers."""
    return next(found for found in causes_of(case) if found["question"] == question)


def first(case: dict[str, Any], question: str) -> str:
    """Give the cause that stands first."""
    found = answer(case, question)
    assert found["state"] == "seen"
    return str(found["causes"][0]["id"])


def evidence(case: dict[str, Any], question: str, cause: str) -> list[str]:
    """Give what speaks for a cause."""
    found = answer(case, question)["causes"]
    return [row["id"] for one in found if one["id"] == cause for row in one["for"]]


def test_four_questions_are_always_answered() -> None:
    found = causes_of(history([]))
    assert [row["question"] for row in found] == QUESTIONS
    assert {row["state"] for row in found} == {"too-few"}
    assert all(row["causes"] == row["ask"] == [] for row in found)


def test_a_ph_that_stands_still_has_no_cause() -> None:
    found = answer(history(rising_ph(STEADY)), "ph-rises")
    assert (found["state"], found["causes"]) == ("not-seen", [])


def test_a_sudden_rise_under_automatic_dosing_points_to_the_acid_feed() -> None:
    case = history(rising_ph(BREAKING))
    assert first(case, "ph-rises") == "acid-feed-stopped"
    assert "rise-is-sudden" in evidence(case, "ph-rises", "acid-feed-stopped")


def test_a_slow_rise_of_hard_buffered_water_in_a_spa_points_to_the_air() -> None:
    rounds = rising_ph(RISING, total_alkalinity="180")
    case = history(rounds, pool={"kind": "spa", "control": "manual"}, ceiling=8600)
    assert first(case, "ph-rises") == "carbon-dioxide-leaves"
    assert set(evidence(case, "ph-rises", "carbon-dioxide-leaves")) == {
        "water-is-agitated",
        "alkalinity-is-high",
        "air-leads-higher",
    }


def test_air_cannot_lift_a_ph_above_where_it_leads() -> None:
    case = history(rising_ph(RISING), ceiling=7300)
    assert "carbon-dioxide-leaves" not in [one["id"] for one in answer(case, "ph-rises")["causes"]]


@pytest.mark.parametrize("feeder", ["chlorine", "trichloroisocyanuric-acid"])
def test_an_acid_chlorine_never_explains_a_rise(feeder: str) -> None:
    case = history(rising_ph(RISING), feeder=feeder)
    assert "alkaline-chlorine" not in [one["id"] for one in answer(case, "ph-rises")["causes"]]


def test_soda_ash_on_record_explains_a_rise() -> None:
    events = [{"kind": "addition", "product": "sodium-carbonate", "at": AT - DAY}]
    case = history(rising_ph(RISING), events=events, pool={"control": "manual"})
    assert first(case, "ph-rises") == "alkali-added"


def test_a_rise_that_the_controller_does_not_see_points_to_the_test() -> None:
    rounds = rising_ph(RISING, controller_ph="7.20")
    case = history(rounds, pool={"control": "manual"})
    assert first(case, "ph-rises") == "ph-test"


def test_nights_that_lose_most_point_to_demand_not_to_sun() -> None:
    case = history(days_and_nights(FALLING), pool={"location": "outdoor"}, feeder="none")
    assert first(case, "chlorine-goes") == "demand"
    assert "nights-lose-much" in evidence(case, "chlorine-goes", "demand")
    assert "sun" not in [one["id"] for one in answer(case, "chlorine-goes")["causes"]]


def test_nights_that_hold_speak_against_demand() -> None:
    found = answer(history(days_and_nights(HOLDING), feeder="none"), "chlorine-goes")
    assert found["state"] == "not-seen"
    assert float(found["said"]["night"]) < 0.02


def test_days_that_lose_while_nights_hold_point_to_sun_outdoors() -> None:
    nights = [("0.90", "0.88"), ("0.95", "0.92"), ("0.90", "0.89"), ("0.92", "0.90")]
    rounds = days_and_nights(nights, by_day=("3.00", "1.60"))
    # Somebody adds chlorine each morning, three hours before noon.
    events = [
        {"kind": "addition", "product": "sodium-hypochlorite", "at": one["at"] - 3 * HOUR}
        for one in rounds[::4]
    ]
    outdoors = history(rounds, pool={"location": "outdoor"}, feeder="none", events=events)
    assert first(outdoors, "chlorine-goes") == "sun"
    indoors = history(rounds, feeder="none", events=events)
    assert "sun" not in [one["id"] for one in answer(indoors, "chlorine-goes")["causes"]]


def test_a_feeder_that_should_hold_it_is_looked_at_first() -> None:
    rounds = days_and_nights(FALLING, controller_free="0.42")
    assert first(history(rounds), "chlorine-goes") == "feed-short"


def test_chlorine_that_was_added_is_no_loss_and_its_night_is_left_out() -> None:
    rounds = days_and_nights(FALLING)
    events = [
        {"kind": "addition", "product": "sodium-hypochlorite", "at": one["at"] - 3600}
        for one in rounds
    ]
    assert answer(history(rounds, events=events), "chlorine-goes")["state"] == "too-few"


def test_old_hypochlorite_speaks_for_itself() -> None:
    case = history(days_and_nights(FALLING), strength_at=AT - 90 * DAY)
    assert evidence(case, "chlorine-goes", "weak-product") == ["strength-is-old"]


def test_combined_that_lasts_overnight_is_not_broken_by_more_chlorine() -> None:
    pairs = [("1.50", "1.90"), ("1.50", "2.00"), ("1.52", "2.15"), ("1.50", "2.30"), ("1.5", "2.5")]
    case = history(creeping(pairs, shut=True))
    assert first(case, "combined-creeps") == "organic-or-trichloramine"


def test_monopersulfate_on_record_is_asked_first_of_a_false_combined() -> None:
    pairs = [("1.50", "1.90"), ("1.50", "2.00"), ("1.52", "2.15"), ("1.50", "2.30")]
    events = [{"kind": "addition", "product": "other:potassium monopersulfate", "at": AT - DAY}]
    assert first(history(creeping(pairs), events=events), "combined-creeps") == "false-combined"


def test_combined_over_the_rules_limit_is_seen_though_it_stands_still() -> None:
    pairs = [("1.50", "2.10"), ("1.50", "2.11"), ("1.52", "2.12"), ("1.50", "2.10")]
    assert answer(history(creeping(pairs)), "combined-creeps")["state"] == "not-seen"
    case = history(creeping(pairs), limit_combined=500)
    assert answer(case, "combined-creeps")["state"] == "seen"


def test_a_bromine_pool_has_no_combined_chlorine() -> None:
    pairs = [("1.50", "1.90"), ("1.50", "2.00"), ("1.52", "2.15"), ("1.50", "2.30")]
    case = history(creeping(pairs), pool={"disinfectant": "bromine"})
    assert answer(case, "combined-creeps")["state"] == "too-few"


def test_a_gap_that_grows_one_way_points_to_the_probe_if_the_photometer_was_checked() -> None:
    pairs = [("1.50", "1.45"), ("1.52", "1.30"), ("1.50", "1.10"), ("1.49", "0.95"), ("1.5", "0.8")]
    case = history(beside_a_probe(pairs), verified={"bench": AT - DAY})
    assert first(case, "probe-parts") == "probe-drifts"
    assert "photometer-is-off" not in [one["id"] for one in answer(case, "probe-parts")["causes"]]


def test_a_new_reagent_lot_and_no_check_point_to_the_photometer_too() -> None:
    pairs = [("1.50", "1.10"), ("1.52", "1.12"), ("1.50", "1.10"), ("1.49", "1.11")]
    rounds = beside_a_probe(pairs)
    for place, one in enumerate(rounds):
        for row in one["readings"]:
            row["lot"] = "A" if place < 2 else "B"
    case = history(rounds, verified={"bench": AT - 60 * DAY})
    assert first(case, "probe-parts") == "photometer-is-off"


def test_one_difference_alone_is_no_gap() -> None:
    pairs = [("1.50", "1.48"), ("1.52", "1.50"), ("1.50", "1.00"), ("1.49", "1.47")]
    assert answer(history(beside_a_probe(pairs)), "probe-parts")["state"] == "not-seen"


def test_doubtful_readings_are_not_built_on() -> None:
    rounds = rising_ph(RISING)
    for one in rounds:
        one["doubtful"] = ["ph"]
    assert answer(history(rounds), "ph-rises")["state"] == "too-few"


def test_what_is_over_range_is_left_out() -> None:
    rounds = rising_ph(RISING)
    rounds[-1]["readings"] = [reading("ph", ">8.4")]
    assert answer(history(rounds), "ph-rises")["said"]["days"] == 4


def test_no_answer_names_an_amount_or_a_thing_to_add() -> None:
    cases = [
        history(rising_ph(BREAKING)),
        history(days_and_nights(FALLING)),
        history(creeping([("1.5", "1.9"), ("1.5", "2.1"), ("1.5", "2.3"), ("1.5", "2.6")])),
    ]
    for case in cases:
        for found in causes_of(case):
            assert set(found) == {"question", "state", "said", "causes", "ask"}
            for cause in found["causes"]:
                assert set(cause) == {"id", "for", "against"}
