"""The first advice as people get it: an amount for the competent, whom to call for all others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from lanewater.dosing.cautions import cautions_of
from lanewater.dosing.request import Asked
from lanewater.kernel.deciding.advice import advise
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.terms.parameters import PARAMETERS

EVERY_PRODUCT = "*"
CALL_ROLES = ("plant-operator", "duty-manager")
STEP_WORDS = {
    "raise-chlorine": "Free is under the site's target.",
    "lower-ph": "pH is over the site's target.",
    "raise-ph": "pH is under the site's target.",
    "raise-alkalinity": "Alkalinity is under the site's target.",
    "raise-calcium": "Calcium is under the site's target.",
    "let-chlorine-fall": "Free is over the site's target.",
    "": "",
}
FEED_WORDS = {
    "raise-chlorine": "Raise the set point or the feed at the plant. Nothing by hand.",
    "lower-ph": "Lower the pH set point, or feed more acid, at the plant. Nothing by hand.",
    "raise-ph": "Raise the pH set point, or feed less acid, at the plant. Nothing by hand.",
    "raise-alkalinity": "Feed it at the plant. Nothing by hand.",
    "raise-calcium": "Feed it at the plant. Nothing by hand.",
}
WAIT_WORDS = "Nothing to add. Feed down or off, wait, test again."
NOTHING_WORDS = "Nothing to add: inside the site's targets."
REFUSED_WORDS = "No amount now."
CALL_WORDS = "Tell them what was read. They decide what to do."


@dataclass(frozen=True, slots=True)
class Tell:
    """What a person says on the telephone: the pool, what was read, what the rules say.

    Attributes
    ----------
    pool : str
        Its name.
    readings : tuple
        (word, value) pairs, as read.
    verdict : str
        The overall verdict's word.
    stops : tuple of str
        Open house stops in words.
    """

    pool: str
    readings: tuple[tuple[str, str], ...] = ()
    verdict: str = ""
    stops: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Give it for the wire."""
        return {
            "pool": self.pool,
            "readings": [{"name": name, "value": value} for name, value in self.readings],
            "verdict": self.verdict,
            "stops": list(self.stops),
        }


@dataclass(frozen=True, slots=True)
class Advice:
    """One answer to one request.

    Attributes
    ----------
    state : str
        add, feed, wait, nothing, refused, or call for a person without the competence.
    body : mapping
        What goes with it; only "add" has an amount.
    """

    state: str
    body: Mapping[str, Any] = field(default_factory=dict)

    def as_dict(self) -> dict[str, Any]:
        """Give it for the wire."""
        return {"state": self.state, **self.body}


def advise_for(
    k: tuple[float, ...], request: Asked, may_dose: frozenset[str], tell: Tell
) -> Advice:
    """Give the advice that this person may see.

    A person without any hand-dosing competence gets an answer that does not depend on volume,
    product, strength or target: nothing of an amount can be read from it, or worked out.

    Parameters
    ----------
    k : tuple
        The kernel's constants.
    request : Asked
        What is known.
    may_dose : frozenset of str
        The substances this person's recorded competence covers here and now; "*" is all.
    tell : Tell
        What anybody may say on the telephone.
    """
    if not may_dose:
        return call(tell)
    answer = advise(k, request.for_kernel())
    if answer["state"] != "add":
        return Advice(answer["state"], without_amount(answer))
    if EVERY_PRODUCT not in may_dose and answer["substance"] not in may_dose:
        return call(tell)
    return Advice("add", with_words(answer))


def call(tell: Tell) -> Advice:
    """Give the answer for everybody whose competence does not cover it."""
    return Advice("call", {"words": CALL_WORDS, "call": list(CALL_ROLES), "tell": tell.as_dict()})


def without_amount(answer: Mapping[str, Any]) -> dict[str, Any]:
    """Give the body of an answer that holds no amount."""
    words = {
        "feed": FEED_WORDS.get(answer["purpose"], ""),
        "wait": WAIT_WORDS,
        "nothing": NOTHING_WORDS,
        "refused": REFUSED_WORDS,
    }[answer["state"]]
    kept = ("purpose", "parameter", "then", "refusals", "findings")
    return {
        "words": words,
        "why": STEP_WORDS[answer["purpose"]],
        **{key: answer[key] for key in kept},
    }


def with_words(answer: Mapping[str, Any]) -> dict[str, Any]:
    """Give the body of an amount, with the sentences that people read."""
    body = {key: value for key, value in answer.items() if key != "state"}
    for key in ("amount", "low", "high"):
        body[key] = str(answer[key])
    body["why"] = STEP_WORDS[answer["purpose"]]
    body["words"] = amount_sentence(answer)
    body["place_words"] = place_words(answer)
    body["after_words"] = after_words(answer)
    body["retest_words"] = retest_words(answer)
    body["assumed"] = [assumed_words(entry) for entry in answer["assumed"]]
    body["cautions"] = [
        {
            "id": caution.id,
            "text": caution.text,
            "why": caution.why,
            "source": caution.source,
            "evidence": caution.evidence,
        }
        for caution in cautions_of(answer["cautions"])
    ]
    return body


def measured_out(amount: int, unit: str) -> str:
    """Write an amount as it is measured out: mL and g, L and kg from 1000 on."""
    if amount < 1000:
        return f"{amount} {unit}"
    return f"{decimal_text(amount)} {'L' if unit == 'mL' else 'kg'}"


def amount_sentence(answer: Mapping[str, Any]) -> str:
    """Write the one sentence: what, how much, in which jug, with its range."""
    unit = answer["unit"]
    jug = answer["jug"] or "its own jug or scoop"
    parts = [f"First: {measured_out(answer['amount'], unit)} of {answer['name']}, in {jug}."]
    low, high = (measured_out(answer[end], unit) for end in ("low", "high"))
    parts.append(f"This step takes between {low} and {high}.")
    if answer["half"]:
        parts.append("Half a portion: the volume is a guess.")
    elif answer["again"]:
        parts.append("One portion of several: test, then we look again.")
    return " ".join(parts)


def place_words(answer: Mapping[str, Any]) -> str:
    """Write where it goes."""
    if answer["place"] == "circuit-plant":
        return "For the whole circuit, through the plant. Not by hand into one pool."
    text = "By hand into this pool alone, spread, with nobody in."
    if answer["after_mixing"]:
        text += (
            " It is good for about the mixing time: "
            f"mixed with the other pools, free falls back to about {answer['after_mixing']}."
        )
    return text


def after_words(answer: Mapping[str, Any]) -> str:
    """Write what to expect, and which limit the addition itself breaks for a while."""
    parts = []
    expected = ", ".join(
        f"{PARAMETERS[parameter].name} {value}" for parameter, value in answer["predicted"].items()
    )
    if expected:
        parts.append(f"Expect {expected}.")
    for broken in answer["breaks"]:
        name = PARAMETERS[broken["parameter"]].name
        parts.append(
            f"The addition itself takes {name} to {broken['predicted']}, "
            f"outside the rules' {broken['limit']}, until it settles."
        )
    return " ".join(parts)


def retest_words(answer: Mapping[str, Any]) -> str:
    """Write the wait and the retest; a wait that ends says test, never open."""
    minutes = -(-answer["wait_s"] // 60)
    text = (
        f"Wait {minutes} min, then test at two points, shallow and deep. Both must meet and agree."
    )
    if answer["retest"]["also"]:
        text += " Test every pool on the same filter."
    return text


def assumed_words(entry: Mapping[str, str]) -> dict[str, str]:
    """Write one assumption; a parameter taken as none is told by its name."""
    if entry["id"] != "taken-as-zero":
        return dict(entry)
    name = PARAMETERS[entry["text"]].name.capitalize()
    return {"id": "taken-as-zero", "text": f"{name} is not known and taken as none."}
