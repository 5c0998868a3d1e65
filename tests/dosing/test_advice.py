"""Who gets an amount, and that nobody else can read or work out one."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from tests.kernel.deciding.advice_cases import change, full
from tests.kernel.deciding.deciding_cases import AT

from lanewater.dosing.advice import Advice, Tell, advise_for, measured_out
from lanewater.dosing.request import (
    AdviceRequest,
    AgeLimits,
    ProductAtHand,
    Questions,
    Strength,
    Volume,
)
from lanewater.kernel.deciding.advice import advise
from lanewater.service.constants import load_constants

K = load_constants()
NOBODY: frozenset[str] = frozenset()
HYPO_ONLY = frozenset({"sodium-hypochlorite"})
TELL = Tell(
    pool="Main",
    readings=(("free chlorine", "0.60"), ("pH", "7.40"), ("clarity", "visible")),
    verdict="does-not-meet",
)
# Whatever tells an amount, a product or a place, wherever it stands.
NEVER_KEYS = {
    "amount",
    "unit",
    "low",
    "high",
    "product",
    "substance",
    "name_of_product",
    "jug",
    "place",
    "place_words",
    "half",
    "predicted",
    "after_use",
    "after_mixing",
    "breaks",
    "cautions",
    "assumed",
    "borrowed",
    "refusals",
    "purpose",
    "wait_s",
}


def request(**changes: Any) -> AdviceRequest:
    """Give the complete request of the kernel's tests in its typed form."""
    plain = full()
    asked = AdviceRequest(
        at=AT,
        case=plain["case"],
        questions=Questions("yes", "yes", "no", "yes"),
        taken_at=plain["taken_at"],
        late=False,
        targets={"free_chlorine": ("1.0", "2.0"), "ph": ("7.2", "7.6")},
        limits={"free_chlorine": ("0.8", "3.0"), "ph": ("7.2", "7.8")},
        volume=Volume(of="pool", m3="400", known="drawing"),
        feeder="sodium-hypochlorite",
        products=(
            ProductAtHand(
                id="hypo-1",
                substance="sodium-hypochlorite",
                name="Hypo",
                method="by-hand",
                approved=("raise-chlorine",),
                strength=Strength("120", "g-l", AT - 86400),
                jug="red jug",
            ),
            ProductAtHand(
                id="acid-1",
                substance="hydrochloric-acid",
                name="Pool acid",
                method="by-hand",
                approved=("lower-ph",),
                strength=Strength("31.45", "percent-w-w", AT),
                density_kg_l="1.157",
            ),
        ),
        blocks=(),
        mixing_s=2400,
        dye_test=True,
    )
    return replace(asked, **changes)


def with_ph(value: str) -> AdviceRequest:
    case = full(free_chlorine="1.5", total_chlorine="1.6", ph=value)["case"]
    return request(case=case)


def keys_in(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for key, item in value.items():
            yield key
            yield from keys_in(item)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from keys_in(item)


def wire(advice: Advice) -> str:
    return json.dumps(advice.as_dict())


# --- the lifeguard on the wire --------------------------------------------------------------


def test_without_competence_the_wire_holds_no_amount_product_or_place() -> None:
    shown = advise_for(K, request(), HYPO_ONLY, TELL).as_dict()
    text = wire(advise_for(K, request(), NOBODY, TELL))
    answer = json.loads(text)
    assert answer["state"] == "call"
    assert not NEVER_KEYS & set(keys_in(answer))
    for number in (shown["amount"], shown["low"], shown["high"], "400", "120", "3.00"):
        assert number not in re.findall(r"[0-9.]+", text)
    for word in ("Hypo", "hypochlorite", "jug", "plant room"):
        assert word.lower() not in text.lower()
    # The only digits are those of the readings that are to be told.
    assert set(re.findall(r"[0-9]+(?:\.[0-9]+)?", text)) == {"0.60", "7.40"}


REQUESTS = {
    "complete": request(),
    "another volume": request(volume=Volume(of="circuit", m3="97", known="guess")),
    "another strength": request(products=()),
    "another target": request(targets={"free_chlorine": ("3", "5"), "ph": ("7.0", "7.2")}),
    "people in": request(questions=Questions("no", "yes", "no", "yes")),
    "nothing asked": request(questions=Questions()),
    "pH high": with_ph("8.1"),
    "pH low": with_ph("7.0"),
    "no rules": request(limits=None),
    "a dose running": request(blocks=({"id": "dose-running", "why": "w", "do": "d"},)),
    "nothing known": AdviceRequest(at=0, case={}),
}


@pytest.mark.parametrize("name", sorted(REQUESTS))
def test_what_the_uncompetent_see_does_not_depend_on_anything_an_amount_depends_on(
    name: str,
) -> None:
    assert wire(advise_for(K, REQUESTS[name], NOBODY, TELL)) == wire(
        advise_for(K, request(), NOBODY, TELL)
    )


def test_competence_for_one_product_does_not_show_another() -> None:
    acid = with_ph("8.0")
    assert advise_for(K, acid, frozenset({"hydrochloric-acid"}), TELL).state == "add"
    other = advise_for(K, acid, HYPO_ONLY, TELL)
    assert other.state == "call"
    assert not NEVER_KEYS & set(keys_in(other.as_dict()))


def test_competence_for_every_product_shows_each() -> None:
    assert advise_for(K, request(), frozenset({"*"}), TELL).state == "add"
    assert advise_for(K, with_ph("8.0"), frozenset({"*"}), TELL).state == "add"


@pytest.mark.parametrize(
    ("asked", "state"),
    [
        (request(questions=Questions("no", "yes", "no", "yes")), "feed"),
        (request(questions=Questions()), "refused"),
        (request(limits=None), "refused"),
        (request(blocks=None), "refused"),
        (with_ph("7.4"), "nothing"),
    ],
)
def test_an_answer_that_is_no_addition_has_no_amount_for_anybody(
    asked: AdviceRequest, state: str
) -> None:
    answer = advise_for(K, asked, frozenset({"*"}), TELL).as_dict()
    assert answer["state"] == state
    assert "amount" not in set(keys_in(answer))
    assert answer["words"]


# --- what the competent read ----------------------------------------------------------------


def test_the_sentence_says_what_how_much_in_which_jug_and_the_range() -> None:
    answer = advise_for(K, request(), HYPO_ONLY, TELL).as_dict()
    assert answer["words"] == (
        "First: 3.00 L of Hypo, in red jug. This step takes between 2.60 L and 3.40 L."
    )
    assert answer["amount"] == "3000"
    assert answer["unit"] == "mL"
    assert "nobody in" in answer["place_words"]
    assert answer["retest_words"].startswith("Wait 40 min, then test at two points")
    assert "free chlorine 1.50" in answer["after_words"]


@pytest.mark.parametrize(
    ("ph", "words"),
    [
        ("8.0", "Lower the pH set point, or feed more acid"),
        ("7.0", "Raise the pH set point, or feed less acid"),
    ],
)
def test_what_only_the_plant_feeds_is_never_turned_the_wrong_way(ph: str, words: str) -> None:
    asked = with_ph(ph)
    fed = tuple(
        ProductAtHand(id=substance, substance=substance, name=substance, method="feeder-only")
        for substance in ("carbon-dioxide", "hydrochloric-acid", "sodium-carbonate")
    )
    answer = advise_for(K, replace(asked, products=fed), frozenset({"*"}), TELL).as_dict()
    assert answer["state"] == "feed"
    assert answer["words"].startswith(words)


def test_cautions_travel_with_their_evidence() -> None:
    answer = advise_for(K, request(), HYPO_ONLY, TELL).as_dict()
    assert answer["cautions"][0]["id"] == "label-first"
    for caution in answer["cautions"]:
        assert set(caution) == {"id", "text", "why", "source", "evidence"}


def test_a_pool_alone_on_a_shared_filter_is_told_what_is_left_after_mixing() -> None:
    volume = Volume(of="pool", m3="50", known="drawing", circuit_m3="400", shared=("main",))
    answer = advise_for(K, request(volume=volume), HYPO_ONLY, TELL).as_dict()
    assert "falls back to about 0.71" in answer["place_words"]
    assert "every pool on the same filter" in answer["retest_words"]


def test_a_guess_is_half_a_portion_and_says_so() -> None:
    volume = Volume(of="pool", m3="400", known="guess", accepted=True)
    answer = advise_for(K, request(volume=volume), HYPO_ONLY, TELL).as_dict()
    assert answer["amount"] == "1500"
    assert "Half a portion" in answer["words"]


def test_no_word_on_screen_promises_safety() -> None:
    for asked in (request(), with_ph("8.0"), request(questions=Questions())):
        text = wire(advise_for(K, asked, frozenset({"*"}), TELL)).lower()
        assert not re.search(r"\b(safe|safely)\b", text)


@pytest.mark.parametrize(
    ("amount", "unit", "text"),
    [(950, "mL", "950 mL"), (1000, "mL", "1.00 L"), (3350, "mL", "3.35 L"), (5500, "g", "5.50 kg")],
)
def test_amounts_are_written_as_they_are_measured_out(amount: int, unit: str, text: str) -> None:
    assert measured_out(amount, unit) == text


def test_the_typed_request_is_the_kernels_request() -> None:
    typed = request().for_kernel()
    plain = change(full(), "products", typed["products"])
    assert advise(K, typed)["amount"] == advise(K, plain)["amount"]
    assert set(typed) == set(full())
    assert typed["ages"] == AgeLimits().for_kernel()
