"""Requests for advice about stabilised chlorine, shared circuits and what was added before."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from itertools import product
from typing import Any

from tests.kernel.deciding.advice_cases import DAY, full
from tests.kernel.deciding.deciding_cases import AT, HOUR, reading

DICHLOR = {
    "product": "d",
    "substance": "sodium-dichloroisocyanurate",
    "name": "D",
    "method": "by-hand",
    "approved": ["raise-chlorine"],
    "strength": {"value": "56", "unit": "percent-w-w", "at": AT - DAY},
}
CIRCUIT = {"of": "circuit", "m3": "450", "known": "meter", "balance_tank": "included"}


def requests_of_dichlor() -> Iterator[dict[str, Any]]:
    """Give requests for a chlorine that brings stabiliser, near its limit and far from it."""
    limits = ((None, None), ("50", None), (None, "40"), ("50", "40"))
    for level, (rules, own) in product(("20", "37.3", "90", ""), limits):
        request = full()
        request["case"]["pool"] |= {"location": "outdoor", "stabiliser": "used"}
        request |= {"feeder": DICHLOR["substance"], "products": [deepcopy(DICHLOR)]}
        request["limits"]["cyanuric_acid"] = {"high": rules}
        request["targets"]["cyanuric_acid"] = {"high": own}
        if level:
            request["case"]["readings"].append(reading("cyanuric_acid", level))
        yield request


def requests_of_a_circuit() -> Iterator[dict[str, Any]]:
    """Give requests for all of a circuit, with a second pool on it that was tested or not."""
    for free, pools in product(("0.60", "0.90", "1.95", ""), ("400", "45")):
        request = full()
        request["volume"] = CIRCUIT | {"shared": ["b"], "pools_m3": pools}
        rows = [reading("free_chlorine", free), reading("ph", "7.4")] if free else []
        other = {"name": "B", "pool": request["case"]["pool"], "readings": rows}
        request["others"] = [other | {"taken_at": AT - 60, "late": False}]
        yield request


def requests_after_an_addition() -> Iterator[dict[str, Any]]:
    """Give requests by a round since which chlorine was added."""
    for last in ("0.30", "0.62", "1.45"):
        request = full()
        event = {"kind": "addition", "product": "sodium-hypochlorite", "at": AT - HOUR}
        earlier = {"at": AT - 2 * HOUR, "readings": [reading("free_chlorine", last)]}
        request["case"] |= {"events": [event], "history": [earlier]}
        yield request


def requests_by_an_earlier_alkalinity() -> Iterator[dict[str, Any]]:
    """Give requests for acid by an alkalinity of before that was in doubt, or is far from now's."""
    for now, doubtful in product(("", "300"), ([], ["total_alkalinity"])):
        request = full(free_chlorine="1.5", total_chlorine="1.6", ph="7.9", total_alkalinity=now)
        earlier = {"at": AT - 2 * HOUR, "readings": [reading("total_alkalinity", "100")]}
        request["case"]["history"] = [earlier | {"doubtful": doubtful}]
        yield request


def requests_in_need() -> Iterator[dict[str, Any]]:
    """Give all of them."""
    yield from requests_of_dichlor()
    yield from requests_of_a_circuit()
    yield from requests_after_an_addition()
    yield from requests_by_an_earlier_alkalinity()
