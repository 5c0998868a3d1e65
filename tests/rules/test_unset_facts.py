"""A fact that nobody set never lets a round meet that some value of it would not."""

from typing import Any

import pytest

from lanewater.rules.case import case_from
from lanewater.rules.checking import full_coverage
from lanewater.rules.judging import judge_case
from lanewater.service.packs import load_pack, pack_ids
from lanewater.terms.words import POOL_FACTS

# A disinfectant is told by what was read, and stabiliser counts where it is stated: not asked here.
FACTS = ("kind", "location", "water", "supply")
LIVE = [
    identity
    for identity in pack_ids()
    if full_coverage(load_pack(identity)) and load_pack(identity)["status"] != "historic"
]
# Quebec's limits leave out fill-and-draw pools, and those for treatment only, of their own accord
# (docs/explanation/second-reading.md): there it asks nothing that an unset fact could hide.
OUTSIDE_THE_LIMITS = {
    ("ca-qc", "kind"): ("hydrotherapy",),
    ("ca-qc", "supply"): ("fill-and-draw",),
}
CHLORINE = ("1.2", "3.0", "4.5")
ROUND = {"ph": "7.5", "clarity": "visible", "temperature_c": "27", "circulation": "running"}


def rounds_of(identity: str) -> list[tuple[dict[str, str], dict[str, str]]]:
    """Give pools and readings that meet: those of the golden rounds, and some of our own."""
    found = [
        (golden["pool"], golden["readings"])
        for golden in load_pack(identity)["golden"]
        if golden["purpose"] == "round" and golden["overall"] == "meets"
    ]
    stated = {"disinfectant": "chlorine", "stabiliser": "not-used"}
    for free in CHLORINE:
        total = {"free_chlorine": free, "total_chlorine": free}
        for kind in ("pool", "spa"):
            pool = {**stated, "kind": kind, "location": "outdoor", "water": "fresh"}
            found.append((pool, {**ROUND, **total}))
    return found


def overall(identity: str, pool: dict[str, str], readings: dict[str, str]) -> str:
    case = case_from({"pool": pool, "readings": readings})
    return str(judge_case(load_pack(identity), case)["overall"])


@pytest.mark.parametrize("identity", LIVE)
@pytest.mark.parametrize("fact", FACTS)
def test_a_fact_not_set_meets_only_where_each_of_its_values_does(identity: str, fact: str) -> None:
    for pool, readings in rounds_of(identity):
        without: dict[str, Any] = {key: value for key, value in pool.items() if key != fact}
        if overall(identity, without, readings) != "meets":
            continue
        outside = OUTSIDE_THE_LIMITS.get((identity, fact), ())
        for value in (one for one in POOL_FACTS[fact] if one not in outside):
            assert overall(identity, {**without, fact: value}, readings) == "meets", value
