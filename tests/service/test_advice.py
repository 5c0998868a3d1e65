"""Advice from a site's record: who sees it, what it rests on, and the question it leaves open."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from lanewater.service.actor import ANYBODY, SHELL, Actor, shell_as
from lanewater.service.additions import answer_addition, blocks, start_addition
from lanewater.service.advice import advice_for
from lanewater.service.book import Book, open_book
from lanewater.service.clock import instant_ms, instant_text
from lanewater.service.config import Config
from lanewater.service.opening import close_pool, everyone_out, open_pool
from lanewater.service.record import lines
from lanewater.service.rounds import correct_reading, record_round
from lanewater.service.set_up import add, new_site
from lanewater.terms.errors import InputError, RefusedError

START = instant_ms("2026-07-01T05:00:00.000Z", "start")
MINUTE = 60_000
DAY = 86_400_000
YES = {"everybody_out": "yes", "pump_running": "yes", "anything_added": "no", "looked": "yes"}
LOW = {
    "free_chlorine": "0.62",
    "total_chlorine": "0.78",
    "ph": "7.43",
    "temperature_c": "28.4",
    "total_alkalinity": "100",
    "clarity": "visible",
    "circulation": "running",
}


class Site:
    """A small site with a clock that the test moves."""

    def __init__(self, folder: Path) -> None:
        self.now = START
        config = Config(data=folder)
        new_site(
            config,
            {"name": "Baths", "timezone": "Europe/Paris", "rules": "ca-qc"},
            clock=lambda: self.now,
        )
        self.book: Book = open_book(config, clock=lambda: self.now)
        for what, item in SET_UP:
            add(self.book, SHELL, what, item)
        self.operator = self.person("Ola Operator", "OO", "plant-operator", competent=True)
        self.guard = self.person("Lee Guard", "LG", "tester", competent=False)
        self.manager = self.person("Max Manager", "MM", "duty-manager", competent=False)

    def person(self, name: str, initials: str, role: str, *, competent: bool) -> Actor:
        covers = {"covers": "hand-dosing", "product": "sodium-hypochlorite", "from": "2026-01-01"}
        item: dict[str, Any] = {
            "name": name,
            "initials": initials,
            "phone": "555 0100",
            "roles": [role],
            "competences": [covers] if competent else [],
        }
        return Actor(add(self.book, SHELL, "person", item)["id"], "pin", True)

    def round(self, pool: str = "main", **values: str) -> None:
        readings = {**LOW, **values}
        record_round(
            self.book,
            self.guard,
            {"pool": pool, "readings": {name: text for name, text in readings.items() if text}},
        )

    def ask(self, actor: Actor, pool: str = "main", **given: Any) -> dict[str, Any]:
        asked = {"pool": pool, "questions": YES, "volume_of": "pool", **given}
        return advice_for(self.book, actor, asked, self.now)

    def refusals(self, **given: Any) -> list[str]:
        answer = self.ask(self.operator, **given)
        assert answer["state"] == "refused"
        assert "amount" not in answer
        return [entry["id"] for entry in answer["refusals"]]


def pool_item(pool: str, volume: str) -> dict[str, Any]:
    return {
        "pool": pool,
        "name": pool.capitalize(),
        "facts": {
            "kind": "pool",
            "location": "indoor",
            "disinfectant": "chlorine",
            "stabiliser": "not-used",
            "water": "fresh",
            "supply": "recirculated",
            "coagulant": "none",
        },
        "circuit": "one",
        "volume_m3": volume,
        "volume_known": "drawing",
        "targets": [
            {"parameter": "free_chlorine", "low": "1.1", "high": "1.5"},
            {"parameter": "ph", "low": "7.2", "high": "7.6"},
        ],
    }


SET_UP: list[tuple[str, dict[str, Any]]] = [
    (
        "circuit",
        {
            "circuit": "one",
            "name": "One",
            "volume_m3": "450",
            "volume_known": "meter",
            "balance_tank": "included",
            "mixing_minutes": 45,
            "feeder": "sodium-hypochlorite",
        },
    ),
    ("pool", pool_item("main", "400")),
    ("pool", pool_item("teaching", "50")),
    (
        "product",
        {
            "product": "hypo",
            "substance": "sodium-hypochlorite",
            "name": "Hypo",
            "method": "by-hand",
            "strength": {"value": "120", "unit": "g-l", "on": "2026-06-28"},
            "approved": [{"pool": "main", "purpose": "raise-chlorine"}],
            "jug": "red jug",
        },
    ),
]


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    made = Site(tmp_path / "data")
    yield made
    made.book.close()


# --- amounts --------------------------------------------------------------------------------


def test_a_low_round_gives_the_competent_an_amount_that_is_on_record(site: Site) -> None:
    site.round()
    answer = site.ask(site.operator)
    # 400 m3 from 0.62 to 1.30 (the middle of 1.1 to 1.5): 272 g of chlorine, 2267 mL.
    assert (answer["state"], answer["amount"], answer["unit"]) == ("add", "2250", "mL")
    assert answer["place"] == "by-hand-pool"
    assert answer["wait_s"] == 45 * 60
    assert answer["retest"]["not_before"] == instant_text(START + 45 * MINUTE)
    stored = site.book.state.advices[answer["advice"]]
    assert stored.answer == ""
    assert stored.by == site.operator.person
    assert stored.body["amount"] == "2250"
    assert stored.body["scope"] == "pool"
    assert stored.body["round"] == site.book.state.last_round("main").id  # type: ignore[union-attr]  # there is a round
    assert len(stored.body["hash"]) == 64


def test_the_circuits_volume_is_used_for_the_circuit_and_the_pools_for_the_pool(
    site: Site,
) -> None:
    site.round()
    site.round("teaching")
    answer = site.ask(site.operator, volume_of="circuit")
    assert answer["place"] == "circuit-plant"
    assert answer["amount"] == "2550"  # 450 m3: 306 g, 2550 mL
    assert answer["retest"]["also"] == ["teaching"]


@pytest.mark.parametrize("scope", ["pool", "circuit"])
def test_a_tenfold_slip_of_a_volume_gives_no_amount(site: Site, scope: str) -> None:
    site.round()
    site.round("teaching")
    add(site.book, SHELL, "pool", pool_item("main", "4000"))
    assert site.refusals(volume_of=scope) == ["volumes-disagree"]
    add(site.book, SHELL, "pool", pool_item("main", "400"))
    add(site.book, SHELL, "circuit", SET_UP[0][1] | {"volume_m3": "4500"})
    if scope == "circuit":
        assert site.refusals(volume_of=scope) == ["volumes-disagree"]


def test_the_whole_circuits_amount_waits_for_a_test_of_every_pool(site: Site) -> None:
    site.round()
    assert site.refusals(volume_of="circuit") == ["other-pool-not-tested"]
    site.round("teaching", free_chlorine="1.95", total_chlorine="2.00")
    assert site.refusals(volume_of="circuit") == ["another-pool-has-enough"]
    site.now += MINUTE
    site.round("teaching", free_chlorine="1.00", total_chlorine="1.10")
    answer = site.ask(site.operator, volume_of="circuit")
    assert answer["amount"] == "1100"  # 450 m3 from 1.00 to 1.30: 135 g, 1125 mL


def test_a_splash_pad_on_the_circuit_gets_no_amount_through_it(site: Site) -> None:
    item = pool_item("teaching", "50")
    item["facts"] |= {"kind": "spray"}
    add(site.book, SHELL, "pool", item)
    for pool in ("main", "teaching"):
        site.round(pool)
    assert site.refusals(volume_of="circuit") == ["kind-not-configured"]


def test_the_rules_maximum_caps_the_amount(site: Site) -> None:
    item = pool_item("main", "400")
    item["targets"][0] = {"parameter": "free_chlorine", "low": "1.9", "high": "2.1"}
    add(site.book, SHELL, "pool", item)
    site.round()
    answer = site.ask(site.operator)
    # Quebec s.5: at most 2.0 indoors; less the typical test error of 0.13.
    assert float(answer["predicted"]["free_chlorine"]) <= 1.87


# --- people ---------------------------------------------------------------------------------


@pytest.mark.parametrize("who", ["guard", "manager", "shell", "anybody", "unproved"])
def test_everybody_else_gets_whom_to_call_and_no_digit_of_an_amount(site: Site, who: str) -> None:
    site.round()
    actor = {
        "guard": site.guard,
        "manager": site.manager,
        "shell": SHELL,
        "anybody": ANYBODY,
        "unproved": shell_as(site.operator.person),
    }[who]
    text = json.dumps(site.ask(actor))
    answer = json.loads(text)
    assert answer["state"] == "call"
    assert {row["name"] for row in answer["people"]} == {"Ola Operator", "Max Manager"}
    told = {row["name"]: row["value"] for row in answer["tell"]["readings"]}
    assert told["free chlorine"] == "0.62"
    assert answer["tell"]["verdict"] == "does-not-meet"
    assert not re.search(r"2250|2\.25|272|120|400|450|1\.[135]|[Hh]ypo|jug|\bmL\b", text)
    assert not site.book.state.advices


def test_competence_that_has_run_out_shows_nothing(site: Site) -> None:
    covers = {
        "covers": "hand-dosing",
        "product": "*",
        "from": "2025-01-01",
        "until": "2026-06-30",
    }
    item = {
        "name": "Past",
        "initials": "PP",
        "roles": ["plant-operator"],
        "competences": [covers],
    }
    past = Actor(add(site.book, SHELL, "person", item)["id"], "pin", True)
    site.round()
    assert site.ask(past)["state"] == "call"


# --- refusals from the record ---------------------------------------------------------------


def test_no_round_is_a_refusal(site: Site) -> None:
    found = site.refusals() if site.ask(site.operator)["state"] == "refused" else []
    assert "reading-missing" in found
    assert "reading-undated" in found


def test_a_round_older_than_an_hour_is_refused(site: Site) -> None:
    site.round()
    site.now += 61 * MINUTE
    assert site.refusals() == ["reading-old"]


def test_a_round_from_paper_is_refused(site: Site) -> None:
    record_round(
        site.book,
        site.guard,
        {
            "pool": "main",
            "readings": LOW,
            "source": "paper",
            "reason": "Tablet was flat.",
            "at": instant_text(START - 10 * MINUTE),
        },
    )
    assert site.refusals() == ["entered-late"]


def test_the_kind_of_volume_must_be_said(site: Site) -> None:
    site.round()
    asked = {"pool": "main", "questions": YES}
    answer = advice_for(site.book, site.operator, asked, site.now)
    ids = [entry["id"] for entry in answer["refusals"]]
    assert "volume-kind-not-stated" in ids
    assert "amount" not in answer


@pytest.mark.parametrize("question", sorted(YES))
def test_an_unanswered_question_is_a_refusal(site: Site, question: str) -> None:
    site.round()
    rest = {name: answer for name, answer in YES.items() if name != question}
    assert len(site.refusals(questions=rest)) == 1


def test_a_product_that_is_not_approved_for_the_pool_is_refused(site: Site) -> None:
    site.round("teaching")
    assert site.refusals(pool="teaching") == ["product-not-approved"]


def test_no_rules_no_amount(site: Site) -> None:
    add(site.book, SHELL, "rules", {"rules": "none"})
    site.round()
    assert site.refusals() == ["rules-not-chosen"]


def test_an_open_house_stop_anywhere_on_the_filter_is_a_refusal(site: Site) -> None:
    site.round()
    everyone_out(site.book, ANYBODY, {"pool": "teaching", "stop": "vomit"})
    assert "house-stop" in site.refusals()


def test_a_fallen_reading_is_a_surprise_until_it_is_repeated(site: Site) -> None:
    site.round(free_chlorine="1.45", total_chlorine="1.60")
    site.now += 120 * MINUTE
    site.round()
    assert site.refusals() == ["surprising-reading"]
    site.now += 5 * MINUTE
    readings = [{"parameter": name, "value": value} for name, value in LOW.items() if name != "ph"]
    again = {"parameter": "free_chlorine", "value": "0.63"}
    ph = {"parameter": "ph", "value": "7.43"}
    record_round(site.book, site.guard, {"pool": "main", "readings": [*readings, again, ph]})
    assert site.ask(site.operator)["state"] == "add"


@pytest.mark.parametrize(("configured", "refused"), [(True, False), (False, True)])
def test_a_hot_pool_is_dosed_only_where_that_was_set_up(
    site: Site, configured: bool, refused: bool
) -> None:
    item = pool_item("main", "4")
    item["facts"] |= {"kind": "spa", "facts": {"dosing_configured": configured}}
    item["targets"][0] = {"parameter": "free_chlorine", "low": "2.1", "high": "2.9"}
    add(site.book, SHELL, "pool", item)
    site.round(free_chlorine="1.5", total_chlorine="1.6", temperature_c="37")
    answer = site.ask(site.operator)
    ids = [entry["id"] for entry in answer["refusals"]]
    assert ("kind-not-configured" in ids) is refused


ACID = {
    "product": "acid",
    "substance": "hydrochloric-acid",
    "name": "Acid",
    "method": "by-hand",
    "strength": {"value": "31.45", "unit": "percent-w-w", "on": "2026-06-01"},
    "density_kg_l": "1.157",
    "approved": [{"pool": "main", "purpose": "lower-ph"}],
}
HIGH_PH = {"free_chlorine": "1.30", "total_chlorine": "1.40", "ph": "7.75"}


@pytest.mark.parametrize(
    ("alkalinity", "state"),
    [("100", "add"), ("1000", "refused"), ("500", "refused"), ("300", "refused")],
)
def test_acid_never_rests_on_an_earlier_alkalinity_that_was_in_doubt(
    site: Site, alkalinity: str, state: str
) -> None:
    add(site.book, SHELL, "product", ACID)
    covers = {"covers": "hand-dosing", "product": "*", "from": "2026-01-01"}
    item = {"name": "A", "initials": "A", "roles": ["plant-operator"], "competences": [covers]}
    acid_hand = Actor(add(site.book, SHELL, "person", item)["id"], "pin", True)
    for value in ("90", alkalinity, ""):
        site.round(**HIGH_PH, total_alkalinity=value)
        site.now += 120 * MINUTE
    site.now -= 110 * MINUTE
    answer = site.ask(acid_hand)
    assert answer["state"] == state
    ids = [entry["id"] for entry in answer["refusals"]]
    assert ids == ([] if state == "add" else ["alkalinity-missing"])


def test_acid_never_rests_on_an_alkalinity_by_an_expired_reagent(site: Site) -> None:
    add(site.book, SHELL, "product", ACID)
    lot = {"parameter": "total_alkalinity", "lot": "L1", "expires_on": "2026-06-30"}
    add(site.book, SHELL, "reagent", lot)
    covers = {"covers": "hand-dosing", "product": "*", "from": "2026-01-01"}
    item = {"name": "A", "initials": "A", "roles": ["plant-operator"], "competences": [covers]}
    acid_hand = Actor(add(site.book, SHELL, "person", item)["id"], "pin", True)
    rows: list[dict[str, str]] = [
        {"parameter": name, "value": value} for name, value in (LOW | HIGH_PH).items()
    ]
    old = [row | {"lot": "L1"} if row["parameter"] == lot["parameter"] else row for row in rows]
    record_round(site.book, site.guard, {"pool": "main", "readings": old})
    site.now += 60 * MINUTE
    site.round(**HIGH_PH, total_alkalinity="")
    assert [row["id"] for row in site.ask(acid_hand)["refusals"]] == ["alkalinity-missing"]


# --- the question stays open ----------------------------------------------------------------


def test_an_advice_that_nobody_answered_blocks_the_next(site: Site) -> None:
    site.round()
    first = site.ask(site.operator)
    assert site.refusals() == ["advice-unanswered"]
    answer_addition(
        site.book, site.guard, {"pool": "main", "advice": first["advice"], "answer": "not-added"}
    )
    assert site.ask(site.operator)["state"] == "add"


def test_an_advice_for_one_pool_blocks_the_whole_filter(site: Site) -> None:
    site.round()
    site.round("teaching")
    site.ask(site.operator)
    assert "advice-unanswered" in site.refusals(pool="teaching")


def test_a_dose_runs_then_waits_then_wants_its_retest(site: Site) -> None:
    site.round()
    advice = site.ask(site.operator)["advice"]
    start_addition(site.book, site.operator, {"pool": "main", "advice": advice})
    assert site.refusals() == ["dose-running"]
    addition = next(iter(site.book.state.additions))
    answer_addition(site.book, site.operator, {"addition": addition, "answer": "added"})
    assert "wait" in site.refusals()
    site.now += 46 * MINUTE
    assert "retest-first" in site.refusals()


def test_nobody_knows_blocks_until_two_points_are_tested(site: Site) -> None:
    site.round()
    advice = site.ask(site.operator)["advice"]
    answer_addition(
        site.book, site.operator, {"pool": "main", "advice": advice, "answer": "unknown"}
    )
    assert "addition-unknown" in site.refusals()


# --- bad input ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({}, "pool"),
        ({"pool": "moon", "questions": {}}, "pool"),
        ({"pool": "main"}, "questions"),
        ({"pool": "main", "questions": []}, "questions"),
        ({"pool": "main", "questions": {"everybody_out": "maybe"}}, "questions.everybody_out"),
        ({"pool": "main", "questions": {"moon": "yes"}}, "questions.moon"),
        ({"pool": "main", "questions": {}, "volume_of": "lake"}, "volume_of"),
        ({"pool": "main", "questions": {}, "accept_guess": "yes"}, "accept_guess"),
        ({"pool": "main", "questions": {}, "amount": "5"}, "amount"),
    ],
)
def test_a_bad_field_is_named(site: Site, given: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as caught:
        advice_for(site.book, site.operator, given, site.now)
    assert caught.value.field == field


# --- what was added since the reading, and an amount that no longer holds -------------------


def two_points(site: Site, pool: str, at: int, free: str) -> None:
    """Record a round just now whose samples were taken at a stated time."""
    rows = [
        {"parameter": name, "value": value, "point": point, "at": instant_text(at)}
        for point in ("shallow", "deep")
        for name, value in (LOW | {"free_chlorine": free}).items()
    ]
    record_round(site.book, site.guard, {"pool": pool, "readings": rows})


def added(site: Site, **given: Any) -> None:
    """Ask, add what was advised, and say so."""
    advice = site.ask(site.operator)["advice"]
    begun = start_addition(site.book, site.operator, {"pool": "main", "advice": advice})
    answer = {"addition": begun["addition"], "answer": "added"}
    answer_addition(site.book, site.operator, answer | given)


def test_samples_taken_before_an_addition_never_get_a_second_amount(site: Site) -> None:
    site.round()
    added(site)
    site.now += 50 * MINUTE
    for pool in ("main", "teaching"):
        two_points(site, pool, START + MINUTE, "0.62")
    assert site.refusals() == ["retest-first", "reading-before-addition"]


def test_one_old_sample_after_a_good_retest_gets_no_amount(site: Site) -> None:
    site.round()
    added(site)
    site.now += 50 * MINUTE
    for pool in ("main", "teaching"):
        two_points(site, pool, site.now, "0.78")
    site.now += 5 * MINUTE
    two_points(site, "main", START + MINUTE, "0.62")
    assert "reading-before-addition" in site.refusals()


def test_a_wait_goes_with_the_water_and_not_with_the_set_up(site: Site) -> None:
    site.round()
    added(site)
    item = pool_item("main", "400")
    del item["circuit"]
    add(site.book, SHELL, "pool", item)
    site.round("teaching")
    assert "wait" in site.refusals(pool="teaching")
    assert "wait" in [row["id"] for row in blocks(site.book.state, "main", site.now)]


def test_nothing_to_add_is_never_said_of_a_reading_changed_into_a_pass(site: Site) -> None:
    readings = LOW | {"free_chlorine": "1.30", "total_chlorine": "1.40"}
    changed = [{"parameter": "free_chlorine", "value": "0.62"}]
    given = {"pool": "main", "readings": readings, "changed_after_result": changed}
    record_round(site.book, site.guard, given)
    assert site.refusals() == ["changed-after-result"]


def test_the_wait_that_was_advised_cannot_be_answered_away(site: Site) -> None:
    site.round()
    added(site, wait_minutes=0)
    site.now += 31 * MINUTE
    assert "wait" in site.refusals()


def test_what_was_added_without_asking_waits_for_the_circuits_mixing_time(site: Site) -> None:
    site.round()
    given = {"pool": "main", "product": "hypo", "answer": "added"}
    answer_addition(site.book, site.guard, given)
    site.now += 31 * MINUTE
    assert "wait" in site.refusals()


def corrected(site: Site) -> None:
    last = site.book.state.last_round("main")
    assert last is not None
    site.now += MINUTE
    given = {"round": last.id, "parameter": "total_chlorine", "value": "0.80", "reason": "misread"}
    correct_reading(site.book, site.guard, given)


def opened(site: Site) -> None:
    open_pool(site.book, site.manager, {"pool": "main", "reason": "Swimming club waits."})


@pytest.mark.parametrize(
    ("meanwhile", "named"),
    [
        (lambda site: setattr(site, "now", START + 61 * MINUTE), "advice-old"),
        (lambda site: site.round(free_chlorine="1.40", total_chlorine="1.50"), "advice-overtaken"),
        (corrected, "advice-overtaken"),
        (lambda site: everyone_out(site.book, ANYBODY, {"pool": "main", "stop": "vomit"}), "stop"),
        (opened, "record-says-open"),
    ],
)
def test_an_amount_that_no_longer_holds_is_not_begun(
    site: Site, meanwhile: Callable[[Site], None], named: str
) -> None:
    site.round()
    advice = site.ask(site.operator)["advice"]
    meanwhile(site)
    with pytest.raises(RefusedError, match=named):
        start_addition(site.book, site.operator, {"pool": "main", "advice": advice})
    assert not site.book.state.additions


def test_a_pool_that_the_record_calls_open_gets_no_amount_by_hand(site: Site) -> None:
    site.round(free_chlorine="1.30", total_chlorine="1.40")
    open_pool(site.book, site.manager, {"pool": "main"})
    site.now += 5 * MINUTE
    site.round(free_chlorine="1.00", total_chlorine="1.10")
    assert site.refusals() == ["record-says-open"]
    people = site.ask(site.operator, questions=YES | {"everybody_out": "no"})
    assert people["state"] == "feed"
    close_pool(site.book, site.manager, {"pool": "main", "kind": "closed", "reason": "Low free"})
    assert site.ask(site.operator)["state"] == "add"


def test_what_was_not_added_leaves_no_amount_on_record(site: Site) -> None:
    site.round()
    advice = site.ask(site.operator)["advice"]
    given = {"advice": advice, "answer": "not-added", "amount": "2250", "unit": "mL"}
    answer_addition(site.book, site.guard, given)
    body = lines(site.book, limit=1)[0]["body"]
    assert body["answer"] == "not-added"
    assert not {"amount", "unit", "wait_minutes"} & set(body)
