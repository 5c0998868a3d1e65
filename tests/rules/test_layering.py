"""Rules upon rules: every rule of both holds; a site's own rules can only tighten."""

from __future__ import annotations

import tomllib
from copy import deepcopy
from typing import Any

import pytest

from lanewater.rules.layering import layered, overlaid
from lanewater.rules.pack import compile_raw
from lanewater.rules.withouteffect import partly_without_effect
from lanewater.terms.errors import InputError, RefusedError

STATE: dict[str, Any] = tomllib.loads(
    """
id = "xx-state"
title = "A state's rules"
authority = "A state"
place = "XX"
edition = "2020"
status = "reviewed"
law = true
read_on = "2026-11-25"
borrow_hours = 24

[sources]
text = { address = "https://state.example", read_on = "2026-11-25" }

[coverage]
disinfectant_minimum = { state = "limited", clause = "1" }
disinfectant_maximum = { state = "limited", clause = "1" }
ph = { state = "limited", clause = "2" }
clarity = { state = "not-read" }
combined_chlorine = { state = "not-read" }
temperature = { state = "not-read" }
test_interval = { state = "not-read" }

[[rule]]
id = "free-minimum"
clause = "1"
source = "text"
evidence = "seen"
parameter = "free_chlorine"
at_least = "1.0"
level = "correct"

[[rule]]
id = "free-maximum"
clause = "1"
source = "text"
evidence = "seen"
parameter = "free_chlorine"
at_most = "7.0"
level = "close"

[[rule]]
id = "ph-maximum"
clause = "2"
source = "text"
evidence = "seen"
parameter = "ph"
at_most = "7.8"
level = "correct"
"""
)
OWN: dict[str, Any] = {
    "id": "house-rules",
    "title": "House rules",
    "extends": "xx-state",
    "rule": [
        {"id": "house-ph", "parameter": "ph", "at_most": "7.6", "level": "correct"},
    ],
}


def county(**more: Any) -> dict[str, Any]:
    own = {key: value for key, value in STATE.items() if key not in ("rule", "procedures")}
    rule = {**STATE["rule"][0], "id": "county", "parameter": "turbidity_ntu", "at_most": "1"}
    for key in ("at_least", "above", "when", "when_reading"):
        rule.pop(key, None)
    return {**deepcopy(own), "id": "xx-state-county", "extends": "xx-state", "rule": [rule], **more}


def rule_ids(raw: dict[str, Any]) -> set[str]:
    return {rule["id"] for rule in compile_raw(raw)["rules"]}


def test_every_rule_of_both_holds() -> None:
    assert rule_ids(layered(STATE, county())) == rule_ids(STATE) | {"county"}


def test_what_a_law_replaces_is_gone_and_nothing_else() -> None:
    gone = STATE["rule"][0]["id"]
    whole = layered(STATE, county(replaces=[gone]))
    assert rule_ids(whole) == (rule_ids(STATE) - {gone}) | {"county"}


def test_a_layer_keeps_the_source_of_each_rule() -> None:
    own = county()
    own["sources"] = {
        name: {"address": "https://county.example", "read_on": "2026-11-26"}
        for name in STATE["sources"]
    }
    whole = layered(STATE, own)
    by_id = {rule["id"]: whole["sources"][rule["source"]]["address"] for rule in whole["rule"]}
    assert by_id["county"] == "https://county.example"
    first = STATE["rule"][0]
    assert by_id[first["id"]] == STATE["sources"][first["source"]]["address"]


def test_a_layer_is_no_better_proved_than_what_it_stands_on() -> None:
    base = {**STATE, "status": "secondary"}
    assert layered(base, county(status="reviewed"))["status"] == "secondary"


def test_what_was_not_read_by_the_layer_is_as_the_base_says() -> None:
    coverage = {item: {"state": "not-read"} for item in STATE["coverage"]}
    assert layered(STATE, county(coverage=coverage))["coverage"] == STATE["coverage"]


@pytest.mark.parametrize(
    ("own", "says"),
    [
        (county(rule=[STATE["rule"][0]]), "has one by that id"),
        (county(replaces=["no-such-rule"]), "is no id of xx-state"),
        (county(extends="us-ca"), "xx-state is wanted"),
    ],
)
def test_layers_that_do_not_fit_are_refused(own: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError, match=says):
        layered(STATE, own)


def test_nothing_stands_on_historic_rules() -> None:
    with pytest.raises(InputError, match="historic"):
        layered({**STATE, "status": "historic"}, county())


def test_a_site_adds_a_rule_without_clause_or_source() -> None:
    pack = compile_raw(overlaid(STATE, OWN, document=False))
    own = next(rule for rule in pack["rules"] if rule["id"] == "house-ph")
    assert (own["clause"], own["evidence"]) == ("own rules of the site", "common-practice")
    assert pack["id"] == "xx-state"
    assert pack["edition"] == f"{STATE['edition']}; with House rules"
    assert pack["coverage"] == compile_raw(STATE)["coverage"]


@pytest.mark.parametrize(
    "more",
    [
        {"replaces": ["ph-maximum"]},
        {"coverage": {"clarity": {"state": "no-limit-set", "clause": "none"}}},
        {"class": [{"id": "low", "fact": "risk_class"}]},
        {"procedures": [{"id": "quick"}]},
    ],
)
def test_what_could_loosen_takes_a_document(more: dict[str, Any]) -> None:
    with pytest.raises(RefusedError, match="takes a document of the authority"):
        overlaid(STATE, {**OWN, **more}, document=False)


@pytest.mark.parametrize("key", ["status", "law", "effective_to", "borrow_hours"])
def test_a_site_changes_nothing_of_what_the_law_says_of_itself(key: str) -> None:
    with pytest.raises(InputError, match=key):
        overlaid(STATE, {**OWN, key: STATE.get(key, "2030-01-01")}, document=True)


def test_a_looser_limit_is_refused_and_a_document_must_say_which_it_replaces() -> None:
    upper = next(rule for rule in STATE["rule"] if rule["id"] == "ph-maximum")
    own = {**OWN, "rule": [{**upper, "id": "house-ph", "at_most": "8.4"}]}
    for document in (False, True):
        with pytest.raises(RefusedError, match="looser than ph-maximum"):
            overlaid(STATE, own, document=document)
    allowed = overlaid(STATE, {**own, "replaces": ["ph-maximum"]}, document=True)
    assert "ph-maximum" not in rule_ids(allowed)


def house(**rule: Any) -> dict[str, Any]:
    own = {"id": "house-ph", "parameter": "ph", "level": "correct", **rule}
    return {**OWN, "rule": [own]}


def law(**rule: Any) -> dict[str, Any]:
    """Give the state's rules with other conditions on its highest pH."""
    rules = [{**row, **rule} if row["id"] == "ph-maximum" else row for row in STATE["rule"]]
    return {**STATE, "rule": rules}


SPA, NO_SPA = {"kind": ["spa"]}, {"kind_not": ["spa"]}


@pytest.mark.parametrize(
    ("base", "own"),
    [
        (law(), house(at_most="8.0", when=SPA)),
        (law(), house(at_most="7.8")),
        (law(when={"kind": ["spa", "wading"]}), house(at_most="8.0", when=SPA)),
        (law(when=SPA), house(at_most="8.0", when_known=SPA)),
        (law(when=NO_SPA), house(at_most="8.0", when={"kind": ["pool"]})),
        (law(when=NO_SPA), house(at_most="8.0", when={"kind_not": ["spa", "wading"]})),
        (law(level="close"), house(at_most="8.0")),
    ],
)
def test_a_looser_limit_is_refused_wherever_the_laws_own_holds_all_the_same(
    base: dict[str, Any], own: dict[str, Any]
) -> None:
    with pytest.raises(RefusedError, match=r"house-ph is looser than ph-maximum \(pH is at most"):
        overlaid(base, own, document=False)


@pytest.mark.parametrize(
    ("base", "own", "said"),
    [
        (law(when=SPA), house(at_most="8.0"), "where the pool is a spa, ph-maximum (pH is at most"),
        (law(when=SPA), house(at_most="8.0", when=NO_SPA), ""),
        (law(when=SPA), house(at_most="8.0", when={"kind": ["pool"]}), ""),
        (law(when_known=SPA), house(at_most="8.0", when=SPA), "where it is stated that the pool"),
        (law(level="advise"), house(at_most="8.0"), ""),
        (law(consecutive=2), house(at_most="8.0"), ""),
        (law(), house(at_most="8.0", level="close"), ""),
        (law(), house(at_most="7.6"), ""),
        (
            law(modify=[{"add": "0.4", "words": "by the sea"}]),
            house(at_most="8.0"),
            "",
        ),
    ],
)
def test_a_limit_that_tightens_only_somewhere_is_let_in_and_said(
    base: dict[str, Any], own: dict[str, Any], said: str
) -> None:
    overlaid(base, own, document=False)
    found = partly_without_effect(base, own)
    assert [said in row for row in found] == ([True] if said else [])
