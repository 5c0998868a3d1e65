"""How far an incident's steps are: done, not needed, to do, or locked behind another or a reading.

What was ticked is a fact and stays; whether it counts is told here. In the kinds of STRICT a step
counts only where it was done after the one before it, whatever order the lines came in.
"""

from typing import Any

from lanewater.kernel.deciding.incidentclock import last_seen
from lanewater.kernel.deciding.incidentkinds import (
    INCIDENTS,
    MAY_BE_LEFT,
    MEASURED,
    NAMED,
    NEEDS,
    STRICT,
    TEST_AFTER,
    WITH_PROCEDURE,
    WITHOUT_PROCEDURE,
)
from lanewater.kernel.deciding.incidentreadings import (
    gate_holds,
    measured_done,
    unjudged_since,
)

RULES_STEP = "rules:"


def usable_of(procedures: list[dict[str, Any]]) -> bool:
    """Tell whether the rules hold a procedure that may be used."""
    for procedure in procedures:
        if procedure["archived"] is not True:
            return True
    return False


def stabiliser_limited(procedures: list[dict[str, Any]], clock: dict[str, Any] | None) -> bool:
    """Tell whether the chosen procedure, or any that may be, holds up to some stabiliser only."""
    if clock is not None:
        return clock["cyanuric_most"] is not None
    for procedure in procedures:
        if procedure["archived"] is not True and procedure["cyanuric_most"] is not None:
            return True
    return False


def rules_steps(procedures: list[dict[str, Any]], clock: dict[str, Any] | None) -> list[Any]:
    """Give the rules' own steps: of the procedure that was chosen, or of the only one there is."""
    usable = []
    for procedure in procedures:
        if procedure["archived"] is not True:
            usable.append(procedure)
    for procedure in usable:
        if len(usable) == 1 or (clock is not None and clock["procedure"] == procedure["id"]):
            found = []
            for step in procedure["steps"]:
                found.append(
                    {
                        "id": RULES_STEP + procedure["id"] + ":" + step["id"],
                        "words": step["words"],
                        "clause": procedure["clause"],
                        "gate": step.get("gate"),
                    }
                )
            return found
    return []


def step_wanted(
    identity: str, usable: bool, limited: bool, unjudged: bool, contaminated: bool
) -> bool:
    """Tell whether a step of a kind is asked for, as the rules and the readings stand."""
    if identity in WITHOUT_PROCEDURE:
        return not usable
    if identity == "stabiliser-first":
        return usable and limited
    if identity == "water-word":
        return unjudged
    if identity in WITH_PROCEDURE and contaminated:
        return usable
    return True


def steps_asked(
    incident: dict[str, Any],
    procedures: list[dict[str, Any]],
    clock: dict[str, Any] | None,
    unjudged: bool,
) -> list[dict[str, Any]]:
    """Give an incident's steps in order: the house's, and the rules' own before chlorine is raised.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    procedures : list of dict
        As `procedures_now` gives them.
    clock : dict or None
        As `chosen_clock` gives it.
    unjudged : bool
        Whether the rules do not judge the last round of one of its pools.

    Returns
    -------
    list of dict
        {"id", "words": the rules' own or "" for the house's, "clause", "gate"}.
    """
    kind = INCIDENTS[incident["kind"]]
    usable = usable_of(procedures)
    limited = stabiliser_limited(procedures, clock)
    contaminated = "contact-time" in kind["steps"]
    found = []
    for identity in kind["steps"]:
        if identity == "raise-chlorine":
            for row in rules_steps(procedures, clock):
                found.append(row)
        if step_wanted(identity, usable, limited, unjudged, contaminated):
            found.append({"id": identity, "words": "", "clause": "", "gate": None})
    return found


def counts_as_done(row: dict[str, Any]) -> bool:
    """Tell whether an answer to a step does what the step asks: named words where it takes them."""
    if row["answer"] != "done":
        return False
    if row["step"] in NAMED:
        return row["named"] is True and row["words"] != ""
    return True


def later_line(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell whether a line is later than another, by its time and then by its entry."""
    if one["at"] == other["at"]:
        return one["entry"] > other["entry"]
    return one["at"] > other["at"]


def answer_to(incident: dict[str, Any], identity: str, after: int) -> dict[str, Any] | None:
    """Give the answer by which a step stands: the first that counts since it was last taken back.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    identity : str
        The step.
    after : int
        Done earlier than this it does not count. [UTC ms]
    """
    taken_back: dict[str, Any] | None = None
    for row in incident["steps"]:
        if row["step"] == identity and row["answer"] == "not-done":
            if taken_back is None or later_line(row, taken_back):
                taken_back = row
    found: dict[str, Any] | None = None
    for row in incident["steps"]:
        left = row["answer"] == "not-needed" and identity in MAY_BE_LEFT
        fits = row["step"] == identity and (counts_as_done(row) or left) and row["at"] >= after
        stands = taken_back is None or later_line(row, taken_back)
        if fits and stands and (found is None or later_line(found, row)):
            found = row
    return found


def waits_for(kind: str, rows: list[dict[str, Any]], identity: str) -> list[str]:
    """Give the steps that a step waits for, of those that stand before it."""
    before: list[str] = []
    for row in rows:
        before.append(row["id"])
    if len(before) == 0:
        return []
    if kind in STRICT:
        return [before[len(before) - 1]]
    found = [before[0]]
    for needed in NEEDS.get(identity, ()):
        if needed in before:
            found.append(needed)
    return found


def step_gate(kind: str, rows: list[dict[str, Any]], identity: str, gate_open: bool) -> str:
    """Tell why a step is locked, "" where it is not."""
    for needed in waits_for(kind, rows, identity):
        for row in rows:
            if row["id"] == needed and row["state"] != "done" and row["state"] != "not-needed":
                return "step:" + needed
    if not gate_open:
        return "reading"
    return ""


def done_since(incident: dict[str, Any], identity: str) -> int:
    """Give since when a step counts: since it last happened, and people are out from the first.

    Thunder asks for nothing once more but the wait.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    identity : str
        The step.

    Returns
    -------
    int
        UTC ms.
    """
    if identity == "people-out" or incident["kind"] == "thunder":
        begun: int = incident["at"]
        return begun
    if identity == "water-word":
        return max(last_seen(incident), unjudged_since(incident))
    return last_seen(incident)


def steps_now(
    incident: dict[str, Any],
    asked: list[dict[str, Any]],
    clock: dict[str, Any] | None,
    criteria: dict[str, str],
) -> list[dict[str, Any]]:
    """Give an incident's steps with how far each is.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.
    asked : list of dict
        As `steps_asked` gives them.
    clock : dict or None
        As `chosen_clock` gives it.
    criteria : dict
        As `measured_done` takes it.

    Returns
    -------
    list of dict
        {"id", "words", "clause", "must", "named", "measured", "state", "gate", "at", "by", "said"}.
    """
    kind: str = incident["kind"]
    rows: list[dict[str, Any]] = []
    after: int = incident["at"]
    for step in asked:
        identity: str = step["id"]
        gate = step["gate"]
        why = step_gate(kind, rows, identity, gate is None or gate_holds(incident, gate))
        row = {
            "id": identity,
            "words": step["words"],
            "clause": step["clause"],
            "must": identity not in MAY_BE_LEFT,
            "named": identity in NAMED,
            "measured": identity in MEASURED,
            "state": "to-do" if why == "" else "locked",
            "gate": why,
            "at": None,
            "by": "",
            "said": "",
        }
        since = done_since(incident, identity)
        if kind in STRICT:
            since = max(since, after)
        answer = answer_to(incident, identity, since)
        if answer is None and identity == "people-out" and incident["nobody_in"] is True:
            answer = {"answer": "done", "at": incident["at"], "by": incident["by"], "words": ""}
        if identity in MEASURED:
            if measured_done(incident, identity, clock, criteria):
                row["state"] = "done"
                row["gate"] = ""
        elif answer is not None and (why == "" or (kind not in STRICT and gate is None)):
            row["state"] = answer["answer"]
            row["gate"] = ""
            for key, told in [("at", "at"), ("by", "by"), ("said", "words")]:
                row[key] = answer[told]
            after = max(after, answer["at"])
        rows.append(row)
    return rows


def tested_since(incident: dict[str, Any]) -> int:
    """Give since when a test shows something: after the last of what was done to plant and water.

    Parameters
    ----------
    incident : dict
        As a pool's facts hold it.

    Returns
    -------
    int
        UTC ms; at least when it last happened.
    """
    since = last_seen(incident)
    for row in incident["steps"]:
        if row["step"] in TEST_AFTER and row["answer"] == "done":
            since = max(since, row["at"])
    return since
