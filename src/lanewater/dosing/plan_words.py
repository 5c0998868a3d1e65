"""The sentences of a plan, in plain words, from the ids that the kernel gives."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.dosing.advice import measured_out
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.terms.parameters import PARAMETERS

STATE_WORDS = {
    "nothing": "Nothing to add: inside the site's targets.",
    "no-plan": "No plan reaches the targets.",
    "feed": "The plant first: raise or lower the feed, wait, test, then plan again.",
    "refused": "No plan now.",
}
FIRST_QUARTER = "A first quarter and nothing else: circulate, wait, test, then look again."
PLACE_WORDS = {
    "circuit-plant": "for the whole circuit, through the plant",
    "by-hand-pool": "by hand into this pool alone, spread, with nobody in",
    "drain-and-refill": "drain, then fill",
}
UNREACHED = {
    "no-product": "no approved product for it at hand",
    "feeder-only": "only the plant may feed it",
    "fresh-water-not-known": "only fresh water brings it down, and the fill water is not known",
    "let-chlorine-fall": "feed down or off, wait, test again",
    "not-tested": "not tested lately; nothing is added for it",
    "not-in-this-plan": "this plan does not reach it; test, then plan again",
    "after-use": "once the added chlorine is used, it ends outside",
    "within-test-error": "past the target by less than the test can tell",
}
BINDING = {
    "stock": "There is not enough {name} in the store.",
    "limit": "{parameter} would leave its limit on the way.",
    "one-unit": "One scoop alone moves {parameter} by more than one addition may.",
    "target": "{parameter} cannot be brought between {low} and {high} together with the rest.",
    "steps": "It takes more than twelve additions. Take the first, test, then plan again.",
}
ASSUMED = {
    "volume": "Volume: {text}.",
    "volume-known": "The volume is known by {text}.",
    "volume-source-not-stated": "How the volume is known is not said: taken as a guess.",
    "half-portions": "The volume is a guess: every portion is given in halves, each tested after.",
    "no-balance-tank": "The volume leaves out the balance tank.",
    "mixing-not-stated": "The mixing time is not known: 30 minutes at least, then two points.",
    "mixing-not-tested": "No dye test on record: how fast it mixes is not known.",
    "limits-not-given": "No limits are given: the targets of free and pH stand for them.",
    "excess-caustic": "Excess caustic of {text}: 0.05.",
    "stock-not-stated": "How much {text} is in the store is not stated.",
    "price-not-stated": "No price of {text}: the least amount is looked for, not the least cost.",
    "disinfectant-not-stated": "The disinfectant is not stated: taken as {text}.",
    "water-not-stated": "Fresh, salt or sea is not stated: taken as {text}.",
    "kind-not-stated": "The kind of pool is not stated: taken as a {text}; no stabilised chlorine.",
    "feeder-not-stated": "What the feeder holds is not stated: taken as the chlorine at hand.",
    "location-not-stated": "Indoor or outdoor is not stated: taken as {text}.",
    "temperature-unchanged": "The temperature stays as it is.",
    "closed-to-air": "Nothing is lost to the air or to the walls between the steps.",
    "chlorine-counted-at-once": "Chlorine counts at once; how much is used is seen by the test.",
    "drained-at-once": "Fresh water is filled in after that much was drained.",
}


def name_of(parameter: str) -> str:
    """Give a parameter's name in words."""
    return "saturation index" if parameter == "saturation_index" else PARAMETERS[parameter].name


def capital(text: str) -> str:
    """Begin a sentence, and leave pH as it is."""
    return text if text.startswith("pH") else text[:1].upper() + text[1:]


def state_words(answer: Mapping[str, Any]) -> str:
    """Say in a line what the plan is."""
    if answer["state"] != "plan":
        return STATE_WORDS[answer["state"]]
    if answer["again"]:
        return FIRST_QUARTER
    count = len(answer["steps"]) + (1 if answer["first"] else 0)
    one = "1 addition" if count == 1 else f"{count} additions"
    return f"{one}, one at a time, with a two-point test after each."


def reason_words(row: Mapping[str, str]) -> str:
    """Say why something is to be added."""
    side = {"low": "under", "high": "over"}[row["side"]]
    return f"{capital(name_of(row['parameter']))} {row['now']} is {side} the site's target."


def unreached_words(row: Mapping[str, str]) -> str:
    """Say which target is not reached, and why."""
    return f"{capital(name_of(row['parameter']))} is not brought in: {UNREACHED[row['id']]}."


def binding_words(row: Mapping[str, str]) -> str:
    """Say what stands between the water and its targets."""
    kind = row["kind"]
    if not kind:
        return ""
    if kind in UNREACHED:
        return capital(f"{name_of(row['parameter'])}: {UNREACHED[kind]}.")
    parts = dict(row)
    if "parameter" in row:
        parts["parameter"] = name_of(row["parameter"])
    return capital(BINDING[kind].format_map({"low": "", "high": "", **parts}))


def said_assumed(row: Mapping[str, str]) -> dict[str, str]:
    """Say one assumption."""
    if row["id"] == "taken-as-zero":
        text = f"{capital(name_of(row['text']))} is not known and taken as none."
    else:
        text = ASSUMED[row["id"]].format(text=row["text"])
    return {"id": row["id"], "text": text}


def amount_words(step: Mapping[str, Any]) -> str:
    """Say an amount as it is measured out; fresh water in cubic metres."""
    if step["purpose"] == "dilute":
        return f"{decimal_text(step['amount'])} m3"
    return measured_out(step["amount"], step["unit"])


def step_words(number: int, step: Mapping[str, Any]) -> str:
    """Say one step: what, how much, in which jug, where, then wait and test."""
    minutes = -(-step["wait_s"] // 60)
    jug = step["jug"] or "its own jug or scoop"
    tool = "" if step["purpose"] == "dilute" else f", in {jug}"
    later = "" if step["for_now"] else "Not for now, later about "
    what = f"{number}. {later}{amount_words(step)} of {step['name']}{tool}"
    parts = [f"{what}: {PLACE_WORDS[step['place']]}."]
    parts += [
        f"It takes {name_of(broken['parameter'])} to {broken['predicted']}, outside"
        f" {broken['limit']}, until it settles."
        for broken in step["breaks"]
    ]
    parts.append(
        f"Circulate, wait {minutes} min, test at two points; both must agree. Then look again."
    )
    if not step["for_now"]:
        parts.append("Worked out again from the test before it.")
    return " ".join(parts)


def total_words(row: Mapping[str, Any], *, first: bool) -> str:
    """Say what a product takes in all, its range, how often, and what it costs where known."""
    if row["purpose"] == "dilute":
        amount, low, high = (f"{decimal_text(row[key])} m3" for key in ("amount", "low", "high"))
    else:
        amount, low, high = (
            measured_out(row[key], row["unit"]) for key in ("amount", "low", "high")
        )
    when = "after the first addition" if first else "in all"
    times = "1 addition" if row["additions"] == 1 else f"{row['additions']} additions"
    cost = f" Cost: {row['cost']}." if row["cost"] else ""
    return f"{capital(row['name'])}: {amount} {when}, in {times}; between {low} and {high}.{cost}"
