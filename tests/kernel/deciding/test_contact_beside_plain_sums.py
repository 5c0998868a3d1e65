"""The clock's sum beside one written anew, second by second, over drawn incidents."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from tests.kernel.deciding.contact_cases import START, free_at
from tests.parity.drawing import drawer

from lanewater.kernel.deciding.contacttime import contact_for_target

SEED = 20261125
COUNT = 150
Round = tuple[int, str, Fraction]  # minute, point, free chlorine
Sum = Callable[[list[Round]], Fraction]


def incidents(count: int) -> list[list[Round]]:
    """Draw rounds at up to three points, minutes apart, some points left out."""
    draw = drawer(SEED)
    found = []
    for _ in range(count):
        rounds: list[Round] = []
        for minute in range(0, draw.randrange(30, 600), draw.randrange(7, 90)):
            for point in ("deep", "shallow", "far")[: draw.randrange(1, 4)]:
                level = Fraction(draw.randrange(0, 3000), 100)
                rounds.append((minute + draw.randrange(0, 6), point, level))
        found.append(rounds)
    return found


def level_at(
    rounds: list[Round], minute: int, pick: Callable[[list[Fraction]], Fraction]
) -> Fraction:
    """Give the lowest of each point's last reading in the ten minutes up to a moment."""
    last: dict[str, tuple[int, Fraction]] = {}
    for at, point, free in rounds:
        if minute - 10 < at <= minute:
            held = last.get(point)
            if held is None or at > held[0] or (at == held[0] and free < held[1]):
                last[point] = (at, free)
    return pick([free for _, free in last.values()])


def plain_sum(
    rounds: list[Round],
    pick: Callable[[list[Fraction]], Fraction] = min,
    between: Callable[[list[Fraction]], Fraction] = min,
) -> Fraction:
    """Add up minute by minute: each counts at what stands between the tests around it."""
    moments = sorted({at for at, _, _ in rounds})
    levels = {at: level_at(rounds, at, pick) for at in moments}
    total = Fraction(0)
    for minute in range(moments[0], moments[-1]):
        before = max(at for at in moments if at <= minute)
        after = min(at for at in moments if at > minute)
        total += between([levels[before], levels[after]])
    return total


def mean(two: list[Fraction]) -> Fraction:
    """Give what lies in the middle."""
    return sum(two, Fraction(0)) / len(two)


def apart(own: Sum) -> int:
    """Count the incidents of which the clock and a sum say something else."""
    return sum(clock_sum(rounds) != own(rounds) for rounds in incidents(COUNT))


def clock_sum(rounds: list[Round]) -> Fraction:
    """Give the clock's sum in mg min/L."""
    readings = [
        one
        for minute, point, free in rounds
        for one in free_at((minute, f"{float(free):.2f}"), point=point)
    ]
    assert all(one["at"] >= START for one in readings)
    return Fraction(contact_for_target(readings, None, 10**9)["ct_conservative"], 1000)


def test_the_clock_adds_up_as_a_plain_sum_does() -> None:
    assert apart(plain_sum) == 0


@pytest.mark.parametrize(
    "fault",
    [
        lambda rounds: plain_sum(rounds, pick=max),
        lambda rounds: plain_sum(rounds, pick=mean),
        lambda rounds: plain_sum(rounds, between=mean),
        lambda rounds: plain_sum(rounds, between=max),
        lambda rounds: plain_sum(rounds, between=lambda two: two[0]),
        lambda rounds: plain_sum(rounds[1:] or rounds),
    ],
    ids=["highest point", "mean of points", "straight lines", "higher end", "first end", "late"],
)
def test_a_planted_fault_is_found(fault: Sum) -> None:
    assert apart(fault) > COUNT // 2
