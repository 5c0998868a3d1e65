"""Vectors for incidents: begun, stepped through in any order, read in doubt, over several pools."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache
from typing import Any

from tests.kernel.deciding.contact_cases import PROCEDURE, asked, route
from tests.kernel.deciding.deciding_cases import reading
from tests.kernel.deciding.facts_cases import NOW, entry, facts, round_entry, stop
from tests.kernel.deciding.incident_cases import (
    MINUTE,
    START,
    begun,
    chose,
    did,
    line,
    noted,
    read_in,
)
from tests.parity.drawing import drawer
from tests.parity.sides import Row, Suite

from lanewater.kernel.deciding.incidentkinds import INCIDENTS, STANDS_STILL
from lanewater.service.packs import load_pack

BOTH = ("main", "teaching")
KINDS = sorted(INCIDENTS)
STEPS = sorted({step for row in INCIDENTS.values() for step in row["steps"]})
OVERALLS = ("meets", "meets", "not-judged", "close", "")
FREE = ("0.4", "2.0", "4.5", "20", ">5.00")
GATE = {"parameter": "cyanuric_acid", "comparison": "at-most", "limit_thousandths": 15_000}
# Of so many incidents one is walked through step by step, so that it can be ended.
EVERY_WHOLE = 3


@cache
def packs() -> list[dict[str, Any] | None]:
    """Give rules with procedures of every sort, and none."""
    steps = [{"id": "dilute", "words": "Dilute.", "gate": GATE}]
    routes = [{"words": "", **one} for one in PROCEDURE["routes"]]
    own = {"id": "loose", "for": ["diarrhoea", "glass"], "clause": "s.1", "words": "", "reopen": ""}
    more = {"ph_most": 7500, "cyanuric_most": 15_000, "steps": steps, "points_least": 2}
    short = [{"words": "", **route(free_least=2000, seconds=1800)}]
    held = [asked(routes=routes, **more) | own, asked(routes=short, broken="hold") | own]
    held[1]["id"] = "short"
    shipped = [load_pack(name) for name in ("ca-qc", "ca-qc", "au-vic", "us-ca", "us-me")]
    return [None, *shipped, {"procedures": held}]


def whole(draw: random.Random, kind: str, pools: tuple[str, ...]) -> dict[str, Any]:
    """Draw an incident of which nearly everything is done in order."""
    incident = begun(kind, pools)
    names = {"formed-stool": "solid-stool-or-vomit", "vomit": "solid-stool-or-vomit"}
    incident = chose(incident, names.get(kind, "loose-stool"), "equal-product", 2)
    minute = 1.0
    for step in INCIDENTS[kind]["steps"]:
        minute += draw.choice((1, 7))
        if draw.random() < 0.95:
            incident = did(incident, step, minute)
        for pool in pools:
            points = dict.fromkeys(("a", "b"), draw.choice(("2.0", "2.0", "20")))
            incident = read_in(incident, minute + 0.5, pool, points=points, ph="7.3")
    return incident


def broken_up(draw: random.Random, kind: str, pools: tuple[str, ...]) -> dict[str, Any]:
    """Draw an incident of lines in no order."""
    incident = begun(kind, pools, nobody_in=draw.random() < 0.3)
    for _ in range(draw.randrange(14)):
        minute = draw.randrange(2000)
        what = draw.choice(("step", "step", "read", "read", "read", "route", "note"))
        if what == "step":
            step = draw.choice((*INCIDENTS[kind]["steps"], draw.choice(STEPS)))
            answer = draw.choice(("done", "done", "not-needed", "not-done"))
            incident = did(incident, step, minute, answer, named=draw.random() < 0.7)
        elif what == "read":
            values = {"ph": draw.choice(("7.2", "7.9")), "cyanuric_acid": draw.choice(("5", "40"))}
            kept = {key: text for key, text in values.items() if draw.random() < 0.7}
            points = {point: draw.choice(FREE) for point in ("a", "b")[: draw.randint(1, 2)]}
            doubtful = draw.choice(([], [], ["free_chlorine"], ["ph"]))
            more = {"points": points, "overall": draw.choice(OVERALLS), "doubtful": doubtful}
            incident = read_in(incident, minute, draw.choice(pools), **more, **kept)
        elif what == "route":
            name = draw.choice(("loose-stool", "solid-stool-or-vomit", "loose", "short"))
            incident = chose(incident, name, draw.choice(("equal-product", "held", "only")), minute)
        else:
            incident = noted(incident, "again", minute)
    return incident


def standing(draw: random.Random) -> dict[str, Any]:
    """Draw an incident by which circulation stands still, or stood."""
    kind = draw.choice(STANDS_STILL)
    pools = draw.choice((("main",), ("teaching",), BOTH))
    row = begun(kind, pools) | {"incident": draw.choice(("inc-2", "inc-3"))}
    row["at"] = START + draw.randrange(-60, 400) * MINUTE
    minute = (row["at"] - START) / MINUTE
    for step in INCIDENTS[kind]["steps"]:
        minute += draw.choice((1, 30))
        if draw.random() < 0.9:
            row = did(row, step, minute)
        if draw.random() < 0.1:
            row = noted(row, "again", minute)
    if draw.random() < 0.3:
        row["ended"] = {"at": START + round(minute * MINUTE)}
    return row


def standings(draw: random.Random) -> dict[str, Any]:
    """Draw the part of an incident that says which others hold its clock, or none."""
    if draw.random() < 0.4:
        return {}
    return {"standstills": [standing(draw) for _ in range(draw.randrange(3))]}


@cache
def many() -> list[dict[str, Any]]:
    """Give incidents, drawn."""
    draw, others = drawer(91), drawer(98)
    found = []
    for place in range(220):
        pools = draw.choice((("main",), BOTH))
        made = whole if place % EVERY_WHOLE == 0 else broken_up
        found.append(made(draw, KINDS[place % len(KINDS)], pools) | standings(others))
    return found


def holding_rows() -> Iterator[Row]:
    """Give incidents by which circulation stands still, and others."""
    draw = drawer(99)
    for place in range(60):
        pools = draw.choice((("main",), ("teaching",), BOTH))
        row = draw.choice((standing(draw), begun("gas")))
        other = begun(draw.choice(KINDS), pools) | {"at": START + place * MINUTE}
        yield row, draw.choice((other, other, row))


def stretch_rows() -> Iterator[Row]:
    """Give incidents by which circulation stands still."""
    draw = drawer(100)
    for _ in range(80):
        yield (standing(draw),)


def anew_rows() -> Iterator[Row]:
    """Give steps and one more."""
    rows = [{"step": step, "answer": "done"} for step in ("purged", "route")]
    rows.append({"step": "ventilated", "answer": "not-done"})
    yield from ((held, row) for held in ([], rows) for row in rows)
    yield from (
        (rows, {"step": step, "answer": answer})
        for step in ("purged", "ventilated", "route")
        for answer in ("done", "not-done")
    )
    yield rows, {"what": "again"}


def now_rows() -> Iterator[Row]:
    """Give incidents with rules and times."""
    draw = drawer(92)
    for one in many():
        yield one, draw.choice(packs()), START + draw.choice((0, 40, 700, 3000)) * MINUTE


def some(rows: Any, step: int) -> Any:
    """Give some of the rows, of which also every key is left out."""

    def few() -> Iterator[Row]:
        yield from (one for place, one in enumerate(rows()) if place % step == 1)

    return few


def lines_of(draw: random.Random) -> dict[str, Any]:
    """Draw a line on an incident."""
    kind = draw.choice(("incident-step-done", "incident-route-chosen", "incident-noted", "told"))
    bodies: dict[str, dict[str, Any]] = {
        "incident-step-done": {"step": draw.choice(STEPS), "answer": "done", "words": "so"},
        "incident-route-chosen": {"procedure": "loose-stool", "route": "equal-product"},
        "incident-noted": {"what": draw.choice(("again", "people")), "count": draw.randrange(4)},
    }
    return line(kind, draw.randrange(300), **bodies.get(kind, {}))


def added_rows() -> Iterator[Row]:
    """Give incidents with one more line."""
    draw = drawer(93)
    for one in many()[::4]:
        yield one, lines_of(draw), draw.random() < 0.5


def begun_rows() -> Iterator[Row]:
    """Give entries that begin an incident."""
    for place, kind in enumerate(KINDS):
        body = {"kind": kind, "pools": list(BOTH)} | ({"words": "x"} if place % 2 else {})
        yield (line("incident-started", place, **body),)


def round_rows() -> Iterator[Row]:
    """Give rounds as they are recorded, tries and all."""
    draw = drawer(94)
    for place in range(60):
        readings = [
            reading(name, draw.choice(("7.4", "2", "<0.1", "x")), point=point, at=at)
            for name in ("free_chlorine", "ph", "clarity", "temperature_c")
            for point in ("", "a", "a")
            for at in (None, START // 1000 + place)
            if draw.random() < 0.4
        ]
        row = {"id": f"r{place}", "at": NOW, "readings": readings, "doubtful": ["ph", "orp_mv"]}
        yield row, draw.choice(BOTH), draw.choice(OVERALLS)
    for free, total, point in (
        ("20", "21", ""),
        ("20", "9", ""),
        ("20", ">5", ""),
        ("20", "21", "a"),
    ):
        readings = [reading("free_chlorine", free, dilution=5)]
        readings.append(reading("total_chlorine", total, point=point, dilution=5))
        doubtful = ["free_chlorine", "total_chlorine"]
        row = {"id": "r", "at": NOW, "readings": readings, "doubtful": doubtful}
        yield row, "main", "close"


def overall_rows() -> Iterator[Row]:
    """Give what the rules said of rounds."""
    for overall in OVERALLS:
        for gaps in ([], [{"parameter": "house-stop"}], [{"parameter": "ph"}]):
            yield ({"overall": overall, "not_judged": gaps},)
        yield ({"overall": overall},)


@cache
def ahead() -> list[dict[str, Any]]:
    """Give incidents with lines and rounds for and against an end, some of them ahead."""
    found = []
    for kind in ("overdose", "glass", "thunder", "formed-stool"):
        incident = begun(kind)
        for minute, step in enumerate(INCIDENTS[kind]["steps"], 1):
            incident = did(incident, step, minute)
        incident = read_in(incident, 30, points={"a": "2.0", "b": "2.0"}, ph="7.3")
        found.append(incident)
        found += [
            read_in(incident, 50, points={"a": "2.0"}, overall=overall)
            for overall in ("meets", "meets-borderline", "close", "not-judged", "")
        ]
        for answer in ("done", "not-needed", "not-done"):
            found.append(did(incident, INCIDENTS[kind]["steps"][-1], 50, answer))
            found.append(did(incident, INCIDENTS[kind]["steps"][1], 50, answer))
        found += [noted(incident, what, 50) for what in ("again", "people")]
    return found


def known_rows() -> Iterator[Row]:
    """Give incidents and instants before and after what is ahead."""
    for one in ahead():
        for minute in (0, 40, 45, 60):
            yield one, START + minute * MINUTE


def ahead_rows() -> Iterator[Row]:
    """Give incidents with what is ahead, and rules."""
    for place, one in enumerate(ahead()):
        for minute in (40, 45, 90):
            yield one, packs()[place % len(packs())], START + minute * MINUTE


def crowd(kind: str) -> list[dict[str, Any]]:
    """Give as many lines as are kept, against an end or not."""
    found = []
    for place in range(200):
        row: dict[str, Any] = {"at": START + place * 7 % 50, "entry": f"e{place:03}"}
        if kind == "steps":
            answer = "not-done" if place % 5 < 2 else "done"
            row |= {"step": STEPS[place % len(STEPS)], "answer": answer}
        elif kind == "notes":
            row["what"] = "again" if place % 40 == 1 else "words"
        elif kind == "again":
            row["what"] = "again"
        found.append(row)
    return found


def lines_rows() -> Iterator[Row]:
    """Give lines with one more, few and too many."""
    again = {"at": START + 9, "entry": "f", "what": "again"}
    taken_back = {"at": START + 60, "entry": "f", "step": STEPS[0], "answer": "not-done"}
    for kind, row in (("steps", taken_back), ("notes", again), ("again", again), ("routes", again)):
        for count in (0, 1, 199, 200):
            yield crowd(kind)[:count], row
        yield crowd(kind) + crowd(kind)[:3], row


def against_rows() -> Iterator[Row]:
    """Give lines that speak against an end, and such that do not."""
    yield from (({"what": what},) for what in ("again", "people", "words"))
    yield from (({"step": "route", "answer": answer},) for answer in ("done", "not-done"))
    yield ({"route": "a"},)


def let_go_rows() -> Iterator[Row]:
    """Give lines and whether each may be let go of."""
    for kind in ("steps", "notes", "again", "routes"):
        rows = crowd(kind)[:60]
        yield from ((rows, row) for row in rows[::3])


def chosen_rows() -> Iterator[Row]:
    """Give routes as they were chosen, in any order, two at one instant."""
    draw = drawer(97)
    for count in range(5):
        for _ in range(6):
            rows = [
                {"at": START + draw.randrange(3), "entry": f"e{place}", "route": f"r{place}"}
                for place in range(count)
            ]
            draw.shuffle(rows)
            yield (rows,)


def counting_rows() -> Iterator[Row]:
    """Give rounds that count for an incident, and such that do not."""
    for pool in (*BOTH, "plunge"):
        for ago in (-1, 0, 1):
            for purpose in ("round", "sample"):
                for said in (-1, 0, 1):
                    yield begun("glass", BOTH), pool, START + ago, START + said, purpose
    older = begun("glass", BOTH)
    del older["recorded"]
    for ago in (-1, 0, 1):
        for said in (-1, 0, 1):
            yield older, "main", START + ago, START + said, "round"


def part_rows() -> Iterator[Row]:
    """Give incidents with parts put anew."""
    for one in many()[:20]:
        yield one, {"rounds": [], "quiet_minutes": 5}


def own_line(draw: random.Random, known: dict[str, Any]) -> dict[str, Any]:
    """Draw a device's own line on an incident, or a round under one."""
    kind = draw.choice(("started", "ended", "step", "route", "note", "round", "corrected"))
    about = {"incident": draw.choice((known["incident"], "inc-2"))}
    method = draw.choice(("pin", "none"))
    if kind == "started":
        pools = draw.choice((["main"], ["main", "teaching"], ["plunge"]))
        body = about | {"kind": draw.choice(KINDS), "pools": pools}
        return entry("incident-started", body, method=method)
    if kind == "ended":
        return entry("incident-ended", about | {"outcome": "criteria-met", "criteria": []})
    if kind == "step":
        body = about | {"step": draw.choice(STEPS), "answer": "done", "words": "so"}
        return entry("incident-step-done", body, method=method)
    if kind == "route":
        return entry("incident-route-chosen", about | {"procedure": "a", "route": "b"})
    if kind == "note":
        return entry("incident-noted", about | {"what": "again"}, method=method)
    if kind == "corrected":
        body = {"round": "r-main-3", "parameter": "ph", "was": "7.9", "value": "7.2"}
        judged = {"rules": None, "body": {"overall": "meets", "level": "note", "stops": []}}
        more = {"normal": [reading("ph", "7.2")], "verdict": draw.choice((None, judged))}
        return entry("reading-corrected", body, **more)
    found = round_entry(reading("free_chlorine", "2.0", point=draw.choice(("", "a"))), at=NOW + 5)
    found["body"]["pool"] = draw.choice((*BOTH, "plunge"))
    found["verdict"] = draw.choice((None, found["verdict"]))
    return found


def own_rows() -> Iterator[Row]:
    """Give a pool's facts with incidents, and a device's own line on them."""
    draw = drawer(95)
    for place in range(160):
        known = begun(draw.choice(KINDS), draw.choice((("main",), BOTH)))
        known = read_in(known, 3, ph="7.9", free_chlorine="1.2")
        held = [known]
        if draw.random() < 0.4:
            held.append(known | {"incident": "inc-2"})
        stops = [stop(known["stop"])] if draw.random() < 0.8 else []
        parts = {"pool_facts": {"kind": "pool"}, "quiet_minutes": draw.choice((0, 45))}
        if place % 4 > 0:
            more = {"standstills": [standing(draw)]}
            held[0] = known | draw.choice(({}, {"standstills": []}, more))
            parts["standstills"] = [standing(draw)] if place % 4 > 1 else []
        about = facts(incidents=held, stops=stops, **parts)
        if place % 5 == 0:
            about = facts(**parts)
        yield about, own_line(draw, known)


SUITES = (
    Suite("incident_now", now_rows, changed=some(now_rows, 90), place=0, every=11),
    Suite("incident_now", ahead_rows),
    Suite("known_by", known_rows),
    Suite("stretches_of", stretch_rows),
    Suite("holds_clock_of", holding_rows),
    Suite("done_anew", anew_rows),
    Suite("lines_with", lines_rows),
    Suite("may_let_go", let_go_rows),
    Suite("against_end", against_rows),
    Suite("incident_with", added_rows),
    Suite("chosen_of", chosen_rows),
    Suite("incident_begun", begun_rows),
    Suite("incident_round", round_rows),
    Suite("incident_for_pool", part_rows),
    Suite("overall_of_water", overall_rows),
    Suite("round_counts_for", counting_rows),
    Suite("facts_after", own_rows),
)
