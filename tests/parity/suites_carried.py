"""Vectors for how a pool stands by what is carried of it, and for a device's own lines."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache
from typing import Any

from tests.kernel.deciding.advice_cases import full
from tests.kernel.deciding.deciding_cases import AT, KIT, reading
from tests.kernel.deciding.facts_cases import (
    MINUTE,
    NOW,
    addition,
    entry,
    facts,
    last,
    round_entry,
    row,
    stop,
    verdict,
    word,
)
from tests.kernel.deciding.incident_cases import begun
from tests.parity.drawing import draw_case, drawer
from tests.parity.sides import Row, Suite

from lanewater.service.packs import load_pack

OVERALLS = ("meets", "meets-borderline", "does-not-meet", "close", "evacuate", "not-judged")
EFFECTS = ("note", "not-judged", "not-believable")
STOPS = ("glass", "bottom-not-seen", "disinfectant-none", "disinfectant-over-range")
ANSWERS = ("", "added", "not-added", "unknown")
PACKS = ("ca-qc", "common-practice", "us-ca", "au-sa")
VALUES = ("1.50", "0.00", "7.40")
PARTS = ("free_chlorine", "total_chlorine", "ph", "cyanuric_acid", "clarity")


def draw_verdict(draw: random.Random) -> dict[str, Any] | None:
    """Draw what the rules said of a round."""
    if draw.random() < 0.1:
        return None
    findings = [
        {"id": draw.choice(["surprising", "real-none"]), "effect": draw.choice(EFFECTS)}
        for _ in range(draw.choice((0, 0, 0, 1, 2)))
    ]
    more = {"differs_from": draw.choice(OVERALLS)} if draw.random() < 0.2 else {}
    changed = draw.random() < 0.15
    return verdict(draw.choice(OVERALLS), findings=findings, changed_to_pass=changed, **more)


def draw_last(draw: random.Random) -> dict[str, Any] | None:
    """Draw a last round."""
    if draw.random() < 0.1:
        return None
    return last(
        draw.choice((0, 3, 20, 200, 2000)),
        verdict=draw_verdict(draw),
        verified=draw.random() < 0.8,
        told=draw.random() < 0.4,
        source=draw.choice(("direct", "late")),
    )


def draw_word(draw: random.Random) -> dict[str, Any]:
    """Draw a word on a pool."""
    status = draw.choice(("open", "open", "closed", "shut"))
    more: dict[str, Any] = {"entry": f"w{draw.randrange(9)}"}
    if status == "open" and draw.random() < 0.4:
        more["word_of"] = "p3"
        more["confirmed"] = draw.choice((None, NOW))
    if status == "closed" and draw.random() < 0.4:
        more["stop"] = "glass"
    if draw.random() < 0.3:
        more["marked"] = ["no-round"]
    return word(status, draw.choice((1, 30, 30, 300)), **more)


def draw_facts(draw: random.Random) -> dict[str, Any]:
    """Draw what is known of a pool."""
    opened, closed = word("open", 40, entry="w8"), word("closed", 41, entry="w9")
    rows = [
        row(f"r{number}", 3000 - number * 240, doubtful=draw.choice(([], ["ph"])))
        for number in range(draw.randrange(7))
    ]
    if rows and draw.random() < 0.5:
        rows[0]["parameters"] = ["cyanuric_acid"]
        rows[-1]["purpose"] = draw.choice(("round", "sample"))
    late = [row("x", 2), row("y", 1)] if draw.random() < 0.4 else []
    found = facts(
        last=draw_last(draw),
        rounds=rows + late,
        stops=[
            stop(one, draw.choice((2, 5)), round=draw.choice(("", "r0")), told=draw.random() < 0.5)
            for one in draw.sample(STOPS, draw.choice((0, 0, 1, 2)))
        ],
        opening=None if draw.random() < 0.3 else draw_word(draw),
        also_closed=[word("shut", 50, entry="w7")] if draw.random() < 0.1 else [],
        disputes=[{"opened": opened, "closed": closed}] if draw.random() < 0.1 else [],
        advices=[{"id": "v1", "pool": "main", "circuit": ""}] if draw.random() < 0.2 else [],
        additions=[
            addition(
                draw.choice(ANSWERS),
                draw.choice((1, 10, 40, 900, 3000)),
                id=f"a{number}",
                pool=draw.choice(("main", "teaching", "gone")),
                wait_minutes=draw.choice((0, 45, 60)),
                chlorine=draw.random() < 0.5,
            )
            for number in range(draw.choice((0, 0, 1, 3, 27)))
        ],
        tested={
            mate: NOW - draw.choice((1, 30, 500)) * MINUTE
            for mate in ("main", "teaching")
            if draw.random() < 0.6
        },
        unauthorised=[
            {"entry": "w1", "kind": "pool-opened", "by": "p9", "at": NOW - ago * MINUTE}
            for ago in (10, 3000)
            if draw.random() < 0.15
        ],
    )
    if draw.random() < 0.15:
        found["incidents"] = [begun(draw.choice(("glass", "thunder")))]
    if draw.random() < 0.15:
        found["hours"] = draw.choice((None, []))
    if draw.random() < 0.3:
        found["pack"] = {"every_seconds": draw.choice((3600, 7200)), "detail": "s.6"}
    return found


@cache
def many() -> list[dict[str, Any]]:
    """Give what is known of pools, drawn."""
    draw = drawer(81)
    return [draw_facts(draw) for _ in range(400)]


def now_rows() -> Iterator[Row]:
    """Give pools at times of the day."""
    draw = drawer(82)
    for one in many():
        yield one, NOW + draw.choice((0, 0, 5, 240, 700, 1500)) * MINUTE


def fewer(rows: Any, step: int, start: int = 3) -> Any:
    """Give some of the rows, of which also every key is left out."""

    def some() -> Iterator[Row]:
        yield from (one for place, one in enumerate(rows()) if place % step == start)

    return some


def openings() -> Iterator[Row]:
    """Give who may open pools, by role, on a word, under authority."""
    draw = drawer(83)
    people = [
        {"id": "p1", "may": {"open": "no"}},
        {"id": "p2", "may": {"open": "yes"}},
        {"id": "p3", "may": {"open": "yes"}},
    ]
    for one, now in now_rows():
        authority = {
            "telephone": draw.random() < 0.6,
            "standing": [
                {
                    "entry": "s1",
                    "person": draw.choice(("p1", "p3")),
                    "pools": draw.choice((["main"], ["teaching"])),
                    "from": now - draw.choice((-1, 0, 60)) * MINUTE,
                    "until": now + draw.choice((0, 60)) * MINUTE,
                }
            ],
            "people": people[: draw.choice((1, 3))],
        }
        well = {**one, "stops": [], "disputes": [], "additions": [], "advices": [], "last": last(1)}
        who = draw.choice([*people, {"id": "", "may": {}}])
        yield draw.choice((one, well, well)), who, authority, now


def draw_own(draw: random.Random) -> dict[str, Any]:
    """Draw a device's own line."""
    kind = draw.choice(KINDS)
    return {"id": f"e{draw.randrange(3)}", **OWN[kind](draw)}


def own_round(draw: random.Random) -> dict[str, Any]:
    """Draw an own round."""
    readings = [
        reading(
            name, draw.choice(("1.50", "0.00", "7.40")), point=point, at=draw.choice((None, AT))
        )
        for name in draw.sample(PARTS, draw.randint(1, 4))
        for point in draw.choice(([""], ["deep", "shallow"]))
    ]
    found = round_entry(*readings, at=NOW - draw.choice((0, 0, 15, 600)) * MINUTE)
    stops = [{"id": one} for one in draw.sample(STOPS, draw.choice((0, 0, 1, 2)))]
    found["verdict"]["body"]["stops"] = stops
    found["verdict"]["body"]["next_due"] = {"at": None, "why": "x"}
    found["body"]["pool"] = draw.choice(("main", "main", "main", "teaching", "plunge"))
    if draw.random() < 0.2:
        found["body"] |= {"purpose": "sample", "changed_after_result": [{"parameter": "ph"}]}
    if draw.random() < 0.1:
        found["verdict"] = None
    return found


def own_correction(draw: random.Random) -> dict[str, Any]:
    """Draw a correction."""
    body = {
        "round": draw.choice(("r1", "r1", "r0", "x")),
        "parameter": "free_chlorine",
        "was": draw.choice(("1.5", "1.5", "9")),
        "value": "1.6",
    }
    more = {"unit": "mg/L", "dilution": 5, "point": ""} if draw.random() < 0.5 else {}
    stops = [{"id": one} for one in draw.sample(STOPS, draw.choice((0, 1)))]
    judged = {"rules": None, "body": {"overall": "meets", "level": "note", "stops": stops}}
    return entry(
        "reading-corrected",
        body | more,
        verdict=draw.choice((judged, None)),
        normal=[reading("free_chlorine", "1.6")],
    )


def own_amount(draw: random.Random) -> dict[str, Any]:
    """Draw a line on an amount."""
    kind = draw.choice(("advice-given", "addition-started", "addition-answered"))
    body: dict[str, Any] = {"pool": draw.choice(("main", "teaching", "plunge"))}
    body["product"] = draw.choice(("hypo", "acid", "chlorine"))
    if draw.random() < 0.5:
        body["circuit"] = "hall"
    if draw.random() < 0.5:
        body["wait_minutes"] = 90
    if kind != "advice-given" and draw.random() < 0.5:
        body["advice"] = "v1"
    if kind == "addition-answered":
        body["answer"] = draw.choice(ANSWERS[1:])
        if draw.random() < 0.6:
            body["addition"] = draw.choice(("a0", "a1", "none"))
    return entry(kind, body)


def own_word(draw: random.Random) -> dict[str, Any]:
    """Draw a word on the pool."""
    kind = draw.choice(("pool-opened", "pool-closed", "opening-settled", "opening-confirmed"))
    body: dict[str, Any] = {"marked": ["no-round"]} if draw.random() < 0.3 else {}
    if kind == "pool-closed":
        body = {"kind": draw.choice(("closed", "shut"))}
    if kind == "opening-settled":
        body = {"status": draw.choice(("open", "closed")), "entries": ["w8", "w9"]}
    if kind == "opening-confirmed":
        body = {"opening": f"w{draw.randrange(9)}"}
    return entry(kind, body, user=draw.choice(("p2", "p3")), reason="so")


def own_other(draw: random.Random) -> dict[str, Any]:
    """Draw a stop called or ended, somebody told, or what says nothing of a pool."""
    kind = draw.choice(("everyone-out", "house-stop-ended", "told", "handover-acknowledged"))
    if kind == "everyone-out":
        return entry(kind, {"stop": draw.choice(STOPS), "words": "look"})
    if kind == "house-stop-ended":
        return entry(kind, {"stops": [draw.choice(STOPS)]})
    if kind == "told":
        return entry(kind, {"about": draw.choice(("r1", "s-glass", "?")), "whom": "p2"})
    return {**entry(kind, {}), "body": {"made": "x", "open": []}}


OWN = {
    "round": own_round,
    "correction": own_correction,
    "amount": own_amount,
    "word": own_word,
    "other": own_other,
}
KINDS = ("round", "round", "correction", "amount", "word", "other")


def lines() -> Iterator[Row]:
    """Give pools with a device's own line."""
    draw = drawer(84)
    for one in many() * 2:
        yield one, draw_own(draw)


@cache
def packs() -> list[dict[str, Any] | None]:
    """Give some rules, and none."""
    return [None, *(load_pack(identity) for identity in PACKS)]


def rounds_judged() -> Iterator[Row]:
    """Give rounds as they go on record: changed, under a stop, surprising."""
    draw = drawer(85)
    for _ in range(300):
        case = {"kits": {}, "events": [], "expired": [], "between": [], **draw_case(draw)}
        if draw.random() < 0.6:
            good = ("free_chlorine", "1.5"), ("total_chlorine", "1.6"), ("ph", "7.4")
            rows = [*good, ("clarity", "visible"), ("turbidity_ntu", "0.2")]
            case["readings"] = [reading(name, value) for name, value in rows]
            case["pool"] = {
                "kind": "pool",
                "disinfectant": "chlorine",
                "location": "indoor",
                "stabiliser": "not-used",
            }
        first = {**case, "readings": [reading("free_chlorine", "0.1"), *case["readings"][1:]]}
        if draw.random() < 0.3:
            # Free and total are retyped in each other's place.
            swapped = [reading("free_chlorine", "1.6"), reading("total_chlorine", "1.5")]
            first = {**case, "readings": [*swapped, *case["readings"][2:]]}
        given = {
            "id": draw.choice(("r1", "r2")),
            "at": NOW,
            "was": draw.choice(("", "", "does-not-meet", "meets")),
            "changed": draw.choice(([], ["ph", "ph"])),
            "first_case": draw.choice((None, first)),
        }
        stops = [stop(one, 2, round=draw.choice(("", "r1"))) for one in draw.sample(STOPS, 1)]
        yield draw.choice(packs()), case, given, draw.choice(([], stops))


def told() -> Iterator[Row]:
    """Give judgements as they are on record."""
    draw = drawer(86)
    for _ in range(60):
        body = {key: value for key, value in verdict().items() if draw.random() < 0.8}
        body |= {"overall": draw.choice(OVERALLS), "level": "note"}
        body |= {"differs_from": "meets"} if draw.random() < 0.3 else {}
        rules = {"id": draw.choice(("", "ca-qc")), "edition": draw.choice(("", "2024"))}
        yield draw.choice((None, rules)), body


BASE = {"pool": {"kind": "pool", "disinfectant": "chlorine"}, "kits": {"k": KIT}}


def drawn_cases() -> Iterator[Row]:
    """Give cases to be drawn from what is carried."""
    draw = drawer(87)
    for one in many():
        yield BASE, one, NOW - draw.choice((0, 1, 500)) * MINUTE, draw.choice(("", "r1", "r3"))


def asked_base() -> dict[str, Any]:
    """Give what a site has set up for advice."""
    request = full()
    volume = {key: value for key, value in request["volume"].items() if key != "accepted"}
    return {
        "targets": request["targets"],
        "feeder": request["feeder"],
        "products": request["products"],
        "volumes": {"": {"shared": ["teaching"]}, "pool": volume},
        "ages": request["ages"],
        "dye_test": False,
        "mixing_s": 3600,
    }


def asked() -> Iterator[Row]:
    """Give requests for advice to be put together."""
    draw = drawer(88)
    base = asked_base()
    for one in many():
        other = {**draw_facts(draw), "pool": "teaching", "name": "Teaching"}
        questions = {"everybody_out": draw.choice(("yes", "no", "")), "looked": "yes"}
        given: dict[str, Any] = {"questions": questions}
        if draw.random() < 0.7:
            given |= {"volume_of": draw.choice(("pool", "circuit")), "accept_guess": True}
        if draw.random() < 0.3:
            given["product"] = "hypo"
        yield (
            {
                "base": base,
                "facts": one,
                "case": BASE,
                "pack": draw.choice(packs()),
                "others": draw.choice(([], [{"facts": other, "case": BASE}])),
            },
            given,
            NOW,
        )


def shown_amounts() -> Iterator[Row]:
    """Give amounts that were shown and are about to be begun."""
    draw = drawer(89)
    for one, _, now in asked():
        scope = draw.choice(("pool", "circuit", ""))
        oldest = NOW - draw.choice((0, 3_600_000, 3_600_001, 7_200_000))
        yield one, {"scope": scope, "oldest": oldest, "same_water": draw.random() < 0.5}, now


def last_cases() -> Iterator[Row]:
    """Give last rounds."""
    yield from ((one, BASE, NOW) for one in many()[:100])


def limits() -> Iterator[Row]:
    """Give cases by their rules."""
    draw = drawer(89)
    for _ in range(60):
        case = {"kits": {}, "events": [], "expired": [], "between": [], **draw_case(draw)}
        yield draw.choice(packs()[1:]), case


def points() -> Iterator[Row]:
    """Give days and sample points."""
    for day in range(5):
        for names in ([], ["deep"], ["deep", "shallow", "middle"]):
            yield names, facts()["offsets"], NOW + day * 24 * 60 * MINUTE


def shown() -> Iterator[Row]:
    """Give people and what they may be shown."""
    rows = [
        {"substance": "*", "from": 100, "until": None},
        {"substance": "acid", "from": 100, "until": 110},
    ]
    for may in ({}, {"hand-dose": "no"}, {"hand-dose": "competent"}):
        for held in ([], rows[:1], rows[1:], rows):
            for substance in ("acid", "hypo"):
                for day in (99, 100, 110, 111):
                    yield {"may": may, "hand_dosing": held}, substance, day


def verdicts() -> Iterator[Row]:
    """Give what was said of rounds."""
    draw = drawer(90)
    yield from ((draw_verdict(draw),) for _ in range(60))


def said() -> Iterator[Row]:
    """Give what was said of rounds that were judged."""
    yield from (one for one in verdicts() if one[0] is not None)


def statuses() -> Iterator[Row]:
    """Give rules of every status."""
    yield (None,)
    yield from (({"status": word_},) for word_ in ("reviewed", "draft", "secondary", "historic"))


def judged_cases() -> Iterator[Row]:
    """Give rules and cases."""
    for pack, case, _, _ in rounds_judged():
        yield pack, case


def cases() -> Iterator[Row]:
    """Give cases."""
    yield from ((case,) for _, case in judged_cases())


def known() -> Iterator[Row]:
    """Give pools."""
    yield from ((one,) for one in many())


def waits() -> Iterator[Row]:
    """Give additions."""
    for one in many():
        yield from ((each,) for each in one["additions"][:2])


def repeats() -> Iterator[Row]:
    """Give stops with a later round."""
    rows = ([], [reading("free_chlorine", "1.0")], [reading("ph", "7.4")])
    for one in STOPS:
        for of in ("", "r0", "r1"):
            yield from ((stop(one, round=of), "r1", readings) for readings in rows)


def tested() -> Iterator[Row]:
    """Give rounds at points."""
    draw = drawer(91)
    for _ in range(60):
        rows = [
            reading("free_chlorine", "1", point=str(draw.randrange(3)), at=draw.choice((None, AT)))
            for _ in range(draw.randrange(5))
        ]
        yield NOW, rows


def answers() -> Iterator[Row]:
    """Give two answers."""
    yield from ((before, after) for before in ANSWERS for after in ANSWERS[1:])


def carried() -> Iterator[Row]:
    """Give additions to be carried."""
    yield from ((one, one["additions"]) for one in many())


def kept() -> Iterator[Row]:
    """Give rounds to be carried."""
    yield from ((one["rounds"],) for one in many())


def days() -> Iterator[Row]:
    """Give instants."""
    yield from ((facts()["offsets"], NOW + hour * 60 * MINUTE) for hour in range(30))


def words() -> Iterator[Row]:
    """Give parameters."""
    yield from ((name,) for name in (*PARTS, "junk"))


def tries() -> Iterator[Row]:
    """Give readings of which some are tries at one point."""
    draw = drawer(92)
    for _ in range(100):
        rows = [
            reading("ph", draw.choice(("7.40", "7.42", "8.0")), point=draw.choice(("", "deep")))
            for _ in range(draw.randrange(5))
        ]
        yield rows, draw.choice(("ph", "ph", "free_chlorine")), draw.choice(("", "deep"))


SUITES = (
    Suite("pool_now", now_rows, changed=fewer(now_rows, 60), place=0, every=7),
    Suite("opening_now", now_rows, changed=fewer(now_rows, 90), place=0, every=5),
    Suite("why_reason", now_rows, changed=fewer(now_rows, 130), place=0, every=5),
    Suite("due_now", now_rows, changed=fewer(now_rows, 130), place=0, every=5),
    Suite("round_out_of_date", now_rows, changed=fewer(now_rows, 130), place=0, every=5),
    Suite("water_blocks", now_rows, changed=fewer(now_rows, 130), place=0, every=5),
    Suite("why_again", known, changed=fewer(known, 130), every=5),
    Suite("retest_times", known, changed=fewer(known, 130), every=5),
    Suite("why_repeated", said, changed=fewer(said, 15)),
    Suite("shown_before", verdicts, changed=fewer(verdicts, 15)),
    Suite("may_open", openings, changed=fewer(openings, 60), every=5),
    Suite("facts_after", lines, changed=fewer(lines, 60), every=7),
    Suite("judged_round", rounds_judged, changed=fewer(rounds_judged, 60), place=2),
    Suite("answer_held", judged_cases, changed=fewer(judged_cases, 100), place=1, every=3),
    Suite("doubted_in", cases, changed=fewer(cases, 60), every=2),
    Suite("status_findings", statuses),
    Suite("verdict_told", told, changed=fewer(told, 9)),
    Suite("case_drawn", drawn_cases, changed=fewer(drawn_cases, 60), every=5),
    Suite("case_of_last", last_cases, changed=fewer(last_cases, 30), every=5),
    Suite("advice_asked", asked, changed=fewer(asked, 90), every=31),
    Suite("no_longer_holds", shown_amounts, changed=fewer(shown_amounts, 90), every=31),
    Suite("narrowest_limits", limits, changed=fewer(limits, 20), place=1, every=2),
    Suite("point_of_day", points),
    Suite("site_day", days),
    Suite("may_be_shown", shown, changed=fewer(shown, 20)),
    Suite("wait_end", waits, changed=fewer(waits, 60)),
    Suite("ended_by_repeat", repeats, changed=fewer(repeats, 12)),
    Suite("tested_until", tested, changed=fewer(tested, 12)),
    Suite("both_answers", answers),
    Suite("word_of", words),
    Suite("repeated", tries, changed=fewer(tries, 20), place=0),
    Suite("additions_carried", carried, changed=fewer(carried, 90), every=9),
    Suite("rounds_kept", kept, changed=fewer(kept, 60)),
)
