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
    "incident": "incident",
    "started": "adding",
    "addition": "added",
    "told": "told",
    "settled": "settled",
    "confirmed": "confirmed",
    "unopened": "NOT OPENED",
    "lifted": "ORDER LIFTED",
    "notice": "sign",
    "deadline": "deadline",
    "duty": "duty",
    "event": "event",
    "other": "set-up",
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
LIMITS_IN_WORDS = {"visible": "seen", "running": "running"}
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
    "from paper": "says itself that it was copied from paper",
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
PRINTED = {
    "demo": "DEMO, not your pool",
    "stamp": "Stamp of the record (its name, how many lines, the print of all of them):",
    "code-alt": "The stamp of the record, signed, as a QR code; its three lines stand beside it.",
    "page": "Page",
    "about": "About this sheet",
    "attached": "The lines of the record that this sheet is made of, with their signatures",
}
EXPLAINED = (
    (
        "Tested is the time as typed. On record says between which times the line came on record:"
        " it is no older than the first, which is when the newest line that its device knew came"
        " in, and no younger than the second. Nothing can prove that a reading was taken when it"
        " says."
    ),
    "A line beside which nothing stands was on record within an hour. {timings}.",
    (
        "GAP rows (hatched): a test was due by the rules or the site's plan, in opening hours, with"
        " the pool not closed on record, and none was done within {grace} of that time."
    ),
    (
        "Not judged is not a pass. A number typed wrong in good time by somebody who may cannot be"
        " seen by any of this."
    ),
    (
        "To check: this file carries the lines it is made of (events.jsonl). Keep the code of an"
        " old print: a record that was changed or cut since does not fit it (lanewater verify)."
    ),
)
LEFT_OUT = (
    "This is an overview: rounds that meet their rules and lie in time, openings and shutting for"
    " the hours are left out. They stand on the sheets of each month; the lines in this file are"
    " all of the period."
)
TOO_MANY = (
    "This is an overview in numbers: more stands out than can be listed on one sheet. It stands on"
    " the sheets of each month; the lines in this file are all of the period."
)
BY_NUMBER = (
    "Signs that this machine's fonts lack, or that show nothing, are shown by their number, as"
    " [U+4E2D]; the lines in this file have them as they were typed."
)
METHODS = {
    "pin": "PIN checked on the device",
    "shell": "by command",
    "none": "not signed in",
    "device": "",
    "key": "by key",
}
NO_AUTHORITY = "WITHOUT AUTHORITY"
UNCONFIRMED = "NOT CONFIRMED"
NOT_LISTED = "not listed"
BY_PROGRAM = "lanewater"


def short_words(identity: str) -> str:
    """Give a parameter in the fewest words, as they stand inside a sentence."""
    head = HEADS.get(identity, parameter_words(identity))
    return head if head == "pH" else head[0].lower() + head[1:]


def parameter_words(identity: str) -> str:
    """Give the trade's word for a parameter, or the id itself for one it has none for."""
    known = PARAMETERS.get(identity)
    return known.name if known else identity.replace("_", " ")


def sentence(whole: str, rest: str) -> str:
    """Put what is said in detail behind what is said of the whole."""
    if not rest:
        return whole
    return f"{whole} {rest}" if whole.endswith(".") else f"{whole}: {rest}"


def limit_words(comparison: str, limit: str) -> str:
    """Say a limit, such as "at least 1.0"."""
    if comparison == "equals" and limit not in LIMITS_IN_WORDS:
        return limit
    return f"{COMPARED.get(comparison, comparison)} {LIMITS_IN_WORDS.get(limit, limit)}"


def stop_words(identity: str) -> str:
    """Say a house stop."""
    return STOPS.get(identity, identity.replace("-", " "))
