"""A fact that nobody set never lets a round meet that some value of it would not."""

from typing import Any

import pytest

from lanewater.kernel.deciding.coverage import DISINFECTANT_NOT_KNOWN
from lanewater.kernel.deciding.limits import severity
from lanewater.rules.case import case_from
from lanewater.rules.checking import full_coverage
from lanewater.rules.judging import judge_case
from lanewater.service.packs import load_pack, pack_ids
from lanewater.terms.words import POOL_FACTS

# Stabiliser may have been read instead of stated: it has a promise of its own below.
FACTS = ("kind", "location", "water", "supply", "control", "secondary", "coagulant")
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
BROMINE = ("2.5", "4.5")
HOT = ("spa", "hydrotherapy")
NOT_SET = {"parameter": "disinfectant", "why": DISINFECTANT_NOT_KNOWN}
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
    for bromine in BROMINE:
        pool = {"disinfectant": "bromine", "kind": "pool", "location": "indoor", "water": "fresh"}
        found.append((pool, {**ROUND, "total_bromine": bromine}))
    return found


def judged(identity: str, pool: dict[str, str], readings: dict[str, str]) -> dict[str, Any]:
    case = case_from({"pool": pool, "readings": readings})
    return judge_case(load_pack(identity), case)


def overall(identity: str, pool: dict[str, str], readings: dict[str, str]) -> str:
    return str(judged(identity, pool, readings)["overall"])


@pytest.mark.parametrize("identity", pack_ids())
@pytest.mark.parametrize("unset", [{}, {"disinfectant": "unknown"}])
def test_a_round_meets_only_where_its_disinfectant_is_set(
    identity: str, unset: dict[str, str]
) -> None:
    for pool, readings in rounds_of(identity):
        both = {"free_chlorine": "3.0", "total_bromine": "4.5", **readings}
        without = {key: value for key, value in pool.items() if key != "disinfectant"} | unset
        for read in (readings, both):
            answer = judged(identity, without, read)
            assert severity(answer["overall"]) <= severity("not-judged"), (pool, read)
            assert NOT_SET in answer["not_judged"]


@pytest.mark.parametrize("identity", pack_ids())
def test_what_fails_still_fails_where_the_disinfectant_is_not_set(identity: str) -> None:
    for pool, readings in rounds_of(identity):
        failing = {**readings, "ph": "9.4", "clarity": "not-visible"}
        without = {key: value for key, value in pool.items() if key != "disinfectant"}
        with_it = judged(identity, pool, failing)["overall"]
        assert severity(overall(identity, without, failing)) <= severity(with_it)


@pytest.mark.parametrize("identity", pack_ids())
def test_a_hot_pool_meets_a_limit_of_temperature_only_where_it_was_measured(identity: str) -> None:
    for pool, readings in rounds_of(identity):
        cold = {key: value for key, value in readings.items() if key != "temperature_c"}
        for kind in (*HOT, "unknown"):
            hot = {**pool, "kind": kind}
            answer = judged(identity, hot, cold)
            warm = judged(identity, hot, {**cold, "temperature_c": "27"})
            gap = {"parameter": "temperature_c", "why": "no reading"}
            limited = any(row["parameter"] == "temperature_c" for row in warm["results"])
            assert (gap in answer["not_judged"]) == limited, hot
            if limited:
                assert severity(answer["overall"]) <= severity("not-judged"), hot


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


@pytest.mark.parametrize("identity", LIVE)
@pytest.mark.parametrize("location", ["indoor", "roofed", "outdoor", "unknown"])
def test_stabiliser_neither_stated_nor_read_meets_only_where_its_use_does(
    identity: str, location: str
) -> None:
    for pool, readings in rounds_of(identity):
        without = {key: value for key, value in pool.items() if key != "stabiliser"}
        without["location"] = location
        unread = {key: value for key, value in readings.items() if key != "cyanuric_acid"}
        if overall(identity, without, unread) == "meets":
            used = {**without, "stabiliser": "used"}
            assert overall(identity, used, unread) == "meets", (pool, readings)
