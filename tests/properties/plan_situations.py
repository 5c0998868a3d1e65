"""Generated situations for the planner: complete ones, ones that lack something, adversarial ones.

A situation is either a site's round with the person who asks, or a question that stands alone.
What was done to it says what must not come out: a situation with `refuse` set may never be
answered with an amount.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from lanewater.dosing.request import (
    AdviceRequest,
    AgeLimits,
    OtherPool,
    ProductAtHand,
    Questions,
    Strength,
    Volume,
)

AT = 1_790_000_000
DAY = 86400
ALL = frozenset({"*"})
# Substance, purpose, strengths in % by weight or g/L, jug.
SHELF: tuple[tuple[str, str, tuple[float, float], str], ...] = (
    ("sodium-hypochlorite", "raise-chlorine", (40.0, 190.0), "g-l"),
    ("calcium-hypochlorite", "raise-chlorine", (50.0, 78.0), "percent-w-w"),
    ("sodium-dichloroisocyanurate", "raise-chlorine", (52.0, 63.0), "percent-w-w"),
    ("trichloroisocyanuric-acid", "raise-chlorine", (85.0, 91.0), "percent-w-w"),
    ("hydrochloric-acid", "lower-ph", (60.0, 420.0), "g-l"),
    ("sodium-bisulfate", "lower-ph", (85.0, 99.0), "percent-w-w"),
    ("sulfuric-acid", "lower-ph", (30.0, 98.0), "percent-w-w"),
    ("sodium-bicarbonate", "raise-alkalinity", (95.0, 100.0), "percent-w-w"),
    ("sodium-carbonate", "raise-ph", (95.0, 100.0), "percent-w-w"),
    ("calcium-chloride", "raise-calcium", (72.0, 98.0), "percent-w-w"),
)
CHLORINES = tuple(row[0] for row in SHELF[:4])
LIQUIDS = ("sodium-hypochlorite", "hydrochloric-acid")
# The question's key, the parameter, and where its target may lie.
FIGURES: tuple[tuple[str, str, tuple[float, float], float], ...] = (
    ("free_chlorine_mg_l", "free_chlorine", (0.5, 2.5), 1.5),
    ("ph", "ph", (7.1, 7.3), 0.5),
    ("total_alkalinity_mg_l", "total_alkalinity", (60, 100), 60),
    ("calcium_hardness_mg_l", "calcium_hardness", (80, 250), 200),
    ("cyanuric_acid_mg_l", "cyanuric_acid", (0, 20), 40),
)


@dataclass(frozen=True)
class Situation:
    """One situation.

    Attributes
    ----------
    kind : str
        site or alone.
    made : str
        What was done to it.
    refuse : bool
        Whether no amount may come out of it.
    request : AdviceRequest or None
        A site's request.
    may_dose : frozenset of str
        What the person may dose.
    question : dict
        A question that stands alone.
    water : dict
        Its readings as numbers by parameter.
    """

    kind: str
    made: str
    refuse: bool
    request: AdviceRequest | None = None
    may_dose: frozenset[str] = ALL
    question: dict[str, Any] = field(default_factory=dict)
    water: dict[str, float] = field(default_factory=dict)


def draw_water(draw: random.Random) -> dict[str, float]:
    """Draw a water as pools have it, and now and then one as they should not."""
    wide = draw.random() < 0.15
    return {
        "ph": round(draw.uniform(6.2, 9.0) if wide else draw.uniform(6.9, 8.2), 2),
        "temperature_c": round(draw.uniform(12, 40), 1),
        "total_alkalinity": float(draw.randint(5, 350) if wide else draw.randint(40, 180)),
        "calcium_hardness": float(draw.randint(10, 900) if wide else draw.randint(60, 400)),
        "cyanuric_acid": float(draw.choice((0, 0, draw.randint(0, 60), draw.randint(0, 150)))),
        "salt": float(draw.choice((0, 0, 500, draw.randint(0, 6000)))),
        "free_chlorine": round(draw.uniform(0, 8) if wide else draw.uniform(0.2, 3.2), 2),
    }


def draw_targets(draw: random.Random) -> dict[str, tuple[str, str]]:
    """Draw a site's targets: free and pH always, the others as a rule."""
    found = {}
    for _, parameter, (low, high), width in FIGURES:
        if parameter in ("free_chlorine", "ph") or draw.random() < 0.7:
            start = draw.uniform(low, high)
            end = start + draw.uniform(0.4, 1) * width
            found[parameter] = (f"{start:.2f}", f"{end:.2f}")
    if draw.random() < 0.2:
        found["saturation_index"] = ("-0.4", "0.4")
    return found


def draw_limits(draw: random.Random) -> dict[str, tuple[str, str]]:
    """Draw what the rules allow."""
    limits = {
        "free_chlorine": (
            f"{draw.uniform(0.2, 1.2):.1f}",
            draw.choice(("", "3.0", "5.0", f"{draw.uniform(2.5, 10):.1f}")),
        ),
        "ph": (draw.choice(("6.8", "7.0", "7.2")), draw.choice(("7.6", "7.8", "8.0"))),
    }
    if draw.random() < 0.4:
        limits["cyanuric_acid"] = ("", draw.choice(("30", "50", "100")))
    if draw.random() < 0.3:
        limits["total_alkalinity"] = (draw.choice(("40", "60")), draw.choice(("", "200")))
    return limits


def draw_shelf(draw: random.Random) -> list[dict[str, Any]]:
    """Draw the products at hand: one of each purpose as a rule, some of them awkward."""
    found = []
    mine = draw.choice(CHLORINES[:3]) if draw.random() < 0.95 else ""
    for substance, purpose, (low, high), unit in SHELF:
        share = 0.06 if substance in CHLORINES and substance != mine else 0.75
        if draw.random() < (1.0 if substance == mine else share):
            by_weight = substance in LIQUIDS and draw.random() < 0.3
            strength = draw.uniform(low, high)
            density = 1.0 + strength / 2200
            product: dict[str, Any] = {
                "substance": substance,
                "purpose": purpose,
                "strength": strength / density / 10 if by_weight else strength,
                "unit": "percent-w-w" if by_weight else unit,
                "density": density if by_weight or draw.random() < 0.3 else None,
            }
            if draw.random() < 0.35:
                product["scoop"] = draw.choice((10, 50, 100, 250, 500, 1000, 5000))
            if draw.random() < 0.4:
                product["stock"] = draw.choice((0, 100, 2000, 25000, draw.randint(0, 200000)))
            if draw.random() < 0.5:
                product["price"] = round(draw.uniform(0.3, 6), 2)
            found.append(product)
    return found


def reading(parameter: str, number: float) -> dict[str, Any]:
    """Write one reading in normal form."""
    return {
        "parameter": parameter,
        "value": f"{number:.2f}",
        "dilution": 1,
        "point": "",
        "at": None,
        "uncertainty": None,
        "kit": "",
    }


def at_hand(index: int, product: dict[str, Any]) -> ProductAtHand:
    """Write a drawn product as a site registers it."""
    liquid = product["substance"] in LIQUIDS
    unit = "mL" if liquid else "g"
    fed = product["substance"] in ("trichloroisocyanuric-acid", "sulfuric-acid")

    def portion(name: str) -> tuple[str, str]:
        return (f"{product[name]}", unit) if name in product else ("", "")

    return ProductAtHand(
        id=f"p{index}",
        substance=product["substance"],
        name=f"Product {index}",
        method="feeder-only" if fed else "by-hand",
        approved=(product["purpose"],),
        strength=Strength(f"{product['strength']:.3f}", product["unit"], AT - 3 * DAY),
        density_kg_l="" if product["density"] is None else f"{product['density']:.3f}",
        jug=f"jug {index}",
        scoop=portion("scoop"),
        stock=portion("stock"),
        price=(f"{product['price']:.2f}", "L" if liquid else "kg")
        if "price" in product
        else ("", ""),
    )


def site_situation(draw: random.Random) -> Situation:
    """Draw a site's round that nothing stands against but its own water and products."""
    water = draw_water(draw)
    pool = {
        "kind": draw.choice(("pool", "pool", "leisure", "teaching", "wave")),
        "location": draw.choice(("indoor", "outdoor", "roofed")),
        "disinfectant": "chlorine",
        "stabiliser": draw.choice(("used", "not-used", "used")),
        "water": draw.choice(("fresh", "fresh", "salt")),
        "coagulant": draw.choice(("none", "aluminium")),
    }
    if pool["stabiliser"] == "not-used":
        water["cyanuric_acid"] = 0.0
    readings = [reading(name, number) for name, number in water.items()]
    readings.append(reading("total_chlorine", water["free_chlorine"] + 0.1))
    readings.append(reading("clarity", 0.0) | {"value": "visible"})
    readings.append(reading("circulation", 0.0) | {"value": "running"})
    shelf = draw_shelf(draw)
    mine = [row["substance"] for row in shelf if row["substance"] in CHLORINES]
    cubic = f"{draw.choice((6, 25, 60, 150, 400, 1000, 2500))}"
    request = AdviceRequest(
        at=AT,
        case={
            "purpose": "round",
            "pool": pool,
            "readings": readings,
            "history": [],
            "at": AT - 600,
        },
        questions=Questions("yes", "yes", "no", "yes"),
        taken_at=AT - 600,
        late=False,
        targets=draw_targets(draw),
        limits=draw_limits(draw),
        volume=Volume(of="pool", m3=cubic, known=draw.choice(("meter", "drawing")), accepted=False),
        feeder=draw.choice(mine) if mine else "sodium-hypochlorite",
        products=tuple(at_hand(index, product) for index, product in enumerate(shelf)),
        blocks=(),
        mixing_s=draw.choice((None, 2400, 7200)),
        dye_test=draw.random() < 0.5,
    )
    return Situation("site", "complete", refuse=False, request=request, water=water)


def alone_situation(draw: random.Random) -> Situation:
    """Draw a question that stands alone and lacks nothing."""
    water = draw_water(draw)
    key_of = {parameter: key for key, parameter, _, _ in FIGURES}
    question: dict[str, Any] = {
        key_of.get(name, "salt_mg_l" if name == "salt" else name): number
        for name, number in water.items()
    }
    question["volume_m3"] = draw.choice((6, 25, 60, 150, 400.5, 1000, 2500))
    question["volume_known"] = draw.choice(("meter", "drawing", "guess"))
    bands = {name: [float(low), float(high)] for name, (low, high) in draw_targets(draw).items()}
    question["targets"] = {key_of.get(name, name): band for name, band in bands.items()}
    if draw.random() < 0.8:
        question["limits"] = {
            key_of[name]: [float(end) if end else None for end in band]
            for name, band in draw_limits(draw).items()
        }
    question["pool"] = {
        "kind": draw.choice(("pool", "leisure")),
        "location": draw.choice(("indoor", "outdoor")),
        "stabiliser": draw.choice(("used", "not-used")),
    }
    question["products"] = [as_question(product) for product in draw_shelf(draw)]
    if draw.random() < 0.3:
        question["fresh_water"] = {
            "ph": 7.8,
            "temperature_c": 12,
            "total_alkalinity_mg_l": draw.randint(20, 200),
            "calcium_hardness_mg_l": draw.randint(20, 200),
        }
    if draw.random() < 0.2:
        question["products"].append(
            {"product": "sodium-thiosulfate", "strength_percent_w_w": 63.7, "approved": True}
        )
    return Situation("alone", "complete", refuse=False, question=question, water=water)


def as_question(product: dict[str, Any]) -> dict[str, Any]:
    """Write a drawn product as a question names it."""
    liquid = product["substance"] in LIQUIDS
    key = "strength_g_l" if product["unit"] == "g-l" else "strength_percent_w_w"
    found: dict[str, Any] = {
        "product": product["substance"],
        key: round(product["strength"], 3),
        "approved": True,
    }
    if product["density"] is not None:
        found["density_kg_l"] = round(product["density"], 3)
    for name in ("scoop", "stock"):
        if name in product:
            found[name] = {"amount": product[name], "unit": "mL" if liquid else "g"}
    if "price" in product:
        found["price"] = product["price"]
    return found


# --- what is taken away, or turned against it ----------------------------------------------------


def without_reading(situation: Situation, draw: random.Random) -> Situation:
    """Take one of the readings away without which nothing may be added."""
    name = draw.choice(("free_chlorine", "ph", "total_alkalinity", "temperature_c"))
    if situation.request is None:
        key = f"{name}_mg_l" if name in ("free_chlorine", "total_alkalinity") else name
        left = {each: value for each, value in situation.question.items() if each != key}
        return replace(situation, refuse=True, question=left)
    case = situation.request.case
    rows = [row for row in case["readings"] if row["parameter"] != name]
    return with_request(situation, case={**case, "readings": rows})


def without_volume(situation: Situation, draw: random.Random) -> Situation:
    """Take the volume away."""
    if situation.request is None:
        volume = draw.choice((None, 0))
        return replace(situation, refuse=True, question={**situation.question, "volume_m3": volume})
    volume_left = draw.choice((Volume(), Volume(of="pool"), Volume(m3="400", known="meter")))
    return with_request(situation, volume=volume_left)


def without_targets(situation: Situation, draw: random.Random) -> Situation:
    """Take the targets away."""
    if situation.request is None:
        left = {key: value for key, value in situation.question.items() if key != "targets"}
        return replace(situation, refuse=True, question=left)
    targets = dict(situation.request.targets)
    del targets[draw.choice(("free_chlorine", "ph"))]
    return with_request(situation, targets=targets)


def without_strengths(situation: Situation, draw: random.Random) -> Situation:
    """Take every strength away, or let it be undated or absurd."""
    if situation.request is None:
        if not situation.question["products"]:
            return situation
        bare = [
            {key: value for key, value in row.items() if not key.startswith("strength")}
            for row in situation.question["products"]
        ]
        return replace(situation, refuse=True, question={**situation.question, "products": bare})
    spoilt = draw.choice((Strength(), Strength("120", "g-l"), Strength("9000", "percent-w-w", AT)))
    products = tuple(replace(row, strength=spoilt) for row in situation.request.products)
    return with_request(situation, products=products)


def badly_answered(situation: Situation, draw: random.Random) -> Situation:
    """Answer one of the four questions as it must not be."""
    answers = ["yes", "yes", "no", "yes"]
    place = draw.randrange(4)
    bad = ("", "unknown", "yes" if place == 2 else "no")
    answers[place] = draw.choice(bad)
    return with_request(situation, questions=Questions(*answers))


def in_the_way(situation: Situation, draw: random.Random) -> Situation:
    """Put something in the way that stands on record, or leave it unknown."""
    block = {"id": "wait-running", "why": "A wait runs.", "do": "Wait."}
    changes: tuple[dict[str, Any], ...] = (
        {"blocks": (block,)},
        {"blocks": None},
        {"limits": None},
        {"late": True},
        {"late": None},
        {"taken_at": AT - 2 * 3600},
        {"taken_at": None},
        {"ages": replace(AgeLimits(), reading_s=60)},
    )
    return with_request(situation, **draw.choice(changes))


def another_pool(situation: Situation, draw: random.Random) -> Situation:
    """Let it go through the plant into a pool that was not tested, or is not dosed."""
    assert situation.request is not None
    volume = replace(situation.request.volume, of="circuit", balance_tank="included", shared=("b",))
    facts = {**situation.request.case["pool"], "kind": draw.choice(("pool", "cold-plunge"))}
    rows = [reading("ph", 7.4)] if facts["kind"] == "pool" else [reading("free_chlorine", 1.0)]
    others = (OtherPool("B", facts, tuple(rows), AT - 600, late=False),)
    return with_request(situation, volume=volume, others=draw.choice(((), others)))


def another_kind(situation: Situation, draw: random.Random) -> Situation:
    """Make it a pool that no amounts are made for."""
    facts = draw.choice(
        (
            {"disinfectant": "bromine"},
            {"disinfectant": "other"},
            {"water": "sea"},
            {"kind": "spa"},
            {"kind": "spray"},
            {"kind": "cold-plunge"},
        )
    )
    if situation.request is None:
        pool = {**situation.question["pool"], **facts}
        return replace(situation, refuse=True, question={**situation.question, "pool": pool})
    case = situation.request.case
    return with_request(situation, case={**case, "pool": {**case["pool"], **facts}})


def a_stranger(situation: Situation, draw: random.Random) -> Situation:
    """Let somebody ask whose competence covers nothing here."""
    covered = draw.choice((frozenset(), frozenset({"sodium-sulfite"})))
    return replace(situation, refuse=True, may_dose=covered)


def absurd_target(situation: Situation, draw: random.Random) -> Situation:
    """Ask for a water that no pool is kept at, with no limits that would allow it."""
    name, band = draw.choice(
        (("ph", [5.0, 5.5]), ("ph", [8.6, 9.5]), ("free_chlorine_mg_l", [12.0, 15.0]))
    )
    asked = {key: value for key, value in situation.question.items() if key != "limits"}
    targets = {**asked["targets"], name: band}
    return replace(situation, refuse=True, question={**asked, "targets": targets})


def without_ph_band(situation: Situation, draw: random.Random) -> Situation:
    """Leave pH without a target and without limits: every product moves it."""
    asked = {key: value for key, value in situation.question.items() if key != "limits"}
    others = {key: band for key, band in asked["targets"].items() if key != "ph"}
    more = draw.choice(({}, {"saturation_index": [-1.5, -1.2]}))
    return replace(situation, refuse=True, question={**asked, "targets": others | more})


def reads_none(situation: Situation, draw: random.Random) -> Situation:
    """Let free read none: it may be bleached."""
    free = draw.choice((0, 0.02, 0.05))
    asked = {**situation.question, "free_chlorine_mg_l": free}
    return replace(situation, refuse=True, question=asked)


def of_two_chlorines(situation: Situation, draw: random.Random) -> Situation:
    """Put two kinds of chlorine at hand, beside a feeder that holds none or is not spoken of."""
    both = [
        {"product": "sodium-hypochlorite", "strength_g_l": 120, "approved": True},
        {"product": "calcium-hypochlorite", "strength_percent_w_w": 65, "approved": True},
    ]
    asked = {**situation.question, "products": both}
    feeder = draw.choice(({}, {"feeder": "none"}))
    asked.pop("fresh_water", None)
    return replace(situation, refuse=True, question=asked | feeder)


def with_request(situation: Situation, **changes: Any) -> Situation:
    """Change a site's request into one that may not be answered with an amount."""
    assert situation.request is not None
    return replace(situation, refuse=True, request=replace(situation.request, **changes))


Change = Callable[[Situation, random.Random], Situation]
TO_EITHER: tuple[Change, ...] = (
    without_reading,
    without_volume,
    without_targets,
    without_strengths,
    another_kind,
)
TO_A_QUESTION: tuple[Change, ...] = (absurd_target, without_ph_band, reads_none, of_two_chlorines)
TO_A_SITE: tuple[Change, ...] = (badly_answered, in_the_way, another_pool, a_stranger)
SHARE_COMPLETE = 0.6


def draw_situation(draw: random.Random) -> Situation:
    """Draw a situation: complete as a rule, else with one thing wrong."""
    site = draw.random() < 0.4
    situation = site_situation(draw) if site else alone_situation(draw)
    if draw.random() < SHARE_COMPLETE:
        return shared_jugs(situation, draw) if site and draw.random() < 0.1 else situation
    changes = (*TO_EITHER, *(TO_A_SITE if site else TO_A_QUESTION))
    change = draw.choice(changes)
    return replace(change(situation, draw), made=change.__name__)


def shared_jugs(situation: Situation, draw: random.Random) -> Situation:
    """Let two products of a site share a jug; neither may be planned then."""
    assert situation.request is not None
    products = situation.request.products
    if len(products) < 2:
        return situation
    one, other = draw.sample(range(len(products)), 2)
    jug = products[one].jug
    changed = tuple(
        replace(row, jug=jug) if index == other else row for index, row in enumerate(products)
    )
    return replace(
        situation, made="shared_jugs", request=replace(situation.request, products=changed)
    )
