"""What the folded state lets go of: rounds and amounts that nothing depends on any more.

The record keeps them all, and `service.past` reads them again by period. Held for ever are what is
set up, house stops, how a pool stands, and whatever still waits: a round that is not judged, an
amount that is not answered, an addition that is not tested for. What is let go follows from the
entries alone, so two books of one record let go of the same. A tablet's round that was let go opens
no house stop when it is judged once more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from lanewater.service.fold.draft import Draft, Trail
from lanewater.service.retests import wait_ends
from lanewater.service.state import Addition, Advice, Round

Amount = TypeVar("Amount", Advice, Addition)


@dataclass(frozen=True, slots=True)
class Held:
    """How much is held at least; judging looks at 400 earlier rounds of a pool.

    Attributes
    ----------
    rounds, amounts, words : int
        Of each pool: its last rounds, its last additions and advices, the last words on whether
        it is open.
    told : int
        Of the site: who was told.
    every : int
        How many entries lie between one letting go and the next.
    """

    rounds: int = 416
    amounts: int = 128
    words: int = 128
    told: int = 256
    every: int = 256


HELD = Held()


def let_go(draft: Draft, held: Held | None = None) -> None:
    """Let go of what is no longer of use, each time so many entries have come."""
    held = held or HELD
    if draft.index % held.every != held.every - 1:
        return
    for pool, rounds in draft.in_order.items():
        if len(rounds) > held.rounds:
            let_rounds_go(draft, pool, len(rounds) - held.rounds)
    let_amounts_go(draft, held.amounts)
    let_told_go(draft, held.told)
    for trail in draft.trails.values():
        let_words_go(trail, held.words)


def let_rounds_go(draft: Draft, pool: str, count: int) -> None:
    """Let go of a pool's oldest rounds, but for its last one and those that are not judged."""
    rounds = draft.in_order[pool]
    last = last_of(rounds)
    old = rounds[:count]
    kept = [found for found in old if found is last or found.id not in draft.verdicts]
    gone = [found for found in old if found is not last and found.id in draft.verdicts]
    for found in gone:
        del draft.rounds[found.id], draft.verdicts[found.id]
        draft.heard.pop(found.id, None)
    if gone:
        since = gone[-1].at_ms + 1
        draft.whole_from[pool] = max(draft.whole_from.get(pool, 0), since)
    draft.in_order[pool] = kept + rounds[count:]
    draft.order[pool] = [(found.at_ms, found.index) for found in draft.in_order[pool]]
    draft.frozen_rounds.pop(pool, None)


def let_amounts_go(draft: Draft, count: int) -> None:
    """Let go of a pool's oldest additions and advices that nothing waits for."""
    additions = older_than_last(draft.additions.values(), count, lambda row: row.started_ms)
    gone = [row for row in additions if settled(draft, row)]
    for row in gone:
        del draft.additions[row.id]
    named = {row.advice for row in draft.additions.values()}
    advices = [
        row
        for row in older_than_last(draft.advices.values(), count, lambda row: row.at_ms)
        if row.answer not in ("", "unknown") and row.id not in named
    ]
    for advice in advices:
        del draft.advices[advice.id]
    times = [row.started_ms for row in gone] + [row.at_ms for row in advices]
    draft.additions_from = max([draft.additions_from, *(at_ms + 1 for at_ms in times)])


def older_than_last(
    rows: Iterable[Amount], count: int, at_ms: Callable[[Amount], int]
) -> list[Amount]:
    """Give those that are not among the last so many of their pool."""
    seen: dict[str, int] = {}
    found = []
    for row in sorted(rows, key=at_ms, reverse=True):
        seen[row.pool] = seen.get(row.pool, 0) + 1
        if seen[row.pool] > count:
            found.append(row)
    return found


def settled(draft: Draft, row: Addition) -> bool:
    """Tell whether nothing waits for an addition: not made, or tested for in all its pools."""
    if row.answer == "not-added":
        return True
    mates = [
        pool.id
        for pool in draft.pools.values()
        if pool.id == row.pool or (pool.circuit and pool.circuit in circuits_of(draft, row))
    ]
    until = wait_ends(row)
    return row.answer == "added" and all(draft.tested.get(pool, 0) >= until for pool in mates)


def circuits_of(draft: Draft, row: Addition) -> set[str]:
    """Give the circuits an addition went to: as set up then, and as set up now."""
    pool = draft.pools.get(row.pool)
    return {row.circuit, pool.circuit if pool else ""} - {""}


def let_told_go(draft: Draft, count: int) -> None:
    """Let go of who was told longest ago, but for what still stands."""
    if len(draft.told) <= count:
        return
    standing = {stop.entry for stops in draft.stops.values() for stop in stops}
    standing |= {last.id for last in map(last_of, draft.in_order.values()) if last is not None}
    cut = len(draft.told) - count
    draft.told = [row for row in draft.told[:cut] if row.about in standing] + draft.told[cut:]


def last_of(rounds: list[Round]) -> Round | None:
    """Give the last round that is no sample."""
    return next((found for found in reversed(rounds) if found.purpose == "round"), None)


def let_words_go(trail: Trail, count: int) -> None:
    """Let go of the oldest words on a pool; those that it stands by stay.

    A device that comes back after so many words is held against the ones that are left: one of
    them is a closing, so an opening that knew of none of them is in dispute all the same.
    """
    if len(trail.items) <= count:
        return
    trail.items = trail.items[-count:]
    known = [*trail.items, *trail.known["front"]]
    known += [item for pair in trail.known["conflicts"] for item in pair]
    ids = {item["id"] for item in known} | {trail.known["entry"]}
    trail.words = {key: words for key, words in trail.words.items() if key in ids}
