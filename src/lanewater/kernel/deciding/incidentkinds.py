"""What each kind of incident stops, asks to be done, in which order, and what must be met to end.

Where a step comes from stands beside it: the trade's facts, the rules seen, or common practice.
No step sets a pump going by itself, says that a gas area may be entered, or ends by a number that
is ours: glass, a spill, gas and an injury end on a named person's word. A step waits for the ones
named in NEEDS; in the kinds of STRICT each waits for the one before it, and counts only after it.
"""

# So many minutes without lightning or thunder where a site set none: widely used, no rule seen.
QUIET_MINUTES = 30

# Steps of a contamination. Everyone out of every pool on the filter: closure scope of NSW,
# Victoria, CDC and New York (seen). Removed, never vacuumed: CDC 2001 (seen). Tools: common
# practice. Filter on: CDC (seen). Free chlorine and pH as found: records asked for by Maine, VSP
# and Wichita (seen). pH before chlorine, and what is raised has to come down again: the pH dye is
# spoiled at 20 mg/L, and Quebec s.5 asks for 2.0 or less indoors (seen). Clock from a reading at
# the target, lowest of the points: MAHC, CDC 2001 (seen). Filter washed to waste: CDC, NSW (seen).
FOUL_STEPS = (
    "people-out",
    "remove-it",
    "tools-clean",
    "pump-on",
    "water-read",
    "ask-authority",
    "route",
    "overshoot",
    "ph-first",
    "stabiliser-first",
    "raise-chlorine",
    "contact-time",
    "filter-washed",
    "water-word",
    "water-back",
)
# Vomit and blood: the deck as well. Common practice.
FOUL_ON_DECK = (
    "people-out",
    "deck-clean",
    "pump-on",
    "water-read",
    "ask-authority",
    "route",
    "overshoot",
    "ph-first",
    "stabiliser-first",
    "raise-chlorine",
    "contact-time",
    "water-word",
    "water-back",
)
FOUL_CRITERIA = (
    "steps-done",
    "rules-hold-no-procedure",
    "procedure-known",
    "route-chosen",
    "contact-time",
    "water-meets",
)

INCIDENTS = {
    "formed-stool": {
        "stop": "stool",
        "scope": "circuit",
        "contamination": "formed-stool",
        "steps": FOUL_STEPS,
        "criteria": FOUL_CRITERIA,
    },
    "diarrhoea": {
        "stop": "stool",
        "scope": "circuit",
        "contamination": "diarrhoea",
        "steps": FOUL_STEPS,
        "criteria": FOUL_CRITERIA,
    },
    "vomit": {
        "stop": "vomit",
        "scope": "circuit",
        "contamination": "vomit",
        "steps": FOUL_ON_DECK,
        "criteria": FOUL_CRITERIA,
    },
    "blood": {
        "stop": "blood",
        "scope": "circuit",
        "contamination": "blood",
        "steps": FOUL_ON_DECK,
        "criteria": FOUL_CRITERIA,
    },
    # No procedure for it was seen in any rules: as they hold, else a named person asks.
    "dead-animal": {
        "stop": "other",
        "scope": "circuit",
        "contamination": "",
        "steps": FOUL_STEPS,
        "criteria": FOUL_CRITERIA,
    },
    # Common practice: nobody barefoot, the whole floor looked over, drained where it must be.
    "glass": {
        "stop": "glass",
        "scope": "pool",
        "contamination": "",
        "steps": ("people-out", "glass-gathered", "glass-searched", "glass-word"),
        "criteria": ("steps-done", "named-word"),
    },
    # Label and data sheet first, an unlabelled product stays where it is; barrier; people away:
    # the trade's cautions (Basingstoke 2021, CDC list: seen).
    "chemical-spill": {
        "stop": "spill",
        "scope": "circuit",
        "contamination": "",
        "steps": (
            "people-out",
            "spill-named",
            "help-called",
            "spill-treated",
            "spill-word",
            "water-word",
            "two-point-test",
        ),
        "criteria": ("steps-done", "named-word", "two-point-round"),
    },
    # Nobody goes in to look; who may say that it can be entered is no program, and no tester:
    # MMWR 66(19), Ipswich 2012, gas cautions of the trade (seen). The feeders after that.
    "gas": {
        "stop": "smell-or-gas",
        "scope": "site",
        "contamination": "",
        "steps": (
            "people-out",
            "nobody-back",
            "emergency-called",
            "people-counted",
            "gas-word",
            "feeders-off",
            "ventilated",
            "water-word",
            "two-point-test",
        ),
        "criteria": ("steps-done", "named-word", "two-point-round"),
    },
    # Exactly in this order: California 2008 to 2015, MMWR 66(19) (seen). The authorised person,
    # last, is who ends the incident.
    "circulation-failure": {
        "stop": "circulation-stopped",
        "scope": "circuit",
        "contamination": "",
        "steps": (
            "people-out",
            "feeders-off",
            "ventilated",
            "pump-nobody-in",
            "purged",
            "water-word",
            "two-point-test",
        ),
        "criteria": ("steps-done", "two-point-round"),
    },
    # The same once power is back and stays; until then people are kept away in the dark: common
    # practice.
    "power-failure": {
        "stop": "circulation-stopped",
        "scope": "site",
        "contamination": "",
        "steps": (
            "people-out",
            "feeders-off",
            "power-back",
            "ventilated",
            "pump-nobody-in",
            "purged",
            "water-word",
            "two-point-test",
        ),
        "criteria": ("steps-done", "two-point-round"),
    },
    # The feed stopped by hand; read diluted; what takes chlorine out is added in portions, never
    # to zero: the trade's cautions.
    "overdose": {
        "stop": "other",
        "scope": "circuit",
        "contamination": "",
        "steps": (
            "people-out",
            "feed-stopped",
            "read-diluted",
            "brought-down",
            "water-word",
            "two-point-test",
        ),
        "criteria": ("steps-done", "two-point-round"),
    },
    # Minutes since it was last seen or heard, by the site's own setting; each time begins anew.
    # Common practice: no rule was seen. Showers and wet decks as well: common practice.
    "thunder": {
        "stop": "lightning",
        "scope": "site",
        "contamination": "",
        "steps": ("people-out", "deck-empty", "quiet"),
        "criteria": ("steps-done", "quiet"),
    },
    # People first, no diagnosis; then feeders, air and water; who else is to be told is in the
    # rules: the trade's 22nd question.
    "complaints": {
        "stop": "smell-or-gas",
        "scope": "circuit",
        "contamination": "",
        "steps": (
            "people-out",
            "fresh-air",
            "people-counted",
            "feeders-looked-at",
            "air-looked-at",
            "water-read",
            "complaint-word",
            "water-word",
            "two-point-test",
        ),
        "criteria": ("steps-done", "named-word", "two-point-round"),
    },
    # Help first; nothing is tidied, the water as it was is read: a coroner may ask (common
    # practice).
    "injury": {
        "stop": "other",
        "scope": "pool",
        "contamination": "",
        "steps": ("people-out", "help-called", "left-as-is", "water-read", "injury-word"),
        "criteria": ("steps-done", "named-word"),
    },
}

STRICT = ("gas", "circulation-failure", "power-failure")
# How long circulation stood still is told of these.
STANDS_STILL = ("circulation-failure", "power-failure")
# Read from the record, never ticked.
MEASURED = (
    "water-read",
    "route",
    "ph-first",
    "stabiliser-first",
    "contact-time",
    "water-back",
    "two-point-test",
    "read-diluted",
    "quiet",
)
# May be answered as not needed; no other step may.
MAY_BE_LEFT = (
    "remove-it",
    "tools-clean",
    "deck-clean",
    "filter-washed",
    "help-called",
    "spill-treated",
    "brought-down",
    "deck-empty",
)
# Count only as the words of somebody on the list who is signed in.
NAMED = (
    "ask-authority",
    "water-word",
    "glass-word",
    "spill-word",
    "gas-word",
    "complaint-word",
    "injury-word",
)
# The words that end a kind: not our number, a person's name.
ENDING_WORDS = ("glass-word", "spill-word", "gas-word", "complaint-word", "injury-word")
# Only where the rules hold a procedure that may be used, and only where they hold none.
WITH_PROCEDURE = (
    "route",
    "overshoot",
    "ph-first",
    "raise-chlorine",
    "contact-time",
    "filter-washed",
)
WITHOUT_PROCEDURE = ("ask-authority",)
WITH_CRITERIA = ("procedure-known", "route-chosen", "contact-time")
WITHOUT_CRITERIA = ("rules-hold-no-procedure",)
# What a step waits for beside the people, where those steps are asked for at all.
NEEDS = {
    "overshoot": ("route",),
    "raise-chlorine": ("route", "overshoot", "ph-first", "stabiliser-first"),
    "filter-washed": ("contact-time",),
    "glass-word": ("glass-gathered", "glass-searched"),
    "spill-word": ("spill-named", "spill-treated"),
    "brought-down": ("feed-stopped", "read-diluted"),
    "complaint-word": ("fresh-air", "feeders-looked-at", "air-looked-at"),
    "injury-word": ("help-called",),
}
# A test shows something only after these; the last of them that is done counts.
TEST_AFTER = (
    "purged",
    "pump-nobody-in",
    "ventilated",
    "spill-treated",
    "feed-stopped",
    "brought-down",
)
