"""What must last or come again is held against all rounds it asks for, on server and tablet."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tests.baths import GOOD, Baths

from lanewater.kernel.deciding.applying import in_force
from lanewater.kernel.deciding.heldverdict import answer_held
from lanewater.kernel.deciding.lookback import lookback_of
from lanewater.kernel.deciding.roundskept import case_drawn
from lanewater.service.clock import instant_ms
from lanewater.service.judging import judging_case, kernel_readings, kits_of
from lanewater.service.lookback import lookback_facts, with_lookback
from lanewater.service.packs import load_pack
from lanewater.service.pool_facts import case_base, facts_of
from lanewater.service.rounds import case_of

HIGH = {"free_chlorine": "1.00", "total_chlorine": "2.20"}
LASTING = "combined-chlorine-lasting"


def verdict_of(answer: dict[str, Any], rule: str) -> str:
    return next((row["verdict"] for row in answer["results"] if row["rule"] == rule), "")


def last_judged(site: Baths) -> dict[str, Any]:
    found = site.book.state.rounds["main"][-1]
    return dict(site.book.state.verdicts[found.id].body)


def test_combined_over_one_for_more_than_a_day_of_many_rounds_closes(baths: Baths) -> None:
    # A round every two hours: the three latest alone would never reach back a day.
    for number in range(14):
        if number:
            baths.wait(120)
        baths.round(**HIGH)
        expected = "evacuate" if number == 13 else "meets"
        assert verdict_of(last_judged(baths), LASTING) == expected


def test_one_good_round_between_begins_the_day_anew(baths: Baths) -> None:
    for number in range(14):
        if number:
            baths.wait(120)
        baths.round(**(GOOD if number == 5 else HIGH))
    assert verdict_of(last_judged(baths), LASTING) == "meets"


def test_a_tablet_answers_from_what_it_carries_as_the_server_does(baths: Baths) -> None:
    for _ in range(13):
        baths.round(**HIGH)
        baths.wait(120)
    state, pack = baths.book.state, load_pack("ca-qc")
    facts = facts_of(baths.book, state, "main", baths.now_ms)
    carried = lookback_facts(baths.book, state, "main", baths.now_ms)
    rows = carried["lookback"]["rows"]
    assert len(rows) == 13
    assert {r["parameter"] for row in rows for r in row["readings"]} <= set(
        lookback_of(pack)["parameters"]
    )
    baths.round(**HIGH)
    found = baths.book.state.rounds["main"][-1]
    drawn = case_drawn(case_base(state, "main") | carried, facts, found.at_ms, found.id)
    drawn["readings"] = kernel_readings(found, kits_of(state))
    case = with_lookback(baths.book.state, pack, "main", case_of(baths.book.state, found), found.id)
    assert verdict_of(answer_held(pack, drawn), LASTING) == "evacuate"
    assert answer_held(pack, drawn)["results"] == answer_held(pack, case)["results"]


def test_rules_that_do_not_look_back_carry_nothing() -> None:
    assert lookback_of(load_pack("au-vic"))["parameters"] == []
    iowa = lookback_of(load_pack("us-ia"))
    assert iowa["seconds"] == 15 * 86_400
    assert {"orp_mv", "free_chlorine"} <= set(iowa["parameters"])


def test_a_pack_begins_at_midnight_of_the_site_on_server_and_tablet(baths: Baths) -> None:
    # An hour and a half after midnight in summer time is still the day before in UTC.
    pack = load_pack("at-bhygv")
    state = baths.book.state
    state = replace(state, site=replace(state.site, timezone="Europe/Vienna"))
    assert lookback_of(pack)["parameters"] == []
    facts = facts_of(baths.book, state, "main", baths.now_ms)
    for at, begun in (("2026-06-30T21:59:00Z", False), ("2026-06-30T23:30:00Z", True)):
        at_ms = instant_ms(at, "at")
        drawn = case_drawn(case_base(state, "main"), facts, at_ms, "")
        case = judging_case(state, "main", [], at_ms)
        assert case["offset_seconds"] == drawn["offset_seconds"] == 7200
        assert in_force(pack, case) is in_force(pack, drawn) is begun
