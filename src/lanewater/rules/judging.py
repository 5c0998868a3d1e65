"""The typed face of judging: a pack and a case in, the whole answer out."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from lanewater.kernel.deciding.heldverdict import status_findings
from lanewater.kernel.deciding.judging import judge


def judge_case(pack: dict[str, Any] | None, case: dict[str, Any]) -> dict[str, Any]:
    """Judge a case by a compiled pack.

    Parameters
    ----------
    pack : dict or None
        Compiled pack; None where no rules are chosen, and then nothing is judged.
    case : dict
        As `rules.case.case_from` makes it.

    Returns
    -------
    dict
        The answer that docs/reference/questions.md describes; next_due.at is RFC 3339 UTC or None.
    """
    answer = judge(pack, case)
    findings = [*answer["findings"], *status_findings(pack)]
    due = answer["next_due"]
    return {
        "rules": pack["id"] if pack else None,
        "edition": pack["edition"] if pack else None,
        "status": pack["status"] if pack else None,
        **answer,
        "findings": findings,
        "next_due": {"at": utc_text(due["at"]), "why": due["why"]},
    }


def utc_text(instant: int | None) -> str | None:
    """Write UTC seconds as RFC 3339."""
    if instant is None:
        return None
    return datetime.fromtimestamp(instant, UTC).isoformat().replace("+00:00", "Z")
