"""Who decides what at a pool, by role: the default matrix, as data, and a site's changes to it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from lanewater.terms.errors import InputError
from lanewater.terms.words import DECISIONS, ROLES

Matrix = Mapping[str, Mapping[str, str]]

# In the order of ROLES: tester, duty manager, plant operator, area manager, contractor.
# yes; no; delegated: where the site has delegated it to this person; competent: where a recorded
# competence covers it. Source: facts of the trade, decisions by role (default, site-editable).
DEFAULTS: dict[str, tuple[str, ...]] = {
    "record": ("yes", "yes", "yes", "yes", "yes"),
    "everyone-out": ("yes", "yes", "yes", "yes", "yes"),
    "start-incident": ("yes", "yes", "yes", "yes", "yes"),
    "open": ("no", "yes", "delegated", "yes", "no"),
    "end-house-stop": ("no", "yes", "delegated", "yes", "no"),
    "end-incident": ("no", "yes", "yes", "yes", "no"),
    "close": ("no", "yes", "yes", "yes", "no"),
    "hand-dose": ("no", "competent", "competent", "competent", "competent"),
    "accept-rules": ("no", "no", "no", "yes", "no"),
    "set-up": ("no", "no", "no", "yes", "no"),
}
MATRIX: dict[str, dict[str, str]] = {
    decision: dict(zip(ROLES, DEFAULTS[decision], strict=True)) for decision in DECISIONS
}
# The tester must always be able to clear the water: nobody can take these from anybody.
ALWAYS = ("record", "everyone-out", "start-incident")
# An amount is shown for competence only, never for a role.
BY_COMPETENCE = ("hand-dose",)
# Who was delegated to open may then do what goes with opening, where a row says "delegated".
WITH_OPEN = ("open", "end-house-stop", "end-incident", "close")


def matrix_with(matrix: Matrix, rows: Iterable[Mapping[str, str]]) -> dict[str, dict[str, str]]:
    """Give a matrix with some of its answers changed; what cannot be changed stays as it is.

    Parameters
    ----------
    matrix : mapping
        Decision to role to answer.
    rows : iterable of mapping
        [{"decision", "role", "answer"}], the later over the earlier.

    Returns
    -------
    dict
        Another matrix.
    """
    found = {decision: dict(answers) for decision, answers in matrix.items()}
    for row in rows:
        if not why_not_set(row):
            found[row["decision"]][row["role"]] = row["answer"]
    return found


def why_not_set(row: Mapping[str, str]) -> str:
    """Tell why an answer cannot be set for anybody, "" where it can."""
    decision, answer = row["decision"], row["answer"]
    if decision in ALWAYS and answer != "yes":
        return "cannot be taken from anybody"
    if decision in BY_COMPETENCE and answer not in ("no", "competent"):
        return "takes a recorded competence, whatever the role: no or competent"
    if decision not in BY_COMPETENCE and answer == "competent":
        return "is not a matter of competence: yes, no or delegated"
    if answer == "delegated" and decision not in WITH_OPEN:
        return "cannot be delegated to one person: yes or no"
    return ""


def hold_to_house(matrix: Matrix, rows: Iterable[Mapping[str, str]]) -> dict[str, dict[str, str]]:
    """Give a matrix with changes that a site asks for.

    Raises
    ------
    InputError
        Naming the decision that cannot be so, or that nobody would be left to decide.
    """
    listed = list(rows)
    for row in listed:
        why = why_not_set(row)
        if why:
            raise InputError(row["decision"], why)
    found = matrix_with(matrix, listed)
    for decision, answers in found.items():
        if decision not in BY_COMPETENCE and set(answers.values()) <= {"no", "delegated"}:
            raise InputError(decision, "would be left to no role")
    return found


def answer_for(
    decision: str, roles: Iterable[str], delegated: Iterable[str] = (), matrix: Matrix = MATRIX
) -> str:
    """Give what the matrix says of a decision for somebody with some roles.

    Parameters
    ----------
    decision : str
        A row of the matrix, such as "open".
    roles : iterable of str
        The person's roles at the site; none for somebody not on the list.
    delegated : iterable of str
        What the site has delegated to this person.
    matrix : mapping, optional
        The site's; else the default.

    Returns
    -------
    str
        "yes", "no" or "competent" (then competence decides).
    """
    if decision in ALWAYS:
        return "yes"
    found = {matrix[decision][role] for role in roles}
    if "yes" in found or ("delegated" in found and decision_delegated(decision, delegated)):
        return "yes"
    return "competent" if "competent" in found else "no"


def decision_delegated(decision: str, delegated: Iterable[str]) -> bool:
    """Tell whether a decision was delegated; with opening go closing and the ending of stops."""
    given = set(delegated)
    return decision in given or (decision in WITH_OPEN and "open" in given)


def who_may(decision: str, matrix: Matrix = MATRIX) -> list[str]:
    """Give the roles that a decision belongs to, to be named in a refusal."""
    return [role for role in ROLES if matrix[decision][role] != "no"]
