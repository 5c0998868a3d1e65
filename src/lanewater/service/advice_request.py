"""Put together, from a site's record, everything an amount would rest on."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime
from decimal import ROUND_DOWN, Decimal
from typing import Any

from lanewater.dosing.request import (
    PURPOSES,
    AgeLimits,
    ProductAtHand,
    Stated,
    Strength,
    Volume,
    bands,
    with_jugs_alike,
)
from lanewater.kernel.deciding.askbase import advice_asked, case_of_last
from lanewater.service.clock import MINUTE_MS
from lanewater.service.pool_facts import case_base, water_facts
from lanewater.service.state import SiteState

THOUSANDTH = Decimal("0.001")


def request_for(
    state: SiteState,
    pool: str,
    given: Mapping[str, Any],
    pack: dict[str, Any] | None,
    now_ms: int,
) -> Stated:
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
    asked = asked_of(state, pool, now_ms) | {"pack": pack}
    return Stated(advice_asked(asked, dict(given), now_ms))


def asked_of(state: SiteState, pool: str, now_ms: int) -> dict[str, Any]:
    """Give what an amount for a pool would rest on, but for its rules."""
    return {
        "base": base_of(state, pool),
        "facts": water_facts(state, pool, now_ms),
        "case": case_base(state, pool),
        "others": [
            {"facts": water_facts(state, mate, now_ms), "case": case_base(state, mate)}
            for mate in state.same_filter(pool)
            if mate != pool
        ],
    }


def case_of_round(state: SiteState, pool: str, now_ms: int) -> dict[str, Any]:
    """Give the judging case of a pool's last round; one without readings where there is none."""
    return case_of_last(water_facts(state, pool, now_ms), case_base(state, pool), now_ms)


def base_of(state: SiteState, pool: str) -> dict[str, Any]:
    """Give what a site has set up for advice on a pool; no time is in it."""
    known = state.pools[pool]
    circuit = state.circuits.get(known.circuit)
    stated = dict(circuit.body) if circuit else {}
    ways = ("", "pool", "circuit") if circuit else ("", "pool")
    volumes = {which: volume_for(state, pool, which) for which in ways}
    found: dict[str, Any] = {
        "targets": bands(known.targets),
        "feeder": stated.get("feeder", ""),
        "products": with_jugs_alike(
            [
                product_at_hand(identity, product.body, pool).for_kernel()
                for identity, product in state.products.items()
            ]
        ),
        "volumes": {
            which: {key: value for key, value in volume.for_kernel().items() if key != "accepted"}
            for which, volume in volumes.items()
        },
        "ages": AgeLimits().for_kernel(),
        "dye_test": "dye_test" in stated,
    }
    minutes = stated.get("mixing_minutes")
    return found if minutes is None else found | {"mixing_s": minutes * 60}


def volume_for(state: SiteState, pool: str, which: str) -> Volume:
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
            circuit_m3=whole,
            shared=shared,
        )
    if which == "circuit" and circuit is not None:
        return Volume(
            of="circuit",
            m3=whole,
            known=circuit.volume_known,
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


def wait_minutes(wait_s: int) -> int:
    """Give a wait in whole minutes, rounded up."""
    return -(-wait_s * 1000 // MINUTE_MS)
