"""Every pack that is shipped holds: coverage, golden cases, sources, evidence."""

import pytest

from lanewater.rules.checking import full_coverage, troubles_of
from lanewater.rules.pack import compile_pack
from lanewater.service.packs import FOLDER, load_pack, pack_ids


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
    assert covered == {"ca-qc", "common-practice", "us-in-fishers"}
