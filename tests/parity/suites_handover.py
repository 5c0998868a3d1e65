"""Vectors for the handover."""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

from tests.kernel.deciding.deciding_cases import AT, HOUR, reading
from tests.kernel.deciding.handover_cases import KINDS, handed, lane
from tests.parity.drawing import drawer
from tests.parity.sides import Row, Suite

STATUSES = ("open", "closed", "shut", "unknown", "everyone-out")
PEOPLE = ("", "p-one", "p-two", "unlisted")


def drawn_lane(draw: random.Random, pool: str) -> dict[str, Any]:
    """Draw a lane with anything open."""
    actions = []
    for number in range(draw.choice((0, 1, 3, 8, 60))):
        action = {"id": draw.choice(KINDS), "about": f"{pool}-{number}"}
        if draw.random() < 0.4:
            action["pool"] = draw.choice("abx")
        actions.append(action)
    return lane(
        pool,
        status=draw.choice(STATUSES),
        open_actions=actions,
        stops=[{"id": "glass", "entry": f"{pool}-{draw.randrange(4)}"}] * draw.randrange(2),
        marked=["by-telephone"] * draw.randrange(2),
        lead_why=draw.choice(([], ["rules-say-close"], ["house-stop:glass"], ["doubt"])),
        due={"late": draw.choice((True, False))},
    )


def drawn_rounds(draw: random.Random) -> list[dict[str, Any]]:
    """Draw rounds that move, or do not."""
    step = draw.choice((-0.2, -0.02, 0, 0.15))
    return [
        {
            "at": AT - (14 - place) * draw.choice((5, 9, 30)) * HOUR,
            "readings": [
                reading("free_chlorine", f"{2.5 + step * place + 0.05 * draw.random():.2f}"),
                reading("total_chlorine", f"{2.7 + 0.1 * place * draw.random():.2f}"),
                reading("ph", draw.choice((f"{7.2 + 0.03 * place:.2f}", ">8.4"))),
            ][draw.randrange(2) :],
            **({"doubtful": draw.choice((["ph"], []))} if draw.random() < 0.3 else {}),
        }
        for place in range(draw.randrange(16))
    ]


def cases() -> Iterator[Row]:
    """Give handovers of none to three pools."""
    draw = drawer(71)
    for _ in range(300):
        pools = list("abc")[: draw.randrange(4)]
        yield (
            handed(
                [drawn_lane(draw, pool) for pool in pools],
                person=draw.choice(PEOPLE),
                listed=draw.randrange(4),
                rounds={pool: drawn_rounds(draw) for pool in pools if draw.random() < 0.8},
                acts=[
                    {"by": draw.choice(PEOPLE[1:]), "at": AT - draw.randrange(20) * HOUR}
                    for _ in range(draw.randrange(4))
                ],
                unsent=draw.randrange(3),
            ),
        )


def few_cases() -> Iterator[Row]:
    """Give those of which also every key is left out."""
    for place, row in enumerate(cases()):
        if place % 60 == 7:
            yield row


SUITES = (Suite("handover", cases, changed=few_cases, every=9),)
