"""Vectors for kernel/deciding: what a tablet decides alone."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import pairwise, product
from typing import Any

from tests.kernel.deciding.advice_cases import DAY, change, full
from tests.kernel.deciding.deciding_cases import AT, HOUR, case, reading
from tests.parity.drawing import (
    PARAMETERS,
    draw_case,
    draw_reading,
    draw_request,
    draw_text,
    draw_value,
    drawer,
    short_texts,
)
from tests.parity.drawing_advice import requests_in_need
from tests.parity.sides import Row, Suite

from lanewater.kernel.deciding.applying import with_doubt
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.plausibility import findings_of
from lanewater.kernel.deciding.tries import legible
from lanewater.rules.case import case_from
from lanewater.service.constants import load_constants
from lanewater.service.packs import load_pack, pack_ids

VERDICTS = [
    "meets",
    "meets-borderline",
    "does-not-meet-borderline",
    "does-not-meet",
    "close",
    "evacuate",
    "not-judged",
]
COMPARISONS = ("at-least", "at-most", "above", "below", "equals", "about")
RELATIONS = ("exact", "above", "below", "unknown")
# Two colours of a comparator: as they are, the same twice, the wrong way round, and no numbers.
COLOURS = (
    ("1.0", "1.5"), ("7.2", "7.6"), ("0.5", "0.5"), ("2.0", "1.0"), ("6.8", ""),
    ("x", "1.0"), ("0", "999999999.999"), ("<0.5", "1.0"),
)  # fmt: skip
# What of a pack no judgement reads.
BESIDE = ("golden", "sources", "doubtful", "note", "title", "authority")


@cache
def packs() -> dict[str, dict[str, Any]]:
    """Every pack, without what no judgement reads."""
    return {
        name: {key: value for key, value in load_pack(name).items() if key not in BESIDE}
        for name in pack_ids()
    }


@cache
def golden() -> list[tuple[dict[str, Any], dict[str, Any]]]:
    """Every pack with each of its golden cases."""
    asked = ("purpose", "pool", "readings", "history", "at")
    return [
        (packs()[name], case_from({key: entry[key] for key in asked if key in entry}))
        for name in pack_ids()
        for entry in load_pack(name)["golden"]
    ]


@cache
def cases() -> list[dict[str, Any]]:
    """Cases at random."""
    draw = drawer(21)
    return [draw_case(draw) for _ in range(400)]


@cache
def readings() -> list[dict[str, Any]]:
    """Readings at random."""
    draw = drawer(22)
    return [draw_reading(draw) for _ in range(600)]


def legible_readings() -> list[dict[str, Any]]:
    """Readings at random that hold a number."""
    return [entry for entry in readings() if legible(entry)]


def texts() -> Iterator[Row]:
    """Every short text, and longer ones at random."""
    draw = drawer(23)
    for text in short_texts(4):
        yield (text,)
    for _ in range(2000):
        yield (draw_text(draw),)


def few_texts() -> Iterator[Row]:
    """Texts at random, and None."""
    draw = drawer(24)
    yield from ((text,) for text in short_texts(2))
    yield from ((draw_text(draw),) for _ in range(400))
    yield (None,)


def whole_numbers() -> Iterator[Row]:
    """Whole numbers of every size, and what is none."""
    draw = drawer(25)
    yield from ((number,) for number in [*range(-1100, 1100), 10**15, None, "1", True, []])
    yield from ((draw.randint(0, 10 ** draw.randint(1, 15)),) for _ in range(500))


def at_limit(limit: int) -> Iterator[str]:
    """Give the texts of a limit, one thousandth below and above it, and over and under range."""
    for off in (-1, 0, 1):
        yield decimal_text(limit + off)
    yield ">" + decimal_text(limit)
    yield "<" + decimal_text(limit)


def with_reading(found: dict[str, Any], parameter: str, value: str) -> dict[str, Any]:
    """Give a case with one reading of a parameter, whatever it had of it before."""
    others = [entry for entry in found["readings"] if entry["parameter"] != parameter]
    return {**found, "readings": [*others, reading(parameter, value, uncertainty="0.02")]}


def given_combined() -> Iterator[Row]:
    """Rounds whose combined was given beside free and total, at the same point and at another."""
    for combined, point, total in product(
        ("0.2", "2.4", ">1", "<1", "x"), ("", "deep"), ("1.7", "3.9")
    ):
        yield (
            case(
                reading("free_chlorine", "1.5"),
                reading("total_chlorine", total),
                reading("combined_chlorine", combined, point=point),
            ),
        )


def every_limit() -> Iterator[Row]:
    """Every limit of every pack, in three of its golden cases."""
    for name, pack in packs().items():
        own = [found for held, found in golden() if held["id"] == name]
        for found in own[:: max(len(own) // 3, 1)]:
            for rule in pack["rules"]:
                for value in at_limit(rule.get("limit_thousandths", 0)):
                    yield pack, with_reading(found, rule["parameter"], value)


def near_limits() -> Iterator[Row]:
    """Golden cases with each of their readings at some of the limits of the pack."""
    for number, (pack, found) in enumerate(golden()):
        limits: dict[str, set[int]] = {}
        for rule in pack["rules"]:
            limits.setdefault(rule["parameter"], set()).add(rule.get("limit_thousandths", 0))
        for entry in found["readings"]:
            for limit in sorted(limits.get(entry["parameter"], ()))[number % 5 :: 5]:
                for value in at_limit(limit):
                    yield pack, with_reading(found, entry["parameter"], value)


def huge_readings() -> Iterator[list[dict[str, Any]]]:
    """Readings as large as can be typed, and larger, with errors as large."""
    shown = ("0", "0.001", "999999999.999", ">999999999", "<999999999", "-999999999", "94907")
    errors = (None, "0", "999999999", "100000", "-5")
    for free, total, error, dilution in product(shown, shown[:4], errors, (1, 100)):
        values = {
            "free_chlorine": free,
            "total_chlorine": total,
            "ph": free,
            "cyanuric_acid": total,
            "temperature_c": free,
            "orp_mv": total,
            "total_alkalinity": total,
            "turbidity_ntu": free,
        }
        yield [
            reading(parameter, value, dilution=dilution, uncertainty=error)
            for parameter, value in values.items()
        ]


def judged() -> Iterator[Row]:
    """Golden cases, cases at every limit, huge ones, cases at random, and no rules."""
    yield from every_limit()
    yield from near_limits()
    for place, found in enumerate(huge_readings()):
        history = [{"at": AT - HOUR, "readings": found}] if place % 2 == 0 else []
        yield list(packs().values())[place % len(packs())], case(*found, history=history)
    every = list(packs().values())
    for place, found in enumerate(cases()):
        yield every[place % len(every)] if place % 9 else None, found


def changed_cases() -> Iterator[Row]:
    """Golden cases of every pack of which everything is taken away in turn."""
    for name in pack_ids():
        own = [row for row in golden() if row[0]["id"] == name]
        yield from own[:: max(len(own) // 4, 1)]
    yield from ((packs()["ca-qc"], found) for found in cases()[:12])


def packs_taken_apart() -> Iterator[Row]:
    """One golden case of every pack, for the pack to be taken apart around it."""
    for name in pack_ids():
        own = [row for row in golden() if row[0]["id"] == name]
        yield max(own, key=lambda row: len(row[1]["readings"]))


def doubted() -> Iterator[Row]:
    """Cases with their findings."""
    for found in cases():
        yield found, findings_of(found)


def applied() -> Iterator[Row]:
    """Packs with cases whose doubts are known."""
    every = list(packs().values())
    for place, found in enumerate(cases()):
        yield every[place % len(every)], with_doubt(found, findings_of(found))


def pack_and_case() -> Iterator[Row]:
    """Packs with cases at random."""
    every = list(packs().values())
    yield from ((every[place % len(every)], found) for place, found in enumerate(cases()))


def stated_kits() -> list[dict[str, Any]]:
    """Kits that state an error, a step, both or neither, and such as state nonsense."""
    spans = product(("", "0.01", "0.5", "x"), ("", "0.02", "3"), ("", "5", "200", None))
    return [
        {
            "kind": kind,
            "ranges": {
                parameter: {"step": step, "error_absolute": absolute, "error_percent": percent}
                for parameter in ("free_chlorine", "ph", "temperature_c")
            },
        }
        for step, absolute, percent in spans
        for kind in ("photometer", "comparator")
    ]


def typed_readings() -> list[dict[str, Any]]:
    """Readings as they are typed, in units of their own and others."""
    draw = drawer(29)
    return [
        {
            "parameter": (parameter := draw.choice(PARAMETERS)),
            "value": draw_text(draw) if draw.random() < 0.4 else draw_value(draw, parameter),
            "unit": draw.choice(["", "F", "°F", "C", "g/L", "mg/L"]),
            "dilution": draw.choice([1, 1, 2, 10]),
            "point": draw.choice(["", "deep"]),
            "at": draw.choice([None, AT]),
            "kit": draw.choice(["", "k"]),
        }
        for _ in range(500)
    ]


def made_normal() -> Iterator[Row]:
    """Typed readings with kits, or without."""
    kits = [None, *stated_kits()]
    for place, typed in enumerate(typed_readings()):
        yield typed, kits[place % len(kits)]
        low, high = COLOURS[place % len(COLOURS)]
        yield typed | {"between": {"low": low, "high": high}}, kits[place % len(kits)]


def colours_and_kits() -> Iterator[Row]:
    """Two colours with every kit, or without one."""
    kits = [None, *stated_kits()]
    for (low, high), kit, parameter in product(COLOURS, kits, ("ph", "free_chlorine", "salt")):
        yield low, high, kit, parameter


def kit_errors() -> Iterator[Row]:
    """Every kit with typed values."""
    draw = drawer(30)
    for kit in stated_kits():
        for parameter in ("free_chlorine", "ph", "salt"):
            yield kit, parameter, draw_value(draw, parameter)


def in_own_unit() -> Iterator[Row]:
    """Typed texts in their units; for temperature every short text."""
    yield from ((each["parameter"], each["value"], each["unit"]) for each in typed_readings())
    yield from (("temperature_c", text, "F") for text in short_texts(3))


def pairs_of_readings() -> Iterator[Row]:
    """Legible readings, two by two."""
    found = legible_readings()
    yield from pairwise(found)


def timetables() -> Iterator[Row]:
    """Everything that can ask for a next test, at random, over a change of the clock."""
    draw = drawer(26)
    for _ in range(400):
        now = AT + draw.randint(0, 400 * DAY)
        yield (
            {
                "now": now,
                "last": draw.choice([None, now - draw.randint(0, 3 * DAY)]),
                "pack": {"every_seconds": draw.choice([0, 2 * HOUR, 4 * HOUR]), "detail": "s. 9"},
                "plan": {
                    "every_seconds": draw.choice([0, 3 * HOUR, DAY]),
                    "before_opening_seconds": draw.choice([0, HOUR]),
                },
                "retests": [
                    {"at": now + draw.randint(0, DAY), "detail": "advice"}
                    for _ in range(draw.randint(0, 2))
                ],
                "events": [{"at": now + draw.randint(0, DAY), "detail": "storm"}][
                    : draw.randint(0, 1)
                ],
                "hours": draw.choice([None, [], opening_hours(draw.randint(0, 9))]),
                "offsets": [
                    {"from": AT + days * DAY, "minutes": minutes}
                    for days, minutes in ((0, -300), (40, -240), (300, -300))
                ][: draw.randint(0, 3)],
            },
        )


def opening_hours(seed: int) -> list[dict[str, int]]:
    """Give opening hours, some of which end after midnight."""
    draw = drawer(seed)
    return [
        {"day": day, "opens": draw.randrange(0, 1440, 30), "closes": draw.randrange(0, 1440, 30)}
        for day in range(7)
        if draw.random() < 0.8
    ]


def instants() -> Iterator[Row]:
    """Timetables with instants around them."""
    draw = drawer(27)
    for row in timetables():
        yield row[0], row[0]["now"] + draw.randint(-DAY, DAY)


@cache
def requests() -> list[dict[str, Any]]:
    """Requests for advice: complete ones at random, and some with doubtful rounds."""
    draw = drawer(28)
    found = [draw_request(draw) for _ in range(250)]
    for number in range(100):
        request = full()
        request["case"] = {**request["case"], **cases()[number]}
        found.append(request)
    for readings_drawn in list(huge_readings())[::4]:
        request = full()
        request["case"]["readings"] = readings_drawn
        found.append(request)
    return [*found, *huge_requests(), *requests_in_need()]


def huge_requests() -> Iterator[dict[str, Any]]:
    """Requests with volumes and strengths as large and small as can be typed."""
    needs = (
        {},
        {"free_chlorine": "1.5", "total_chlorine": "1.6", "ph": "7.9"},
        {"free_chlorine": "1.5", "total_chlorine": "1.6", "total_alkalinity": "30"},
    )
    volumes = ("0.001", "99999.999", "999999999")
    for values, volume, strength in product(needs, volumes, ("0.001", "99.9", "999999999")):
        request = full(**values)
        request["volume"]["m3"] = volume
        for item in request["products"]:
            item["strength"]["value"] = strength
        yield request


def advised() -> Iterator[Row]:
    """Requests for advice with the kernel's constants."""
    k = load_constants()
    yield from ((k, request) for request in requests())


def advice_taken_apart() -> Iterator[Row]:
    """Complete requests, one for each thing that may be added."""
    k = load_constants()
    needs = (
        {},
        {"free_chlorine": "1.5", "total_chlorine": "1.6", "ph": "7.9"},
        {"free_chlorine": "1.5", "total_chlorine": "1.6", "ph": "6.9"},
        {"free_chlorine": "1.5", "total_chlorine": "1.6", "total_alkalinity": "40"},
        {"free_chlorine": "1.5", "total_chlorine": "1.6", "calcium_hardness": "50"},
    )
    for values in needs:
        yield k, full(**values)
    circuit = {"of": "circuit", "m3": "400", "circuit_m3": "900", "known": "guess", "shared": ["a"]}
    yield k, change(full(cyanuric_acid="30"), "volume", circuit)


def few_readings() -> list[Row]:
    """Some readings, to be taken apart."""
    return [(entry,) for entry in readings()[:30]]


def few_pairs() -> list[Row]:
    """Some pairs of readings, to be taken apart."""
    return list(pairs_of_readings())[:20]


def few_cases() -> list[Row]:
    """Some cases, to be taken apart."""
    return [(found,) for found in cases()[:15]]


SUITES = (
    Suite("thousandths", texts),
    Suite("relation_of", few_texts),
    Suite("legible_text", texts),
    Suite("comma_is_ambiguous", texts),
    Suite("decimal_text", whole_numbers),
    Suite("whole_root", lambda: ((abs(n),) for (n,) in whole_numbers() if type(n) is int)),
    Suite("thousandths_of_float", lambda: ((n / 1e5,) for n in range(-4000, 4000, 3))),
    Suite("severity", lambda: ((word,) for word in [*VERDICTS, "", "unknown", None])),
    Suite(
        "decided",
        lambda: product((-1, 0, 1, 499, 500, 501), RELATIONS, COMPARISONS, (0, 500)),
    ),
    Suite("number_of", lambda: ((entry,) for entry in readings()), changed=few_readings),
    Suite("reading_thousandths", lambda: ((entry,) for entry in readings()), changed=few_readings),
    Suite("shown_text", lambda: ((entry,) for entry in readings()), changed=few_readings),
    Suite("legible", lambda: ((entry,) for entry in readings()), changed=few_readings),
    Suite("relation_in", lambda: ((entry,) for entry in readings()), changed=few_readings),
    Suite("combined_thousandths", pairs_of_readings, changed=few_pairs),
    Suite("pair_error", pairs_of_readings, changed=few_pairs),
    Suite("typical_error", lambda: product(PARAMETERS, (0, 1, 500, 1520, 7400, 900000, None))),
    Suite("findings_of", lambda: ((found,) for found in cases()), changed=few_cases),
    Suite("given_combined_findings", given_combined, changed=lambda: list(given_combined())[:2]),
    Suite("house_stops", lambda: ((found,) for found in cases()), changed=few_cases),
    Suite("doubtful_parameters", lambda: ((findings_of(found),) for found in cases())),
    Suite(
        "surprising",
        lambda: product(cases(), ("free_chlorine", "ph")),
        changed=lambda: product(cases()[:12], ("free_chlorine", "ph")),
    ),
    Suite("normal_reading", made_normal, changed=lambda: list(made_normal())[:40]),
    Suite("between_error", colours_and_kits),
    Suite("stated_error", kit_errors, changed=lambda: list(kit_errors())[::7]),
    Suite("own_unit_text", in_own_unit),
    Suite("us_measure", lambda: product((*range(0, 5_000_001, 1009), -1, 2**53), ("mL", "g", "L"))),
    Suite(
        "rounded_text", lambda: product((0, 4, 5, 45, 449, 1520, 9995, 10**9), (-1, 0, 1, 2, 3, 9))
    ),
    Suite("with_doubt", doubted, changed=lambda: list(doubted())[:8]),
    Suite("rules_that_apply", applied, changed=lambda: list(applied())[:4], every=9),
    Suite("next_due_by_pack", pack_and_case, changed=lambda: list(pack_and_case())[:6], every=5),
    Suite("judge", judged, changed=changed_cases, place=1),
    Suite("judge", golden, changed=packs_taken_apart, place=0, every=5),
    Suite("next_due", timetables, changed=lambda: list(timetables())[:40]),
    Suite("open_by_hours", instants, changed=lambda: list(instants())[:20]),
    Suite("advise", advised, changed=advice_taken_apart, every=2),
)
