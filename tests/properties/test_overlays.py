"""A site's own rules without a document of the authority only ever tighten.

Any rules a site may write are laid on every pack, and any water is judged by both: what the law
alone does not pass, passes with none of them.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lanewater.kernel.deciding.askbase import narrowest_limits
from lanewater.kernel.deciding.decimals import decimal_text, thousandths
from lanewater.kernel.deciding.limits import severity
from lanewater.rules.case import case_from
from lanewater.rules.judging import judge_case
from lanewater.rules.withouteffect import without_effect
from lanewater.service.packs import load_pack, pack_ids
from lanewater.service.packs_read import whole_raw
from lanewater.service.rules_texts import compile_overlaid
from lanewater.terms.errors import LanewaterError

PACKS = [name for name in pack_ids() if "@" not in name and name != "common-practice"]
NUMBERS = {
    "free_chlorine": ("0", "0.29", "0.5", "1.0", "2.0", "3.0", "5.1", "10.1"),
    "total_chlorine": ("0.3", "1.1", "2.1", "3.5", "10.1"),
    "ph": ("6.4", "7.0", "7.2", "7.4", "7.7", "8.1"),
    "cyanuric_acid": ("0", "29", "60", "101"),
    "temperature_c": ("25", "26.1", "36", "40.1"),
    "turbidity_ntu": ("0.4", "1.1", "5.1"),
    "total_alkalinity": ("50", "100", "220"),
}
SIDES = ("at_least", "at_most", "above", "below")
ANY_RULE = st.builds(
    lambda number, parameter, side, limit, level, when: {
        "id": f"own-{number}",
        "parameter": parameter,
        side: limit,
        "level": level,
        "when": when,
    },
    st.integers(0, 999),
    st.sampled_from(sorted(NUMBERS)),
    st.sampled_from(SIDES),
    st.sampled_from(("0.4", "1.0", "2.0", "7.2", "7.8", "30", "100")),
    st.sampled_from(("note", "advise", "correct", "close", "evacuate")),
    st.sampled_from(
        (
            {},
            {"kind": ["spa"]},
            {"kind_not": ["spa"]},
            {"location": ["indoor"]},
            {"disinfectant": ["chlorine"], "location_not": ["outdoor"]},
        )
    ),
)
CLEAR = {"id": "own-clear", "parameter": "clarity", "equals": "visible", "level": "close"}
WATER = st.fixed_dictionaries(
    {}, optional={name: st.sampled_from(values) for name, values in NUMBERS.items()}
)
POOLS = st.sampled_from(
    [
        {
            "kind": "pool",
            "location": "indoor",
            "disinfectant": "chlorine",
            "stabiliser": "not-used",
        },
        {"kind": "spa", "location": "outdoor", "disinfectant": "chlorine", "stabiliser": "used"},
        {"kind": "wading", "disinfectant": "chlorine"},
        {},
    ]
)


@cache
def law(identity: str) -> dict[str, Any]:
    return whole_raw(identity)


def laid_on(
    identity: str, rules: list[dict[str, Any]], *, accepted: bool = False
) -> dict[str, Any] | None:
    own = {"id": "own", "title": "Own rules", "extends": identity, "rule": rules}
    try:
        return compile_overlaid(law(identity), [(own, False)], accepted=int(accepted))
    except LanewaterError:
        return None


def overall(pack: dict[str, Any], question: dict[str, Any]) -> str:
    return str(judge_case(pack, case_from(question))["overall"])


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    identity=st.sampled_from(PACKS),
    rules=st.lists(ANY_RULE, min_size=1, max_size=4, unique_by=lambda rule: rule["id"]),
    clear=st.booleans(),
    water=WATER,
    pool=POOLS,
    seen=st.sampled_from(("visible", "not-visible", "")),
    purpose=st.sampled_from(("round", "sample")),
    accepted=st.booleans(),
)
def test_a_sites_own_rules_never_make_the_answer_better(
    identity: str,
    rules: list[dict[str, Any]],
    clear: bool,
    water: dict[str, str],
    pool: dict[str, str],
    seen: str,
    purpose: str,
    accepted: bool,
) -> None:
    readings = {**water, **({"clarity": seen} if seen else {})}
    both = laid_on(identity, [*rules, *([CLEAR] if clear else [])], accepted=accepted)
    if both is None or not readings:
        return
    question = {"purpose": purpose, "pool": pool, "readings": readings}
    alone = overall(load_pack(identity), question)
    assert severity(overall(both, question)) <= severity(alone)


# --- What an earlier program accepted although it has no effect --------------------------------

LEAST, MOST = ("at_least", "above"), ("at_most", "below")
COMPARED = [
    (identity, rule)
    for identity in PACKS
    for rule in law(identity)["rule"]
    if {*LEAST, *MOST} & set(rule) and not {"relative_to", "relative_to_fact"} & set(rule)
]
KEPT = ("parameter", "level", "when", "when_known", "when_reading", "when_number")


def side_of(rule: dict[str, Any]) -> str:
    return next(key for key in (*LEAST, *MOST) if key in rule)


def looser(rule: dict[str, Any], side: str, by: int) -> dict[str, Any]:
    """Give a limit of a site's own that is looser than a law's, or prints the same number."""
    limit = thousandths(rule[side_of(rule)])
    moved = max(limit - by, 0) if side in LEAST else limit + by
    kept = {key: rule[key] for key in KEPT if key in rule}
    return {**kept, "id": "own-loose", side: decimal_text(moved)}


def bands(pack: dict[str, Any], question: dict[str, Any]) -> dict[str, Any]:
    return narrowest_limits(pack, case_from(question))


def no_wider(found: dict[str, Any], of_law: dict[str, Any]) -> bool:
    """Tell whether every end of the law's bands, to which water is dosed, still holds."""
    return all(
        thousandths(found[name][end]) * way >= thousandths(band[end]) * way
        for name, band in of_law.items()
        for end, way in (("low", 1), ("high", -1))
        if end in band
    )


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    chosen=st.sampled_from(COMPARED),
    strict=st.booleans(),
    by=st.sampled_from((0, 1, 50, 400, 5000)),
    near=st.sampled_from((-401, -51, -1, 0, 1, 51, 401)),
    at_own=st.booleans(),
    water=WATER,
    pool=POOLS,
)
def test_a_limit_without_effect_that_was_accepted_earlier_loosens_nothing(
    chosen: tuple[str, dict[str, Any]],
    strict: bool,
    by: int,
    near: int,
    at_own: bool,
    water: dict[str, str],
    pool: dict[str, str],
) -> None:
    identity, rule = chosen
    sides = LEAST if side_of(rule) in LEAST else MOST
    own = looser(rule, sides[strict], by)
    both = laid_on(identity, [own], accepted=True)
    assert both is not None
    limit = thousandths(own[sides[strict]] if at_own else rule[side_of(rule)])
    readings = {**water, rule["parameter"]: decimal_text(max(limit + near, 0))}
    question = {"pool": pool, "readings": {**readings, "clarity": "visible"}}
    alone = load_pack(identity)
    before, after = (judge_case(pack, case_from(question)) for pack in (alone, both))
    assert severity(after["overall"]) <= severity(before["overall"])
    rows = {row["rule"]: row for row in after["results"]}
    assert all(rows[row["rule"]] == row for row in before["results"])
    assert after["stops"] == before["stops"]
    assert no_wider(bands(both, question), bands(alone, question))


def test_every_comparison_is_looked_at_and_refused_where_it_is_accepted_now() -> None:
    seen = set()
    for identity, rule in COMPARED:
        for side in LEAST if side_of(rule) in LEAST else MOST:
            own = looser(rule, side, 50)
            text = {"id": "own", "title": "Own", "extends": identity, "rule": [own]}
            if without_effect(law(identity), text):
                seen.add((side_of(rule), side))
                assert laid_on(identity, [own]) is None
    assert seen == {(one, other) for sides in (LEAST, MOST) for one in sides for other in sides}


def test_a_limit_that_took_the_laws_place_is_caught() -> None:
    question = {"pool": {"kind": "pool"}, "readings": {"free_chlorine": "0.7"}}
    rule = next(row for row in law("ca-qc")["rule"] if row["id"] == "free-chlorine-minimum")
    both = laid_on("ca-qc", [looser(rule, "at_least", 400)], accepted=True)
    assert both is not None
    instead = [row for row in both["rules"] if row["id"] != "free-chlorine-minimum"]
    wide = bands({**both, "rules": instead}, question)
    assert not no_wider(wide, bands(load_pack("ca-qc"), question))


def test_a_rule_of_the_sites_own_does_tighten() -> None:
    rule = {"id": "own-ph", "parameter": "ph", "at_most": "7.3", "level": "correct"}
    both = laid_on("ca-qc", [rule])
    pool = {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"}
    pool["stabiliser"] = "not-used"
    readings = {"free_chlorine": "1.5", "total_chlorine": "1.6", "ph": "7.4", "clarity": "visible"}
    question = {"pool": pool, "readings": {**readings, "turbidity_ntu": "0.4"}}
    assert overall(load_pack("ca-qc"), question) == "meets"
    assert both is not None
    assert overall(both, question) == "does-not-meet"


def test_a_sites_own_limit_does_not_stand_for_one_that_nobody_read() -> None:
    readings = {"free_chlorine": "1.5", "total_chlorine": "1.6", "ph": "7.4", "clarity": "visible"}
    question = {
        "pool": {
            "kind": "pool",
            "location": "outdoor",
            "disinfectant": "chlorine",
            "stabiliser": "not-used",
        },
        "readings": {**readings, "temperature_c": "25"},
    }
    assert load_pack("au-sa")["coverage"]["clarity"]["state"] == "not-read"
    both = laid_on("au-sa", [CLEAR])
    assert both is not None
    assert overall(both, question) == "not-judged"


@pytest.mark.parametrize("rules", ["au-vic", "au-qld", "au-sa", "au-wa"])
def test_free_chlorine_under_the_most_of_total_does_not_stand_for_a_total_that_nobody_read(
    rules: str,
) -> None:
    own = {
        "id": "own",
        "title": "An order of the authority on clarity",
        "extends": rules,
        "rule": [CLEAR],
        "coverage": {"clarity": {"state": "limited", "clause": "Order 1"}},
    }
    both = compile_overlaid(law(rules), [(own, True)], accepted=0)
    pool = {
        "kind": "pool",
        "location": "outdoor",
        "disinfectant": "chlorine",
        "stabiliser": "not-used",
    }
    readings = {"free_chlorine": "3.0", "ph": "7.4", "clarity": "visible", "temperature_c": "25"}
    assert overall(both, {"pool": pool, "readings": readings}) == "not-judged"
    assert overall(both, {"pool": pool, "readings": {**readings, "total_chlorine": "3.2"}}) == (
        "meets"
    )


def test_a_sample_that_only_the_site_limits_is_not_judged() -> None:
    rule = {"id": "own-salt", "parameter": "salt", "at_most": "3000", "level": "correct"}
    both = laid_on("ca-qc", [rule])
    assert both is not None
    question = {"purpose": "sample", "pool": {"kind": "pool"}, "readings": {"salt": "1000"}}
    assert overall(both, question) == "not-judged"
