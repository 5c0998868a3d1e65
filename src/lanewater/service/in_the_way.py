"""What stands in the way of an amount that was shown, when it is about to be begun."""

from __future__ import annotations

from typing import Any

from lanewater.kernel.deciding.askbase import no_longer_holds
from lanewater.service.advice_request import asked_of
from lanewater.service.pool_facts import oldest_reading
from lanewater.service.state import Advice, Round, SiteState


def why_not_begun(state: SiteState, advice: Advice, now_ms: int) -> list[dict[str, Any]]:
    """Give why an amount that was shown no longer holds; empty where it still does."""
    rests_on = state.round_by_id(str(advice.body.get("round", "")))
    last = state.last_round(advice.pool)
    shown = {
        "scope": str(advice.body.get("scope", "")),
        "oldest": advice.at_ms if rests_on is None else oldest_reading(rests_on),
        "same_water": last is None
        or (last is rests_on and not corrected_since(last, advice.at_ms)),
    }
    return no_longer_holds(asked_of(state, advice.pool, now_ms), shown, now_ms)


def corrected_since(given: Round, since_ms: int) -> bool:
    """Tell whether a reading of a round was corrected after an instant."""
    return any(correction.at_ms > since_ms for correction in given.corrections)
