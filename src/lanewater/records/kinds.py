"""The kinds of entries: what the body of each may hold."""

from __future__ import annotations

import re

from lanewater.records.kinds_events import CLOSURE, EVENT_KINDS
from lanewater.terms.parameters import PARAMETERS
from lanewater.terms.shapes import (
    Check,
    Shape,
    anything,
    date,
    decimal,
    either,
    flag,
    identity,
    instant,
    list_of,
    map_of,
    matching,
    name,
    one_of,
    text,
    time_of_day,
    whole,
    words,
)
from lanewater.terms.words import POOL_FACTS, ROLES, VERDICTS

SOURCES = ("direct", "late", "paper")
VOLUME_KNOWN = ("meter", "drawing", "guess")
KIT_KINDS = ("photometer", "comparator", "titration", "strips")
METHODS = ("by-hand", "feeder-only", "never-by-hand")
STRENGTH_UNITS = ("percent-w-w", "percent-w-v", "g-l")
PORTION_UNITS = ("g", "kg", "mL", "L")
PRICE_UNITS = ("kg", "L")
DELEGATED = ("open",)
HOUSE_STOPS = (
    "bottom-not-seen",
    "bottom-cannot-tell",
    "circulation-stopped",
    "hot-pool",
    "disinfectant-none",
    "disinfectant-over-range",
    "smell-or-gas",
    "stool",
    "vomit",
    "blood",
    "glass",
    "spill",
    "drain-cover",
    "lightning",
    "other",
)
DEVICE_KINDS = ("shell", "server", "shared", "office")
ALGORITHMS = ("ed25519", "ecdsa-p256", "none")
SENT_HOW = ("print", "e-mail", "screen", "file")

SUBSTANCE = re.compile(r"[a-z0-9-]{1,48}|other:[A-Za-z0-9 ._-]{1,48}", re.ASCII)
VALUE = re.compile(r"[<>]?-?\d{1,9}([.,]\d{1,6})?", re.ASCII)
# Ed25519: 32 bytes; P-256: the point without compression, 65 bytes.
PUBLIC_KEY = re.compile(r"([0-9a-f]{64}|04[0-9a-f]{128})?", re.ASCII)
SIGNATURE = re.compile(r"[0-9a-f]{128}", re.ASCII)
DIGEST = re.compile(r"[0-9a-f]{64}", re.ASCII)
POINT = text(60)

substance = matching(SUBSTANCE, "a product id such as sodium-hypochlorite, or other:NAME")
told_in_words = sorted({word for item in PARAMETERS.values() for word in item.words})
reading_value = either(
    one_of(*told_in_words),
    matching(VALUE, 'a reading as typed, such as "1.52", ">5.00", or one of the words'),
)
parameter = one_of(*PARAMETERS)
public_key = matching(PUBLIC_KEY, "a public key in hexadecimal digits")
count = whole(0, 2**53 - 1)
digest = matching(DIGEST, "64 hexadecimal digits")
open_list = list_of(anything, 200)
fact = either(flag, whole(-(10**9), 10**9), text(120))

READING = Shape(
    {"parameter": parameter, "value": reading_value},
    {
        "unit": text(20),
        "point": POINT,
        "at": instant,
        "kit": identity,
        "lot": text(40),
        "dilution": whole(1, 1000),
        "uncertainty": decimal,
        "between": Shape({"low": decimal, "high": decimal}),
    },
)
CHANGED = Shape({"parameter": parameter, "value": reading_value}, {"point": POINT, "at": instant})
TESTER = either(Shape({"unlisted": flag}), Shape({"person": identity}))
TARGET = Shape({"parameter": parameter, "low": decimal, "high": decimal})
HOURS = Shape({"day": whole(0, 6), "opens": time_of_day, "closes": time_of_day})
RANGE = Shape(
    {"parameter": parameter},
    dict.fromkeys(
        ("low", "high", "step", "uncertainty", "error_absolute", "error_percent"), decimal
    ),
)
STRENGTH = Shape({"value": decimal, "unit": one_of(*STRENGTH_UNITS), "on": date})
SCOOP = Shape({"amount": decimal, "unit": one_of(*PORTION_UNITS)})
STOCK = Shape({"amount": decimal, "unit": one_of(*PORTION_UNITS), "on": date})
PRICE = Shape({"amount": decimal, "per": one_of(*PRICE_UNITS)})
COMPETENCE = Shape(
    {"covers": one_of("hand-dosing"), "product": either(one_of("*"), substance), "from": date},
    {"until": date, "evidence": text(200)},
)

# What a tester was shown on a device that judged by itself; the server judges again.
SHOWN = Shape({"overall": one_of(*VERDICTS)}, {"rules": text(96), "engine": text(40)})

# A head of the log: how many lines, and the root of their tree.
HEAD = {"size": count, "root": digest}

POOL = Shape(
    {
        "pool": identity,
        "name": name,
        "facts": Shape(
            {},
            {key: one_of(*allowed, "unknown") for key, allowed in POOL_FACTS.items()}
            | {"risk_class": text(40), "facts": map_of(fact, 60)},
        ),
    },
    {
        "circuit": identity,
        "volume_m3": decimal,
        "volume_typed": Shape({"value": decimal, "unit": text(12)}),
        "volume_known": one_of(*VOLUME_KNOWN),
        "surface_m2": decimal,
        "targets": list_of(TARGET, 20),
        "hours": list_of(HOURS, 42),
        "interval_minutes": whole(5, 10080),
        "before_opening_minutes": whole(1, 1440),
        "points": list_of(text(60, shortest=1), 20),
    },
)
CIRCUIT = Shape(
    {"circuit": identity, "name": name},
    {
        "volume_m3": decimal,
        "volume_typed": Shape({"value": decimal, "unit": text(12)}),
        "volume_known": one_of(*VOLUME_KNOWN),
        "balance_tank": one_of("included", "not-included", "none"),
        "mixing_minutes": whole(1, 10080),
        "dye_test": date,
        "feeder": substance,
    },
)
KIT = Shape(
    {"kit": identity, "name": name, "kind": one_of(*KIT_KINDS)},
    {
        "ranges": list_of(RANGE, 40),
        "total_stand_s": whole(1, 3600),
        "ph_free_chlorine_limit": decimal,
        "accepted": flag,
        "verified_on": date,
    },
)
REAGENT = Shape(
    {"reagent": identity, "parameter": parameter, "lot": text(40, shortest=1), "expires_on": date},
    {"kit": identity, "opened_on": date},
)
PRODUCT = Shape(
    {"product": identity, "substance": substance, "name": name, "method": one_of(*METHODS)},
    {
        "strength": STRENGTH,
        "density_kg_l": decimal,
        "excess_caustic": decimal,
        "approved": list_of(Shape({"pool": identity, "purpose": text(60, shortest=1)}), 100),
        "jug": text(60),
        "scoop": SCOOP,
        "stock": STOCK,
        "price": PRICE,
        "lot": text(40),
    },
)
PERSON = Shape(
    {"person": identity, "roles": list_of(one_of(*ROLES), 5)},
    {
        "delegated": list_of(one_of(*DELEGATED), 5),
        "competences": list_of(COMPETENCE, 60),
        "gone": flag,
    },
)

KINDS: dict[str, Check] = {
    "site-set-up": Shape(
        {"name": name, "timezone": text(64, shortest=1)},
        {
            "units": map_of(text(12), 8),
            "demo": flag,
            "telephone_authority": flag,
            "quiet_minutes": whole(1, 240),
        },
    ),
    "rules-chosen": Shape({"rules": either(one_of("none"), identity)}, {"pool": identity}),
    "pool-set-up": POOL,
    "circuit-set-up": CIRCUIT,
    "kit-registered": KIT,
    "reagent-registered": REAGENT,
    "product-registered": PRODUCT,
    "person-added": PERSON,
    "person-changed": PERSON,
    "device-enrolled": Shape(
        {
            "device": identity,
            "name": name,
            "kind": one_of(*DEVICE_KINDS),
            "algorithm": one_of(*ALGORITHMS),
        },
        {"public_key": public_key},
    ),
    "device-revoked": Shape({"device": identity}, {"lost_at": instant}),
    "log-key-named": Shape(
        {"algorithm": one_of("ed25519"), "public_key": public_key},
        {"replaces": public_key, "word": matching(SIGNATURE, "128 hexadecimal digits")},
    ),
    "round-recorded": Shape(
        {
            "pool": identity,
            "source": one_of(*SOURCES),
            "tester": TESTER,
            "readings": list_of(READING, 120, least=1),
        },
        {
            "purpose": one_of("round", "sample"),
            "changed_after_result": list_of(CHANGED, 60),
            "bathers": whole(0, 100000),
            "note": words,
            "repeats": identity,
            "shown": SHOWN,
        },
    ),
    "reading-corrected": Shape(
        {
            "pool": identity,
            "round": identity,
            "parameter": parameter,
            "was": reading_value,
            "value": reading_value,
        },
        {"point": POINT, "unit": text(20), "dilution": whole(1, 1000)},
    ),
    "round-judged": Shape(
        {
            "pool": identity,
            "round": identity,
            "purpose": one_of("round", "sample"),
            "overall": one_of(*VERDICTS),
            "level": text(20),
            "engine": text(40),
        },
        {
            "stops": open_list,
            "results": open_list,
            "not_judged": open_list,
            "actions": open_list,
            "findings": open_list,
            "next_due": anything,
            "status": text(20),
            "shortened": flag,
            "changed_to_pass": flag,
            "differs_from": one_of(*VERDICTS),
        },
    ),
    "advice-given": Shape(
        {
            "pool": identity,
            "round": identity,
            "product": identity,
            "amount": decimal,
            "unit": text(12, shortest=1),
            "wait_minutes": whole(0, 10080),
        },
        {
            "circuit": identity,
            "substance": substance,
            "low": decimal,
            "high": decimal,
            "scope": one_of("pool", "circuit"),
            "purpose": text(60),
            "place": words,
            "tool": text(120),
            "why": words,
            "questions": anything,
            "targets": anything,
            "borrowed": anything,
            "predicted": anything,
            "assumptions": open_list,
            "cautions": open_list,
            "retest_points": whole(1, 10),
            "engine": text(40),
            "hash": text(96),
        },
    ),
    "addition-started": Shape(
        {"pool": identity, "product": identity},
        {
            "circuit": identity,
            "advice": identity,
            "amount": decimal,
            "unit": text(12, shortest=1),
            "wait_minutes": whole(0, 10080),
            "lot": text(40),
            "scope": one_of("pool", "circuit"),
            "strength": STRENGTH,
            "density_kg_l": decimal,
        },
    ),
    "addition-answered": Shape(
        {"pool": identity, "answer": one_of("added", "not-added", "unknown")},
        {
            "circuit": identity,
            "addition": identity,
            "advice": identity,
            "product": identity,
            "amount": decimal,
            "unit": text(12, shortest=1),
            "wait_minutes": whole(0, 10080),
            "lot": text(40),
            "scope": one_of("pool", "circuit"),
            "strength": STRENGTH,
            "density_kg_l": decimal,
        },
    ),
    "everyone-out": Shape(
        {"pool": identity, "stop": one_of(*HOUSE_STOPS)}, {"nobody_in": flag, "words": words}
    ),
    "house-stop-ended": Shape(
        {"pool": identity, "stops": list_of(identity, 20, least=1)}, {"false_alarm": flag}
    ),
    "pool-opened": Shape(
        {"pool": identity},
        {
            "round": identity,
            "overall": one_of(*VERDICTS),
            "marked": open_list,
            "word_of": identity,
            "standing": identity,
            "criteria": list_of(text(200), 40),
        },
    ),
    "opening-confirmed": Shape({"pool": identity, "opening": identity}),
    "standing-authority-given": Shape(
        {
            "authority": identity,
            "person": identity,
            "pools": list_of(identity, 100, least=1),
            "from": instant,
            "until": instant,
        }
    ),
    "standing-authority-ended": Shape({"authority": identity}),
    "handover-acknowledged": Shape(
        {"made": instant, "open": list_of(text(120), 100)}, {"more": count}
    ),
    "pool-closed": Shape({"pool": identity, "kind": one_of("closed", "shut")}, CLOSURE),
    "told": Shape({"pool": identity, "about": identity, "whom": identity}, {"how": text(60)}),
    "opening-settled": Shape(
        {
            "pool": identity,
            "status": one_of("open", "closed"),
            "entries": list_of(identity, 40, least=1),
        },
        {
            "round": identity,
            "overall": one_of(*VERDICTS),
            "marked": open_list,
            "criteria": list_of(text(200), 40),
        },
    ),
    "record-restored": Shape(HEAD | {"held_size": count, "held_root": digest}),
    "record-exported": Shape(HEAD),
    "backup-made": Shape(HEAD | {"sha256": digest}),
    "stamp-sent": Shape(HEAD | {"how": one_of(*SENT_HOW)}, {"whom": text(200)}),
    "inspection-link-made": Shape({"since": instant, "until": instant, "expires": instant}),
    "person-forgotten": Shape({"person": identity}),
} | EVENT_KINDS
