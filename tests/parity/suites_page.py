"""Vectors for what the Water page asks of the kernel by name."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

from tests.kernel.deciding.advice_cases import full
from tests.kernel.deciding.deciding_cases import reading
from tests.parity.drawing import draw_case, draw_request, drawer
from tests.parity.sides import Row, Suite
from tests.parity.suites_water import waters

ASKED = ("ph", "total_alkalinity", "calcium_hardness", "cyanuric_acid", "combined_chlorine")
PLACES = 10


@cache
def requests() -> list[dict[str, Any]]:
    """Give requests at random."""
    draw = drawer(71)
    return [draw_request(draw) for _ in range(150)]


@cache
def rounds() -> list[list[dict[str, Any]]]:
    """Give the readings of rounds at random, and an over-range one that a dilution replaced."""
    draw = drawer(72)
    over = [reading("free_chlorine", ">5.00"), reading("free_chlorine", "1.20", dilution=5)]
    return [over, *(draw_case(draw)["readings"] for _ in range(300))]


def whole() -> Iterator[Row]:
    """Give requests by themselves."""
    yield from ((request,) for request in requests())


def named() -> Iterator[Row]:
    """Give each request with a parameter."""
    for place, request in enumerate(requests()):
        yield request, ASKED[place % len(ASKED)]


def cased() -> Iterator[Row]:
    """Give each request, its case and a parameter."""
    for request, parameter in named():
        yield request, request["case"], parameter


def timed() -> Iterator[Row]:
    """Give each case with a parameter and when its round was taken."""
    for request, case, parameter in cased():
        yield case, parameter, request["taken_at"]


def pools() -> Iterator[Row]:
    """Give pools that state a stabiliser, state something else, or state nothing."""
    yield from (({"stabiliser": word},) for word in ("used", "not-used", "unknown", ""))
    yield ({},)
    yield from ((request["case"]["pool"],) for request in requests()[:20])


def read() -> Iterator[Row]:
    """Give the readings of rounds."""
    yield from ((rows,) for rows in rounds())


def read_of() -> Iterator[Row]:
    """Give the readings of rounds that can be read, with a parameter."""
    names = (*ASKED, "free_chlorine", "total_chlorine")
    for place, rows in enumerate(rounds()):
        yield rows, names[place % len(names)]


def moved() -> Iterator[Row]:
    """Give waters with one number of them changed, also to less than nothing."""
    for place, water in enumerate(waters()):
        yield water, place % PLACES, water[place % PLACES] * 1.5 - 1.0


def one_whole() -> Iterator[Row]:
    """Give one request of which every key is left out as well."""
    yield (full(),)


def one_named() -> Iterator[Row]:
    """Give one request with a parameter, of which every key is left out as well."""
    yield full(), "ph"


def one_cased() -> Iterator[Row]:
    """Give one request with its case, of which every key is left out as well."""
    request = full(total_alkalinity="95")
    yield request, request["case"], "total_alkalinity"


def one_timed() -> Iterator[Row]:
    """Give one case, of which every key is left out as well."""
    request = full(total_alkalinity="95")
    yield request["case"], "total_alkalinity", request["taken_at"]


def one_read() -> Iterator[Row]:
    """Give one round's readings, of which every key is left out as well."""
    yield (full()["case"]["readings"],)


def one_read_of() -> Iterator[Row]:
    """Give one round's readings and a parameter, of which every key is left out as well."""
    yield full()["case"]["readings"], "combined_chlorine"


SUITES = (
    Suite("case_of", whole, changed=one_whole, every=3),
    Suite("target_known", named, changed=one_named, every=3),
    Suite("band_of", named, changed=one_named, every=3),
    Suite("aged_error", cased, changed=one_cased, every=5),
    Suite("known_value", timed, changed=one_timed, every=3),
    Suite("stabiliser_matters", pools),
    Suite("standing_readings", read, changed=one_read),
    Suite("tries_of", read_of, changed=one_read_of),
    Suite("values_of", read_of, changed=one_read_of),
    Suite("with_reading", moved, 1e-12),
)
