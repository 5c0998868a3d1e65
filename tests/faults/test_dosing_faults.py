"""Faults planted in findings and advice on purpose: a promise must break for each of them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.dosing import test_advice as gate
from tests.kernel.deciding import test_advice as amounts
from tests.kernel.deciding import test_housestops as stops
from tests.kernel.deciding import test_plausibility as findings
from tests.kernel.deciding import test_refusals as refusals
from tests.service import test_advice as record

from lanewater.dosing.advice import Advice
from lanewater.dosing.request import Volume

DECIDING = "lanewater.kernel.deciding"


def none(*_given: Any) -> list[Any]:
    return []


def missing(path: str) -> Callable[[], None]:
    return lambda: refusals.test_every_missing_input_is_a_refusal(path)


FAULTS: dict[str, tuple[str, Any, Callable[[], None]]] = {
    "the four questions are not asked": (
        f"{DECIDING}.refusals.question_refusals",
        none,
        missing("questions.looked"),
    ),
    "the volume is not asked": (
        f"{DECIDING}.refusals.volume_refusals",
        none,
        missing("volume.of"),
    ),
    "the reading's age is not asked": (
        f"{DECIDING}.refusals.age_refusals",
        none,
        missing("taken_at"),
    ),
    "the kind of water is not asked": (
        f"{DECIDING}.refusals.pool_refusals",
        none,
        missing("case.pool.disinfectant"),
    ),
    "running doses are not asked": (
        f"{DECIDING}.refusals.standing_refusals",
        none,
        missing("blocks"),
    ),
    "the readings are not asked": (
        f"{DECIDING}.refusals.reading_refusals",
        none,
        lambda: refusals.test_a_doubtful_round_gives_no_amount(
            {"clarity": "not-visible"}, "house-stop"
        ),
    ),
    "the strength's date is not asked": (
        f"{DECIDING}.strengths.date_refusals",
        none,
        missing("products.0.strength.at"),
    ),
    "the strength's unit is not asked": (
        f"{DECIDING}.strengths.unit_refusals",
        none,
        lambda: refusals.test_an_amount_is_refused_by_name(
            "products.0.strength.unit", "percent", "strength-unit-missing"
        ),
    ),
    "any chlorine goes with any": (
        f"{DECIDING}.productfit.chlorine_refusals",
        none,
        lambda: refusals.test_an_amount_is_refused_by_name(
            "feeder", "calcium-hypochlorite", "other-chlorine-family"
        ),
    ),
    "alkalinity is guessed": (
        f"{DECIDING}.waterknown.borrowed_refusal",
        none,
        lambda: refusals.test_acid_needs_alkalinity_and_temperature(
            {"total_alkalinity": ""}, "alkalinity-missing"
        ),
    ),
    "a surprise is believed": (
        f"{DECIDING}.refusals.surprising",
        lambda *_: False,
        refusals.test_one_surprising_reading_gives_no_amount_and_its_repeat_does,
    ),
    "a doubtful number is used": (
        f"{DECIDING}.refusals.casts_doubt",
        lambda _: False,
        lambda: refusals.test_a_doubtful_round_gives_no_amount(
            {"free_chlorine": "0.60", "total_chlorine": "0.30"}, "pair-not-believable"
        ),
    ),
    "chlorine is handed out with people in": (
        f"{DECIDING}.advice.only_people_in",
        lambda *_: False,
        refusals.test_people_in_the_water_leaves_only_the_feed_never_an_amount,
    ),
    "gas is given by hand": (
        f"{DECIDING}.productfit.for_the_feeder",
        lambda _: False,
        lambda: refusals.test_what_is_not_given_by_hand_is_fed_and_never_an_amount(
            "chlorine", "by-hand"
        ),
    ),
    "pH moves by more than a step": (
        f"{DECIDING}.portion.PH_STEP",
        400,
        lambda: amounts.test_acid_never_moves_ph_by_more_than_a_step_and_is_rounded_down("8.3"),
    ),
    "test error is left out of the cap": (
        f"{DECIDING}.portion.typical_error",
        lambda *_: 0,
        amounts.test_free_chlorine_stays_under_the_rules_maximum_by_test_error,
    ),
    "amounts are a tenth too great": (
        f"{DECIDING}.portion.measurable",
        lambda amount: amount * 11 // 10,
        lambda: amounts.test_400_m3_up_by_0_9_takes_360_g_of_chlorine(
            3000, amounts.strength("120", "g-l")
        ),
    ),
    "a guess gives the whole portion": (
        f"{DECIDING}.portion.word_in",
        lambda *_: "drawing",
        refusals.test_an_accepted_guess_gives_half_and_says_so,
    ),
    "the wait has no floor": (
        f"{DECIDING}.advice.LEAST_WAIT_SECONDS",
        0,
        lambda: amounts.test_the_retest_is_at_two_points_and_never_before_30_minutes(600, 1800),
    ),
    "the competence gate stands open": (
        "lanewater.dosing.advice.call",
        lambda _: Advice("add", {"amount": "3000"}),
        gate.test_without_competence_the_wire_holds_no_amount_product_or_place,
    ),
    "impossible pairs are believed": (
        f"{DECIDING}.plausibility.pair_findings",
        none,
        findings.test_total_under_free_beyond_test_error_is_an_impossible_pair,
    ),
    "bleaching is not thought of": (
        f"{DECIDING}.plausibility.bleaching_findings",
        none,
        lambda: findings.test_a_surprising_none_is_possible_bleaching("0.20", True),
    ),
    "an unseen bottom does not stop": (
        f"{DECIDING}.housestops.look_stops",
        none,
        lambda: stops.test_a_bottom_that_is_not_seen_stops(
            "not-visible", ["bottom-not-seen"], "pool"
        ),
    ),
}


@pytest.mark.parametrize("fault", sorted(FAULTS))
def test_a_planted_fault_breaks_its_promise(fault: str, monkeypatch: pytest.MonkeyPatch) -> None:
    place, replacement, promise = FAULTS[fault]
    promise()
    monkeypatch.setattr(place, replacement)
    # A crash is a finding too: the promise must not hold quietly.
    with pytest.raises((AssertionError, LookupError, ValueError, ZeroDivisionError)):
        promise()


def test_the_wrong_kind_of_volume_is_noticed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A teaching pool dosed with its circuit's volume would get eight times too much."""

    def circuits_volume(*_given: Any) -> Volume:
        return Volume(of="pool", m3="450", known="meter")

    monkeypatch.setattr("lanewater.service.advice_request.volume_for", circuits_volume)
    site = record.Site(tmp_path / "data")
    with pytest.raises(AssertionError):
        record.test_a_low_round_gives_the_competent_an_amount_that_is_on_record(site)
    site.book.close()


def test_a_competence_that_is_not_looked_up_is_noticed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "lanewater.service.advice.competent_for", lambda *_: frozenset({"sodium-hypochlorite"})
    )
    monkeypatch.setattr("lanewater.service.additions.hold_to_competence", lambda *_: None)
    site = record.Site(tmp_path / "data")
    with pytest.raises(AssertionError):
        record.test_everybody_else_gets_whom_to_call_and_no_digit_of_an_amount(site, "guard")
    site.book.close()
