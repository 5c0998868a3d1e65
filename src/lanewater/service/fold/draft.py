"""The growing state of a site while its entries are folded."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field
from typing import Any

from lanewater.people.authority import MATRIX
from lanewater.records.entries import Entry
from lanewater.records.receiving import Restored
from lanewater.service.retests import tested_until
from lanewater.service.rules_known import ChosenRules, Overlay
from lanewater.service.state import (
    Addition,
    Advice,
    Circuit,
    Device,
    Dispute,
    Handover,
    LogKey,
    Opening,
    Person,
    Pool,
    Registered,
    Round,
    Rules,
    Site,
    SiteState,
    StandingAuthority,
    Stop,
    Told,
    Unauthorised,
    Verdict,
)


@dataclass(frozen=True, slots=True)
class Writer:
    """Which device wrote, and how many entries of the record it had seen."""

    device: str
    seen_size: int


@dataclass(frozen=True, slots=True)
class Call:
    """A cause to stop a pool, as one device said it last, and at which place of the record."""

    stop: Stop
    index: int
    device: str


@dataclass(slots=True)
class Trail:
    """Every word on one pool, in the order of the record, and how it stands by them."""

    known: dict[str, Any]
    items: list[dict[str, Any]] = field(default_factory=list)
    words: dict[str, Opening] = field(default_factory=dict)


class Draft:
    """The growing state of a site; `state()` gives it frozen.

    A round counts in the order it was taken, an opening or a stop in the order it was recorded.
    """

    def __init__(self) -> None:
        self.index = -1
        self.site: Site | None = None
        self.pools: dict[str, Pool] = {}
        self.circuits: dict[str, Circuit] = {}
        self.kits: dict[str, Registered] = {}
        self.reagents: dict[str, Registered] = {}
        self.products: dict[str, Registered] = {}
        self.people: dict[str, Person] = {}
        self.devices: dict[str, Device] = {}
        self.rounds: dict[str, Round] = {}
        self.order: dict[str, list[tuple[int, int]]] = {}
        self.in_order: dict[str, list[Round]] = {}
        self.frozen_rounds: dict[str, tuple[Round, ...]] = {}
        self.verdicts: dict[str, Verdict] = {}
        self.advices: dict[str, Advice] = {}
        self.additions: dict[str, Addition] = {}
        self.stops: dict[str, tuple[Stop, ...]] = {}
        self.calls: dict[str, tuple[Call, ...]] = {}
        self.openings: dict[str, Opening] = {}
        self.trails: dict[str, Trail] = {}
        self.disputes: dict[str, tuple[Dispute, ...]] = {}
        self.also_closed: dict[str, tuple[Opening, ...]] = {}
        # Who wrote a round elsewhere, and how much of the record that device had seen.
        self.heard: dict[str, Writer] = {}
        self.told: list[Told] = []
        self.authorities: dict[str, StandingAuthority] = {}
        self.handovers: tuple[Handover, ...] = ()
        self.unauthorised: tuple[Unauthorised, ...] = ()
        self.matrix: dict[str, dict[str, str]] = MATRIX
        # Closures, laboratory results and what deadlines run from, in the kernel's own form.
        self.closings: dict[str, dict[str, Any]] = {}
        # Incidents as the kernel keeps them; one that was ended has "ended".
        self.incidents: dict[str, dict[str, Any]] = {}
        # Duties, what was done of them, closed days, events, and when what was read.
        self.asked: dict[str, dict[str, Any]] = {}
        self.tested: dict[str, int] = {}
        self.whole_from: dict[str, int] = {}
        self.additions_from = 0
        self.rules_known: tuple[ChosenRules, ...] = ()
        self.overlays: tuple[Overlay, ...] = ()
        self.log_keys: tuple[LogKey, ...] = ()
        self.epoch = 1
        self.restored: tuple[Restored, ...] = ()
        self.known: SiteState | None = None

    def next_entry(self, index: int) -> None:
        """Say that the entry at an index is taken in now."""
        self.index = index
        self.known = None

    def state(self) -> SiteState:
        """Give the state so far; a site must be set up."""
        if self.known is None:
            if self.site is None:
                raise ValueError("no site is set up in these entries")
            self.known = SiteState(
                site=self.site,
                index=self.index,
                pools=dict(self.pools),
                circuits=dict(self.circuits),
                kits=dict(self.kits),
                reagents=dict(self.reagents),
                products=dict(self.products),
                people=dict(self.people),
                devices=dict(self.devices),
                rounds=self.rounds_in_order(),
                verdicts=dict(self.verdicts),
                advices=dict(self.advices),
                additions=dict(self.additions),
                stops=dict(self.stops),
                openings=dict(self.openings),
                disputes=dict(self.disputes),
                also_closed=dict(self.also_closed),
                told=tuple(self.told),
                log_keys=self.log_keys,
                epoch=self.epoch,
                restored=self.restored,
                tested=dict(self.tested),
                whole_from=dict(self.whole_from),
                additions_from=self.additions_from,
                authorities=dict(self.authorities),
                handovers=self.handovers,
                unauthorised=self.unauthorised,
                matrix=self.matrix,
                rules_known=self.rules_known,
                overlays=self.overlays,
                closings=dict(self.closings),
                incidents=dict(self.incidents),
                asked=dict(self.asked),
            )
        return self.known

    def put_round(self, given: Round) -> None:
        """Put a round where it was taken, or in place of itself as it was."""
        self.tested[given.pool] = max(self.tested.get(given.pool, 0), tested_until(given))
        order = self.order.setdefault(given.pool, [])
        rounds = self.in_order.setdefault(given.pool, [])
        key = (given.at_ms, given.index)
        place = bisect_left(order, key)
        if place < len(order) and order[place] == key:
            rounds[place] = given
        else:
            order.insert(place, key)
            rounds.insert(place, given)
        self.rounds[given.id] = given
        self.frozen_rounds.pop(given.pool, None)

    def rounds_in_order(self) -> dict[str, tuple[Round, ...]]:
        """Give each pool's rounds, oldest first; only pools that changed are gone through."""
        for pool, rounds in self.in_order.items():
            if pool not in self.frozen_rounds:
                self.frozen_rounds[pool] = tuple(rounds)
        return dict(self.frozen_rounds)

    def latest_beside(self, given: Round) -> Round | None:
        """Give the pool's latest round, None where it is this one."""
        for found in reversed(self.in_order[given.pool]):
            if found.purpose == "round":
                return None if found.id == given.id else found
        return None


def rules_of(entry: Entry) -> Rules:
    """Give the rules an entry names."""
    named = entry.rules or {}
    return Rules(named.get("id", ""), named.get("edition", ""), named.get("hash", ""))
