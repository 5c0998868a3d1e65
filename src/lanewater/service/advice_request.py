"""Put together, from a site's record, everything an amount would rest on."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime
from decimal import ROUND_DOWN, Decimal
from typing import Any

from lanewater.dosing.request import (
    PURPOSES,
    AdviceRequest,
    OtherPool,
    ProductAtHand,
    Questions,
    Strength,
    Volume,
)
from lanewater.kernel.deciding.decimals import decimal_text, thousandths
from lanewater.kernel.deciding.judging import rules_that_apply, with_doubt
from lanewater.kernel.deciding.tries import legible, number_of, relation_in
from lanewater.service.additions import blocks
from lanewater.service.clock import MINUTE_MS
from lanewater.service.in_the_way import called_open, open_stops, sampled_before
from lanewater.service.judging import doubted, judging_case, readings_of
from lanewater.service.pool_facts import in_same_water, oldest_reading
from lanewater.service.retests import wait_ends
from lanewater.service.state import Round, SiteState

LOWER_LIMITS = ("at-least", "above")
UPPER_LIMITS = ("at-most", "below")
ADVISORY = ("note", "advise")
THOUSANDTH = Decimal("0.001")


def request_for(
    state: SiteState,
    pool: str,
    given: Mapping[str, Any],
    pack: dict[str, Any] | None,
    now_ms: int,
) -> AdviceRequest:
    """Give the request for advice on a pool's last round.

    Parameters
    ----------
    state : SiteState
        The site.
    pool : str
        The pool's id.
    given : mapping
        The four questions, and volume_of, product, accept_guess where they were said.
    pack : dict or None
        The compiled rules of the pool, None where none are chosen.
    now_ms : int
        UTC milliseconds.
    """
    last = state.last_round(pool)
    known = state.pools[pool]
    circuit = state.circuits.get(known.circuit)
    stated = dict(circuit.body) if circuit else {}
    case = case_of_round(state, pool, last, now_ms)
    minutes = stated.get("mixing_minutes")
    return AdviceRequest(
        at=now_ms // 1000,
        case=case,
        questions=Questions(**given["questions"]),
        taken_at=None if last is None else oldest_reading(last) // 1000,
        late=None if last is None else last.source != "direct",
        targets=known.targets,
        limits=None if pack is None else strictest_limits(pack, case),
        volume=volume_for(
            state, pool, given.get("volume_of", ""), given.get("accept_guess", False)
        ),
        others=tuple(
            other_pool(state, mate, now_ms) for mate in state.same_filter(pool) if mate != pool
        ),
        feeder=stated.get("feeder", ""),
        products=tuple(
            product_at_hand(identity, product.body, pool)
            for identity, product in state.products.items()
        ),
        choice=given.get("product", ""),
        blocks=standing_blocks(state, pool, given, last, now_ms),
        configured=case["pool"].get("dosing_configured") is True,
        mixing_s=None if minutes is None else minutes * 60,
        dye_test="dye_test" in stated,
    )


def case_of_round(state: SiteState, pool: str, last: Round | None, now_ms: int) -> dict[str, Any]:
    """Give the judging case of a pool's last round; one without readings where there is none."""
    if last is None:
        return judging_case(state, pool, [], now_ms)
    case = judging_case(state, pool, readings_of(last), last.at_ms, without=last.id)
    earlier = {row["at"] for row in case["history"]}
    doubts: dict[int, set[str]] = {}
    for found in state.rounds.get(pool, ()):
        if found.at_ms // 1000 in earlier:
            doubts.setdefault(found.at_ms // 1000, set()).update(doubted(state, found))
    history = [row | {"doubtful": sorted(doubts[row["at"]])} for row in case["history"]]
    return case | {"history": history}


def other_pool(state: SiteState, pool: str, now_ms: int) -> OtherPool:
    """Give another pool of the circuit with its last round."""
    last = state.last_round(pool)
    case = case_of_round(state, pool, last, now_ms)
    return OtherPool(
        name=state.pools[pool].name,
        pool=case["pool"],
        readings=tuple(case["readings"]),
        taken_at=None if last is None else oldest_reading(last) // 1000,
        late=None if last is None else last.source != "direct",
        configured=case["pool"].get("dosing_configured") is True,
    )


def volume_for(state: SiteState, pool: str, which: str, accepted: bool) -> Volume:
    """Give the volume an addition goes into: the pool's own, or its whole circuit's."""
    known = state.pools[pool]
    circuit = state.circuits.get(known.circuit)
    shared = tuple(mate for mate in state.same_filter(pool) if mate != pool)
    whole = to_thousandths(circuit.volume_m3) if circuit else ""
    if which == "pool":
        return Volume(
            of="pool",
            m3=to_thousandths(known.volume_m3),
            known=known.volume_known,
            accepted=accepted,
            circuit_m3=whole,
            shared=shared,
        )
    if which == "circuit" and circuit is not None:
        return Volume(
            of="circuit",
            m3=whole,
            known=circuit.volume_known,
            accepted=accepted,
            balance_tank=circuit.body.get("balance_tank", ""),
            pools_m3=volume_of_all(state, pool),
            shared=shared,
        )
    return Volume(shared=shared)


def volume_of_all(state: SiteState, pool: str) -> str:
    """Give the volume of all the pools on a filter, "" where it is not stated of one of them."""
    volumes = [state.pools[mate].volume_m3 for mate in state.same_filter(pool)]
    return to_thousandths(str(sum(map(Decimal, volumes)))) if all(volumes) else ""


def to_thousandths(text: str) -> str:
    """Cut a decimal text to three decimals, which never makes an amount greater."""
    if not text:
        return ""
    return f"{Decimal(text).quantize(THOUSANDTH, rounding=ROUND_DOWN):f}"


def product_at_hand(identity: str, body: Mapping[str, Any], pool: str) -> ProductAtHand:
    """Give a registered product with the purposes approved for one pool."""
    strength = body.get("strength")
    return ProductAtHand(
        id=identity,
        substance=body["substance"],
        name=body["name"],
        method=body["method"],
        approved=tuple(
            row["purpose"]
            for row in body.get("approved", ())
            if row["pool"] == pool and row["purpose"] in PURPOSES
        ),
        strength=Strength()
        if strength is None
        else Strength(to_thousandths(strength["value"]), strength["unit"], day_s(strength["on"])),
        density_kg_l=to_thousandths(body.get("density_kg_l", "")),
        excess_caustic=to_thousandths(body.get("excess_caustic", "")),
        jug=" ".join(body.get("jug", "").split()),
        scoop=held(body.get("scoop"), "unit"),
        stock=held(body.get("stock"), "unit"),
        price=held(body.get("price"), "per"),
    )


def held(stated: Mapping[str, str] | None, of: str) -> tuple[str, str]:
    """Give what a jug holds, a store has or a unit costs, with its unit; ("", "") for none."""
    return ("", "") if stated is None else (to_thousandths(stated["amount"]), stated[of])


def day_s(text: str) -> int | None:
    """Give the start of a date in UTC seconds, None where it is no day of the calendar."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp())


def strictest_limits(pack: dict[str, Any], case: dict[str, Any]) -> dict[str, tuple[str, str]]:
    """Give the narrowest (low, high) that the rules set for each parameter, "" for no end.

    A limit on total chlorine holds free chlorine too, less what is combined now.
    """
    lows: dict[str, int] = {}
    highs: dict[str, int] = {}
    for rule in rules_that_apply(pack, with_doubt(case, []))["rules"]:
        plain = rule["computable"] and rule["relative_to"] == "" and rule["level"] not in ADVISORY
        name, limit = rule["parameter"], rule["limit_thousandths"]
        if plain and rule["comparison"] in LOWER_LIMITS:
            lows[name] = max(limit, lows.get(name, limit))
        elif plain and rule["comparison"] in UPPER_LIMITS:
            highs[name] = min(limit, highs.get(name, limit))
    if "total_chlorine" in highs:
        room = highs["total_chlorine"] - combined_now(case["readings"])
        highs["free_chlorine"] = min(room, highs.get("free_chlorine", room))
    return {name: (written(lows.get(name)), written(highs.get(name))) for name in {**lows, **highs}}


def written(limit: int | None) -> str:
    """Write a limit, "" where there is none; never less than nothing."""
    return "" if limit is None else decimal_text(max(limit, 0))


def combined_now(readings: list[dict[str, Any]]) -> int:
    """Give the most combined chlorine that a round's exact readings can hold, in thousandths."""
    exact = [row for row in readings if legible(row) and relation_in(row) == "exact"]
    totals = [number_of(row) for row in exact if row["parameter"] == "total_chlorine"]
    frees = [number_of(row) for row in exact if row["parameter"] == "free_chlorine"]
    return max(max(totals) - min(frees), 0) if totals and frees else thousandths("0")


def standing_blocks(
    state: SiteState, pool: str, given: Mapping[str, Any], last: Round | None, now_ms: int
) -> tuple[Mapping[str, str], ...]:
    """Give what stands in the way: additions and waits, house stops, an open pool, a repeat."""
    found: list[Mapping[str, str]] = [
        {"id": row["id"], "why": row["why"], "do": row["do"]} for row in blocks(state, pool, now_ms)
    ]
    found += open_stops(state, pool)
    if given["questions"].get("everybody_out") == "yes":
        found += called_open(state, pool, given.get("volume_of", ""))
    for addition in state.additions.values():
        if last is not None and in_same_water(state, pool, addition):
            found += sampled_before(last, addition, wait_ends(addition))
    verdict = state.verdicts.get(last.id) if last else None
    if verdict is not None and verdict.body.get("changed_to_pass"):
        found.append(
            {
                "id": "changed-after-result",
                "why": "A reading was changed after its result was shown.",
                "do": "Repeat the test.",
            }
        )
    return tuple(found)


def wait_minutes(wait_s: int) -> int:
    """Give a wait in whole minutes, rounded up."""
    return -(-wait_s * 1000 // MINUTE_MS)
