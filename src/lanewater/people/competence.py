"""Whether a person's recorded competence covers what is asked; software never says more."""

from __future__ import annotations

from collections.abc import Iterable, Mapping


def why_not_dose(competences: Iterable[Mapping[str, str]], substance: str, today: str) -> str:
    """Tell why a person may not be shown an amount of a product; "" where nothing is in the way.

    Parameters
    ----------
    competences : iterable of mapping
        {"covers": "hand-dosing", "product": substance id or "*", "from": date, "until"?: date}.
    substance : str
        Such as "sodium-hypochlorite".
    today : str
        The site's local date, "2026-11-25".

    Returns
    -------
    str
        "no-competence-on-record", "competence-not-yet", "competence-expired" or "".
    """
    found = [
        row
        for row in competences
        if row["covers"] == "hand-dosing" and row["product"] in ("*", substance)
    ]
    if not found:
        return "no-competence-on-record"
    begun = [row for row in found if row["from"] <= today]
    if not begun:
        return "competence-not-yet"
    if all("until" in row and row["until"] < today for row in begun):
        return "competence-expired"
    return ""
