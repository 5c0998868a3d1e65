"""The English of the sheets."""

from __future__ import annotations

from lanewater.terms.parameters import PARAMETERS

KINDS = {
    "round": "round",
    "sample": "sample",
    "gap": "GAP",
    "quiet": "no test",
    "opened": "opened",
    "closed": "closed",
    "shut": "shut (hours)",
    "everyone-out": "everyone out",
    "stop-ended": "stop ended",
    "started": "adding",
    "addition": "added",
    "told": "told",
    "settled": "settled",
}
AGAINST = {
    "meets": "meets",
    "meets-borderline": "meets, borderline",
    "does-not-meet-borderline": "does not meet, borderline",
    "does-not-meet": "does not meet",
    "close": "rules say close",
    "evacuate": "rules say: everyone out and close",
    "not-judged": "Not judged. Not a pass.",
    "": "not judged yet",
}
COMPARED = {
    "at-least": "at least",
    "at-most": "at most",
    "below": "below",
    "above": "above",
    "equals": "must be",
}
TIMINGS = {
    "on-time": "",
    "late": "late",
    "paper": "from paper",
    "back-dated": "BACK-DATED",
    "sent-later": "sent later",
    "ahead": "TIME AHEAD",
    "clock-off": "CLOCK OFF",
}
TIMINGS_SAID = {
    "late": "says itself that it was written down later",
    "paper": "says itself that it was copied from paper",
    "BACK-DATED": "written more than an hour after the time it claims, and does not say so",
    "sent later": "on record more than an hour after the time it claims; its device says it was"
    " written then",
    "TIME AHEAD": "claims a time after it was on record",
    "CLOCK OFF": "its device's clock was more than ten minutes off",
}
TOLD = {
    "visible": "seen",
    "not-visible": "NOT SEEN",
    "cannot-tell": "can't tell",
    "running": "on",
    "stopped": "STOPPED",
    "unknown": "not known",
}
STOPS = {
    "bottom-not-seen": "bottom not seen",
    "bottom-cannot-tell": "nobody can tell whether the bottom is seen",
    "circulation-stopped": "circulation stopped",
    "hot-pool": "hot pool",
    "disinfectant-none": "no disinfectant",
    "disinfectant-over-range": "disinfectant over the kit's range",
    "smell-or-gas": "smell or gas",
    "stool": "stool",
    "vomit": "vomit",
    "blood": "blood",
    "glass": "glass",
    "spill": "spill",
    "drain-cover": "drain cover",
    "lightning": "lightning",
    "other": "other cause",
}
ANSWERS = {"added": "added", "not-added": "NOT added", "unknown": "not known whether added"}
HEADS = {
    "free_chlorine": "Free",
    "total_chlorine": "Total",
    "combined_chlorine": "Comb.",
    "total_bromine": "Bromine",
    "ph": "pH",
    "temperature_c": "Temp.",
    "clarity": "Bottom",
    "circulation": "Pump",
    "controller_free": "Contr. free",
    "controller_ph": "Contr. pH",
}
METHODS = {"pin": "", "shell": "by command", "none": "not signed in", "device": "", "key": "by key"}
NOT_LISTED = "not listed"
BY_PROGRAM = "lanewater"


def parameter_words(identity: str) -> str:
    """Give the trade's word for a parameter, or the id itself for one it has none for."""
    known = PARAMETERS.get(identity)
    return known.name if known else identity.replace("_", " ")


def limit_words(comparison: str, limit: str) -> str:
    """Say a limit, such as "at least 1.0"."""
    words = {"visible": "seen", "running": "running"}.get(limit, limit)
    return f"{COMPARED.get(comparison, comparison)} {words}"


def stop_words(identity: str) -> str:
    """Say a house stop."""
    return STOPS.get(identity, identity.replace("-", " "))
