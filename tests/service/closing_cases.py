"""Rules with rows on reopening and deadlines, for tests of closing."""

from __future__ import annotations

from typing import Any

from tests.baths import Baths

AT_LEAST_TWO = {
    "id": "free-two",
    "clause": "s. 18",
    "words": "Free chlorine is 2.0 mg/L or more",
    "for": ["closure", "ordered-closure"],
    "when": [],
    "rule": "free",
    "approval": "",
    "duty": "",
}
APPROVED = {
    "id": "approval",
    "clause": "s. 65545",
    "words": "The authority approves in writing",
    "for": ["closure", "ordered-closure"],
    "when": [],
    "rule": None,
    "approval": "authority",
    "duty": "",
}
GRATES = {
    "id": "grates",
    "clause": "s. 9",
    "words": "Every drain cover is in place",
    "for": ["closure"],
    "when": [],
    "rule": None,
    "approval": "",
    "duty": "drain-cover",
}
# Singapore's chain, as a deadline each: told in a day, cleaned in three, tested a day later, sent
# in seven.
CHAIN = [
    {"id": "notify", "within_seconds": 86400, "to": "authority", "after": ""},
    {"id": "clean", "within_seconds": 3 * 86400, "to": "site", "after": ""},
    {"id": "resample", "within_seconds": 86400, "to": "laboratory", "after": "clean"},
    {"id": "submit", "within_seconds": 7 * 86400, "to": "authority", "after": "resample"},
]


def with_rows(
    baths: Baths, *reopening: dict[str, Any], deadlines: list[dict[str, Any]] | None = None
) -> None:
    """Have the site's rules hold rows on reopening and deadlines of closures."""
    plain = baths.book.load

    def load(identity: str) -> dict[str, Any]:
        pack = dict(plain(identity))
        rows = []
        for row in reopening:
            whole = dict(row)
            if row["rule"] is not None:
                whole["rule"] = two_or_more(pack)
            rows.append(whole)
        pack["reopening"] = rows
        pack["deadlines"] = [
            {"on": "closure", "clause": "reg. 21", "words": row["id"]} | row
            for row in deadlines or []
        ]
        return pack

    baths.book.load = load  # type: ignore[method-assign]  # other rules in the place of those held


def two_or_more(pack: dict[str, Any]) -> dict[str, Any]:
    """Give a compiled rule that asks for 2.0 mg/L of free chlorine."""
    rule = next(
        row
        for row in pack["rules"]
        if row["parameter"] == "free_chlorine" and row["comparison"] == "at-least"
    )
    return dict(rule) | {
        "id": "free-two",
        "limit": "2.0",
        "limit_thousandths": 2000,
        "level": "close",
        "when": [],
    }
