"""A round or a sample held against a rules pack: what the rules say, clause by clause.

House stops and findings stand beside the verdict and are worked out first; no pack can hide them.
"""

from typing import Any

from lanewater.kernel.deciding.conditions import applies
from lanewater.kernel.deciding.coverage import CORE, core_gap, was_read
from lanewater.kernel.deciding.housestops import house_stops
from lanewater.kernel.deciding.plausibility import findings_of
from lanewater.kernel.deciding.rulings import ruling_of, severity
from lanewater.kernel.deciding.standing import standing_readings

LEVELS = ("note", "advise", "correct", "retest", "notify", "close", "evacuate")


def level_rank(level: str) -> int:
    """Give the place of a level in the order from note (0) to evacuate."""
    for index in range(len(LEVELS)):
        if LEVELS[index] == level:
            return index
    raise ValueError("unknown level")


def rules_that_apply(pack: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    """Choose the rules of a pack that apply, and name what had to be assumed.

    Parameters
    ----------
    pack : dict
        Compiled pack.
    case : dict
        As it is judged.

    Returns
    -------
    dict
        {"rules": list of rules, "assumed": names of unknown facts and readings}. A fact counts
        as assumed only where a reading meets a rule that hangs on it.
    """
    oldest = 0
    if case["at"] is not None:
        oldest = case["at"] - pack["borrow_seconds"]
    chosen = []
    assumed: list[str] = []
    for rule in pack["rules"]:
        answer = applies(case, rule["when"], oldest)
        if answer["holds"]:
            chosen.append(rule)
            if was_read(case, rule["parameter"]):
                for name in answer["assumed"]:
                    if name not in assumed:
                        assumed.append(name)
    return {"rules": chosen, "assumed": assumed}


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
            level = level_rank(rule["level"])
            if rule["parameter"] == parameter and level > level_rank("advise"):
                limited = True
        if limited and not was_read(case, parameter):
            why = "These rules limit it for this pool, and it was not read in this round."
            found.append(note("limited-and-not-read", parameter, why, "Read it as well."))
    return found


def with_doubt(case: dict[str, Any], findings: list[dict[str, Any]]) -> dict[str, Any]:
    """Give the case with the readings that stand and the parameters that findings put in doubt.

    Parameters
    ----------
    case : dict
        As it is judged.
    findings : list of dict
        Each with "effect" and the "parameters" that it reaches.
    """
    doubted: list[str] = []
    disbelieved: list[str] = []
    for finding in findings:
        for parameter in finding["parameters"]:
            if finding["effect"] == "not-judged":
                doubted.append(parameter)
            elif finding["effect"] == "not-believable":
                disbelieved.append(parameter)
    return {
        "purpose": case["purpose"],
        "pool": case["pool"],
        "readings": standing_readings(case["readings"]),
        "history": case["history"],
        "at": case["at"],
        "doubted": doubted,
        "disbelieved": disbelieved,
    }


def action_of(rule: dict[str, Any]) -> dict[str, Any]:
    """Write what a broken rule asks for."""
    return {
        "level": rule["level"],
        "rule": rule["id"],
        "clause": rule["clause"],
        "scope": rule["scope"],
        "do": rule["do"],
    }


def advisory(rule: dict[str, Any]) -> bool:
    """Tell whether a rule only notes or advises; such a rule never makes a round fail."""
    return level_rank(rule["level"]) <= level_rank("advise")


def rows_of(case: dict[str, Any], rules: list[dict[str, Any]]) -> dict[str, Any]:
    """Judge every rule that applies.

    Returns
    -------
    dict
        {"results", "actions", "findings", "not_judged", "level"}.
    """
    results = []
    actions = []
    findings = []
    gaps: list[dict[str, Any]] = []
    level = "note"
    for rule in rules:
        row = ruling_of(rule, case)
        if row is not None:
            failed = severity(row["verdict"]) < severity("not-judged")
            if failed:
                actions.append(action_of(rule))
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
                    add_gap(gaps, {"parameter": rule["parameter"], "why": why_not(rule)})
    return {
        "results": results,
        "actions": actions,
        "findings": findings,
        "not_judged": gaps,
        "level": level,
    }


def why_not(rule: dict[str, Any]) -> str:
    """Say why a rule whose parameter was read is not judged."""
    if rule["computable"] is not True:
        return rule["clause"] + ": " + rule["why_not_computable"]
    return rule["clause"] + ": the reading does not decide it; see the findings, dilute or repeat"


def without_limit(case: dict[str, Any], rules: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give what was analysed in a sample and is limited by no rule; total counts as combined."""
    gaps: list[dict[str, Any]] = []
    for reading in case["readings"]:
        parameter = reading["parameter"]
        limited = parameter == "total_chlorine"
        for rule in rules:
            if rule["parameter"] == parameter:
                limited = True
        if not limited:
            add_gap(gaps, {"parameter": parameter, "why": "no rule here limits it for this pool"})
    return gaps


def worst_of(results: list[dict[str, Any]]) -> str:
    """Give the worst verdict among judged rows, or "not-judged" where there is none."""
    found = "not-judged"
    judged = False
    for row in results:
        verdict = row["verdict"]
        if verdict != "not-judged" and (not judged or severity(verdict) < severity(found)):
            found = verdict
            judged = True
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
    if severity(worst) < severity("not-judged"):
        return worst
    if purpose == "round":
        if core_gaps > 0 or len(rows["not_judged"]) > 0:
            return "not-judged"
    if stops > 0:
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


def next_due_by_pack(pack: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    """Give when the pack wants the next test: the shortest interval that applies to this pool.

    Parameters
    ----------
    pack : dict
        Compiled pack.
    case : dict
        As it is judged.

    Returns
    -------
    dict
        {"at": UTC seconds or None, "why": text, "every_seconds": int, 0 where there is none}.
    """
    shortest = 0
    clause = ""
    for interval in pack["intervals"]:
        if applies(case, interval["when"], 0)["holds"]:
            if shortest == 0 or interval["every_seconds"] < shortest:
                shortest = interval["every_seconds"]
                clause = interval["clause"] + ": " + interval["words"]
    if shortest == 0:
        return {"at": None, "why": "this rules pack holds no test interval", "every_seconds": 0}
    at = None
    if case["at"] is not None:
        at = case["at"] + shortest
    return {"at": at, "why": clause, "every_seconds": shortest}


def in_force(pack: dict[str, Any], case: dict[str, Any]) -> bool:
    """Tell whether a pack was in force when the case was read; without a time it is taken to be."""
    if case["at"] is None:
        return True
    after_start = pack["effective_from"] is None or case["at"] >= pack["effective_from"]
    before_end = pack["effective_to"] is None or case["at"] < pack["effective_to"]
    return after_start and before_end


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


def judge(pack: dict[str, Any] | None, case: dict[str, Any]) -> dict[str, Any]:
    """Judge a round or a sample by a rules pack.

    Parameters
    ----------
    pack : dict or None
        Compiled pack (see rules/pack.py); None where no rules are chosen.
    case : dict
        {"purpose": "round" or "sample", "pool": facts, "readings": normal form, "history":
        [{"at", "readings"}], "at": UTC seconds or None} and what the findings may use.

    Returns
    -------
    dict
        {overall, level, stops, results, not_judged, actions, findings, next_due}.
    """
    findings = findings_of(case)
    stops = house_stops(case)
    if pack is None:
        return unjudged(stops, findings, "no local rules chosen")
    if not in_force(pack, case):
        return unjudged(stops, findings, "these rules were not in force at that time")
    doubtful = with_doubt(case, findings)
    chosen = rules_that_apply(pack, doubtful)
    rows = rows_of(doubtful, chosen["rules"])
    core_gaps = 0
    if case["purpose"] == "round":
        for item in CORE:
            gap = core_gap(item, pack, doubtful, chosen["rules"])
            if gap is not None:
                core_gaps = core_gaps + 1
                add_gap(rows["not_judged"], gap)
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
