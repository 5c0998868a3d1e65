"""Ninety days at the demo's baths: ordinary days, and the ones that a record is kept for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from lanewater.service.additions import answer_addition, blocks, start_addition
from lanewater.service.advice import advice_for
from lanewater.service.clock import instant_text
from lanewater.service.demo_site import MANAGERS, OPERATOR, TESTERS
from lanewater.service.demo_stage import (
    Stage,
    add_by_hand,
    minutes_later,
    on_duty,
    run_round,
    shut_for_the_night,
    signed_in,
    take_in,
    try_to_open,
    unlisted,
)
from lanewater.service.demo_water import SAME_FILTER, alkalinity_mg_l
from lanewater.service.opening import close_pool, end_house_stop, everyone_out
from lanewater.service.rounds import correct_reading

INDOOR_ROUNDS = (350, 590, 770, 950, 1130)
GARDEN_ROUNDS = (555, 740, 905, 1060)
QUESTIONS = {
    "everybody_out": "yes",
    "pump_running": "yes",
    "anything_added": "no",
    "looked": "yes",
}
BOTH_POINTS = ("shallow", "deep")
OPENS = {"main": 390, "teaching": 390, "garden": 600}
CLOSES = {"main": 1290, "teaching": 1290, "garden": 1140}
Scene = Callable[[Stage], None]


def round_minutes(pool: str) -> tuple[int, ...]:
    """Give the local minutes at which a pool is tested on an ordinary day."""
    if pool == "garden":
        return GARDEN_ROUNDS
    return INDOOR_ROUNDS if pool == "main" else tuple(minute + 7 for minute in INDOOR_ROUNDS)


def retest(stage: Stage, pools: tuple[str, ...]) -> None:
    """Test pools at two points after an addition."""
    for pool in pools:
        run_round(stage, pool, points=BOTH_POINTS)
        minutes_later(stage, 4)


def low_one_morning(stage: Stage) -> None:
    """The feeder stood still over night: free is low, the operator asks, adds, and tests again."""
    water = stage.waters["main"]
    low = 0.62 / water.free_chlorine_mg_l
    index = 6
    totals = (*water.totals[:index], water.totals[index] * low, *water.totals[index + 1 :])
    stage.waters["main"] = replace(water, totals=totals)
    run_round(stage, "main")
    minutes_later(stage, 6)
    run_round(stage, "main")
    minutes_later(stage, 5)
    operator = signed_in(OPERATOR)
    asked = {"pool": "main", "questions": QUESTIONS, "volume_of": "pool"}
    answer = advice_for(stage.book, operator, asked, stage.now_ms)
    if answer["state"] != "add":
        raise ValueError(f"the demo's operator was given no amount: {answer}")
    started = start_addition(stage.book, operator, {"pool": "main", "advice": answer["advice"]})
    minutes_later(stage, 5)
    answer_addition(stage.book, operator, {"addition": started["addition"], "answer": "added"})
    take_in(stage, "main", answer["product"], float(answer["amount"]), answer["unit"])
    minutes_later(stage, 47)
    retest(stage, SAME_FILTER)
    for pool in SAME_FILTER:
        try_to_open(stage, pool)


def somebody_not_listed(stage: Stage) -> None:
    """A relief tester who is on no list tests; it is kept, marked not verified."""
    run_round(stage, "main", actor=unlisted(), extra={"note": "Relief from another site"})


def impossible_pair(stage: Stage) -> None:
    """Total reads under free; both are tested again."""
    run_round(stage, "teaching", changes={"free_chlorine": "1.92", "total_chlorine": "1.58"})
    minutes_later(stage, 6)
    run_round(stage, "teaching")


def crowded_afternoon(stage: Stage) -> None:
    """A gala: combined chlorine goes over its limit; fresh water brings it down."""
    stage.waters["main"] = replace(stage.waters["main"], combined_mg_l=0.78)
    run_round(stage, "main", extra={"bathers": 240, "note": "Swimming gala"})
    stage.waters["main"] = replace(stage.waters["main"], combined_mg_l=0.41)


def storm(stage: Stage) -> None:
    """Leaves and mud after a storm: the bottom is not seen, everyone out until next day."""
    tester = on_duty(stage, TESTERS)
    everyone_out(
        stage.book,
        tester,
        {"pool": "garden", "stop": "bottom-not-seen", "words": "Mud and leaves after the storm"},
    )
    minutes_later(stage, 2)
    reason = "Bottom not seen after the storm"
    manager = on_duty(stage, MANAGERS)
    close_pool(stage.book, manager, {"pool": "garden", "kind": "closed", "reason": reason})
    stage.status["garden"] = "closed"
    stage.passing["garden"] = False


def after_the_storm(stage: Stage) -> None:
    """Vacuumed, backwashed and seen again: the stop is ended by the duty manager."""
    end_house_stop(
        stage.book,
        on_duty(stage, MANAGERS),
        {
            "pool": "garden",
            "reason": "Bottom and drain cover seen from all sides",
            "stop": stage_stop(stage),
        },
    )
    minutes_later(stage, 3)
    run_round(stage, "garden")
    try_to_open(stage, "garden")


def stage_stop(stage: Stage) -> str:
    """Give the id of the garden pool's open stop."""
    return stage.book.state.stops["garden"][0].id


def high_ph(stage: Stage) -> None:
    """The acid feeder ran dry outdoors: pH over the limit, acid after closing."""
    run_round(stage, "garden", changes={"ph": "7.97"})


def acid_in_the_evening(stage: Stage) -> None:
    """The operator adds acid with nobody in."""
    add_by_hand(stage, "garden", "acid-by-hand", "900", "mL")


def typed_wrong(stage: Stage) -> None:
    """7.14 was typed for 7.41; it is corrected within the hour, and both stay."""
    answer = run_round(stage, "teaching", changes={"ph": "7.14"})
    minutes_later(stage, 25)
    correct_reading(
        stage.book,
        on_duty(stage, MANAGERS),
        {
            "round": answer["round"],
            "parameter": "ph",
            "point": "shallow",
            "value": "7.41",
            "reason": "Digits exchanged; the paper slip says 7.41",
        },
    )


def pump_trip(stage: Stage) -> None:
    """The pump trips with people in: everyone out, feeders off by hand, closed until tested."""
    for pool in SAME_FILTER:
        everyone_out(
            stage.book, on_duty(stage, TESTERS), {"pool": pool, "stop": "circulation-stopped"}
        )
        close_pool(
            stage.book,
            on_duty(stage, MANAGERS),
            {"pool": pool, "kind": "closed", "reason": "Pump tripped; feeders off by hand"},
        )
        stage.status[pool] = "closed"
    minutes_later(stage, 95)
    for pool in SAME_FILTER:
        for stop in stage.book.state.stops.get(pool, ()):
            end_house_stop(
                stage.book,
                on_duty(stage, MANAGERS),
                {
                    "pool": pool,
                    "reason": "Pump running 90 minutes with nobody in, bottom seen",
                    "stop": stop.id,
                },
            )
    minutes_later(stage, 5)
    retest(stage, SAME_FILTER)
    for pool in SAME_FILTER:
        try_to_open(stage, pool)


def entered_late(stage: Stage) -> None:
    """A round from paper, typed in two hours later and marked so."""
    taken = stage.now_ms
    minutes_later(stage, 125)
    extra: dict[str, Any] = {
        "at": instant_text(taken),
        "source": "paper",
        "reason": "Tablet was flat; from the paper slip",
    }
    run_round(stage, "garden", extra=extra)


def changed_after_result(stage: Stage) -> None:
    """A value was changed after its result was shown; the first one stays beside it."""
    changed = [{"parameter": "free_chlorine", "point": "shallow", "value": "0.18"}]
    run_round(stage, "main", extra={"changed_after_result": changed, "note": "Decimal point"})


def bicarbonate(stage: Stage) -> None:
    """Alkalinity has sunk with the acid: bicarbonate after closing."""
    for pool, volume in (("main", 518.0), ("garden", 334.0)):
        short = 98.0 - alkalinity_mg_l(stage.waters[pool])
        if short < 8.0:
            continue
        # 1.68 g of sodium bicarbonate a m3 raise alkalinity by 1 mg/L as CaCO3.
        kilograms = min(1.68 * volume * short / 1000.0, 15.0)
        try:
            add_by_hand(stage, pool, "bicarbonate", f"{kilograms:.1f}", "kg")
        finally:
            minutes_later(stage, 2)


def expired_reagent(stage: Stage) -> None:
    """The old lot of tablets ran out of date; the finding is seen and a new lot is opened."""
    run_round(stage, "main")
    minutes_later(stage, 5)
    stage.lot = "F-2311"
    run_round(stage, "main")


def missed(_stage: Stage) -> None:
    """Nobody tested; the gap stays a gap."""


# Days before the last one, local minute, pool whose ordinary round it replaces, what happens.
SCENES: tuple[tuple[int, int, str, Scene], ...] = (
    (83, 740, "garden", entered_late),
    (75, 350, "main", low_one_morning),
    (68, 770, "main", somebody_not_listed),
    (61, 597, "teaching", impossible_pair),
    (54, 950, "main", crowded_afternoon),
    (47, 1060, "garden", storm),
    (46, 555, "garden", after_the_storm),
    (40, 905, "garden", high_ph),
    (40, 1165, "", acid_in_the_evening),
    (33, 770, "teaching", missed),
    (26, 957, "teaching", typed_wrong),
    (18, 350, "main", expired_reagent),
    (12, 770, "main", pump_trip),
    (5, 590, "main", changed_after_result),
)
# Runs whenever the last day may be: a Sunday evening after closing.
WEEKLY = (6, 1310, bicarbonate)


def scenes_of(days_left: int, weekday: int) -> dict[int, list[tuple[str, Scene]]]:
    """Give what happens on a day beside ordinary rounds, by local minute."""
    found: dict[int, list[tuple[str, Scene]]] = {}
    for days, minute, pool, scene in SCENES:
        if days == days_left:
            found.setdefault(minute, []).append((pool, scene))
    if weekday == WEEKLY[0]:
        found.setdefault(WEEKLY[1], []).append(("", WEEKLY[2]))
    return found


def acts_of_day(days_left: int, weekday: int) -> list[tuple[int, Scene]]:
    """Give everything that happens on a day, in order of the local minute."""
    scenes = scenes_of(days_left, weekday)
    acts: list[tuple[int, Scene]] = []
    for minute, entries in scenes.items():
        acts += [(minute, scene) for _, scene in entries]
    for pool, opens in OPENS.items():
        taken = {minute for minute, entries in scenes.items() if pool in dict(entries)}
        for minute in round_minutes(pool):
            if minute not in taken:
                acts.append((minute, ordinary_round(pool)))
        acts.append((opens, opening(pool)))
        acts.append((CLOSES[pool], shutting(pool)))
    return sorted(acts, key=lambda act: act[0])


def ordinary_round(pool: str) -> Scene:
    """Give the act of an ordinary round; after an addition it is at two points."""

    def act(stage: Stage) -> None:
        early = stage.local.hour * 60 + stage.local.minute < OPENS[pool]
        waiting = blocks(stage.book.state, pool, stage.now_ms)
        run_round(stage, pool, points=BOTH_POINTS if waiting else BOTH_POINTS[:1])
        if not early:
            try_to_open(stage, pool)

    return act


def opening(pool: str) -> Scene:
    """Give the act of opening a pool at the start of its hours."""

    def act(stage: Stage) -> None:
        try_to_open(stage, pool)

    return act


def shutting(pool: str) -> Scene:
    """Give the act of shutting a pool at the end of its hours."""

    def act(stage: Stage) -> None:
        shut_for_the_night(stage, pool)

    return act
