"""Setting a site up: each kind of thing with its fields."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints

from lanewater.interfaces.api.schemas.base import (
    ContactKind,
    Date,
    Decimal,
    Identity,
    KitKind,
    Method,
    Name,
    Parameter,
    Pin,
    PortionUnit,
    PriceUnit,
    Role,
    Sent,
    Short,
    StrengthUnit,
    TimeOfDay,
    Told,
    VolumeKnown,
    Words,
)
from lanewater.interfaces.api.schemas.closing import AnswerSent
from lanewater.interfaces.api.schemas.duties import DutyKind

Rules = Annotated[
    str, StringConstraints(min_length=1, max_length=64), Field(description='A pack id, or "none".')
]
Substance = Annotated[
    str,
    StringConstraints(pattern=r"^([a-z0-9-]{1,48}|other:[A-Za-z0-9 ._-]{1,48})$", max_length=54),
]
Minutes = Annotated[int, Field(ge=1, le=10_080)]
Fact = bool | Annotated[int, Field(ge=-(10**9), le=10**9)] | Annotated[str, Field(max_length=120)]
Word = Annotated[str, Field(max_length=40)]


class VolumeSent(Sent):
    """A volume in its unit: m3, L, us-gal or imp-gal."""

    value: Decimal
    unit: Annotated[str, Field(max_length=12)]


class TargetSent(Sent):
    """The site's own low and high."""

    parameter: Parameter
    low: Decimal
    high: Decimal


class HoursSent(Sent):
    """One opening; day 0 is Monday."""

    day: Annotated[int, Field(ge=0, le=6)]
    opens: TimeOfDay
    closes: TimeOfDay


class PoolFactsSent(Sent):
    """What rules ask of a pool; what is not known is left out or "unknown"."""

    kind: Word | None = None
    location: Word | None = None
    disinfectant: Word | None = None
    stabiliser: Word | None = None
    water: Word | None = None
    supply: Word | None = None
    control: Word | None = None
    secondary: Word | None = None
    coagulant: Word | None = None
    risk_class: Word | None = None
    facts: (
        Annotated[
            dict[Annotated[str, StringConstraints(pattern=r"^[ -~]{1,64}$")], Fact],
            Field(max_length=60),
        ]
        | None
    ) = None


class PoolSent(Sent):
    """A pool."""

    name: Name
    facts: PoolFactsSent
    pool: Identity | None = None
    circuit: Identity | None = None
    volume_m3: Decimal | None = None
    volume: VolumeSent | None = None
    volume_known: VolumeKnown | None = None
    surface_m2: Decimal | None = None
    targets: Annotated[list[TargetSent], Field(max_length=20)] | None = None
    hours: Annotated[list[HoursSent], Field(max_length=42)] | None = None
    interval_minutes: Annotated[int, Field(ge=5, le=10_080)] | None = None
    before_opening_minutes: Annotated[int, Field(ge=1, le=1440)] | None = None
    points: Annotated[list[Short], Field(max_length=20)] | None = None
    rules: Rules | None = None


class CircuitSent(Sent):
    """Pools on the same filter."""

    name: Name
    circuit: Identity | None = None
    volume_m3: Decimal | None = None
    volume: VolumeSent | None = None
    volume_known: VolumeKnown | None = None
    balance_tank: Literal["included", "not-included", "none"] | None = None
    mixing_minutes: Minutes | None = None
    dye_test: Date | None = None
    feeder: Substance | None = None


class RangeSent(Sent):
    """What a kit can read of one parameter."""

    parameter: Parameter
    low: Decimal | None = None
    high: Decimal | None = None
    step: Decimal | None = None
    uncertainty: Decimal | None = None
    error_absolute: Decimal | None = None
    error_percent: Decimal | None = None


class KitSent(Sent):
    """A test kit."""

    name: Name
    kind: KitKind
    kit: Identity | None = None
    ranges: Annotated[list[RangeSent], Field(max_length=40)] | None = None
    total_stand_s: Annotated[int, Field(ge=1, le=3600)] | None = None
    ph_free_chlorine_limit: Decimal | None = None
    accepted: bool | None = None
    verified_on: Date | None = None


class ReagentSent(Sent):
    """A reagent lot."""

    parameter: Parameter
    lot: Annotated[str, Field(min_length=1, max_length=40)]
    expires_on: Date
    reagent: Identity | None = None
    kit: Identity | None = None
    opened_on: Date | None = None


class StrengthSent(Sent):
    """A product's strength, on the day it was read."""

    value: Decimal
    unit: StrengthUnit
    on: Date


class ScoopSent(Sent):
    """What a product's jug or scoop holds at its least mark."""

    amount: Decimal
    unit: PortionUnit


class StockSent(Sent):
    """How much of a product there was on a day."""

    amount: Decimal
    unit: PortionUnit
    on: Date


class PriceSent(Sent):
    """What a product costs, in the site's own money."""

    amount: Decimal
    per: PriceUnit


class ApprovedSent(Sent):
    """A purpose that the manager approved a product for, on one pool."""

    pool: Identity
    purpose: Annotated[str, Field(min_length=1, max_length=60)]


class ProductSent(Sent):
    """A product."""

    name: Name
    substance: Substance
    method: Method
    product: Identity | None = None
    strength: StrengthSent | None = None
    density_kg_l: Decimal | None = None
    excess_caustic: Decimal | None = None
    approved: Annotated[list[ApprovedSent], Field(max_length=100)] | None = None
    jug: Short | None = None
    scoop: ScoopSent | None = None
    stock: StockSent | None = None
    price: PriceSent | None = None
    lot: Annotated[str, Field(max_length=40)] | None = None


class CompetenceSent(Sent):
    """What somebody was trained for, by the product and its dates."""

    covers: Literal["hand-dosing"]
    product: Annotated[str, Field(min_length=1, max_length=54)]
    from_: Annotated[Date, Field(alias="from")]
    until: Date | None = None
    evidence: Annotated[str, Field(max_length=200)] | None = None


class PersonSent(Sent):
    """A person; name, initials and phone never enter the record."""

    name: Name
    initials: Annotated[str, Field(min_length=1, max_length=6)]
    roles: Annotated[list[Role], Field(max_length=5)]
    person: Identity | None = None
    phone: Annotated[str, Field(max_length=40)] | None = None
    delegated: Annotated[list[Literal["open"]], Field(max_length=5)] | None = None
    competences: Annotated[list[CompetenceSent], Field(max_length=60)] | None = None
    gone: bool | None = None
    pin: Pin | None = None
    new_pin: bool | None = None


class ContactSent(Sent):
    """A line of the phone list."""

    name: Name
    phone: Annotated[str, Field(min_length=2, max_length=40)]
    kind: ContactKind
    contact: Annotated[str, Field(min_length=1, max_length=64)] | None = None
    note: Words | None = None


class RulesSent(Sent):
    """The rules of the site, or of one pool."""

    rules: Rules
    pool: Identity | None = None


class EverySent(Sent):
    """How often a duty comes: one of these."""

    days: Annotated[int, Field(ge=1, le=366)] | None = None
    weeks: Annotated[int, Field(ge=1, le=104)] | None = None
    months: Annotated[int, Field(ge=1, le=60)] | None = None
    years: Annotated[int, Field(ge=1, le=10)] | None = None


class DutySent(Sent):
    """Something that the site has done every so often, at a pool or at no pool."""

    name: Annotated[str, Field(min_length=1, max_length=120)]
    kind: DutyKind
    duty: Identity | None = None
    pool: Identity | None = None
    every: EverySent | None = None
    from_: Annotated[Date | None, Field(alias="from")] = None
    role: Role | None = None
    gone: bool | None = None


class ClosedDaySent(Sent):
    """A day on which nothing opens."""

    day: Date
    name: Annotated[str, Field(max_length=120)] | None = None


class ClosedDaysSent(Sent):
    """The closed days of the site or of a pool, in the place of those before."""

    days: Annotated[list[ClosedDaySent], Field(max_length=400)]
    pool: Identity | None = None


class PoolItem(Sent):
    """A pool is set up, or again."""

    what: Literal["pool"]
    item: PoolSent


class CircuitItem(Sent):
    """A circuit is set up, or again."""

    what: Literal["circuit"]
    item: CircuitSent


class KitItem(Sent):
    """A kit is registered, or again."""

    what: Literal["kit"]
    item: KitSent


class ReagentItem(Sent):
    """A reagent lot is registered."""

    what: Literal["reagent"]
    item: ReagentSent


class ProductItem(Sent):
    """A product is registered, or again."""

    what: Literal["product"]
    item: ProductSent


class PersonItem(Sent):
    """A person is added, or changed."""

    what: Literal["person"]
    item: PersonSent


class ContactItem(Sent):
    """A line of the phone list is added, or changed."""

    what: Literal["contact"]
    item: ContactSent


class RulesItem(Sent):
    """Rules are chosen."""

    what: Literal["rules"]
    item: RulesSent


class DutyItem(Sent):
    """A duty is set up, or again."""

    what: Literal["duty"]
    item: DutySent


class ClosedDaysItem(Sent):
    """The closed days are set anew."""

    what: Literal["closed-days"]
    item: ClosedDaysSent


ItemSent = Annotated[
    PoolItem
    | CircuitItem
    | KitItem
    | ReagentItem
    | ProductItem
    | PersonItem
    | ContactItem
    | DutyItem
    | ClosedDaysItem
    | RulesItem,
    Field(discriminator="what"),
]


class ItemAnswer(Told):
    """It is set up; a PIN that was made is shown this once."""

    id: str
    pin: str | None = None


class ImportSent(Sent):
    """A whole set-up, as another site gave it."""

    lanewater_set_up: Annotated[int, Field(ge=1, le=1)]
    site: Annotated[dict[str, Any], Field(max_length=20)] | None = None
    circuits: Annotated[list[CircuitSent], Field(max_length=2000)] | None = None
    pools: Annotated[list[PoolSent], Field(max_length=2000)] | None = None
    kits: Annotated[list[KitSent], Field(max_length=2000)] | None = None
    reagents: Annotated[list[ReagentSent], Field(max_length=2000)] | None = None
    products: Annotated[list[ProductSent], Field(max_length=2000)] | None = None
    people: Annotated[list[PersonSent], Field(max_length=2000)] | None = None
    contacts: Annotated[list[ContactSent], Field(max_length=2000)] | None = None
    duties: Annotated[list[DutySent], Field(max_length=2000)] | None = None
    closed_days: Annotated[list[ClosedDaysSent], Field(max_length=2000)] | None = None
    matrix: Annotated[list[AnswerSent], Field(max_length=2000)] | None = None


class ImportAnswer(Told):
    """How many things were added."""

    added: int
