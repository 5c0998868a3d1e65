"""What more chlorine can and cannot take away, as people get it; never an amount of product."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.dosing.advice import Advice, Tell, call
from lanewater.kernel.deciding.decimals import thousandths
from lanewater.kernel.deciding.superchlorination import superchlorination_of
from lanewater.kernel.deciding.tries import legible_text
from lanewater.terms.errors import InputError, shown

YES_OR_NO = (
    "monopersulfate",
    "lasted_overnight",
    "heavy_load",
    "everybody_out",
    "fresh_air",
    "nobody_due",
)
DECIMALS = (
    "monochloramine_mg_l",
    "ammonia_n_mg_l",
    "maximum_free_mg_l",
    "maximum_combined_mg_l",
)
MINUTES = ("people_due_in_minutes", "under_maximum_in_minutes")
MOST_MG_L = 100000
MOST_MINUTES = 100000

STATES = {
    "refused": "Nothing is worked out for this pool.",
    "ask-first": "Ask first: was a shock without chlorine (monopersulfate) used in the last days?",
    "test-first": "Test again first.",
    "not-needed": "Combined is inside its limit or inside the test's error: nothing to take away.",
    "not-known-which": "More chlorine may do nothing: it is not known what the combined is.",
    "will-not-help": "More chlorine will not take this away.",
    "enough-already": "There is already more free chlorine than it takes. Wait, and test again.",
    "may-help": "More chlorine can take this away, with the pool closed.",
}
REASONS = {
    "bromine": "Bromine water: combined bromine disinfects. Never superchlorinate for it.",
    "sea-water": "Sea water: its chlorine is bromine. Never superchlorinate for it.",
    "other-disinfectant": "The disinfectant is not chlorine.",
    "disinfectant-unknown": "The disinfectant is not stated.",
    "monopersulfate-reads-as-combined": "Monopersulfate reads as combined chlorine: what was read"
    " may be no chloramine at all. Test with a kit that takes it out, or wait until it is gone.",
    "free-and-total-not-read": "Free and total at one point are needed.",
    "doubtful": "A reading is in doubt.",
    "out-of-range": "A reading is out of the kit's range: dilute and test again.",
    "read-once": "Combined is the difference of two tests: repeat both, at the same point.",
    "not-inorganic": "It is not what breakpoint takes: it outlasts normal free chlorine, or a"
    " test of monochloramine found next to none.",
    "stabiliser-slows-the-reactions": "In stabilised water chloramines too can outlast a night.",
    "kind-not-superchlorinated": "Not for this kind of pool: let its water out instead.",
    "house-stop": "A house stop is open: that comes first.",
    "people-in-the-water": "People are in the water.",
    "people-unknown": "Nobody said whether everybody is out.",
    "no-fresh-air": "Without all of the air from outside, never under a roof.",
    "fresh-air-unknown": "Nobody said whether all of the air comes from outside.",
    "more-than-is-ever-reached": "It would take more than 10 mg/L of free chlorine: test again, and"
    " let water out instead.",
    "maximum-unknown": "The rules' maximum of free chlorine is not known.",
    "people-due-unknown": "It goes over the maximum, and nobody said when people are due.",
    "time-under-maximum-unknown": "It goes over the maximum, and it is not known how long until"
    " free is back under it.",
    "people-due-too-soon": "People are due before free chlorine can be back under the maximum.",
}
MISREADING = (
    "Not ten times combined ({ten_times_combined_mg_l} mg/L). The ten belongs to ammonia nitrogen,"
    " and combined is told as chlorine: were it all monochloramine, it would hold"
    " {nitrogen_if_monochloramine_mg_l} mg/L of nitrogen and go with half of itself,"
    " {half_of_combined_mg_l} mg/L."
)
BY_NITROGEN = (
    "By the ammonia nitrogen that was tested: 8 to 10 times, {eight_times_nitrogen_mg_l} to"
    " {ten_times_nitrogen_mg_l} mg/L."
)
INSTEAD = {
    "fresh-water": "fresh water, day after day",
    "fresh-air": "all the air from outside",
    "free-toward-minimum": "free chlorine towards the lower end of what the rules allow",
    "coagulant-and-backwash": "coagulant and backwash",
    "ultraviolet": "ultraviolet light, where it is fitted: look at the lamp",
    "showers-before-bathing": "showers before bathing",
}
ASK = {
    "monopersulfate": "",
    "monochloramine-test": "Test monochloramine.",
    "combined-tomorrow-morning": "Read combined tomorrow before anybody bathes: what is still"
    " there at normal free chlorine is not what breakpoint takes.",
    "heavy-load": "Was there a heavy load just before?",
    "look-again-in-an-hour": "Test again in an hour.",
    "look-again-tomorrow": "Test again tomorrow: stabiliser slows it.",
    "free-to-cyanuric-acid": "Look at free chlorine against stabiliser first: what is bound waits.",
}


def asked_from(given: Mapping[str, Any]) -> dict[str, Any]:
    """Check what is asked beside the readings; what is left out is not known.

    Raises
    ------
    InputError
        Naming the field that is not known or cannot be read.
    """
    known = (*YES_OR_NO, *DECIMALS, *MINUTES)
    for name, value in given.items():
        if name not in known:
            raise InputError(str(name)[:60], f"is not one of {', '.join(known)}")
        if name in YES_OR_NO and value not in ("yes", "no", "", None):
            raise InputError(name, f"yes or no is wanted, not {shown(value)}")
        if name in MINUTES and not is_minutes(value):
            raise InputError(name, f"whole minutes, 0 to {MOST_MINUTES}, not {shown(value)}")
        if name in DECIMALS and not is_decimal(value):
            raise InputError(name, f'a decimal text such as "0.35" is wanted, not {shown(value)}')
    return {name: value for name, value in given.items() if value is not None}


def is_minutes(value: Any) -> bool:
    """Tell whether a value is a time in whole minutes, or not given."""
    if value is None:
        return True
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= MOST_MINUTES


def is_decimal(value: Any) -> bool:
    """Tell whether a value is a decimal text of zero or more mg/L, or not given."""
    if value is None:
        return True
    if not isinstance(value, str) or not legible_text(value) or value[0] in "<>-":
        return False
    return thousandths(value) <= MOST_MG_L


def superchlorination_for(
    case: Mapping[str, Any],
    asked: Mapping[str, Any],
    may_dose: frozenset[str],
    tell: Tell,
) -> Advice:
    """Give the answer that this person may see.

    Parameters
    ----------
    case : mapping
        As judge takes it.
    asked : mapping
        As `asked_from` gives it; with "rounds" of the last two weeks where the site has them.
    may_dose : frozenset of str
        The substances this person's recorded competence covers here and now.
    tell : Tell
        What anybody may say on the telephone.
    """
    if not may_dose:
        return call(tell)
    answer = superchlorination_of({**asked, "case": dict(case)})
    return Advice(answer.pop("state"), answer)


def words_of(answer: Mapping[str, Any]) -> list[str]:
    """Tell an answer in English, for the shell.

    Parameters
    ----------
    answer : mapping
        As `superchlorination_of` gives it.
    """
    lines = [STATES[answer["state"]]]
    lines += [REASONS[reason["id"]] for reason in answer["reasons"]]
    lines += [ASK[name] for name in answer["ask"] if ASK[name]]
    if answer["instead"]:
        lines.append(f"What helps: {'; '.join(INSTEAD[name] for name in answer['instead'])}.")
    reach = answer["free_to_reach_mg_l"]
    if reach is not None:
        span = reach["low"] if reach["low"] == reach["high"] else " to ".join(reach.values())
        lines.append(f"Free chlorine to reach, at least: {span} mg/L.")
    if answer["then"]:
        lines.append("Everybody stays out until free and total were tested again.")
    if answer["leaves"]:
        lines.append("It never takes away urea, organic chloramines or trichloramine.")
    figures = answer["figures"]
    if figures:
        lines.append(MISREADING.format(**figures))
    if "eight_times_nitrogen_mg_l" in figures:
        lines.append(BY_NITROGEN.format(**figures))
    return lines
