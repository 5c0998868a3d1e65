"""Vectors for the plan: sites' rounds and questions that stand alone, whole and taken apart."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache
from typing import Any

from tests.kernel.deciding.advice_cases import full
from tests.parity.drawing import draw_request, drawer
from tests.parity.drawing_advice import requests_in_need
from tests.parity.sides import Row, Suite
from tests.properties.plan_situations import alone_situation, site_situation

from lanewater.dosing.plan_question import request_from
from lanewater.kernel.deciding.plan import READY, needs_search, prepared_plan
from lanewater.kernel.deciding.plantrials import first_trial, next_trial
from lanewater.kernel.water.planning import plan_search
from lanewater.kernel.water.planningslots import PLAN_STARTS
from lanewater.service.constants import load_constants

ITERATED = 1e-9
SEVERAL = {"free_chlorine": "1.5", "total_chlorine": "1.6", "ph": "7.9", "total_alkalinity": "70"}
THIOSULFATE = {"product": "sodium-thiosulfate", "strength_percent_w_w": 63.7, "approved": True}
TOO_MUCH: dict[str, Any] = {
    "ph": 7.4,
    "temperature_c": 27,
    "total_alkalinity_mg_l": 100,
    "free_chlorine_mg_l": 8,
    "volume_m3": 400,
    "targets": {"ph": [7.2, 7.6], "free_chlorine_mg_l": [1, 2]},
    "products": [THIOSULFATE],
}
SCOOP_BY_WEIGHT = {"scoop": {"amount": 1, "unit": "kg"}}
FRESH: dict[str, Any] = {
    **TOO_MUCH,
    "free_chlorine_mg_l": 1.5,
    "calcium_hardness_mg_l": 150,
    "cyanuric_acid_mg_l": 90,
    "targets": {**TOO_MUCH["targets"], "cyanuric_acid_mg_l": [20, 50]},
    "products": [{"product": "sodium-hypochlorite", "strength_g_l": 120, "price": 1.2}],
    "fresh_water": {"ph": 7.8, "temperature_c": 12, "total_alkalinity_mg_l": 90},
}


@cache
def requests() -> list[dict[str, Any]]:
    """Requests of sites and questions that stand alone, among them dilution and a neutraliser."""
    draw = drawer(51)
    found = [draw_request(draw) for _ in range(40)]
    found += list(requests_in_need())[::3]
    drawn = random.Random(52)  # noqa: S311 - vectors, always the same
    for _ in range(25):
        request = site_situation(drawn).request
        found += [] if request is None else [request.for_kernel()]
        found.append(request_from(alone_situation(drawn).question))
    return [*found, *alone(), full(**SEVERAL)]


def alone() -> list[dict[str, Any]]:
    """Questions that stand alone, one for each way a plan may go, and a site whose plant feeds."""
    fed = full()
    fed["products"] = [fed["products"][0] | {"method": "feeder-only"}]
    by_weight = {**FRESH, "products": [FRESH["products"][0] | SCOOP_BY_WEIGHT]}
    return [request_from(TOO_MUCH), request_from(FRESH), request_from(by_weight), fed]


def planned() -> Iterator[Row]:
    """Requests with the kernel's constants."""
    k = load_constants()
    yield from ((k, request) for request in requests())


def taken_apart() -> Iterator[Row]:
    """Whole requests, to be taken apart."""
    k = load_constants()
    yield k, full(**SEVERAL, calcium_hardness="150")
    yield k, request_from(FRESH)
    yield k, request_from(TOO_MUCH)


@cache
def ready() -> list[dict[str, Any]]:
    """Requests gone through every guard, ready to be searched."""
    k = load_constants()
    prepared = [prepared_plan(k, request) for request in requests()]
    return [entry for entry in prepared if entry["state"] == READY]


def told() -> Iterator[Row]:
    """What the numeric planner found, to be told."""
    k = load_constants()
    for prepared in ready()[:40]:
        problem = prepared["problem"]
        if needs_search(prepared):
            status, _, flat, figures = plan_search(
                k,
                problem["temperature_c"],
                problem["totals"],
                problem["fill"],
                problem["rows"],
                problem["bands"],
                PLAN_STARTS,
            )
            yield k, prepared, status, flat, figures
            yield from ((k, prepared, 2, [], [mark]) for mark in (-1.0, 0.0, 201.0, 301.0, 400.0))
            yield k, prepared, 3, [], figures


def tried() -> Iterator[Row]:
    """What a search found, to be looked at again; and searches that find nothing."""
    for _, prepared, status, flat, figures in told():
        trial = first_trial(prepared)
        yield trial, status, flat, figures
        last = next_trial(next_trial(trial, 2, [], figures), 2, [], figures)
        yield last, 2, [], figures
        yield last | {"held": {"prepared": prepared, "done": True}}, 2, [], figures


def unsearched() -> Iterator[Row]:
    """What needs no search."""
    k = load_constants()
    yield from ((k, prepared) for prepared in ready() if not needs_search(prepared))


SUITES = (
    Suite("plan", planned, ITERATED, changed=taken_apart, place=1, every=5),
    Suite("prepared_plan", planned, ITERATED),
    Suite("needs_search", lambda: ((prepared,) for prepared in ready())),
    Suite("plan_told", told, ITERATED),
    Suite("first_trial", lambda: ((prepared,) for prepared in ready()), ITERATED),
    Suite("next_trial", tried, ITERATED),
    Suite("plan_without_search", unsearched, ITERATED),
)
