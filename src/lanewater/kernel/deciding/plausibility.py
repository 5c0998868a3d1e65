"""Is this number right? Findings about a round, each with why and the next physical step.

A finding never blocks saving. Its effect: "note" changes nothing in judging; under
"not-believable" a pass of its parameters does not count while a fail stands; "not-judged"
parameters are not judged until repeated.
"""

from typing import Any

from lanewater.kernel.deciding.bleaching import bleaching_findings
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.kitlimits import (
    accepted_findings,
    between_findings,
    expired_findings,
    ph_chlorine_findings,
    ph_range_findings,
    range_findings,
)
from lanewater.kernel.deciding.readingerror import pair_error, reading_error
from lanewater.kernel.deciding.slips import (
    fahrenheit_findings,
    tenfold_findings,
    unreadable_findings,
)
from lanewater.kernel.deciding.tries import at_point, last_in, number_of, relation_in, shown_text


def combined_thousandths(free: dict[str, Any], total: dict[str, Any]) -> int:
    """Give total minus free in thousandths, 0 where it is below zero only by test error.

    Parameters
    ----------
    free, total : dict
        Legible readings of one pair, in normal form.
    """
    difference = number_of(total) - number_of(free)
    if difference < 0 and -difference <= pair_error(free, total):
        return 0
    return difference


def impossible_finding(free: dict[str, Any], total: dict[str, Any]) -> dict[str, Any]:
    """Write the finding for a total that is below free by more than test error."""
    apart = number_of(free) - number_of(total)
    return {
        "id": "impossible-pair",
        "about": "total_chlorine",
        "parameters": ["free_chlorine", "total_chlorine", "combined_chlorine"],
        "effect": "not-judged",
        "why": "Total "
        + shown_text(total)
        + " is under free "
        + shown_text(free)
        + at_point(free)
        + ": "
        + decimal_text(apart)
        + " apart, test error "
        + decimal_text(pair_error(free, total))
        + ". They cannot both be right.",
        "do": "Test both again: rinse, fresh sample, free at once, then total in the same cell.",
    }


def pair_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Compare the last free and the last total at each point."""
    found = []
    for free in last_in(case, "free_chlorine"):
        for total in last_in(case, "total_chlorine"):
            if (
                free["point"] == total["point"]
                and relation_in(free) != "below"
                and relation_in(total) != "above"
                and number_of(total) < number_of(free)
            ):
                if combined_thousandths(free, total) < 0:
                    found.append(impossible_finding(free, total))
                elif relation_in(free) == "exact":
                    found.append(
                        {
                            "id": "combined-about-zero",
                            "about": "combined_chlorine",
                            "parameters": ["combined_chlorine"],
                            "effect": "note",
                            "why": "Total is under free by less than the test error "
                            + decimal_text(pair_error(free, total))
                            + ": combined is about 0.",
                            "do": "Nothing to do.",
                        }
                    )
    return found


def given_apart_finding(given: dict[str, Any], apart: int) -> dict[str, Any]:
    """Write the finding for a combined that is far from total less free at the same point."""
    return {
        "id": "combined-given-apart",
        "about": "combined_chlorine",
        "parameters": ["combined_chlorine"],
        "effect": "not-believable",
        "why": "Combined "
        + shown_text(given)
        + at_point(given)
        + " is given, and total less free is "
        + decimal_text(apart)
        + ". They cannot both be right.",
        "do": "Test both again: rinse, fresh sample, free at once, then total in the same cell.",
    }


def given_combined_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Compare a combined that was given with the last free and total at its point.

    One under range denies only a larger difference, one over range only a smaller one.
    """
    found = []
    for given in last_in(case, "combined_chlorine"):
        for free in last_in(case, "free_chlorine"):
            for total in last_in(case, "total_chlorine"):
                here = free["point"] == given["point"] and total["point"] == given["point"]
                if here and relation_in(free) == "exact" and relation_in(total) == "exact":
                    apart = max(combined_thousandths(free, total), 0)
                    error = pair_error(free, total) + reading_error(given)
                    off = apart - number_of(given)
                    under = relation_in(given) != "above" and off > error
                    over = relation_in(given) != "below" and -off > error
                    if under or over:
                        found.append(given_apart_finding(given, apart))
    return found


def findings_of(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Look at every reading of a case and say what may be wrong with it.

    Parameters
    ----------
    case : dict
        Keys purpose, pool, readings (normal form), history, at; optional kits, events, expired,
        between (see docs/explanation/how-far-a-reading-can-be-trusted.md).

    Returns
    -------
    list of dict
        {"id", "about", "parameters", "effect", "why", "do"}; empty where nothing is odd.
    """
    found = []
    for findings in [
        bleaching_findings(case),
        pair_findings(case),
        given_combined_findings(case),
        unreadable_findings(case),
        tenfold_findings(case),
        fahrenheit_findings(case),
        ph_chlorine_findings(case),
        ph_range_findings(case),
        range_findings(case),
        expired_findings(case),
        accepted_findings(case),
        between_findings(case),
    ]:
        for finding in findings:
            found.append(finding)
    return found
