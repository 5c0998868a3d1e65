"""What the rules want before a pool that was closed for cause is opened: met or not, and why.

It stands apart from whether the water meets the rules, and decides nothing: a person opens. An own
closure is never locked behind an authority's approval; an ordered one is, until it is lifted.
"""

from typing import Any

from lanewater.kernel.deciding.conditions import applies
from lanewater.kernel.deciding.rulings import ruling_of
from lanewater.kernel.deciding.standing import standing_readings

REOPENING_WORD = "reopening:"
ORDERED = "ordered-closure"
OWN_CLOSURE = "closure"
OF_MICROBES = "microbiology"
SHUTS_OUT = ("close", "evacuate")
PASSES = ("meets", "meets-borderline")
MS_OF_A_SECOND = 1000


def ordered_standing(facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the closures ordered by an authority that nobody has lifted."""
    found = []
    for row in facts.get("closures", []):
        if row["by_order"] is True and row["lifted"] is None:
            found.append(row)
    return found


def samples_against(facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the latest laboratory results of which the rules say close or evacuate."""
    found = []
    for row in facts.get("samples", []):
        if row["verdict"] in SHUTS_OUT:
            found.append(row)
    return found


def causes_standing(facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Give for what a pool is closed, in the words of the rules: [{"kind", "since": UTC ms}]."""
    found: list[dict[str, Any]] = []
    for row in facts.get("closures", []):
        kind = ORDERED if row["by_order"] is True else OWN_CLOSURE
        found.append({"kind": kind, "since": row["at"]})
        if row["of_sample"] is True:
            found.append({"kind": OF_MICROBES, "since": row["at"]})
    for row in facts.get("incidents", []):
        found.append({"kind": row["kind"], "since": row["at"]})
    for row in samples_against(facts):
        found.append({"kind": OF_MICROBES, "since": row["at"]})
    return found


def closed_for_since(causes: list[dict[str, Any]], wanted: list[str]) -> int | None:
    """Give since when a pool is closed for one of some causes, the latest; None for none."""
    found: int | None = None
    for cause in causes:
        if cause["kind"] in wanted and (found is None or cause["since"] > found):
            found = cause["since"]
    return found


def readings_since(facts: dict[str, Any], since: int) -> list[dict[str, Any]]:
    """Give the readings of the last round and of laboratory samples taken since an instant."""
    found = []
    last = facts["last"]
    if last is not None and last["oldest"] >= since:
        for reading in last["normal"]:
            found.append(reading)
    for row in facts.get("samples", []):
        if row["at"] >= since:
            found.append(row["reading"])
    return found


def reopening_case(facts: dict[str, Any], since: int) -> dict[str, Any]:
    """Put together what a condition is held against; what is in doubt decides nothing."""
    doubted: list[str] = []
    disbelieved: list[str] = []
    last = facts["last"]
    at = None
    if last is not None:
        at = last["at"] // MS_OF_A_SECOND
        if last["verdict"] is not None:
            for finding in last["verdict"].get("findings", []):
                for parameter in finding.get("parameters", []):
                    if finding.get("effect", "") == "not-judged":
                        doubted.append(parameter)
                    elif finding.get("effect", "") == "not-believable":
                        disbelieved.append(parameter)
    return {
        "purpose": "round",
        "pool": facts.get("pool_facts", {}),
        "readings": standing_readings(readings_since(facts, since)),
        "history": [],
        "at": at,
        "doubted": doubted,
        "disbelieved": disbelieved,
    }


def condition_row(row: dict[str, Any], kind: str, binds: bool) -> dict[str, Any]:
    """Begin an answer about one condition; what nobody has shown yet is not known."""
    return {
        "id": row["id"],
        "kind": kind,
        "met": "not-known",
        "binds": binds,
        "clause": row["clause"],
        "words": row["words"],
        "why": "",
        "value": "",
    }


def reading_condition(row: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    """Hold one measured condition against what was read since the pool was closed."""
    found = condition_row(row, "reading", True)
    ruling = ruling_of(row["rule"], case)
    if ruling is None:
        found["why"] = "not-read-since"
        return found
    found["value"] = ruling["value"]
    if ruling["verdict"] in PASSES:
        found["met"] = "yes"
        found["why"] = "met"
    elif ruling["verdict"] == "not-judged":
        found["why"] = "not-decided"
    else:
        found["met"] = "no"
        found["why"] = "not-met"
    return found


def approval_condition(row: dict[str, Any], facts: dict[str, Any]) -> dict[str, Any]:
    """Hold an authority's approval against what was lifted; it binds an ordered closure only."""
    ordered = False
    for closure in facts.get("closures", []):
        if closure["by_order"] is True:
            ordered = True
    wanted = ordered and ORDERED in row["for"]
    found = condition_row(row, "approval", wanted)
    if not wanted:
        found["why"] = "own-closure"
    elif len(ordered_standing(facts)) == 0:
        found["met"] = "yes"
        found["why"] = "lifted"
    else:
        found["met"] = "no"
        found["why"] = "not-lifted"
    return found


def reopening_now(facts: dict[str, Any], pack: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give what the rules want before this pool is opened again, in the rules' own order.

    Parameters
    ----------
    facts : dict
        The pool's: "closures", "incidents", "samples", "last", "pool_facts".
    pack : dict
        {"reopening": [{"id", "clause", "words", "for", "when", "rule" or None, "approval",
        "duty"}]}.
    now : int
        UTC ms.

    Returns
    -------
    list of dict
        {"id", "kind": reading, approval or duty, "met": yes, no or not-known, "binds": whether the
        pool stays closed until it is met, "clause", "words", "why": an id, "value": the reading}.
        A duty is met by whoever opens, who says so. Empty where the pool is not closed for cause.
    """
    found = []
    causes = causes_standing(facts)
    for row in pack["reopening"]:
        since = closed_for_since(causes, row["for"])
        if since is None or since > now:
            continue
        case = reopening_case(facts, since)
        if not applies(case, row["when"], 0)["holds"]:
            continue
        if row["approval"] != "":
            found.append(approval_condition(row, facts))
        elif row["rule"] is not None:
            found.append(reading_condition(row, case))
        else:
            said = condition_row(row, "duty", False)
            said["why"] = "to-confirm"
            found.append(said)
    return found


def reopening_wanted(facts: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give what the rules that a pool's facts carry want before it is opened."""
    return reopening_now(facts, {"reopening": facts.get("reopening", [])}, now)


def why_not_reopened(facts: dict[str, Any], now: int) -> list[str]:
    """Give what keeps a pool closed that was closed for cause; ids of `why_never`."""
    found: list[str] = []
    if len(ordered_standing(facts)) > 0:
        found.append("closed-by-order")
    for row in samples_against(facts):
        why = "sample-says-" + row["verdict"]
        if why not in found:
            found.append(why)
    for row in reopening_wanted(facts, now):
        if row["binds"] is True and row["met"] != "yes":
            found.append(REOPENING_WORD + row["id"])
    return found


def to_confirm(facts: dict[str, Any], now: int) -> list[str]:
    """Give the conditions that whoever opens has to say are so.

    Parameters
    ----------
    facts : dict
        The pool's.
    now : int
        UTC ms.
    """
    found: list[str] = []
    for row in reopening_wanted(facts, now):
        if row["kind"] == "duty":
            found.append(row["id"])
    return found


def criteria_met(facts: dict[str, Any], confirmed: list[str], now: int) -> list[str]:
    """Give the conditions that were met when a pool was opened, as the record keeps them.

    Parameters
    ----------
    facts : dict
        The pool's.
    confirmed : list of str
        What whoever opens says was seen to.
    now : int
        UTC ms.
    """
    found: list[str] = []
    for row in reopening_wanted(facts, now):
        if row["met"] == "yes" or row["id"] in confirmed:
            found.append(row["id"])
    return found
