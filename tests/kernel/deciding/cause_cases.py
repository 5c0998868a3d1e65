"""Histories of a pool for the cause finder: a fortnight of rounds that go one way or another."""

from __future__ import annotations

from typing import Any

from tests.kernel.deciding.deciding_cases import AT, HOUR, reading

DAY = 24 * HOUR
POOL = {
    "kind": "pool",
    "location": "indoor",
    "disinfectant": "chlorine",
    "stabiliser": "not-used",
    "control": "amperometric",
    "secondary": "none",
}


def round_of(
    at: int, shut: bool = False, bathers: int | None = None, **values: str
) -> dict[str, Any]:
    """Give one round."""
    rows = [reading(parameter, value) | {"kit": "bench"} for parameter, value in values.items()]
    return {"at": at, "readings": rows, "doubtful": [], "bathers": bathers, "shut": shut}


def history(rounds: list[dict[str, Any]], **changes: Any) -> dict[str, Any]:
    """Give a case."""
    found: dict[str, Any] = {
        "at": AT,
        "pool": dict(POOL),
        "feeder": "sodium-hypochlorite",
        "rounds": rounds,
        "events": [],
        "ceiling": None,
        "verified": {},
        "strength_at": None,
        "limit_combined": None,
    }
    pool = found["pool"] | changes.pop("pool", {})
    return found | changes | {"pool": pool}


def rising_ph(values: list[str], **more: str) -> list[dict[str, Any]]:
    """Give a round a day with these pH values, the last now."""
    start = AT - (len(values) - 1) * DAY
    return [round_of(start + place * DAY, ph=value, **more) for place, value in enumerate(values)]


def days_and_nights(
    nights: list[tuple[str, str]], by_day: tuple[str, str] = ("1.50", "1.45"), **more: str
) -> list[dict[str, Any]]:
    """Give, for each night, free chlorine at closing and in the morning, and a day before it."""
    found = []
    for place, (evening, morning) in enumerate(nights):
        noon = AT - (len(nights) - place) * DAY
        found += [
            round_of(noon, free_chlorine=by_day[0], **more),
            round_of(noon + 4 * HOUR, bathers=40, free_chlorine=by_day[1], **more),
            round_of(noon + 9 * HOUR, free_chlorine=evening, **more),
            round_of(noon + 18 * HOUR, shut=True, free_chlorine=morning, **more),
        ]
    return found


def creeping(pairs: list[tuple[str, str]], shut: bool = False) -> list[dict[str, Any]]:
    """Give a round a day with free and total chlorine."""
    start = AT - (len(pairs) - 1) * DAY
    return [
        round_of(start + place * DAY, shut=shut, free_chlorine=free, total_chlorine=total)
        for place, (free, total) in enumerate(pairs)
    ]


def beside_a_probe(pairs: list[tuple[str, str]]) -> list[dict[str, Any]]:
    """Give a round a day with the photometer's and the controller's free chlorine."""
    start = AT - (len(pairs) - 1) * DAY
    return [
        round_of(start + place * DAY, free_chlorine=free, controller_free=seen)
        for place, (free, seen) in enumerate(pairs)
    ]
