"""Every pack that is shipped holds: coverage, golden cases, sources, evidence."""

import re
from typing import Any

import pytest

from lanewater.kernel.deciding.limits import severity
from lanewater.rules.case import case_from
from lanewater.rules.checking import full_coverage, troubles_of
from lanewater.rules.judging import judge_case
from lanewater.rules.pack import compile_pack
from lanewater.service.packs import FOLDER, load_pack, pack_ids

LAWS = [identity for identity in pack_ids() if load_pack(identity)["law"]]
# Disinfectant, pH and clarity, all read or known to be unlimited; a pack is added here by hand.
COVERED = {
    "at-bhygv",
    "at-bhygv@2012",
    "ca-qc",
    "common-practice",
    "es-742",
    "fr",
    "nl",
    "nl@2023",
    "no",
    "us-fl",
    "us-fl@2016",
    "us-in-fishers",
    "us-in-howard",
    "us-in-tippecanoe",
    "us-md-anne-arundel",
    "us-mt@2010",
    "us-ny",
}
CLEAR_ROUND = {"ph": "7.4", "clarity": "visible", "temperature_c": "28", "circulation": "running"}


def overall(identity: str, pool: dict[str, str], readings: dict[str, str]) -> str:
    case = case_from({"pool": pool, "readings": {**CLEAR_ROUND, **readings}})
    return str(judge_case(load_pack(identity), case)["overall"])


def rules_decided(pack: dict[str, Any]) -> tuple[set[str], set[str]]:
    """Give the rules that fail, and those that pass, in some golden case of a pack."""
    failed, passed = set(), set()
    for golden in pack["golden"]:
        keys = ("purpose", "pool", "readings", "history", "at")
        case = case_from({key: golden[key] for key in keys if key in golden})
        for row in judge_case(pack, case)["results"]:
            if severity(row["verdict"]) < severity("not-judged"):
                failed.add(row["rule"])
            elif row["verdict"] != "not-judged":
                passed.add(row["rule"])
    return failed, passed


@pytest.mark.parametrize("identity", pack_ids())
def test_a_shipped_pack_holds(identity: str) -> None:
    assert troubles_of(load_pack(identity)) == []


@pytest.mark.parametrize("identity", pack_ids())
def test_a_shipped_pack_names_clause_and_source_of_every_rule(identity: str) -> None:
    pack = load_pack(identity)
    for rule in pack["rules"]:
        assert rule["clause"]
        assert pack["sources"][rule["source"]]["address"]
        assert rule["evidence"] != "memory"


def test_a_golden_case_that_is_printed_wrong_is_caught() -> None:
    text = (FOLDER / "ca-qc.toml").read_text(encoding="utf-8")
    planted = text.replace('at_least = "0.8"', 'at_least = "0.79"')
    assert planted != text
    assert any("golden case 3" in trouble for trouble in troubles_of(compile_pack(planted)))


def test_coverage_that_claims_a_limit_without_a_rule_is_caught() -> None:
    text = (FOLDER / "us-ca.toml").read_text(encoding="utf-8")
    planted = text.replace('ph = { state = "not-read"', 'ph = { state = "limited"')
    assert planted != text
    assert "coverage: ph is said to be limited, and no rule limits it" in troubles_of(
        compile_pack(planted)
    )


def test_only_packs_that_cover_the_core_can_let_a_round_meet() -> None:
    covered = {identity for identity in pack_ids() if full_coverage(load_pack(identity))}
    assert covered == COVERED


@pytest.mark.parametrize("identity", LAWS)
def test_golden_cases_show_each_limit_of_a_law_broken_and_kept(identity: str) -> None:
    pack = load_pack(identity)
    # What only advises makes no row: it is told as an action, and a golden case names it there.
    limits = {
        rule["id"]
        for rule in pack["rules"]
        if rule["computable"] and rule["level"] not in ("note", "advise")
    }
    failed, passed = rules_decided(pack)
    assert limits - failed == set()
    assert limits - passed == set()


@pytest.mark.parametrize("identity", LAWS)
def test_a_reviewed_pack_rests_on_the_text_of_the_law_alone(identity: str) -> None:
    pack = load_pack(identity)
    evidence = {entry["evidence"] for entry in [*pack["rules"], *pack["intervals"]]}
    assert evidence == {"seen"} or pack["status"] != "reviewed"


@pytest.mark.parametrize("identity", LAWS)
@pytest.mark.parametrize("kind", ["pool", "spa", "hydrotherapy", "spray"])
def test_a_bromine_pool_never_meets_on_its_chlorine(identity: str, kind: str) -> None:
    # With iron as coagulant, so that no limit of pH that hangs on it speaks instead.
    pool = {"kind": kind, "location": "indoor", "disinfectant": "bromine", "coagulant": "iron"}
    assert overall(identity, pool, {"free_chlorine": "2.0"}) == "not-judged"


@pytest.mark.parametrize("identity", ["ca-qc", "us-in-fishers"])
@pytest.mark.parametrize("location", ["indoor", "roofed"])
def test_stabiliser_set_up_where_it_is_banned_never_meets(identity: str, location: str) -> None:
    pool = {"kind": "pool", "location": location, "disinfectant": "chlorine"}
    chlorine = {"free_chlorine": "1.5", "total_chlorine": "1.6"}
    assert overall(identity, {**pool, "stabiliser": "not-used"}, chlorine) == "meets"
    assert overall(identity, {**pool, "stabiliser": "used"}, chlorine) == "not-judged"
    # Not stated and not read, it could be in use; read as none, it is none.
    assert overall(identity, pool, chlorine) == "not-judged"
    assert overall(identity, pool, {**chlorine, "cyanuric_acid": "0"}) == "meets"
    assert overall(identity, pool, {**chlorine, "cyanuric_acid": "5"}) == "does-not-meet"


@pytest.mark.parametrize("identity", pack_ids())
def test_a_combined_that_is_given_only_adds_a_reason_not_to_meet(identity: str) -> None:
    pack = load_pack(identity)
    pool = {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"}
    pool["stabiliser"] = "not-used"
    rest = [{"parameter": name, "value": value} for name, value in CLEAR_ROUND.items()]
    pairs = [
        (["1.0"], [">5"]),
        (["1.5"], [">5"]),
        (["6"], [">5"]),
        (["<0.5"], ["3.0"]),
        (["<1.5"], ["<1.6"]),
        (["1.0"], ["3.0", "1.2"]),
        (["1.0", "1.5"], ["1.7"]),
        (["1.5"], ["2.02"]),
        (["1.5"], ["1.7"]),
    ]
    for frees, totals in pairs:
        read = [{"parameter": "free_chlorine", "value": value} for value in frees]
        read += [{"parameter": "total_chlorine", "value": value} for value in totals]
        without = judge_case(pack, case_from({"pool": pool, "readings": [*rest, *read]}))
        for combined in ("0.1", "0.2", "0.48", "2", "<0.2", ">1"):
            given = {"parameter": "combined_chlorine", "value": combined}
            told = {"pool": pool, "readings": [*rest, *read, given]}
            answer = judge_case(pack, case_from(told))
            assert severity(answer["overall"]) <= severity(without["overall"])


@pytest.mark.parametrize("identity", pack_ids())
def test_what_a_pack_asks_for_holds_no_word_that_may_be_misread(identity: str) -> None:
    # Clear water is no empty pool: who must leave is told with "Everyone out".
    misread = re.compile(r"\b(clear|clears|cleared|safe|safely|verdict|balanced)\b", re.IGNORECASE)
    for rule in load_pack(identity)["rules"]:
        assert misread.search(rule["do"]) is None, rule["id"]


def test_a_line_that_was_cut_off_is_named_beside_a_sample_that_meets_the_common_one() -> None:
    pool = {"kind": "spa", "disinfectant": "chlorine", "stabiliser": "not-used"}
    readings = {"free_chlorine": "2.0", "total_chlorine": "2.1", "temperature_c": "36"}
    case = case_from({"purpose": "sample", "pool": pool, "readings": readings})
    answer = judge_case(load_pack("au-wa"), case)
    assert answer["overall"] == "meets"
    why = [row["why"] for row in answer["not_judged"] if row["parameter"] == "free_chlorine"]
    assert len(why) == 1
    assert "cut off" in why[0]
