"""Whether a device may show somebody an amount of a substance, by the competence it carries."""

from typing import Any

ANY_SUBSTANCE = "*"


def may_be_shown(person: dict[str, Any], substance: str, day: int) -> bool:
    """Tell whether a person's recorded competence covers a substance on a day.

    Parameters
    ----------
    person : dict
        {"may": {decision: yes, no or competent}, "hand_dosing": [{"substance" or "*", "from",
        "until" or None}]}; days counted from 1970-01-01, the last one included.
    substance : str
        Such as "sodium-hypochlorite".
    day : int
        The site's day: `duenow.site_day`.
    """
    if person["may"].get("hand-dose", "no") == "no":
        return False
    for row in person["hand_dosing"]:
        covers = row["substance"] == ANY_SUBSTANCE or row["substance"] == substance
        if covers and row["from"] <= day and (row["until"] is None or day <= row["until"]):
            return True
    return False
