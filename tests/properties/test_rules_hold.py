"""What must be so of every pack and every round; each property catches what is planted."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from copy import deepcopy
from functools import cache
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.kernel.deciding.deciding_cases import AT, HOUR, case, reading
from tests.rules.feature_pack import all_of_it

from lanewater.kernel.deciding.housestops import house_stops
from lanewater.kernel.deciding.judging import judge
from lanewater.kernel.deciding.limits import severity
from lanewater.rules.case import with_numbers
from lanewater.rules.layering import overlaid
from lanewater.rules.pack import compile_raw
from lanewater.service.packs import FOLDER, load_pack, pack_ids
from lanewater.terms.errors import InputError, RefusedError

Judge = Callable[[dict[str, Any] | None, dict[str, Any]], dict[str, Any]]
LOWER, UPPER = ("at-least", "above"), ("at-most", "below")
PASSES = ("meets", "meets-borderline")
LAWS = [name for name in pack_ids() if load_pack(name)["law"]]
FEW = settings(max_examples=60)
TENTHS = {
    "free_chlorine": st.integers(0, 120),
    "total_chlorine": st.integers(0, 130),
    "ph": st.integers(62, 90),
    "temperature_c": st.integers(150, 420),
    "cyanuric_acid": st.integers(0, 1500),
    "total_alkalinity": st.integers(200, 3000),
    "orp_mv": st.integers(5500, 9000),
    "turbidity_ntu": st.integers(0, 60),
    "total_bromine": st.integers(0, 120),
    "colony_count": st.integers(0, 3000),
}
WORDS = {
    "clarity": st.sampled_from(["visible", "not-visible", "cannot-tell"]),
    "circulation": st.sampled_from(["running", "stopped"]),
}
VALUES = {
    **{name: numbers.map(lambda n: f"{n // 10}.{n % 10}") for name, numbers in TENTHS.items()},
    **WORDS,
}
FACTS = {
    "kind": st.sampled_from(["pool", "spa", "wading", "hydrotherapy", "unknown"]),
    "location": st.sampled_from(["indoor", "outdoor", "roofed"]),
    "disinfectant": st.sampled_from(["chlorine", "bromine"]),
    "stabiliser": st.sampled_from(["used", "not-used"]),
    "control": st.sampled_from(["manual", "orp"]),
    "water": st.sampled_from(["fresh", "sea"]),
    "volume_m3": st.sampled_from([50, 100, 101, 900]),
    "surface_m2": st.sampled_from([100, 130]),
}


@st.composite
def readings(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Some readings, each of one parameter."""
    names = draw(st.lists(st.sampled_from(sorted(VALUES)), unique=True, max_size=9))
    return [reading(name, draw(VALUES[name])) for name in names]


@st.composite
def rounds(draw: st.DrawFn) -> dict[str, Any]:
    """A round at a pool of which some is known, with a few rounds before it."""
    known = draw(st.lists(st.sampled_from(sorted(FACTS)), unique=True))
    hours = draw(st.lists(st.integers(1, 400), unique=True, max_size=4))
    return case(
        *draw(readings()),
        pool=with_numbers({name: draw(FACTS[name]) for name in known}),
        history=[{"at": AT - hour * HOUR, "readings": draw(readings())} for hour in hours],
    )


PACKS = st.sampled_from(pack_ids()).map(load_pack)


def with_value(found: dict[str, Any], parameter: str, value: str) -> dict[str, Any]:
    """Give a case with one more reading, in the place of any of its parameter."""
    others = [row for row in found["readings"] if row["parameter"] != parameter]
    return {**found, "readings": [*others, reading(parameter, value)]}


# --- A limit with one side is kept better the further away a reading is -----------------------


def not_monotone(judging: Judge, pack: dict[str, Any], low: Any, high: Any) -> list[str]:
    """Name the rules that a higher reading keeps worse although they ask for much, or the like."""
    here = {row["rule"]: row for row in judging(pack, low)["results"]}
    there = {row["rule"]: row for row in judging(pack, high)["results"]}
    plain = {rule["id"] for rule in pack["rules"] if not rule["relative_to"]}
    found = []
    for rule in sorted(plain & here.keys() & there.keys()):
        before, after = here[rule], there[rule]
        same = before["limit"] == after["limit"] and before["value"] != after["value"]
        if not same or "not-judged" in (before["verdict"], after["verdict"]):
            continue
        step = severity(after["verdict"]) - severity(before["verdict"])
        wrong = step < 0 if before["comparison"] in LOWER else step > 0
        if before["comparison"] in (*LOWER, *UPPER) and wrong:
            found.append(rule)
    return found


@FEW
@given(PACKS, rounds(), st.sampled_from(sorted(TENTHS)), st.data())
def test_more_of_it_never_breaks_a_rule_that_asks_for_much(
    pack: dict[str, Any], found: dict[str, Any], parameter: str, data: st.DataObject
) -> None:
    numbers = sorted((data.draw(TENTHS[parameter]), data.draw(TENTHS[parameter])))
    low, high = (with_value(found, parameter, f"{n // 10}.{n % 10}") for n in numbers)
    assert not_monotone(judge, pack, low, high) == []


def test_a_comparison_turned_round_is_caught() -> None:
    def turned(pack: dict[str, Any] | None, found: dict[str, Any]) -> dict[str, Any]:
        answer = judge(pack, found)
        for row in answer["results"]:
            if row["rule"] == "free-chlorine-minimum":
                fine = row["verdict"] == "meets"
                row["verdict"] = "does-not-meet" if fine else "meets"
        return answer

    pool = {"kind": "pool", "disinfectant": "chlorine", "location": "indoor"}
    low, high = (case(reading("free_chlorine", value), pool=pool) for value in ("0.5", "1.0"))
    assert not_monotone(turned, load_pack("ca-qc"), low, high) == ["free-chlorine-minimum"]
    assert not_monotone(judge, load_pack("ca-qc"), low, high) == []


# --- The order of what was entered changes nothing --------------------------------------------


def in_any_order(answer: dict[str, Any]) -> Any:
    """Give what an answer says, without the order in which it says it."""
    rows = [str(sorted(row.items(), key=str)) for row in answer["results"]]
    gaps = [str(sorted(row.items())) for row in answer["not_judged"]]
    actions = [str(sorted(row.items(), key=str)) for row in answer["actions"]]
    stops = [stop["id"] for stop in answer["stops"]]
    told = [(row["id"], row["about"]) for row in answer["findings"]]
    parts = (rows, gaps, actions, stops, told)
    return answer["overall"], answer["level"], *(sorted(part) for part in parts)


def changed_by_order(judging: Judge, pack: dict[str, Any], one: Any, other: Any) -> bool:
    """Tell whether two orders of the same are answered differently."""
    return bool(in_any_order(judging(pack, one)) != in_any_order(judging(pack, other)))


@FEW
@given(st.one_of(PACKS, st.builds(all_of_it)), rounds(), st.randoms(use_true_random=False))
def test_the_order_of_entries_readings_and_history_changes_nothing(
    pack: dict[str, Any], found: dict[str, Any], draw: Any
) -> None:
    mixed = deepcopy(found)
    draw.shuffle(mixed["readings"])
    draw.shuffle(mixed["history"])
    for row in mixed["history"]:
        draw.shuffle(row["readings"])
    assert not changed_by_order(judge, pack, found, mixed)


def test_a_judge_that_looks_at_the_last_entry_of_the_history_is_caught() -> None:
    def last_only(pack: dict[str, Any] | None, found: dict[str, Any]) -> dict[str, Any]:
        return judge(pack, {**found, "history": found["history"][-1:]})

    pool = {"kind": "pool", "disinfectant": "chlorine", "location": "outdoor"}
    now = [reading("free_chlorine", "1.0"), reading("total_chlorine", "2.2")]
    before = [
        {"at": AT - 30 * HOUR, "readings": now},
        {"at": AT - 20 * HOUR, "readings": [reading("ph", "7.4")]},
    ]
    one = case(*now, pool=pool, history=before)
    other = {**one, "history": before[::-1]}
    assert changed_by_order(last_only, load_pack("ca-qc"), one, other)
    assert not changed_by_order(judge, load_pack("ca-qc"), one, other)


# --- A round is judged by the rules of its time -----------------------------------------------


def wrongly_dated(judging: Judge, pack: dict[str, Any], found: dict[str, Any]) -> bool:
    """Tell whether a pack speaks of a round outside its time, or is silent inside it."""
    start, end = pack["effective_from"], pack["effective_to"]
    inside = (start is None or found["at"] >= start) and (end is None or found["at"] < end)
    answer = judging(pack, found)
    always = judge({**pack, "effective_from": None, "effective_to": None}, found)
    if inside:
        return bool(answer != always)
    silent = answer["overall"] == "not-judged" and answer["results"] == [] == answer["actions"]
    return not silent or answer["stops"] != always["stops"]


@FEW
@given(PACKS, rounds(), st.integers(-3, 3), st.integers(0, 3))
def test_a_round_keeps_the_limits_of_its_date(
    pack: dict[str, Any], found: dict[str, Any], start: int, length: int
) -> None:
    dated = {**pack, "effective_from": AT + start, "effective_to": AT + start + length}
    assert not wrongly_dated(judge, dated, found)


def test_a_judge_that_takes_no_notice_of_dates_is_caught() -> None:
    def dateless(pack: dict[str, Any] | None, found: dict[str, Any]) -> dict[str, Any]:
        return judge({**(pack or {}), "effective_from": None, "effective_to": None}, found)

    ended = {**load_pack("ca-qc"), "effective_to": AT}
    found = case(reading("free_chlorine", "0.5"), pool={"kind": "pool"})
    assert wrongly_dated(dateless, ended, found)
    assert not wrongly_dated(judge, ended, found)


# --- Rules that a site adds never loosen ------------------------------------------------------


@cache
def law(identity: str) -> dict[str, Any]:
    """Give the parsed text of a law that stands alone."""
    return tomllib.loads((FOLDER / f"{identity}.toml").read_text(encoding="utf-8"))


ALONE = [n for n in LAWS if not law(n).get("extends") and law(n)["status"] != "historic"]
SIDES = st.sampled_from(["at_least", "at_most", "above", "below"])
LIMITS = st.integers(0, 120).map(lambda n: f"{n // 10}.{n % 10}")


@st.composite
def own_rules(draw: st.DrawFn) -> list[dict[str, Any]]:
    """One to three rules of a site's own."""
    found = []
    for place in range(draw(st.integers(1, 3))):
        rule: dict[str, Any] = {
            "id": f"house-{place}",
            "parameter": draw(st.sampled_from(sorted(TENTHS))),
            "level": draw(st.sampled_from(["note", "advise", "correct", "retest", "close"])),
            draw(SIDES): draw(LIMITS),
        }
        if draw(st.booleans()):
            rule["when"] = {"kind": ["pool", "spa"]}
        found.append(rule)
    return found


def tightened(identity: str, rules: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Give a law with a site's own rules upon it, None where they are refused as looser."""
    own = {"id": "house", "title": "House", "extends": identity, "rule": rules}
    try:
        return compile_raw(overlaid(deepcopy(law(identity)), own, document=False))
    except (RefusedError, InputError):
        return None


def loosened(judging: Judge, base: dict[str, Any], over: dict[str, Any], found: Any) -> bool:
    """Tell whether a round fares better under more rules, or a row of the law's is gone."""
    before, after = judging(base, found), judging(over, found)
    if severity(after["overall"]) > severity(before["overall"]):
        return True
    rows = {row["rule"]: row["verdict"] for row in after["results"]}
    gone = any(rows.get(row["rule"]) != row["verdict"] for row in before["results"])
    return gone or before["stops"] != after["stops"]


@FEW
@given(st.sampled_from(ALONE), own_rules(), rounds())
def test_a_sites_own_rules_never_loosen_the_law(
    identity: str, rules: list[dict[str, Any]], found: dict[str, Any]
) -> None:
    over = tightened(identity, rules)
    if over is not None:
        assert not loosened(judge, load_pack(identity), over, found)


def test_a_sites_rule_that_took_the_place_of_the_laws_is_caught() -> None:
    base = load_pack("ca-qc")
    rule = {"id": "house-0", "parameter": "free_chlorine", "at_least": "0.9", "level": "correct"}
    over = tightened("ca-qc", [rule])
    assert over is not None
    instead = [row for row in over["rules"] if row["id"] != "free-chlorine-minimum"]
    pool = {"kind": "pool", "disinfectant": "chlorine", "location": "indoor"}
    found = case(reading("free_chlorine", "0.7"), pool=pool)
    assert loosened(judge, base, {**over, "rules": instead}, found)
    assert not loosened(judge, base, over, found)


# --- No pack hides a house stop ---------------------------------------------------------------


def hidden(judging: Judge, pack: dict[str, Any] | None, found: dict[str, Any]) -> bool:
    """Tell whether a house stop is missing from an answer, or stands beside a pass."""
    answer = judging(pack, found)
    stops = house_stops(found)
    return answer["stops"] != stops or (bool(stops) and answer["overall"] in PASSES)


@FEW
@given(st.one_of(st.none(), PACKS, st.builds(all_of_it)), rounds())
def test_a_house_stop_is_never_hidden_by_any_pack(
    pack: dict[str, Any] | None, found: dict[str, Any]
) -> None:
    assert not hidden(judge, pack, found)


def test_a_judge_that_lets_its_pack_have_the_last_word_is_caught() -> None:
    def last_word(pack: dict[str, Any] | None, found: dict[str, Any]) -> dict[str, Any]:
        answer = judge(pack, found)
        return {**answer, "overall": "meets"} if answer["overall"] == "not-judged" else answer

    found = case(reading("clarity", "cannot-tell"), pool={"kind": "pool"})
    assert hidden(last_word, load_pack("ca-qc"), found)
    assert not hidden(judge, load_pack("ca-qc"), found)
