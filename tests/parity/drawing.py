"""Rounds, cases, requests and waters drawn at random, the odd and the impossible among them."""

from __future__ import annotations

import random
from typing import Any

from tests.kernel.deciding.advice_cases import (
    ACID,
    BICARBONATE,
    CALCIUM,
    DAY,
    HYPOCHLORITE,
    SODA,
    full,
)
from tests.kernel.deciding.deciding_cases import AT, HOUR, KIT, case, reading

PARAMETERS = (
    "free_chlorine",
    "total_chlorine",
    "combined_chlorine",
    "total_bromine",
    "cyanuric_acid",
    "total_alkalinity",
    "calcium_hardness",
    "salt",
    "ph",
    "temperature_c",
    "orp_mv",
    "turbidity_ntu",
    "e_coli",
    "colony_count",
)
STABILISED = "sodium-dichloroisocyanurate"
CHARACTERS = "0159.,<>- x"
USUAL = {
    "free_chlorine": (0, 6),
    "total_chlorine": (0, 7),
    "combined_chlorine": (0, 2),
    "total_bromine": (0, 8),
    "ph": (6, 9),
    "temperature_c": (10, 45),
    "orp_mv": (300, 900),
    "cyanuric_acid": (0, 120),
    "total_alkalinity": (20, 300),
    "calcium_hardness": (20, 900),
    "salt": (0, 6000),
}
POOL_WORDS = {
    "kind": ["pool", "spa", "wading", "cold-plunge", "spray", "hydrotherapy", "leisure"],
    "location": ["indoor", "outdoor", "roofed"],
    "disinfectant": ["chlorine", "bromine", "other", "unknown"],
    "stabiliser": ["used", "not-used"],
    "water": ["fresh", "salt", "sea"],
    "supply": ["recirculated", "fill-and-draw", "flow-through"],
    "control": ["manual", "orp", "amperometric"],
    "coagulant": ["none", "aluminium", "iron"],
}


def drawer(seed: int) -> random.Random:
    """Give a source of the same draws every time."""
    return random.Random(seed)  # noqa: S311 - vectors, always the same


def short_texts(most: int) -> list[str]:
    """Give every text of so many characters at most that a keypad could bring about."""
    texts = [""]
    for text in texts:
        if len(text) < most:
            texts += [text + character for character in CHARACTERS]
    return texts


def draw_text(draw: random.Random) -> str:
    """Draw a text that may or may not be a number."""
    if draw.random() < 0.3:
        return "".join(draw.choices(CHARACTERS, k=draw.randint(0, 9)))
    text = str(draw.randint(0, 10 ** draw.randint(1, 10)))
    if draw.random() < 0.7:
        text += draw.choice(".,") + str(draw.randint(0, 10 ** draw.randint(1, 4)))
    return draw.choice(["", "", "", ">", "<"]) + draw.choice(["", "", "", "-"]) + text


def draw_value(draw: random.Random, parameter: str) -> str:
    """Draw what is read of a parameter: as a rule what water can read."""
    if draw.random() < 0.08:
        return draw_text(draw)
    low, high = USUAL.get(parameter, (0, 20))
    text = f"{draw.uniform(low, high):.{draw.choice((0, 1, 2, 2, 3))}f}"
    return draw.choice(["", "", "", "", "", "", ">", "<"]) + text


def draw_reading(draw: random.Random) -> dict[str, Any]:
    """Draw one reading in normal form."""
    if draw.random() < 0.2:
        parameter = draw.choice(["clarity", "circulation"])
        words = ["visible", "not-visible", "cannot-tell", "running", "stopped", "unknown", "junk"]
        return reading(parameter, draw.choice(words))
    parameter = draw.choice(PARAMETERS)
    return reading(
        parameter,
        draw_value(draw, parameter),
        dilution=draw.choice([1, 1, 1, 1, 2, 5, 10]),
        point=draw.choice(["", "", "deep", "1"]),
        at=draw.choice([None, AT - 60]),
        uncertainty=draw.choice([None, None, "0.05", "0.1", "3", draw_text(draw)]),
        kit=draw.choice(["", "k", "unknown"]),
    )


def draw_case(draw: random.Random) -> dict[str, Any]:
    """Draw one case to judge."""
    drawn = case(
        *(draw_reading(draw) for _ in range(draw.randint(0, 7))),
        purpose=draw.choice(["round", "round", "sample"]),
        pool={
            fact: draw.choice(words) for fact, words in POOL_WORDS.items() if draw.random() < 0.8
        },
        history=[
            {
                "at": AT - draw.randint(1, 30 * HOUR),
                "readings": [draw_reading(draw) for _ in range(draw.randint(0, 4))],
            }
            for _ in range(draw.randint(0, 3))
        ],
        at=draw.choice([None, AT, AT]),
    )
    if draw.random() < 0.5:
        drawn["kits"] = {"k": {**KIT, "accepted": draw.random() < 0.5}}
    if draw.random() < 0.3:
        drawn["events"] = [draw_event(draw)]
        drawn["expired"] = [{"parameter": "free_chlorine", "lot": "17", "expired": "2026-01"}]
        drawn["between"] = [{"parameter": "ph", "low": "7.2", "high": "7.6"}]
    return drawn


def draw_event(draw: random.Random) -> dict[str, Any]:
    """Draw something that was logged."""
    kind = draw.choice(["addition", "cause", "backwash"])
    product = draw.choice(["sodium-hypochlorite", "hydrochloric-acid"])
    return {"kind": kind, "product": product, "at": draw.choice([None, AT - HOUR])}


def draw_request(draw: random.Random) -> dict[str, Any]:
    """Draw one request for advice in which an amount is likely: as a rule one thing is wrong."""
    values = {"free_chlorine": "1.5", "total_chlorine": "1.6"}
    wrong = draw.choice(["free_chlorine", "ph", "total_alkalinity", "calcium_hardness", "all"])
    if wrong in ("free_chlorine", "all"):
        free = draw.uniform(0.3, 1.2)
        values["free_chlorine"] = f"{free:.2f}"
        values["total_chlorine"] = draw.choice(["", f"{free + draw.uniform(0, 0.5):.2f}"])
    if wrong in ("ph", "all"):
        values["ph"] = f"{draw.choice((draw.uniform(6.7, 7.2), draw.uniform(7.6, 8.3))):.2f}"
    if wrong in ("total_alkalinity", "all"):
        values["total_alkalinity"] = str(draw.randint(30, 79))
    elif draw.random() < 0.8:
        values["total_alkalinity"] = str(draw.randint(80, 120))
    if wrong in ("calcium_hardness", "all"):
        values["calcium_hardness"] = str(draw.randint(20, 99))
    values["temperature_c"] = f"{draw.uniform(18, 36):.1f}"
    values["cyanuric_acid"] = draw.choice(["", str(draw.randint(0, 60))])
    request = full(**values)
    request["case"]["pool"]["stabiliser"] = draw.choice(["used", "not-used"])
    request["volume"]["m3"] = draw.choice(["400", "25.5", "1800"])
    request["volume"]["known"] = draw.choice(["drawing", "meter", "guess"])
    request["volume"]["accepted"] = draw.choice([True, True, False, "no", None])
    request["configured"] = draw.random() < 0.3
    request["dye_test"] = draw.random() < 0.5
    request["products"] = [dict(item) for item in (HYPOCHLORITE, ACID, BICARBONATE, SODA, CALCIUM)]
    if draw.random() < 0.3:
        request["case"]["history"] = [
            {"at": AT - draw.randint(HOUR, 9 * DAY), "readings": request["case"]["readings"]}
        ]
        request["case"]["readings"] = request["case"]["readings"][:3]
    if draw.random() < 0.2:
        request["volume"] |= {"of": "circuit", "circuit_m3": "900", "shared": ["teaching"]}
        request["others"] = [draw_other_pool(draw) for _ in range(draw.randint(0, 2))]
    if draw.random() < 0.3:
        request["case"]["pool"] |= {"location": "outdoor", "stabiliser": "used"}
        dichlor = {"value": "56", "unit": "percent-w-w", "at": AT - DAY}
        request["products"][0] |= {"substance": STABILISED, "strength": dichlor}
        request["feeder"] = draw.choice(["none", STABILISED])
        request["targets"]["cyanuric_acid"] = {"low": "20", "high": draw.choice(["40", "80"])}
    if draw.random() < 0.3:
        request["case"]["events"] = [draw_event(draw)]
    return request


def draw_other_pool(draw: random.Random) -> dict[str, Any]:
    """Draw another pool on the same filter."""
    low = full(free_chlorine=f"{draw.uniform(0, 2):.2f}")["case"]
    return {
        "name": "Teaching",
        "pool": low["pool"],
        "readings": low["readings"],
        "taken_at": AT - draw.choice([60, HOUR, 3 * HOUR]),
        "late": draw.choice([False, True, None]),
    }


def draw_water(draw: random.Random) -> tuple[float, ...]:
    """Draw one reading of water as kernel/water takes it, over the whole range it is made for."""
    return (
        draw.uniform(4.5, 10.5),
        draw.uniform(5, 45),
        draw.uniform(0, 500),
        draw.choice((0.0, draw.uniform(0, 1500))),
        draw.choice((0.0, draw.uniform(0, 400))),
        draw.choice((0.0, draw.uniform(0, 120))),
        draw.uniform(0, 20000),
        draw.choice((0.0, draw.uniform(0, 2500))),
        draw.choice((0.0, draw.uniform(0, 30))),
        draw.choice((0.0, 0.0, draw.uniform(0, 100))),
    )
