"""Which text of the same law was in force at the time of what is judged, of those held here.

It is named, and never taken in the place of the one that was asked for.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.kernel.deciding.applying import in_force
from lanewater.service.packs import load_pack, pack_ids

HISTORIC = "historic"


def editions_then(pack: Mapping[str, Any], case: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Give a finding for each other text of a law that was in force when a case was read.

    Parameters
    ----------
    pack : mapping
        The compiled pack that the case is judged by.
    case : mapping
        As `rules.case.case_from` makes it.

    Returns
    -------
    list of dict
        Empty where the pack itself was in force then, or no other is known to have been.
    """
    if in_force(dict(pack), dict(case)):
        return []
    law = pack["id"].partition("@")[0]
    others = [name for name in pack_ids() if name.partition("@")[0] == law and name != pack["id"]]
    return [
        {
            "id": "another-edition-was-in-force",
            "about": "rules",
            "parameters": [],
            "effect": "note",
            "why": f"{name} was in force at that time ({other['edition']}).",
            "do": f"To judge by it, name it: {name}.",
        }
        for name, other in ((name, load_pack(name)) for name in others)
        if known_in_force(other, case)
    ]


def known_in_force(pack: Mapping[str, Any], case: Mapping[str, Any]) -> bool:
    """Tell whether a text is known to have been in force, and until when if it ended."""
    ended = pack["effective_to"] is not None or pack["status"] != HISTORIC
    return pack["effective_from"] is not None and ended and in_force(dict(pack), dict(case))
