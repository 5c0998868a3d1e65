"""What people do on the demo's stage: test, open, shut, add by hand, tell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from lanewater.basin.motion import Totals, Water
from lanewater.kernel.deciding.reopening import to_confirm
from lanewater.service.actor import ANYBODY, Actor
from lanewater.service.additions import answer_addition, start_addition
from lanewater.service.book import Book
from lanewater.service.demo_site import MANAGERS, OPERATOR, TESTERS
from lanewater.service.demo_water import PLANTS, alkalinity_mg_l, read_water, with_addition
from lanewater.service.opening import close_pool, open_pool, told
from lanewater.service.pool_facts import lane_facts
from lanewater.service.rounds import record_round
from lanewater.terms.errors import InputError, RefusedError

PASSES = ("meets", "meets-borderline")
CLOSES = ("evacuate", "close")
MINUTE_MS = 60_000
LITRE_HYPO_G = 120.0
CHLORINE_G_MOL = 70.906
BICARBONATE_G_MOL = 84.006
# 32 % w/w at 1.16 kg/L over 36.461 g/mol.
ACID_MOL_LITRE = 10.18


@dataclass(slots=True)
class Stage:
    """The demo in the making.

    Attributes
    ----------
    book : Book
        The demo's record; its clock reads `now_ms`.
    k : tuple of float
        The kernel's constants.
    rng : Random
        Seeded.
    waters : dict
        Water by pool.
    status : dict
        "open", "closed" or "shut" by pool.
    passing : dict
        Whether a pool's last round met the rules.
    """

    book: Book
    k: Totals
    rng: Random
    zone: ZoneInfo
    waters: dict[str, Water]
    clock: list[int]
    status: dict[str, str] = field(default_factory=dict)
    passing: dict[str, bool] = field(default_factory=dict)
    lot: str = "F-2207"

    @property
    def now_ms(self) -> int:
        """Give the stage's own time. [UTC ms]"""
        return self.clock[0]

    @property
    def local(self) -> datetime:
        """Give the stage's local time."""
        return datetime.fromtimestamp(self.now_ms / 1000, self.zone)


def signed_in(person: str) -> Actor:
    """Give a person who signed in with a PIN."""
    return Actor(person, "pin", verified=True)


def on_duty(stage: Stage, people: tuple[str, ...]) -> Actor:
    """Give who of some people is on duty today."""
    return signed_in(people[stage.local.toordinal() % len(people)])


def minutes_later(stage: Stage, minutes: float) -> None:
    """Let some minutes pass on the stage's clock; the water stands still for them."""
    stage.clock[0] += round(minutes * MINUTE_MS)


def readings_at(stage: Stage, pool: str, point: str) -> list[dict[str, Any]]:
    """Read a pool at one sample point."""
    rows = []
    for parameter, value in read_water(stage.k, stage.waters[pool], stage.rng).items():
        row: dict[str, Any] = {"parameter": parameter, "value": value, "point": point}
        if parameter != "temperature_c":
            row["kit"] = "photometer-1"
        if parameter == "free_chlorine":
            row["lot"] = stage.lot
        rows.append(row)
    return rows


def balance_readings(stage: Stage, pool: str) -> list[dict[str, Any]]:
    """Read what is read once a week."""
    water = stage.waters[pool]
    rows = [
        ("total_alkalinity", alkalinity_mg_l(water) + stage.rng.gauss(0.0, 1.5)),
        ("calcium_hardness", 232.0 + stage.rng.gauss(0.0, 4.0)),
    ]
    if pool == "garden":
        rows.append(("cyanuric_acid", 34.0 + stage.rng.gauss(0.0, 1.5)))
    return [
        {"parameter": parameter, "value": f"{value:.0f}", "kit": "photometer-1"}
        for parameter, value in rows
    ]


def run_round(
    stage: Stage,
    pool: str,
    *,
    points: tuple[str, ...] = ("shallow",),
    changes: Mapping[str, str] | None = None,
    extra: Mapping[str, Any] | None = None,
    actor: Actor | None = None,
) -> dict[str, Any]:
    """Test a pool and record the round; then do what the answer asks for.

    Parameters
    ----------
    stage : Stage
        The stage.
    pool : str
        Which pool.
    points : tuple of str
        Sample points.
    changes : mapping, optional
        Values that replace what was read, by parameter.
    extra : mapping, optional
        More of the round: source, reason, at, bathers.
    actor : Actor, optional
        Who tests; otherwise the tester on duty.
    """
    readings: list[dict[str, Any]] = [
        {"parameter": "clarity", "value": "visible"},
        {"parameter": "circulation", "value": "running"},
    ]
    for point in points:
        readings += readings_at(stage, pool, point)
    if stage.local.weekday() == 0 and stage.local.hour < 10 and "garden" not in pool:
        readings += balance_readings(stage, pool)
    if stage.local.weekday() == 0 and pool == "garden" and stage.local.hour < 11:
        readings += balance_readings(stage, pool)
    for row in readings:
        row["value"] = (changes or {}).get(row["parameter"], row["value"])
    who = actor or on_duty(stage, TESTERS)
    answer = record_round(stage.book, who, {"pool": pool, "readings": readings, **(extra or {})})
    verdict = answer["verdict"]["overall"]
    stage.passing[pool] = verdict in PASSES
    if verdict in CLOSES and stage.status.get(pool) == "open":
        shut_for_cause(stage, pool, answer)
    elif verdict not in PASSES:
        tell_manager(stage, pool, answer["round"])
    return answer


def shut_for_cause(stage: Stage, pool: str, answer: Mapping[str, Any]) -> None:
    """Close a pool because the rules say so."""
    minutes_later(stage, 1)
    clause = answer["verdict"]["actions"][0]["clause"]
    reason = f"Rules say clear the pool: {clause}"
    close_pool(
        stage.book,
        on_duty(stage, MANAGERS),
        {"pool": pool, "kind": "closed", "reason": reason},
    )
    stage.status[pool] = "closed"


def tell_manager(stage: Stage, pool: str, round_id: str) -> None:
    """Put on record that the duty manager was told."""
    minutes_later(stage, 1)
    manager = on_duty(stage, MANAGERS).person
    told(
        stage.book,
        on_duty(stage, TESTERS),
        {"pool": pool, "about": round_id, "whom": manager, "how": "by radio"},
    )


def try_to_open(stage: Stage, pool: str, reason: str = "") -> bool:
    """Open a pool if its last round met the rules and nothing stands in the way."""
    if stage.status.get(pool) == "open" or not stage.passing.get(pool):
        return False
    command: dict[str, Any] = {"pool": pool} | ({"reason": reason} if reason else {})
    facts = lane_facts(stage.book, stage.book.state, pool, stage.book.clock())
    seen_to = to_confirm(facts, stage.book.clock())
    command |= {"confirmed": seen_to} if seen_to else {}
    try:
        open_pool(stage.book, on_duty(stage, MANAGERS), command)
    except (RefusedError, InputError):
        return False
    stage.status[pool] = "open"
    return True


def shut_for_the_night(stage: Stage, pool: str) -> None:
    """Shut a pool at the end of its hours."""
    if stage.status.get(pool) == "open":
        close_pool(stage.book, on_duty(stage, MANAGERS), {"pool": pool, "kind": "shut"})
    stage.status[pool] = "shut"


def add_by_hand(stage: Stage, pool: str, product: str, amount: str, unit: str) -> None:
    """Add something by hand: the operator says so before and after; the water takes it in."""
    operator = signed_in(OPERATOR)
    started = start_addition(
        stage.book,
        operator,
        {"pool": pool, "product": product, "amount": amount, "unit": unit, "wait_minutes": 30},
    )
    minutes_later(stage, 4)
    answer_addition(stage.book, operator, {"addition": started["addition"], "answer": "added"})
    take_in(stage, pool, product, float(amount), unit)


def take_in(stage: Stage, pool: str, product: str, amount: float, unit: str) -> None:
    """Put what was added into the water of the pool."""
    large = amount / 1000.0 if unit in ("mL", "g") else amount
    substance, mol = {
        "hypo-by-hand": ("sodium-hypochlorite", large * LITRE_HYPO_G / CHLORINE_G_MOL),
        "acid-by-hand": ("hydrochloric-acid", large * ACID_MOL_LITRE),
        "bicarbonate": ("sodium-bicarbonate", large * 1000.0 / BICARBONATE_G_MOL),
    }[product]
    volume = PLANTS[pool].basin.volume_m3
    stage.waters[pool] = with_addition(stage.waters[pool], volume, substance, mol)


def unlisted() -> Actor:
    """Give somebody who is not on the list."""
    return ANYBODY
