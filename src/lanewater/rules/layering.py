"""Rules upon rules: a county's over its state's, a site's own over the law it is under.

Every rule of both holds, so a layer can only tighten. What would loosen (`replaces`, another
procedure, another class, another coverage) is the law's own to say, or takes a document of the
authority.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.rules.withouteffect import refuse_without_effect
from lanewater.terms.errors import InputError, RefusedError
from lanewater.terms.words import STATUSES

ADDED = ("rule", "interval", "schedule", "reopening", "deadline", "checklist", "contradiction")
# The first that fits gives a pool its class, and whoever may choose among procedures may choose the
# easiest: neither is a tightening.
BY_DOCUMENT = ("class", "procedures", "coverage", "replaces", "sampling", "records")
SITE_HEAD = {"id", "title", "extends", "note", "authority", "edition", "read_on", "sources"}
WITH_ID = ("rule", "class", "schedule", "procedures", "reopening", "deadline", "checklist")
DEFAULTS = {"clause": "own rules of the site", "source": "own", "evidence": "common-practice"}
SITE_LAYER = "site"


def layered(base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Put a law's layer upon the rules that it extends.

    Parameters
    ----------
    base, own : mapping
        The parsed texts: what is extended, itself whole, and what extends it.

    Returns
    -------
    dict
        The parsed text of both together; golden cases are those of the layer.

    Raises
    ------
    InputError
        Where an id stands in both and is not replaced, or what is replaced is not there.
    """
    refuse_wrong_base(base, own)
    merged = put_together(base, own)
    merged["coverage"] = {
        item: row if row.get("state") != "not-read" else base["coverage"].get(item, row)
        for item, row in own["coverage"].items()
    }
    merged["status"] = max((base["status"], own["status"]), key=STATUSES.index)
    merged["law"] = bool(base["law"] and own["law"])
    merged["borrow_hours"] = min(base["borrow_hours"], own["borrow_hours"])
    return merged


def overlaid(
    base: Mapping[str, Any], own: Mapping[str, Any], *, document: bool, accepted: bool = False
) -> dict[str, Any]:
    """Put a site's own rules upon the law that it is under.

    Parameters
    ----------
    base : mapping
        The parsed text of the law's pack, whole.
    own : mapping
        The parsed text of the site's rules: id, title, extends, and tables of what it adds.
    document : bool
        Whether a document of the authority is on record for it.
    accepted : bool, optional
        Whether a named person accepted it earlier. Then a limit without effect stands: it loosens
        nothing, and without the site's own rules nothing at all would be judged.

    Returns
    -------
    dict
        The parsed text of both together, under the law's own id, status and coverage.

    Raises
    ------
    RefusedError
        Where something in it could loosen and there is no document, or has no effect.
    InputError
        As `layered`, and for a key that a site's rules do not have.
    """
    allowed = {*SITE_HEAD, *ADDED, *BY_DOCUMENT, "golden"}
    for key in own:
        if key not in allowed:
            raise InputError(f"pack.{key}", "has no place in a site's own rules")
    for key in ("id", "title", "extends"):
        if not isinstance(own.get(key), str) or not own[key]:
            raise InputError(f"pack.{key}", "is missing")
    if not document:
        refuse_loosening(base, own)
    refuse_wrong_base(base, own)
    if not accepted:
        refuse_without_effect(base, own)
    merged = put_together(base, with_defaults(base, own))
    for key in ("id", "title", "authority", "place", "status", "law", "read_on", "borrow_hours"):
        merged[key] = base[key]
    merged["edition"] = f"{base['edition']}; with {own['title']}"
    merged["coverage"] = {**base["coverage"], **own.get("coverage", {})}
    merged.pop("extends", None)
    merged.pop("replaces", None)
    return merged


def refuse_loosening(base: Mapping[str, Any], own: Mapping[str, Any]) -> None:
    """Refuse what could loosen where no document of the authority stands behind it."""
    for key in BY_DOCUMENT:
        if own.get(key):
            what = f"`replaces` {', '.join(own[key])}" if key == "replaces" else f"[{key}]"
            raise RefusedError(
                f"{what} stands in the site's own rules: that could loosen {base['id']}, and takes "
                "a document of the authority (--document FILE --document-name TEXT)"
            )


def refuse_wrong_base(base: Mapping[str, Any], own: Mapping[str, Any]) -> None:
    """Refuse a layer that extends something else, or rules that are no longer in force."""
    if own["extends"] != base["id"]:
        raise InputError("pack.extends", f"is {own['extends']!r}; {base['id']} is wanted")
    if base["status"] == "historic":
        raise InputError("pack.extends", f"{base['id']} is historic; nothing can stand on it")


def with_defaults(base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Give a site's rules with what a site need not write: clause, source, evidence."""
    filled = dict(own)
    filled["sources"] = {
        "own": {"address": own["title"], "read_on": own.get("read_on", base["read_on"])},
        **own.get("sources", {}),
    }
    for key in (*ADDED, "class", "procedures"):
        if key in own and key != "contradiction":
            filled[key] = [{**DEFAULTS, **entry} for entry in own[key]]
    return filled


def put_together(base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Put the tables of two texts together; the head is the layer's own where it says something."""
    named = renamed_sources(base, own)
    kept = without_replaced(base, named)
    refuse_twice(kept, named)
    merged = {**kept, **{key: value for key, value in named.items() if value != {}}}
    merged["sources"] = {**base["sources"], **named.get("sources", {})}
    for key in ("class", *ADDED, "procedures"):
        # The layer's classes come first: the first that fits is the pool's.
        rows = (
            [*named.get(key, []), *kept.get(key, [])]
            if key == "class"
            else [
                *kept.get(key, []),
                *named.get(key, []),
            ]
        )
        if rows:
            merged[key] = rows
    merged["golden"] = list(named.get("golden", []))
    notes = [raw["note"] for raw in (own, base) if raw.get("note")]
    if notes:
        merged["note"] = " ".join(notes)
    doubtful = [*base.get("doubtful", []), *own.get("doubtful", [])]
    if doubtful:
        merged["doubtful"] = doubtful
    for key, choose in (("effective_from", max), ("effective_to", min)):
        dates = [str(raw[key]) for raw in (base, own) if key in raw]
        if dates:
            merged[key] = choose(dates)
    return merged


def renamed_sources(base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Give a layer's sources names of their own where the base has other ones by that name."""
    sources = own.get("sources", {})
    taken = {name: f"{own['id']}: {name}" for name in sources if name in base["sources"]}

    def named(entry: Any) -> Any:
        if isinstance(entry, dict) and entry.get("source") in taken:
            return {**entry, "source": taken[entry["source"]]}
        return entry

    found = {
        key: [named(entry) for entry in value] if isinstance(value, list) else named(value)
        for key, value in own.items()
    }
    found["sources"] = {taken.get(name, name): row for name, row in sources.items()}
    return found


def without_replaced(base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Give the base without what the layer replaces."""
    gone = own.get("replaces", [])
    known = {entry.get("id") for key in WITH_ID for entry in base.get(key, [])}
    for name in gone:
        if name not in known:
            raise InputError("pack.replaces", f"{name!r} is no id of {base['id']}")
    return {
        key: [row for row in value if row.get("id") not in gone] if key in WITH_ID else value
        for key, value in base.items()
    }


def refuse_twice(base: Mapping[str, Any], own: Mapping[str, Any]) -> None:
    """Refuse an id of the layer that the base has and the layer does not replace."""
    for key in WITH_ID:
        known = {entry.get("id") for entry in base.get(key, [])}
        for entry in own.get(key, []):
            if entry.get("id") in known:
                raise InputError(
                    f"{'procedure' if key == 'procedures' else key} {entry['id']}",
                    f"{base['id']} has one by that id; give yours another",
                )


def site_rule_ids(own: Mapping[str, Any]) -> frozenset[str]:
    """Give the ids of the rules that a site adds of its own."""
    return frozenset(str(rule.get("id", "")) for rule in own.get("rule", []))
