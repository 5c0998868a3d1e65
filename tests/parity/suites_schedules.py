"""Vectors for what schedules ask, for the one list of what is due, and for own lines on duties."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache
from typing import Any

from tests.kernel.deciding.deciding_cases import reading
from tests.kernel.deciding.schedule_cases import HOUR, asked, at, day, duty, schedule, word
from tests.parity.drawing import drawer
from tests.parity.sides import Row, Suite

NOW = at("2026-07-01T12:00")
MINUTE = 60_000
DAY = 1440 * MINUTE
ZONES = ("America/Toronto", "Australia/Lord_Howe", "Europe/Lisbon", "Asia/Kathmandu")
PARAMETERS = ("round", "free_chlorine", "total_chlorine", "ph", "controller_free", "orp_mv")
RARE = ("cyanuric_acid", "total_alkalinity", "calcium_hardness", "e_coli")
FORMS = (
    "before-opening",
    "every",
    "times-a-day",
    "at",
    "clock",
    "calendar",
    "after",
    "before-season",
)
LOW = {
    "of": "reading",
    "name": "cyanuric_acid",
    "comparison": "below",
    "limit_thousandths": 30_000,
    "if_not_read": [],
    "known": False,
}
SPA = {"of": "fact", "name": "kind", "values": ["spa"], "wanted": True, "known": False}


def draw_schedule(draw: random.Random) -> dict[str, Any]:
    """Draw a schedule of any form."""
    form = draw.choice(FORMS)
    tests = draw.choice(
        (["free_chlorine", "ph"], ["round"], ["combined_chlorine"], ["cyanuric_acid"])
    )
    return schedule(
        form,
        id=f"rules:{draw.randrange(6)}",
        seconds=draw.choice((1800, HOUR, 4 * HOUR)),
        count=draw.choice((1, 2, 3)),
        unit=draw.choice(("days", "weeks", "months", "years")),
        at=draw.choice((["start"], ["start", "middle", "end"])),
        clock=draw.choice(([540], [30, 780])),
        after=draw.choice((["rain"], ["dust", "addition"])),
        by=draw.choice(("hand", "any")),
        test=tests,
        grace_seconds=draw.choice((0, 0, 900)),
        spacing_days=draw.choice((0, 0, 10)),
        while_closed=draw.random() < 0.2,
        when=draw.choice(([], [], [LOW], [SPA])),
    )


def draw_duty(draw: random.Random) -> dict[str, Any]:
    """Draw a duty of the site."""
    kind = draw.choice(("balance", "stabiliser", "microbiology", "backwash"))
    return duty(
        kind,
        draw.choice(("days", "weeks", "months", "years")),
        draw.choice((0, 1, 1, 3)),
        from_day=draw.choice((None, day("2026-06-29"), day("2026-07-03"))),
        roles=draw.choice(([], ["tester"], ["plant-operator"])),
    )


def draw_times(draw: random.Random, most: int = 9) -> list[int]:
    """Draw instants about now, in order."""
    return sorted(NOW - draw.randrange(3 * 1440) * MINUTE for _ in range(draw.randrange(most)))


def draw_word(draw: random.Random) -> dict[str, Any] | None:
    """Draw a word on the pool."""
    if draw.random() < 0.3:
        return None
    since = NOW - draw.choice((60, 300, 330, 900)) * MINUTE
    return word(draw.choice(("open", "open", "closed", "shut")), since)


def draw_facts(draw: random.Random, pool: str = "main") -> dict[str, Any]:
    """Draw what is known of a pool with schedules."""
    kinds = [draw_schedule(draw) for _ in range(draw.randrange(4))]
    kinds += [draw_duty(draw) for _ in range(draw.randrange(3))]
    done = [
        {
            "duty": draw.choice([*(one["id"] for one in kinds), "site:gone"]),
            "answer": draw.choice(("done", "not-needed", "not-done")),
            "at": NOW - draw.randrange(20 * 1440) * MINUTE,
            "entry": f"d{number}",
            "by": "p1",
        }
        for number in range(draw.randrange(4))
    ]
    events = [
        {
            "what": draw.choice(("rain", "dust")),
            "at": NOW - draw.randrange(600) * MINUTE,
            "entry": f"e{number}",
            "by": "p1",
            "words": "",
        }
        for number in range(draw.randrange(3))
    ]
    read = {name: draw_times(draw) for name in PARAMETERS if draw.random() < 0.7}
    read |= {name: draw_times(draw, 3) for name in RARE if draw.random() < 0.4}
    added = {"answer": "added", "answered": NOW - 90 * MINUTE, "wait_minutes": 30}
    return asked(
        *kinds,
        zone=draw.choice(ZONES),
        pool=pool,
        hours=draw.choice((None, [], *[asked()["hours"]] * 4)),
        closed_days=sorted(draw.sample([day("2026-06-28") + n for n in range(9)], 2)),
        plan={"every_seconds": draw.choice((0, 7200)), "before_opening_seconds": 1800},
        pack={"every_seconds": draw.choice((0, 7200)), "detail": "s. 9"},
        last=draw.choice((None, {"at": NOW - 200 * MINUTE, "verdict": None})),
        opening=draw_word(draw),
        additions=[added] if draw.random() < 0.3 else [],
        asked_of={
            "pool": {"kind": draw.choice(("pool", "spa"))},
            "parameters": ["cyanuric_acid"],
            "borrow_seconds": 30 * 86400,
        },
        read=read,
        read_values=draw.choice(([], [values("25")], [values("40")])),
        events=sorted(events, key=lambda row: (row["at"], row["entry"])),
        duties_done=sorted(done, key=lambda row: (row["at"], row["entry"])),
    )


def values(text: str) -> dict[str, Any]:
    """Give a round in which the stabiliser was read."""
    return {
        "at": (NOW - DAY) // 1000,
        "round": "r1",
        "readings": [reading("cyanuric_acid", text)],
    }


@cache
def many() -> list[dict[str, Any]]:
    """Give what is known of pools, drawn."""
    draw = drawer(181)
    return [draw_facts(draw) for _ in range(400)]


def duties() -> Iterator[Row]:
    """Give pools at times of the day."""
    draw = drawer(182)
    for one in many():
        yield one, NOW + draw.choice((-700, -300, 0, 1, 540, 720, 3000)) * MINUTE


def fewer(rows: Any, step: int, start: int = 3) -> Any:
    """Give some of the rows, of which also every key is left out."""

    def some() -> Iterator[Row]:
        yield from (one for place, one in enumerate(rows()) if place % step == start)

    return some


def lists() -> Iterator[Row]:
    """Give sites whose list is asked for by somebody."""
    draw = drawer(183)
    for _ in range(60):
        places = [draw_facts(draw, pool) for pool in ("main", "teaching")]
        places[0]["incidents"] = [{"incident": "i1", "kind": "glass", "pool": "main", "at": NOW}]
        places[0]["deadline_events"] = deadline_events()
        places[0]["deadline_rules"] = [DEADLINE, {**DEADLINE, "id": "now", "within_seconds": 0}]
        site = draw_facts(draw, "") | {"hours": None, "opening": None}
        yield [*places, site], draw.choice(([], ["tester"], ["tester", "plant-operator"])), NOW


DEADLINE = {
    "id": "tell",
    "on": "closure",
    "clause": "s. 3",
    "words": "Tell the authority.",
    "within_seconds": 86400,
    "to": "authority",
    "after": "",
}


def deadline_events() -> list[dict[str, Any]]:
    """Give what a deadline runs from."""
    told = {"about": "c1", "pool": "main", "at": NOW - 60 * MINUTE, "actions": []}
    return [{**told, "on": ["closure"]}]


def own_lines() -> Iterator[Row]:
    """Give pools with a device's own line on duties, events, rounds and openings."""
    draw = drawer(184)
    kinds = ("duty-done", "event-noted", "round-recorded", "reading-corrected", "pool-opened")
    for one in many():
        kind = draw.choice(kinds)
        body: dict[str, Any] = {"pool": draw.choice(("main", "main", "teaching"))}
        if kind == "duty-done":
            body |= {"duty": draw.choice(("rules:1", "site:balance")), "answer": "done"}
        elif kind == "event-noted":
            body |= {"what": "rain"} | draw.choice(({}, {"words": "hail"}))
            if draw.random() < 0.4:
                del body["pool"]
        elif kind == "reading-corrected":
            body |= {"round": draw.choice(("r1", "r9"))}
        rows = [reading(name, "35") for name in draw.sample((*RARE, "ph"), 2)]
        yield (
            one,
            {
                "kind": kind,
                "id": "own",
                "at": NOW - draw.choice((0, 0, 2000)) * MINUTE,
                "user": "p1",
                "body": body,
                "readings": rows,
                "normal": rows,
            },
        )


def windows() -> Iterator[Row]:
    """Give schedules that are told by the day."""
    draw = drawer(185)
    for one in many()[:150]:
        form = draw.choice(("before-opening", "every", "times-a-day", "at", "clock", "calendar"))
        single = draw_schedule(draw) | {"form": form, "unit": "days", "count": 1}
        yield one, single, day("2026-07-01") - draw.randrange(3), NOW // 1000


def states() -> Iterator[Row]:
    """Give windows at times about their ends."""
    draw = drawer(186)
    for _ in range(200):
        start = NOW // 1000
        ends = draw.choice((None, start + 900, start + 1800))
        window = {"met": draw.random() < 0.2, "from": start, "until": start + 900, "ends": ends}
        grace = {"grace_seconds": draw.choice((0, 600))}
        yield grace, window, start + draw.choice((-1, 0, 1, 900, 901, 1500, 1501, 1800, 1801))


def local_days() -> Iterator[Row]:
    """Give instants about midnight and about changes of the clock."""
    for one in many()[:40]:
        for hour in (-14, -1, 0, 5, 16):
            yield one["offsets"], NOW // 1000 + hour * HOUR


def beginnings() -> Iterator[Row]:
    """Give days of a year."""
    for one in many()[:8]:
        for ahead in range(0, 400, 7):
            yield one["offsets"], day("2026-06-25") + ahead


def all_schedules() -> Iterator[Row]:
    """Give schedules."""
    draw = drawer(187)
    for _ in range(80):
        yield (draw.choice((draw_schedule, draw_duty))(draw),)


def reads() -> Iterator[Row]:
    """Give what was read before, and one more round."""
    draw = drawer(188)
    for one in many()[:100]:
        yield one["read"], draw.sample(PARAMETERS, 2), NOW - draw.randrange(5000) * MINUTE


def entries() -> Iterator[Row]:
    """Give lines on duties and events."""
    for _, line in own_lines():
        if line["kind"] in ("duty-done", "event-noted"):
            yield (
                line | {"body": {"duty": "a", "answer": "done", "what": "dust", **line["body"]}},
            )


def rows_put() -> Iterator[Row]:
    """Give rows in time, and one more."""
    draw = drawer(189)
    for one in many()[:150]:
        fresh = {"at": NOW - draw.randrange(900) * MINUTE, "entry": draw.choice(("d0", "e0", "x"))}
        yield one["duties_done"], {**fresh, "duty": "site:gone", "answer": "done", "by": "p1"}


def rows_last() -> Iterator[Row]:
    """Give rows and how many are kept."""
    yield from ((one["events"], most) for one in many()[:60] for most in (0, 1, 2, 9))


def rows_read() -> Iterator[Row]:
    """Give rounds that read what conditions ask for."""
    draw = drawer(190)
    for _ in range(80):
        rows = [
            {
                "at": NOW // 1000 + place,
                "round": f"r{place}",
                "readings": [
                    reading(draw.choice(RARE), "40", point=draw.choice(("", "deep")))
                    for _ in range(draw.randrange(3))
                ],
            }
            for place in range(draw.randrange(5))
        ]
        yield (rows,)


SUITES = (
    Suite("duties_now", duties, changed=fewer(duties, 80), place=0, every=7),
    Suite("due_now", duties, changed=fewer(duties, 130), place=0, every=9),
    Suite("due_list", lists, changed=fewer(lists, 20), place=0, every=41),
    Suite("site_after", own_lines, changed=fewer(own_lines, 60), every=9),
    Suite("windows_on", windows, changed=fewer(windows, 30), place=1),
    Suite("state_of_window", states, changed=fewer(states, 30)),
    Suite("local_day", local_days),
    Suite("day_begins", beginnings),
    Suite("is_daily", all_schedules, changed=fewer(all_schedules, 20)),
    Suite("asks_for_round", all_schedules, changed=fewer(all_schedules, 20)),
    Suite("read_with", reads, changed=fewer(reads, 30)),
    Suite("done_row", entries, changed=fewer(entries, 30)),
    Suite("event_row", entries, changed=fewer(entries, 30)),
    Suite("row_in_time", rows_put, changed=fewer(rows_put, 30)),
    Suite("done_with", rows_put, changed=fewer(rows_put, 30)),
    Suite("latest_rows", rows_last),
    Suite("latest_read", rows_read, changed=fewer(rows_read, 10)),
)
