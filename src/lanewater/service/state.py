"""What a site is, as its record tells: frozen facts, folded from entries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from lanewater.kernel.deciding.retesting import ended_by_repeat
from lanewater.people.authority import MATRIX, Matrix
from lanewater.records.receiving import Restored
from lanewater.service.rules_known import ChosenRules, Overlay


@dataclass(frozen=True, slots=True)
class Rules:
    """The rules chosen: pack id, edition and hash as they were then; id "" is none."""

    id: str = ""
    edition: str = ""
    hash: str = ""


@dataclass(frozen=True, slots=True)
class Site:
    """The site itself."""

    id: str
    name: str
    timezone: str
    units: Mapping[str, str]
    demo: bool
    rules: Rules = Rules()
    telephone_authority: bool = False
    quiet_minutes: int = 0


@dataclass(frozen=True, slots=True)
class Hours:
    """One opening: day 0 (Monday) to 6, minutes of the local day."""

    day: int
    opens: int
    closes: int


@dataclass(frozen=True, slots=True)
class Pool:
    """One pool. Volumes are decimal text in m3, "" where not stated."""

    id: str
    name: str
    facts: Mapping[str, Any]
    circuit: str = ""
    own_rules: Rules | None = None
    volume_m3: str = ""
    volume_known: str = ""
    surface_m2: str = ""
    targets: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    hours: tuple[Hours, ...] | None = None
    interval_minutes: int = 0
    before_opening_minutes: int = 0
    points: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Circuit:
    """Pools that share treatment; body holds what else was stated."""

    id: str
    name: str
    volume_m3: str
    volume_known: str
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True, eq=False)
class Registered:
    """A kit, a reagent or a product, as it was registered.

    Two are the same only where they are one object, as with a round.
    """

    id: str
    body: Mapping[str, Any]
    at_ms: int


@dataclass(frozen=True, slots=True)
class Person:
    """A person's part at the site; names are kept apart from the record."""

    id: str
    roles: tuple[str, ...]
    delegated: tuple[str, ...] = ()
    competences: tuple[Mapping[str, str], ...] = ()
    gone: bool = False


@dataclass(frozen=True, slots=True)
class Device:
    """A device on record; public_key is "" for a browser that does not sign."""

    id: str
    name: str
    kind: str
    algorithm: str
    public_key: str
    revoked_ms: int | None = None
    lost_ms: int | None = None


@dataclass(frozen=True, slots=True)
class LogKey:
    """A key that signs stamps, receipts and grants; until_index is None while it is in use.

    One is lost where the key after it came without its word.
    """

    public_key: str
    since_index: int
    until_index: int | None = None
    lost: bool = False


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading as typed."""

    parameter: str
    value: str
    unit: str = ""
    point: str = ""
    at_ms: int | None = None
    kit: str = ""
    lot: str = ""
    dilution: int = 1
    uncertainty: str = ""
    between: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Correction:
    """A reading changed after it was saved, or after its result was shown; both values stay.

    Where no unit or dilution is said ("" and 0), it is the reading's own.
    """

    entry: str
    parameter: str
    point: str
    was: str
    value: str
    unit: str
    dilution: int
    at_ms: int
    by: str
    reason: str


@dataclass(frozen=True, slots=True, eq=False)
class Round:
    """One pool's readings at one time, as first recorded, with what was corrected since.

    Two are the same only where they are one object, so that what is worked out of a round can
    be kept by it.
    """

    id: str
    pool: str
    at_ms: int
    recorded_ms: int
    source: str
    purpose: str
    by: str
    verified: bool
    through: str
    readings: tuple[Reading, ...]
    corrections: tuple[Correction, ...]
    changed_after_result: tuple[Mapping[str, str], ...]
    bathers: int | None
    note: str
    reason: str
    index: int
    repeats: str = ""
    shown: str = ""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the rules said of a round: the body of its latest judgement."""

    entry: str
    round: str
    at_ms: int
    overall: str
    rules: Rules
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Stop:
    """A house stop that nobody has ended."""

    id: str
    pool: str
    entry: str
    since_ms: int
    by: str
    round: str
    words: str


@dataclass(frozen=True, slots=True)
class Opening:
    """A word on a pool: open, closed, shut; stop names the house stop that closed it.

    An opening may be on the word of somebody by telephone, until they confirm it, or under a
    standing authority (the entry that gave it). `on_device` says that a device alone checked the
    PIN, `without_authority` that the record gave none for it when it came.
    """

    status: str
    since_ms: int
    by: str
    reason: str
    entry: str
    marked: tuple[str, ...] = ()
    round: str = ""
    through: str = ""
    stop: str = ""
    word_of: str = ""
    standing: str = ""
    confirmed_ms: int = 0
    confirmed_by: str = ""
    on_device: bool = False
    without_authority: bool = False


@dataclass(frozen=True, slots=True)
class Dispute:
    """An opening and a closing of one pool, written without knowing of each other."""

    opened: Opening
    closed: Opening


@dataclass(frozen=True, slots=True)
class Advice:
    """An amount that was advised; answer is "", started, added, not-added or unknown."""

    id: str
    pool: str
    circuit: str
    product: str
    at_ms: int
    by: str
    answer: str
    body: Mapping[str, Any]
    without_authority: bool = False


@dataclass(frozen=True, slots=True)
class Addition:
    """Something added, or being added; answer is "", added, not-added or unknown."""

    id: str
    advice: str
    pool: str
    circuit: str
    product: str
    amount: str
    unit: str
    started_ms: int
    by: str
    answer: str
    answered_ms: int
    wait_minutes: int
    lot: str = ""
    scope: str = ""
    strength: Mapping[str, str] = field(default_factory=dict)
    density_kg_l: str = ""
    without_authority: bool = False


@dataclass(frozen=True, slots=True)
class StandingAuthority:
    """Somebody may open some pools in some time, where every reading meets."""

    id: str
    entry: str
    person: str
    pools: tuple[str, ...]
    from_ms: int
    until_ms: int
    given_by: str
    given_ms: int
    ended_ms: int = 0


@dataclass(frozen=True, slots=True)
class Handover:
    """Somebody read the handover and took over; made_ms is when what they read was worked out."""

    entry: str
    by: str
    at_ms: int
    made_ms: int
    through: str


@dataclass(frozen=True, slots=True)
class Unauthorised:
    """A decision that a device sent, by somebody to whom the record gave no authority for it."""

    entry: str
    kind: str
    pool: str
    by: str
    at_ms: int
    through: str


@dataclass(frozen=True, slots=True)
class Told:
    """Somebody was told about a round or a stop."""

    entry: str
    about: str
    pool: str
    whom: str
    by: str
    at_ms: int
    how: str


@dataclass(frozen=True, slots=True)
class SiteState:
    """What a site's record says, up to an index.

    Of each pool it holds the rounds since `whole_from` and others that are still of use; of
    advised and added amounts those since `additions_from` and all that are open. `service.past`
    reads the older ones. `tested` says since when each pool counts as tested at two points.
    """

    site: Site
    index: int
    pools: Mapping[str, Pool]
    circuits: Mapping[str, Circuit]
    kits: Mapping[str, Registered]
    reagents: Mapping[str, Registered]
    products: Mapping[str, Registered]
    people: Mapping[str, Person]
    devices: Mapping[str, Device]
    rounds: Mapping[str, tuple[Round, ...]]
    verdicts: Mapping[str, Verdict]
    advices: Mapping[str, Advice]
    additions: Mapping[str, Addition]
    stops: Mapping[str, tuple[Stop, ...]]
    openings: Mapping[str, Opening]
    disputes: Mapping[str, tuple[Dispute, ...]]
    also_closed: Mapping[str, tuple[Opening, ...]]
    told: tuple[Told, ...]
    log_keys: tuple[LogKey, ...] = ()
    epoch: int = 1
    restored: tuple[Restored, ...] = ()
    tested: Mapping[str, int] = field(default_factory=dict)
    whole_from: Mapping[str, int] = field(default_factory=dict)
    additions_from: int = 0
    authorities: Mapping[str, StandingAuthority] = field(default_factory=dict)
    handovers: tuple[Handover, ...] = ()
    unauthorised: tuple[Unauthorised, ...] = ()
    matrix: Matrix = field(default_factory=lambda: MATRIX)
    closings: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    incidents: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    asked: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    rules_known: tuple[ChosenRules, ...] = ()
    overlays: tuple[Overlay, ...] = ()

    def round_by_id(self, identity: str) -> Round | None:
        """Find a round; the latest of each pool are looked at first."""
        for rounds in self.rounds.values():
            if rounds and rounds[-1].id == identity:
                return rounds[-1]
        for rounds in self.rounds.values():
            for found in reversed(rounds):
                if found.id == identity:
                    return found
        return None

    def last_round(self, pool: str) -> Round | None:
        """Give a pool's latest round by the time it was taken; samples do not count."""
        for found in reversed(self.rounds.get(pool, ())):
            if found.purpose == "round":
                return found
        return None

    def rules_of(self, pool: str) -> Rules:
        """Give the rules chosen for a pool: its own, else the site's."""
        own = self.pools[pool].own_rules
        return self.site.rules if own is None else own

    def same_filter(self, pool: str) -> tuple[str, ...]:
        """Give the pools that share a pool's circuit, itself included."""
        circuit = self.pools[pool].circuit
        if not circuit:
            return (pool,)
        return tuple(found.id for found in self.pools.values() if found.circuit == circuit)


def current_readings(given: Round) -> tuple[Reading, ...]:
    """Give a round's readings with its corrections applied; the round itself keeps both."""
    readings = list(given.readings)
    for correction in given.corrections:
        for index in reversed(range(len(readings))):
            reading = readings[index]
            same = (reading.parameter, reading.point) == (correction.parameter, correction.point)
            if same and reading.value == correction.was:
                readings[index] = Reading(
                    parameter=reading.parameter,
                    value=correction.value,
                    unit=correction.unit or reading.unit,
                    point=reading.point,
                    at_ms=reading.at_ms,
                    kit=reading.kit,
                    lot=reading.lot,
                    dilution=correction.dilution or reading.dilution,
                    uncertainty=reading.uncertainty,
                )
                break
    return tuple(readings)


def ends_by_repeat(stop: Stop, given: Round) -> bool:
    """Tell whether a later round that shows no cause for it any more ends a stop by itself."""
    rows = [{"parameter": reading.parameter} for reading in given.readings]
    return ended_by_repeat({"id": stop.id, "round": stop.round}, given.id, rows)
