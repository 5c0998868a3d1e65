"""The same round under several packs, side by side; which of them applies is for a person."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from lanewater.kernel.deciding.heldverdict import STATUS_SAID
from lanewater.kernel.deciding.housestops import house_stops
from lanewater.kernel.deciding.limits import severity
from lanewater.rules.judging import judge_case

FAIL_KEYS = (
    "rule",
    "clause",
    "parameter",
    "value",
    "limit",
    "comparison",
    "verdict",
    "worked",
    "counted",
)


def under_all(packs: Iterable[dict[str, Any]], case: dict[str, Any]) -> dict[str, Any]:
    """Judge one case by every pack.

    Parameters
    ----------
    packs : iterable of dict
        Compiled packs, in the order in which they are told.
    case : dict
        As `rules.case.case_from` makes it.

    Returns
    -------
    dict
        {"stops": house stops, the same under all rules, "under": a row a pack, see `under`}.
    """
    return {"stops": house_stops(case), "under": [under(pack, case) for pack in packs]}


def under(pack: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    """Judge one case by one pack, in short.

    Parameters
    ----------
    pack : dict
        Compiled pack.
    case : dict
        As `rules.case.case_from` makes it.

    Returns
    -------
    dict
        {"rules", "title", "edition", "status", "law", "overall", "level", "fails": rows that fail,
        "not_judged", "said": what is to be known of a pack that is not reviewed, or ""}.
    """
    answer = judge_case(pack, case)
    return {
        "rules": pack["id"],
        "title": pack["title"],
        "edition": pack["edition"],
        "status": pack["status"],
        "law": pack["law"],
        "overall": answer["overall"],
        "level": answer["level"],
        "fails": [
            {key: row[key] for key in FAIL_KEYS if key in row}
            for row in answer["results"]
            if severity(row["verdict"]) < severity("not-judged")
        ],
        "not_judged": answer["not_judged"],
        "said": STATUS_SAID.get(pack["status"], ""),
    }
