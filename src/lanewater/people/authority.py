"""Who decides what at a pool, by role: the default matrix, as data."""

from __future__ import annotations

from collections.abc import Iterable

from lanewater.terms.words import ROLES

# yes; no; delegated: where the site has delegated it to this person; competent: where a recorded
# competence covers it. Source: facts of the trade, decisions by role (default, site-editable).
MATRIX: dict[str, dict[str, str]] = {
    "record": {
        "tester": "yes",
        "duty-manager": "yes",
        "plant-operator": "yes",
        "area-manager": "yes",
        "contractor": "yes",
    },
    "everyone-out": {
        "tester": "yes",
        "duty-manager": "yes",
        "plant-operator": "yes",
        "area-manager": "yes",
        "contractor": "yes",
    },
    "open": {
        "tester": "no",
        "duty-manager": "yes",
        "plant-operator": "delegated",
        "area-manager": "yes",
        "contractor": "no",
    },
    "end-house-stop": {
        "tester": "no",
        "duty-manager": "yes",
        "plant-operator": "delegated",
        "area-manager": "yes",
        "contractor": "no",
    },
    "close": {
        "tester": "no",
        "duty-manager": "yes",
        "plant-operator": "yes",
        "area-manager": "yes",
        "contractor": "no",
    },
    "hand-dose": {
        "tester": "no",
        "duty-manager": "competent",
        "plant-operator": "competent",
        "area-manager": "competent",
        "contractor": "competent",
    },
    "set-up": {
        "tester": "no",
        "duty-manager": "no",
        "plant-operator": "no",
        "area-manager": "yes",
        "contractor": "no",
    },
}
ALWAYS = ("record", "everyone-out")


def answer_for(decision: str, roles: Iterable[str], delegated: Iterable[str] = ()) -> str:
    """Give what the matrix says of a decision for somebody with some roles.

    Parameters
    ----------
    decision : str
        A row of the matrix, such as "open".
    roles : iterable of str
        The person's roles at the site; none for somebody not on the list.
    delegated : iterable of str
        What the site has delegated to this person.

    Returns
    -------
    str
        "yes", "no" or "competent" (then competence decides).
    """
    if decision in ALWAYS:
        return "yes"
    found = {MATRIX[decision][role] for role in roles}
    if "yes" in found or ("delegated" in found and decision_delegated(decision, delegated)):
        return "yes"
    return "competent" if "competent" in found else "no"


def decision_delegated(decision: str, delegated: Iterable[str]) -> bool:
    """Tell whether a decision was delegated; who may open may end a house stop."""
    return ("open" if decision == "end-house-stop" else decision) in set(delegated)


def who_may(decision: str) -> list[str]:
    """Give the roles that a decision belongs to, to be named in a refusal."""
    return [role for role in ROLES if MATRIX[decision][role] != "no"]
