"""What stands in the way of an amount besides other additions: before it is shown or begun."""

from __future__ import annotations

from lanewater.dosing.request import AgeLimits
from lanewater.service.pool_facts import oldest_reading
from lanewater.service.state import Addition, Advice, Round, SiteState

Block = dict[str, str]


def block(identity: str, why: str, do: str) -> Block:
    """Write one thing that stands in the way."""
    return {"id": identity, "why": why, "do": do}


def open_stops(state: SiteState, pool: str) -> list[Block]:
    """Give the house stops that stand anywhere on a pool's filter."""
    why = "A house stop is open: {}."
    return [
        block("house-stop", why.format(state.pools[mate].name), "End it first: look, test, reopen.")
        for mate in state.same_filter(pool)
        for _ in state.stops.get(mate, ())
    ]


def called_open(state: SiteState, pool: str, scope: str) -> list[Block]:
    """Give the pools that are open on record although something is to be added to them.

    Parameters
    ----------
    state : SiteState
        The site.
    pool : str
        The pool that is asked about.
    scope : str
        "circuit" where it goes into every pool on the filter.
    """
    pools = state.same_filter(pool) if scope == "circuit" else (pool,)
    openings = {mate: state.openings.get(mate) for mate in pools}
    why = "The record says that this pool is open: {}."
    return [
        block("record-says-open", why.format(state.pools[mate].name), "Close it on record first.")
        for mate, opening in openings.items()
        if opening is not None and opening.status == "open"
    ]


def sampled_before(given: Round, addition: Addition, mixed_ms: int) -> list[Block]:
    """Give the block of a round whose water was sampled before an addition had mixed.

    Parameters
    ----------
    given : Round
        The round that an amount would rest on.
    addition : Addition
        On the same filter.
    mixed_ms : int
        When its wait was over. [UTC ms]
    """
    since = {"added": mixed_ms, "unknown": addition.answered_ms}.get(addition.answer, 0)
    if oldest_reading(given) >= since:
        return []
    why = "This water was sampled before what was added had mixed."
    return [block("reading-before-addition", why, "Test again.")]


def why_not_begun(state: SiteState, advice: Advice, now_ms: int) -> list[Block]:
    """Give why an amount that was shown no longer holds; empty where it still does.

    An hour after its reading, after a later round or a correction, under a house stop or with the
    pool open, the water or the people in it are not those that it was worked out for.
    """
    found = open_stops(state, advice.pool)
    found += called_open(state, advice.pool, str(advice.body.get("scope", "")))
    rests_on = state.round_by_id(str(advice.body.get("round", "")))
    taken_ms = advice.at_ms if rests_on is None else oldest_reading(rests_on)
    if now_ms - taken_ms > AgeLimits().reading_s * 1000:
        found.append(block("advice-old", "This amount's reading is too old.", "Test again."))
    last = state.last_round(advice.pool)
    if last is not None and (last is not rests_on or corrected_since(last, advice.at_ms)):
        why = "The water was tested, or its reading corrected, since this amount was shown."
        found.append(block("advice-overtaken", why, "Say that it was not added, then ask again."))
    return found


def corrected_since(given: Round, since_ms: int) -> bool:
    """Tell whether a reading of a round was corrected after an instant."""
    return any(correction.at_ms > since_ms for correction in given.corrections)
