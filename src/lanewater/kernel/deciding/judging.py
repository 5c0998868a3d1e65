"""A round or a sample held against a rules pack: what the rules say, clause by clause.

House stops and findings stand beside the verdict and are worked out first; no pack can hide them.
"""

from typing import Any

from lanewater.kernel.deciding.applying import (
    in_force,
    next_due_by_pack,
    rules_that_apply,
    with_doubt,
)
from lanewater.kernel.deciding.classes import case_in_classes
from lanewater.kernel.deciding.conditions import fact_number
from lanewater.kernel.deciding.coverage import CORE, core_gap, heat_gap, was_read
from lanewater.kernel.deciding.housestops import house_stops
from lanewater.kernel.deciding.limits import NOT_JUDGED, fails, severity
from lanewater.kernel.deciding.plausibility import findings_of
from lanewater.kernel.deciding.rulings import ruling_of
from lanewater.kernel.deciding.tries import WORDED, last_by_parameter, looked_at

LEVEL_RANKS = {
    "note": 0,
    "advise": 1,
    "correct": 2,
    "retest": 3,
    "notify": 4,
    "close": 5,
    "evacuate": 6,
}


def level_rank(level: str) -> int:
    """Give the place of a level in the order from note (0) to evacuate."""
    rank = LEVEL_RANKS.get(level, -1)
    if rank < 0:
        raise ValueError("unknown level")
    return rank


def note(identity: str, about: str, why: str, do: str) -> dict[str, Any]:
    """Write a finding of judging itself, which changes no number."""
    return {
        "id": identity,
        "about": about,
        "parameters": [],
        "effect": "note",
        "why": why,
        "do": do,
    }


def untested_limits(case: dict[str, Any], rules: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give a finding for combined chlorine and temperature where they are limited and not read."""
    found = []
    for parameter in ("combined_chlorine", "temperature_c"):
        limited = False
        for rule in rules:
            if rule["parameter"] == parameter and not advisory(rule):
                limited = True
        if limited and not was_read(case, parameter):
            why = "These rules limit it for this pool, and it was not read in this round."
            found.append(note("limited-and-not-read", parameter, why, "Read it as well."))
    return found


def actions_of(rule: dict[str, Any]) -> list[dict[str, Any]]:
    """Write what a broken rule asks for: at once, and further on by a time or to be told."""
    found = [
        {
            "level": rule["level"],
            "rule": rule["id"],
            "clause": rule["clause"],
            "scope": rule["scope"],
            "do": rule["do"],
            "within_seconds": 0,
            "to": "",
        }
    ]
    for further in rule.get("then", []):
        found.append(
            {
                "level": further["level"],
                "rule": rule["id"],
                "clause": rule["clause"] if further["clause"] == "" else further["clause"],
                "scope": rule["scope"],
                "do": further["do"],
                "within_seconds": further["within_seconds"],
                "to": further["to"],
            }
        )
    return found


def advisory(rule: dict[str, Any]) -> bool:
    """Tell whether a rule only notes or advises; such a rule never makes a round fail."""
    level: str = rule["level"]
    return level == "note" or level == "advise"


def rows_of(case: dict[str, Any], rules: list[dict[str, Any]]) -> dict[str, Any]:
    """Judge every rule that applies.

    Returns
    -------
    dict
        {"results", "actions", "findings", "not_judged", "level", "by_law": how many rows of rules
        that are not a site's own were judged}.
    """
    by_law = 0
    results = []
    actions = []
    findings = []
    gaps: list[dict[str, Any]] = []
    level = "note"
    read = case["values"]
    for rule in rules:
        row = None
        if read is None or rule["parameter"] in read or rule["parameter"] in WORDED:
            row = ruling_of(rule, case)
        if row is not None:
            failed = fails(row["verdict"])
            if failed:
                for action in actions_of(rule):
                    actions.append(action)
                if level_rank(rule["level"]) > level_rank(level):
                    level = rule["level"]
            if advisory(rule):
                if failed:
                    findings.append(
                        note(
                            "outside-the-advised-range", rule["parameter"], row["value"], rule["do"]
                        )
                    )
            else:
                results.append(row)
                if row["verdict"] == "not-judged":
                    add_gap(gaps, {"parameter": rule["parameter"], "why": why_not(rule, case)})
                elif rule.get("layer", "") != "site":
                    by_law = by_law + 1
    return {
        "results": results,
        "actions": actions,
        "findings": findings,
        "not_judged": gaps,
        "level": level,
        "by_law": by_law,
    }


def why_not(rule: dict[str, Any], case: dict[str, Any]) -> str:
    """Say why a rule whose parameter was read is not judged."""
    if rule["computable"] is not True:
        return rule["clause"] + ": " + rule["why_not_computable"]
    fact: str = rule.get("relative_to_fact", "")
    if fact != "" and fact_number(case, fact) is None:
        return rule["clause"] + ": " + fact + " is not known"
    return rule["clause"] + ": the reading does not decide it; see the findings, dilute or repeat"


def without_limit(case: dict[str, Any], rules: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give what was analysed in a sample and is limited by no rule; total counts as combined."""
    gaps: list[dict[str, Any]] = []
    for reading in case["readings"]:
        parameter = reading["parameter"]
        limited = parameter == "total_chlorine"
        for rule in rules:
            if rule["parameter"] == parameter and rule.get("layer", "") != "site":
                limited = True
        if not limited:
            add_gap(gaps, {"parameter": parameter, "why": "no rule here limits it for this pool"})
    return gaps


def worst_of(results: list[dict[str, Any]]) -> str:
    """Give the worst verdict among judged rows, or "not-judged" where there is none."""
    found = "not-judged"
    worst = -1
    for row in results:
        place = severity(row["verdict"])
        if place != NOT_JUDGED and (worst < 0 or place < worst):
            found = row["verdict"]
            worst = place
    return found


def add_gap(gaps: list[dict[str, Any]], gap: dict[str, Any]) -> None:
    """Add a gap once."""
    for known in gaps:
        if known["parameter"] == gap["parameter"] and known["why"] == gap["why"]:
            return
    gaps.append(gap)


def overall_of(purpose: str, rows: dict[str, Any], core_gaps: int, stops: int) -> str:
    """Give the overall verdict: the first that applies from evacuate to meets."""
    worst = worst_of(rows["results"])
    if fails(worst):
        return worst
    if purpose == "round":
        if core_gaps > 0 or len(rows["not_judged"]) > 0:
            return "not-judged"
    if stops > 0 or rows["by_law"] == 0:
        return "not-judged"
    return worst


def only_practice(answer: dict[str, Any]) -> dict[str, Any]:
    """Turn every pass under a pack that is no law into "not-judged", with the finding."""
    inside = severity(answer["overall"]) > severity("not-judged")
    for row in answer["results"]:
        if severity(row["verdict"]) > severity("not-judged"):
            row["verdict"] = "not-judged"
            if inside:
                add_gap(answer["not_judged"], {"parameter": row["parameter"], "why": "not a law"})
    if inside:
        answer["overall"] = "not-judged"
        answer["findings"].append(
            note(
                "inside-common-practice",
                "rules",
                "Inside common practice, not law.",
                "Choose the rules of your authority.",
            )
        )
    return answer


def unjudged(
    stops: list[dict[str, Any]], findings: list[dict[str, Any]], why: str
) -> dict[str, Any]:
    """Write the answer where no rules can be applied: stops and findings stand all the same."""
    return {
        "overall": "not-judged",
        "level": "note",
        "stops": stops,
        "results": [],
        "not_judged": [{"parameter": "rules", "why": why}],
        "actions": [],
        "findings": findings,
        "next_due": {"at": None, "why": why, "every_seconds": 0},
    }


def case_looked_at(case: dict[str, Any]) -> dict[str, Any]:
    """Give a case whose readings have their numbers beside them, and no history of after it."""
    copied = {}
    for key, value in case.items():
        copied[key] = value
    readings = looked_at(case["readings"])
    copied["readings"] = readings
    copied["last_tries"] = last_by_parameter(readings)
    if case["at"] is not None:
        history = []
        for earlier in case["history"]:
            if earlier["at"] <= case["at"]:
                history.append(earlier)
        copied["history"] = history
    return copied


def judge(pack: dict[str, Any] | None, given: dict[str, Any]) -> dict[str, Any]:
    """Judge a round or a sample by a rules pack.

    Parameters
    ----------
    pack : dict or None
        Compiled pack (see rules/pack.py); None where no rules are chosen.
    given : dict
        {"purpose": "round" or "sample", "pool": facts, "readings": normal form, "history":
        [{"at", "readings"}], "at": UTC seconds or None} and what the findings may use.

    Returns
    -------
    dict
        {overall, level, stops, results, not_judged, actions, findings, next_due}.
    """
    case = case_looked_at(given)
    findings = findings_of(case)
    stops = house_stops(case)
    if pack is None:
        return unjudged(stops, findings, "no local rules chosen")
    if not in_force(pack, case):
        return unjudged(stops, findings, "these rules were not in force at that time")
    doubtful = case_in_classes(pack, with_doubt(case, findings))
    doubtful["borrow_seconds"] = pack["borrow_seconds"]
    chosen = rules_that_apply(pack, doubtful)
    rows = rows_of(doubtful, chosen["rules"])
    core_gaps = 0
    if case["purpose"] == "round":
        for item in CORE:
            gap = core_gap(item, pack, doubtful, chosen["rules"])
            if gap is not None:
                core_gaps = core_gaps + 1
                add_gap(rows["not_judged"], gap)
        hot = heat_gap(doubtful, chosen["rules"])
        if hot is not None:
            core_gaps = core_gaps + 1
            add_gap(rows["not_judged"], hot)
        for finding in untested_limits(doubtful, chosen["rules"]):
            findings.append(finding)
    for finding in rows["findings"]:
        findings.append(finding)
    for name in chosen["assumed"]:
        why = name + " is not known: every rule that could apply was used."
        findings.append(note("not-known", name, why, "Read it, or state it in the set-up."))
    if case["purpose"] == "sample":
        for gap in without_limit(doubtful, chosen["rules"]):
            add_gap(rows["not_judged"], gap)
        findings.append(
            note("of-what-was-tested", "sample", "Of what was tested, nothing more.", "")
        )
    answer = {
        "overall": overall_of(case["purpose"], rows, core_gaps, len(stops)),
        "level": rows["level"],
        "stops": stops,
        "results": rows["results"],
        "not_judged": rows["not_judged"],
        "actions": rows["actions"],
        "findings": findings,
        "next_due": next_due_by_pack(pack, case),
    }
    if pack["law"] is not True:
        return only_practice(answer)
    return answer
