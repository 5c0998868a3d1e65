"""The closed lists of words that readings, pools and rules are written in."""

from __future__ import annotations

POOL_FACTS: dict[str, tuple[str, ...]] = {
    "kind": (
        "pool",
        "leisure",
        "teaching",
        "wading",
        "spa",
        "hydrotherapy",
        "plunge",
        "wave",
        "spray",
        "cold-plunge",
    ),
    "location": ("indoor", "outdoor", "roofed"),
    "disinfectant": ("chlorine", "bromine", "other"),
    "stabiliser": ("used", "not-used"),
    "water": ("fresh", "salt", "sea"),
    "supply": ("recirculated", "fill-and-draw", "flow-through"),
    "control": ("manual", "orp", "amperometric"),
    "secondary": ("none", "uv", "ozone", "both"),
    "coagulant": ("none", "aluminium", "iron"),
}

POOL_NUMBERS = ("volume_m3", "circuit_volume_m3", "surface_m2")

CLARITY = ("visible", "not-visible", "cannot-tell")
CIRCULATION = ("running", "stopped", "unknown")

COVERAGE_ITEMS = (
    "disinfectant_minimum",
    "disinfectant_maximum",
    "ph",
    "clarity",
    "combined_chlorine",
    "temperature",
    "test_interval",
)
COVERAGE_STATES = ("limited", "no-limit-set", "not-read")
CORE_COVERAGE = COVERAGE_ITEMS[:4]

LEVELS = ("note", "advise", "correct", "retest", "notify", "close", "evacuate")
STATUSES = ("reviewed", "draft", "secondary", "historic")
EVIDENCE = ("seen", "secondary", "memory", "common-practice")
PURPOSES = ("round", "sample")
CONTAMINATIONS = ("formed-stool", "diarrhoea", "vomit", "blood")
INCIDENT_KINDS = (
    "formed-stool",
    "diarrhoea",
    "vomit",
    "blood",
    "dead-animal",
    "glass",
    "chemical-spill",
    "gas",
    "circulation-failure",
    "power-failure",
    "overdose",
    "thunder",
    "complaints",
    "injury",
)
RULE_SCOPES = ("pool", "circuit", "site")
NOTIFIED = ("authority", "patrons", "manager", "laboratory", "site")
NOTED_EVENTS = ("rain", "dust", "shutdown", "restart", "contamination", "fault", "crowd")

ROLES = ("tester", "duty-manager", "plant-operator", "area-manager", "contractor")
DECISIONS = (
    "record",
    "everyone-out",
    "start-incident",
    "open",
    "end-house-stop",
    "end-incident",
    "close",
    "hand-dose",
    "accept-rules",
    "set-up",
)
DECISION_ANSWERS = ("yes", "no", "delegated", "competent")

DUTY_KINDS = (
    "balance",
    "stabiliser",
    "microbiology",
    "interlock-test",
    "kit-check",
    "controller-check",
    "backwash",
    "drain-cover",
    "emergency-drill",
    "other",
)

VERDICTS = (
    "evacuate",
    "close",
    "does-not-meet",
    "does-not-meet-borderline",
    "not-judged",
    "meets-borderline",
    "meets",
)
