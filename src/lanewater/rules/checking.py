"""Does a pack hold: its coverage told truly, every golden case inside it answered as printed."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from lanewater.kernel.deciding.contacttime import contact_for_procedure
from lanewater.kernel.deciding.limits import severity
from lanewater.rules.case import case_from
from lanewater.rules.contact_time import readings_of
from lanewater.rules.judging import judge_case
from lanewater.terms.errors import LanewaterError
from lanewater.terms.words import CORE_COVERAGE

FEWEST_GOLDEN = 5


def troubles_of(pack: dict[str, Any]) -> list[str]:
    """Give everything that does not hold in a compiled pack; empty where all does.

    Parameters
    ----------
    pack : dict
        Compiled pack.

    Returns
    -------
    list of str
        One sentence a trouble.
    """
    troubles = coverage_troubles(pack)
    if len(pack["golden"]) < FEWEST_GOLDEN:
        troubles.append(f"{len(pack['golden'])} golden cases; at least {FEWEST_GOLDEN} are wanted")
    for number, golden in enumerate(pack["golden"], start=1):
        troubles += [f"golden case {number}: {why}" for why in golden_troubles(pack, golden)]
    for procedure in pack["procedures"]:
        troubles += procedure_troubles(procedure)
    return troubles


def procedure_troubles(procedure: dict[str, Any]) -> list[str]:
    """Run a procedure's golden cases: which of its routes is complete, and which is not."""
    troubles = []
    complete: set[str] = set()
    for number, golden in enumerate(procedure["golden"], start=1):
        where = f"procedure {procedure['id']}, golden case {number}"
        try:
            states = contact_for_procedure(golden_readings(golden), None, procedure)
        except LanewaterError as error:
            troubles.append(f"{where}: {error}")
            continue
        found = [state["route"] for state in states if state["remaining"] == 0]
        complete.update(found)
        if found != golden["complete"]:
            troubles.append(f"{where}: {found} are complete, {golden['complete']} are printed")
    if all(golden["complete"] for golden in procedure["golden"]):
        troubles.append(f"procedure {procedure['id']}: no golden case in which nothing is complete")
    troubles += [
        f"procedure {procedure['id']}: no golden case in which {route['id']} is complete"
        for route in procedure["routes"]
        if route["id"] not in complete
    ]
    return troubles


def golden_readings(golden: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a golden case's readings in normal form."""
    found = []
    for index, entry in enumerate(golden["readings"]):
        at = datetime.fromtimestamp(60 * entry["minute"], UTC).isoformat()
        values = {key: value for key, value in entry.items() if key != "minute"}
        found += readings_of({"at": at, **values}, f"readings[{index}]")
    return found


def golden_count(pack: dict[str, Any]) -> int:
    """Count a pack's golden cases, those of its procedures with them."""
    return len(pack["golden"]) + sum(len(one["golden"]) for one in pack["procedures"])


def coverage_troubles(pack: dict[str, Any]) -> list[str]:
    """Compare what the coverage table claims with the rules that are there."""
    serving = {
        "disinfectant_minimum": {"free_chlorine", "total_bromine"},
        "disinfectant_maximum": {"free_chlorine", "total_chlorine", "total_bromine"},
        "ph": {"ph"},
        "clarity": {"clarity"},
        "combined_chlorine": {"combined_chlorine"},
        "temperature": {"temperature_c"},
    }
    least = {"at-least", "above"}
    troubles = []
    for item, parameters in serving.items():
        rules = [rule for rule in pack["rules"] if rule["parameter"] in parameters]
        if item == "disinfectant_minimum":
            rules = [rule for rule in rules if rule["comparison"] in least]
        if item == "disinfectant_maximum":
            rules = [rule for rule in rules if rule["comparison"] not in least]
        rules = [rule for rule in rules if rule["computable"]]
        state = pack["coverage"][item]["state"]
        # A closing line may be known where the working range is not: it fails, and never passes.
        if state == "not-read":
            rules = [rule for rule in rules if rule["level"] not in ("close", "evacuate")]
        if state == "limited" and not rules:
            troubles.append(f"coverage: {item} is said to be limited, and no rule limits it")
        if state != "limited" and rules:
            troubles.append(
                f"coverage: {item} is said to be {state}, and {rules[0]['id']} limits it"
            )
    return troubles


def golden_troubles(pack: dict[str, Any], golden: dict[str, Any]) -> list[str]:
    """Judge one golden case and compare."""
    question = {
        key: golden[key]
        for key in ("purpose", "pool", "readings", "history", "at")
        if key in golden
    }
    try:
        answer = judge_case(pack, case_from(question))
    except LanewaterError as error:
        return [str(error)]
    return answer_troubles(golden, answer)


def answer_troubles(golden: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Compare an answer with what a golden case prints; empty where it comes out so.

    Parameters
    ----------
    golden : dict
        Compiled golden case.
    answer : dict
        As `judge` gives it, in whatever runtime.
    """
    failed = sorted(
        row["rule"]
        for row in answer["results"]
        if severity(row["verdict"]) < severity("not-judged")
    )
    stops = sorted(stop["id"] for stop in answer["stops"])
    troubles = []
    if answer["overall"] != golden["overall"]:
        troubles.append(f"overall is {answer['overall']}, {golden['overall']} is printed")
    troubles += golden_more(golden, answer)
    if "fails" in golden and failed != sorted(golden["fails"]):
        troubles.append(f"{failed} fail, {sorted(golden['fails'])} are printed")
    if "stops" in golden and stops != sorted(golden["stops"]):
        troubles.append(f"stops are {stops}, {sorted(golden['stops'])} are printed")
    return troubles


def golden_more(golden: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Compare what was assumed, what is asked for and how limits were worked out, where printed."""
    troubles = [
        f"the action {wanted} is printed, and is not asked for"
        for wanted in golden.get("actions", [])
        if not any(all(row[key] == wanted[key] for key in wanted) for row in answer["actions"])
    ]
    assumed = sorted(row["about"] for row in answer["findings"] if row["id"] == "not-known")
    if "assumed" in golden and assumed != sorted(golden["assumed"]):
        troubles.append(f"{assumed} are assumed, {sorted(golden['assumed'])} are printed")
    worked = {row["rule"]: row.get("worked", "") for row in answer["results"]}
    troubles += [
        f"{rule} is worked out as {worked.get(rule, '')!r}, {text!r} is printed"
        for rule, text in golden.get("worked", {}).items()
        if worked.get(rule, "") != text
    ]
    return troubles


def full_coverage(pack: dict[str, Any]) -> bool:
    """Tell whether disinfectant, pH and clarity are all limited or known to be unlimited."""
    return all(pack["coverage"][item]["state"] != "not-read" for item in CORE_COVERAGE)


def summary_of(pack: dict[str, Any]) -> dict[str, Any]:
    """Give what a list says of a pack.

    Returns
    -------
    dict
        {"id", "title", "status", "edition", "law", "read_on", "coverage", "full_coverage"}.
    """
    return {
        "id": pack["id"],
        "title": pack["title"],
        "status": pack["status"],
        "edition": pack["edition"],
        "law": pack["law"],
        "read_on": pack["read_on"],
        "coverage": {item: entry["state"] for item, entry in pack["coverage"].items()},
        "full_coverage": full_coverage(pack),
    }
