"""Vectors for closings, laboratory results, reopening and deadlines."""

from __future__ import annotations

from collections.abc import Iterator

from tests.kernel.deciding.closing_cases import NOON, facts, lines, result
from tests.parity.drawing import drawer
from tests.parity.sides import Row, Suite


def pools() -> Iterator[Row]:
    """Give pools that stand in many ways."""
    draw = drawer(91)
    yield from ((facts(draw), NOON) for _ in range(400))


def with_rules() -> Iterator[Row]:
    """Give pools with the rules that they are held against."""
    for known, now in pools():
        rules = {"reopening": known["reopening"], "deadlines": known["deadline_rules"]}
        yield known, rules, now


def confirmed() -> Iterator[Row]:
    """Give pools with what somebody says is so."""
    for known, now in pools():
        yield known, [row["id"] for row in known["reopening"][:1]], now


def after() -> Iterator[Row]:
    """Give a pool and a line about it, of every kind."""
    draw = drawer(92)
    for _ in range(60):
        known = facts(draw)
        yield from ((known, line) for line in lines(draw))
    folded = facts(draw) | {"deadline_rules": None}
    yield from ((folded, line) for line in lines(draw))


def samples() -> Iterator[Row]:
    """Give laboratory results and one more sample."""
    draw = drawer(93)
    for number in range(200):
        known = facts(draw)["samples"]
        found = [result(draw, name) for name in ("e_coli", "e_coli", "coliforms", "ph")]
        yield known, {"round": f"n{number % 3}", "at": NOON, "results": found}


def events() -> Iterator[Row]:
    """Give events and the deadlines that may run from them."""
    for known, _ in pools():
        yield known["deadline_events"] * 30, known["deadline_rules"]


def one(rows: Iterator[Row], index: int) -> Iterator[Row]:
    """Give one row of a suite."""
    yield list(rows)[index]


SUITES = (
    Suite("reopening_now", with_rules, changed=lambda: one(with_rules(), 7), every=3),
    Suite("why_not_reopened", pools),
    Suite("to_confirm", pools),
    Suite("criteria_met", confirmed),
    Suite("deadlines_now", with_rules, changed=lambda: one(with_rules(), 9), every=3),
    Suite("closure_parts_after", after, changed=lambda: one(after(), 1), every=5),
    Suite("sample_rows_after", samples),
    Suite("events_asking", events),
)
