"""A site's own rules without a document of the authority only ever tighten.

Any rules a site may write are laid on every pack, and any water is judged by both: what the law
alone does not pass, passes with none of them.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lanewater.kernel.deciding.limits import severity
from lanewater.rules.case import case_from
from lanewater.rules.judging import judge_case
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


def laid_on(identity: str, rules: list[dict[str, Any]]) -> dict[str, Any] | None:
    own = {"id": "own", "title": "Own rules", "extends": identity, "rule": rules}
    try:
        return compile_overlaid(law(identity), [(own, False)])
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
)
def test_a_sites_own_rules_never_make_the_answer_better(
    identity: str,
    rules: list[dict[str, Any]],
    clear: bool,
    water: dict[str, str],
    pool: dict[str, str],
    seen: str,
    purpose: str,
) -> None:
    readings = {**water, **({"clarity": seen} if seen else {})}
    both = laid_on(identity, [*rules, *([CLEAR] if clear else [])])
    if both is None or not readings:
        return
    question = {"purpose": purpose, "pool": pool, "readings": readings}
    alone = overall(load_pack(identity), question)
    assert severity(overall(both, question)) <= severity(alone)


def test_a_rule_of_the_sites_own_does_tighten() -> None:
    rule = {"id": "own-ph", "parameter": "ph", "at_most": "7.3", "level": "correct"}
    both = laid_on("ca-qc", [rule])
    pool = {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"}
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


def test_a_sample_that_only_the_site_limits_is_not_judged() -> None:
    rule = {"id": "own-salt", "parameter": "salt", "at_most": "3000", "level": "correct"}
    both = laid_on("ca-qc", [rule])
    assert both is not None
    question = {"purpose": "sample", "pool": {"kind": "pool"}, "readings": {"salt": "1000"}}
    assert overall(both, question) == "not-judged"
