"""The judgement of a round as it goes on record: held to its first result and to house stops.

A tablet and the server judge by this one function, the server once more when the round arrives.
"""

from typing import Any

from lanewater.kernel.deciding.applying import next_due_by_pack
from lanewater.kernel.deciding.doubt import doubtful_parameters, surprising
from lanewater.kernel.deciding.duenow import FAILED_OVERALL
from lanewater.kernel.deciding.exchanging import exchanged, without_total
from lanewater.kernel.deciding.judging import judge
from lanewater.kernel.deciding.plausibility import findings_of
from lanewater.kernel.deciding.retesting import ended_by_repeat
from lanewater.kernel.deciding.waterknown import SURPRISING_WATER

PASSED_OVERALL = ("meets", "meets-borderline")
MADE_TO_MEET = "a fail became a pass by a change: test again"
SURPRISING_WORDS = {"free_chlorine": "free chlorine", "ph": "pH"}
STATUS_SAID = {
    "draft": "Draft: not yet compared with the printed text a second time.",
    "secondary": "Secondary: read in someone else's account of the rules.",
    "historic": "Historic: these rules are no longer in force.",
}


def status_findings(pack: dict[str, Any] | None) -> list[dict[str, Any]]:
    """Give what is to be said of a pack that is not reviewed; empty where nothing is."""
    if pack is None:
        return []
    said: str = STATUS_SAID.get(pack["status"], "")
    if said == "":
        return []
    return [
        {
            "id": "rules-" + pack["status"],
            "about": "rules",
            "parameters": [],
            "effect": "note",
            "why": said,
            "do": "Ask your authority for the text in force.",
        }
    ]


def surprise_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a finding for each reading of a round that is far from the last one without a cause."""
    found = []
    if case["purpose"] != "round":
        return []
    for parameter, name in SURPRISING_WORDS.items():
        if surprising(case, parameter):
            found.append(
                {
                    "id": "surprising",
                    "about": parameter,
                    "parameters": [parameter],
                    "effect": "note",
                    "why": name + " is far from the last round, no cause is known.",
                    "do": "Test it once more before anything is built on it.",
                }
            )
    return found


def doubted_in(case: dict[str, Any]) -> list[str]:
    """Give the numbers of a round that no advice may rest on until they are repeated."""
    found = doubtful_parameters(findings_of(case))
    for parameter in SURPRISING_WATER:
        if surprising(case, parameter):
            found.append(parameter)
    return found


def answer_held(pack: dict[str, Any] | None, case: dict[str, Any]) -> dict[str, Any]:
    """Give a judgement with what is said of its rules and of surprises beside it.

    Parameters
    ----------
    pack : dict or None
        The compiled rules, None where none are chosen.
    case : dict
        What is judged.
    """
    answer = judge(pack, case)
    found = {}
    for key, value in answer.items():
        found[key] = value
    findings = []
    for part in [answer["findings"], status_findings(pack), surprise_findings(case)]:
        for row in part:
            findings.append(row)
    found["findings"] = findings
    due = {}
    for key, value in answer["next_due"].items():
        due[key] = value
    found["next_due"] = due
    if pack is not None:
        found["status"] = pack["status"]
        due["every_seconds"] = next_due_by_pack(pack, case)["every_seconds"]
    return found


def held_to_first(body: dict[str, Any], changed: list[str]) -> dict[str, Any]:
    """Turn a pass into "not-judged" where a change after a fail made it, every row with it."""
    found = {}
    for key, value in body.items():
        found[key] = value
    found["changed_to_pass"] = True
    found["overall"] = "not-judged"
    results = []
    for row in body["results"]:
        copied = {}
        for key, value in row.items():
            copied[key] = value
        if copied["verdict"] in PASSED_OVERALL:
            copied["verdict"] = "not-judged"
        results.append(copied)
    found["results"] = results
    gaps = []
    for row in body["not_judged"]:
        gaps.append(row)
    named: list[str] = []
    for parameter in changed:
        if parameter not in named:
            named.append(parameter)
            gaps.append({"parameter": parameter, "why": MADE_TO_MEET})
    found["not_judged"] = gaps
    return found


def standing_before(
    stops: list[dict[str, Any]], given: dict[str, Any], readings: list[dict[str, Any]]
) -> list[str]:
    """Give the house stops of before a round that stand on after it."""
    found: list[str] = []
    for stop in stops:
        before = stop["since"] <= given["at"] and stop["round"] != given["id"]
        if before and not ended_by_repeat(stop, given["id"], readings):
            found.append(stop["id"])
    return found


def held_to_standing(body: dict[str, Any], standing: list[str]) -> dict[str, Any]:
    """Turn a pass into "not-judged" while an earlier house stop stands at the pool."""
    if len(standing) == 0 or body["overall"] not in PASSED_OVERALL:
        return body
    named = ""
    for stop in standing:
        named = stop if named == "" else named + ", " + stop
    found = {}
    for key, value in body.items():
        found[key] = value
    gaps = []
    for row in body["not_judged"]:
        gaps.append(row)
    gaps.append({"parameter": "house-stop", "why": "a house stop stands: " + named})
    found["overall"] = "not-judged"
    found["not_judged"] = gaps
    return found


def first_overall(pack: dict[str, Any] | None, case: dict[str, Any], given: dict[str, Any]) -> str:
    """Give what was first said of a round that was changed since, "" where nothing was.

    Where free and total changed places it is what free, as first typed, said by itself.
    """
    if given["was"] != "":
        return given["was"]
    if given["first_case"] is None:
        return ""
    if exchanged(given["first_case"]["readings"], case["readings"]):
        return answer_held(pack, without_total(given["first_case"]))["overall"]
    return answer_held(pack, given["first_case"])["overall"]


def judged_round(
    pack: dict[str, Any] | None,
    case: dict[str, Any],
    given: dict[str, Any],
    stops: list[dict[str, Any]],
) -> dict[str, Any]:
    """Judge a round as it goes on record.

    Parameters
    ----------
    pack : dict or None
        The compiled rules, None where none are chosen.
    case : dict
        The round as it stands.
    given : dict
        {"id", "at": UTC ms, "was": what was shown before a correction or "", "changed": parameters
        that were changed after a result was shown, "first_case": the case before they were, or
        None}.
    stops : list of dict
        The house stops that stand at the pool: {"id", "since": UTC ms, "round"}.

    Returns
    -------
    dict
        {"rules": {"id", "edition", "hash"} or None, "body": what the rules say, held to its first
        result and to earlier house stops; "next_due" at UTC s or None, "doubtful": what no advice
        may rest on}.
    """
    body = answer_held(pack, case)
    if body["overall"] in PASSED_OVERALL and first_overall(pack, case, given) in FAILED_OVERALL:
        body = held_to_first(body, given["changed"])
    if case["purpose"] == "round":
        body = held_to_standing(body, standing_before(stops, given, case["readings"]))
    rules = None
    if pack is not None:
        rules = {"id": pack["id"], "edition": pack["edition"], "hash": pack["hash"]}
    return {"rules": rules, "body": body, "doubtful": doubted_in(case)}


def verdict_told(rules: dict[str, Any] | None, body: dict[str, Any]) -> dict[str, Any]:
    """Give a judgement as pages and commands get it.

    Parameters
    ----------
    rules : dict or None
        {"id", "edition"} of the pack that judged; None, or texts that are "", for none.
    body : dict
        What went on record; what is not in it is empty.
    """
    found: dict[str, Any] = {"rules": None, "edition": None, "status": body.get("status")}
    if rules is not None:
        for key, name in {"rules": "id", "edition": "edition"}.items():
            if rules[name] != "":
                found[key] = rules[name]
    for key in ["stops", "results", "not_judged", "actions", "findings"]:
        found[key] = body.get(key, [])
    found["overall"] = body["overall"]
    found["level"] = body["level"]
    due = {"at": None, "why": ""}
    for key, value in body.get("next_due", {}).items():
        due[key] = value
    found["next_due"] = due
    found["changed_to_pass"] = body.get("changed_to_pass", False)
    if body.get("differs_from", "") != "":
        found["differs_from"] = body["differs_from"]
    return found


def shown_before(verdict: dict[str, Any] | None) -> str:
    """Give what was first shown of a round: a fail that was made to pass is still a fail."""
    if verdict is None:
        return ""
    if verdict.get("changed_to_pass", False) is True:
        return "does-not-meet"
    return verdict["overall"]
