"""A request for advice, with everything that must be known before an amount may be given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

QUESTIONS = {
    "everybody_out": "Is everybody out of the water?",
    "pump_running": "Is the pump running?",
    "anything_added": "Has anyone added anything since the reading?",
    "looked": "Have you looked at the feeder, its tank and the controller?",
}
ANSWERS = ("yes", "no", "unknown")
PURPOSES = ("raise-chlorine", "lower-ph", "raise-ph", "raise-alkalinity", "raise-calcium")


@dataclass(frozen=True, slots=True)
class Questions:
    """The four questions, asked at this moment; "" is not answered, which is a refusal."""

    everybody_out: str = ""
    pump_running: str = ""
    anything_added: str = ""
    looked: str = ""

    def for_kernel(self) -> dict[str, str]:
        """Give the answers that were given."""
        return {name: answer for name in QUESTIONS if (answer := getattr(self, name))}


@dataclass(frozen=True, slots=True)
class Volume:
    """The volume an addition goes into; "" where it is not stated.

    Attributes
    ----------
    of : str
        "pool" (by hand into this pool alone) or "circuit" (all of it, through the plant).
    m3 : str
        Of that pool or that circuit. [m3]
    known : str
        meter, drawing or guess.
    accepted : bool
        Whether a competent person accepted a guess just now; then half a portion is given.
    balance_tank : str
        included, not-included or none; asked of a circuit.
    circuit_m3 : str
        The whole circuit's volume where `of` is the pool. [m3]
    pools_m3 : str
        Of all the circuit's pools together, where it is stated of each. [m3]
    shared : tuple of str
        The other pools on the same filter.
    """

    of: str = ""
    m3: str = ""
    known: str = ""
    accepted: bool = False
    balance_tank: str = ""
    circuit_m3: str = ""
    pools_m3: str = ""
    shared: tuple[str, ...] = ()

    def for_kernel(self) -> dict[str, Any]:
        """Give what was stated."""
        stated: dict[str, Any] = {"accepted": self.accepted, "shared": list(self.shared)}
        for name in ("of", "m3", "known", "balance_tank", "circuit_m3", "pools_m3"):
            if getattr(self, name):
                stated[name] = getattr(self, name)
        return stated


@dataclass(frozen=True, slots=True)
class Strength:
    """A product's strength as stated on a day.

    Attributes
    ----------
    value, unit : str
        g-l, percent-w-v or percent-w-w; available chlorine as Cl2 for chlorine products, the
        anhydrous compound for all others.
    at : int or None
        When it was stated or measured. [UTC s]
    """

    value: str = ""
    unit: str = ""
    at: int | None = None


@dataclass(frozen=True, slots=True)
class ProductAtHand:
    """A product on this pool's list, with the purposes the manager approved for this pool.

    `scoop` is what its jug or scoop holds at the least mark and `stock` what the store holds,
    each an amount with its unit (g, kg, mL, L); `price` an amount and "kg" or "L".
    """

    id: str
    substance: str
    name: str
    method: str
    approved: tuple[str, ...] = ()
    strength: Strength = Strength()
    density_kg_l: str = ""
    excess_caustic: str = ""
    jug: str = ""
    scoop: tuple[str, str] = ("", "")
    stock: tuple[str, str] = ("", "")
    price: tuple[str, str] = ("", "")

    def for_kernel(self) -> dict[str, Any]:
        """Give what was stated."""
        strength: dict[str, Any] = {"value": self.strength.value, "unit": self.strength.unit}
        if self.strength.at is not None:
            strength["at"] = self.strength.at
        stated: dict[str, Any] = {
            "product": self.id,
            "substance": self.substance,
            "name": self.name,
            "method": self.method,
            "approved": list(self.approved),
            "strength": strength,
            "jug": self.jug,
        }
        for name in ("density_kg_l", "excess_caustic"):
            if getattr(self, name):
                stated[name] = getattr(self, name)
        for name, unit in (("scoop", "unit"), ("stock", "unit"), ("price", "per")):
            amount, of = getattr(self, name)
            if amount:
                stated[name] = {"amount": amount, unit: of}
        return stated


@dataclass(frozen=True, slots=True)
class OtherPool:
    """Another pool of the circuit, which an addition through the plant reaches too.

    Attributes
    ----------
    name : str
        As people call it.
    pool : mapping
        Its facts.
    readings : tuple
        Those of its last round, in normal form.
    taken_at : int or None
        When the oldest of them was taken. [UTC s]
    late : bool or None
        Whether that round was entered late or from paper.
    configured : bool
        Whether dosing of a hot pool was set up.
    """

    name: str
    pool: Mapping[str, Any]
    readings: tuple[Mapping[str, Any], ...] = ()
    taken_at: int | None = None
    late: bool | None = None
    configured: bool = False

    def for_kernel(self) -> dict[str, Any]:
        """Give what is known."""
        stated: dict[str, Any] = {
            "name": self.name,
            "pool": dict(self.pool),
            "readings": [dict(row) for row in self.readings],
            "configured": self.configured,
        }
        dated = {"taken_at": self.taken_at, "late": self.late}
        return stated | {key: value for key, value in dated.items() if value is not None}


@dataclass(frozen=True, slots=True)
class AgeLimits:
    """How old, in seconds, what an amount rests on may be; defaults are judgement (JUDG)."""

    reading_s: int = 3600
    alkalinity_s: int = 7 * 86400
    stabiliser_s: int = 30 * 86400
    strength_s: int = 30 * 86400
    stable_strength_s: int = 365 * 86400

    def for_kernel(self) -> dict[str, int]:
        """Give the limits by name."""
        return {
            "reading_s": self.reading_s,
            "alkalinity_s": self.alkalinity_s,
            "stabiliser_s": self.stabiliser_s,
            "strength_s": self.strength_s,
            "stable_strength_s": self.stable_strength_s,
        }


@dataclass(frozen=True, slots=True)
class AdviceRequest:
    """Everything the first advice asks for; what is None or "" is a refusal by name.

    Attributes
    ----------
    at : int
        Now. [UTC s]
    case : mapping
        The judging case of the round: readings in normal form, history, pool facts, kits, events.
    taken_at : int or None
        When the oldest reading of the round was taken. [UTC s]
    late : bool or None
        Whether the round was entered late or from paper.
    targets : mapping
        The site's own (low, high) by parameter.
    limits : mapping or None
        The strictest (low, high) of the chosen rules, "" where they set none; None: no rules.
    others : tuple
        The other pools of the circuit; asked of an addition to all of it.
    feeder : str
        The substance of the feeder, "salt-cell", "none", or "" where not stated.
    blocks : tuple or None
        Waits, running doses and open questions, each {"id", "why", "do"}; None: not known.
    configured : bool
        Whether dosing of a hot pool was set up.
    mixing_s : int or None
        The stated mixing time. [s]
    dye_test : bool
        Whether a dye test is on record.
    fresh_water : mapping
        What comes out of the fill line, a decimal text by parameter; empty where not known.
    """

    at: int
    case: Mapping[str, Any]
    questions: Questions = Questions()
    taken_at: int | None = None
    late: bool | None = None
    targets: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    limits: Mapping[str, tuple[str, str]] | None = None
    volume: Volume = Volume()
    others: tuple[OtherPool, ...] = ()
    feeder: str = ""
    products: tuple[ProductAtHand, ...] = ()
    choice: str = ""
    blocks: tuple[Mapping[str, str], ...] | None = None
    ages: AgeLimits = AgeLimits()
    configured: bool = False
    mixing_s: int | None = None
    dye_test: bool = False
    fresh_water: Mapping[str, str] = field(default_factory=dict)

    def for_kernel(self) -> dict[str, Any]:
        """Give the request as the kernel takes it."""
        stated: dict[str, Any] = {
            "at": self.at,
            "case": dict(self.case),
            "questions": self.questions.for_kernel(),
            "targets": bands(self.targets),
            "volume": self.volume.for_kernel(),
            "others": [other.for_kernel() for other in self.others],
            "feeder": self.feeder,
            "products": with_jugs_alike([product.for_kernel() for product in self.products]),
            "choice": self.choice,
            "ages": self.ages.for_kernel(),
            "configured": self.configured,
            "dye_test": self.dye_test,
        }
        for name in ("taken_at", "late", "mixing_s"):
            if getattr(self, name) is not None:
                stated[name] = getattr(self, name)
        if self.limits is not None:
            stated["limits"] = bands(self.limits)
        if self.fresh_water:
            stated["fresh_water"] = dict(self.fresh_water)
        if self.blocks is not None:
            stated["blocks"] = [dict(block) for block in self.blocks]
        return stated


class Asked(Protocol):
    """Whatever gives a request as the kernel takes it."""

    def for_kernel(self) -> dict[str, Any]:
        """Give the request."""


@dataclass(frozen=True, slots=True)
class Stated:
    """A request that the kernel put together itself."""

    request: Mapping[str, Any]

    def for_kernel(self) -> dict[str, Any]:
        """Give the request as the kernel takes it."""
        return dict(self.request)


def bands(given: Mapping[str, tuple[str, str]]) -> dict[str, dict[str, str]]:
    """Give bands by parameter, leaving out the ends that are not set."""
    return {
        parameter: {end: text for end, text in (("low", low), ("high", high)) if text}
        for parameter, (low, high) in given.items()
    }


def with_jugs_alike(products: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Write a jug by the first spelling that it stands under, so that one jug is seen to be one.

    The kernel compares names letter by letter: "Blue jug" and "blue jug" are the same jug.
    """
    spelt: dict[str, str] = {}
    found = []
    for product in products:
        jug = " ".join(product["jug"].split())
        found.append(product | {"jug": spelt.setdefault(jug.casefold(), jug)})
    return found
