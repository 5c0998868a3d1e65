"""What a page needs to judge a pool's next round by itself, with no network."""

from __future__ import annotations

from typing import Any

from lanewater.kernel.deciding.applying import rules_that_apply, with_doubt
from lanewater.kernel.deciding.bleaching import CHLORINE_PRODUCTS
from lanewater.service.book import Book
from lanewater.service.clock import DAY_MS, MINUTE_MS, instant_text, offset_minutes
from lanewater.service.judging import judging_case, kits_of, pool_facts
from lanewater.service.past_rounds import round_row
from lanewater.service.rules_held import pack_of
from lanewater.service.schedule import due
from lanewater.service.state import SiteState
from lanewater.terms.errors import MissingError


def pool_context(book: Book, pool: str, now_ms: int) -> dict[str, Any]:
    """Give everything that the Test page asks of a pool.

    Parameters
    ----------
    book : Book
        The site's book.
    pool : str
        The pool's id.
    now_ms : int
        UTC milliseconds.

    Returns
    -------
    dict
        {"now", "pool": facts and set-up, "rules": compiled pack or None, "case": what the kernel
        judges with its readings still empty, "kits", "reagents", "limits": those that apply to
        this pool as far as it is known, "last_round", "point": where to sample today, "due"}.

    Raises
    ------
    MissingError
        Where there is no such pool.
    """
    state = book.state
    if pool not in state.pools:
        raise MissingError("there is no such pool here")
    pack = pack_of(book, state, pool)
    case = judging_case(state, pool, [], now_ms)
    case["events"] = [without_product(event) for event in case["events"]]
    # Which kit it will be is not known yet, so the case carries all of them.
    case["kits"] = {identity: kit.for_kernel() for identity, kit in kits_of(state).items()}
    last = state.last_round(pool)
    return {
        "now": instant_text(now_ms),
        "pool": pool_told(state, pool),
        "rules": pack,
        "case": case,
        "kits": [dict(kit.body) for kit in state.kits.values()],
        "reagents": [dict(reagent.body) for reagent in state.reagents.values()],
        "limits": [] if pack is None else limits_of(pack, case),
        "last_round": None if last is None else round_row(state, last),
        "point": point_today(state, pool, now_ms),
        "due": due(book, pool, now_ms),
    }


def without_product(event: dict[str, Any]) -> dict[str, Any]:
    """Give an event as anybody may see it: judging asks only whether it brought chlorine."""
    kept = {key: value for key, value in event.items() if key != "product"}
    if event.get("product") in CHLORINE_PRODUCTS:
        kept["product"] = "chlorine"
    return kept


def pool_told(state: SiteState, pool: str) -> dict[str, Any]:
    """Give a pool as a page shows it; what was not stated is empty."""
    known = state.pools[pool]
    return {
        "pool": pool,
        "name": known.name,
        "facts": pool_facts(state, pool),
        "points": list(known.points),
        "targets": [
            {"parameter": parameter, "low": low, "high": high}
            for parameter, (low, high) in known.targets.items()
        ],
        "same_filter": [
            {"pool": mate, "name": state.pools[mate].name}
            for mate in state.same_filter(pool)
            if mate != pool
        ],
        "interval_minutes": known.interval_minutes,
    }


def limits_of(pack: dict[str, Any], case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the limits that apply to a pool, to be shown beside each number.

    What is not known of the pool is taken as the stricter branch, as in judging.
    """
    chosen = rules_that_apply(pack, with_doubt(case, []))["rules"]
    return [
        {
            "rule": rule["id"],
            "clause": rule["clause"],
            "parameter": rule["parameter"],
            "comparison": rule["comparison"],
            "limit": rule["limit"],
            "level": rule["level"],
            "relative_to": rule["relative_to"],
            "computable": rule["computable"],
        }
        for rule in chosen
    ]


def point_today(state: SiteState, pool: str, now_ms: int) -> str:
    """Give the sample point whose turn it is by the site's date, "" where none are set up."""
    points = state.pools[pool].points
    if not points:
        return ""
    local_ms = now_ms + offset_minutes(state.site.timezone, now_ms) * MINUTE_MS
    return points[local_ms // DAY_MS % len(points)]
