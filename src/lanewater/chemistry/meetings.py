"""What is added and must not meet, and what is added and not computed, as findings."""

from __future__ import annotations

from lanewater.chemistry.products import groups_of, must_not_meet
from lanewater.chemistry.water import Finding, finding


def not_computed(others: tuple[str, ...]) -> list[Finding]:
    """Say of which products nothing is computed."""
    return [
        finding(
            "not-computed",
            name,
            "It is kept only for what it must not meet: what it does to the water is not computed."
            + ("" if groups_of(name) else " What it must not meet is not known here either."),
            "Read its label and data sheet, and test the water after it.",
        )
        for name in dict.fromkeys(others)
    ]


def meetings(ids: list[str]) -> list[Finding]:
    """Find the pairs of products that must not meet; each pair once."""
    found: list[Finding] = []
    names = list(dict.fromkeys(ids))
    for index, one in enumerate(names):
        for other in names[index + 1 :]:
            reasons = must_not_meet(one, other)
            if reasons:
                found.append(
                    finding(
                        "must_not_meet",
                        f"{one} + {other}",
                        "; ".join(reasons).capitalize() + ".",
                        "One product at a time: add the first, circulate, wait and test before"
                        " the second. Never in the same jug, feeder or place.",
                    )
                )
    return found
