"""What a pack holds beside limits and times: classes, looks, reopening, samples, records."""

from __future__ import annotations

from typing import Any

from lanewater.rules.packconditions import (
    COMPARISONS,
    CONDITIONS,
    RISK_CLASS,
    conditions_of,
    own_name,
)
from lanewater.rules.packkeys import (
    TOLD_WHERE,
    compiled_list,
    expect_keys,
    expect_origin,
    expect_word,
    flag,
    named,
    text_of,
    whole,
    words_of,
)
from lanewater.rules.packrules import compile_rule, scope_of
from lanewater.terms.errors import InputError
from lanewater.terms.words import INCIDENT_KINDS, LEVELS, POOL_FACTS, POOL_NUMBERS

CLASS = TOLD_WHERE | {"fact"}
CLASS_CONDITIONS = {"when", "when_number"}
CHECKLIST = TOLD_WHERE | {"words", "level"}
REOPENING = TOLD_WHERE | {"words", "for"}
OF_A_READING = {"parameter", *COMPARISONS}
OPTIONAL_REOPENING = {*OF_A_READING, *CONDITIONS, "approval", "duty", "note"}
REOPENED = ("closure", "ordered-closure", *INCIDENT_KINDS, "microbiology")
SAMPLING = {"clause", "source", "words"}
OPTIONAL_SAMPLING = {"evidence", "depth_mm", "points", "order", "note"}
RECORDS = {"clause", "source"}
OPTIONAL_RECORDS = {
    "evidence",
    "keep_months",
    "fields",
    "display_days",
    "signature",
    "words",
    "note",
}
CONTRADICTION = {"about", "one", "other", "chosen", "why"}


def compile_classes(raw: dict[str, Any]) -> list[dict[str, Any]]:
    """Turn the classes of a pack, in order, into {"id", "fact", "clause", ..., "when"}."""
    return compiled_list(raw, "class", compile_class, ("fact", "id"))


def compile_class(entry: dict[str, Any], where: str, raw: dict[str, Any]) -> dict[str, Any]:
    """Turn one class into its compiled form."""
    expect_keys(entry, CLASS, {*CLASS_CONDITIONS, "note"}, where)
    where = named(entry, "class", where)
    expect_origin(entry, raw, where)
    fact = own_name(entry["fact"], f"{where}.fact")
    stated = fact in POOL_FACTS or fact in POOL_NUMBERS
    if stated or (fact != RISK_CLASS and fact == entry["fact"]):
        raise InputError(f"{where}.fact", f"{RISK_CLASS} or facts.NAME is wanted")
    return {
        **{key: entry[key] for key in ("id", "clause", "source", "evidence")},
        "fact": fact,
        "when": conditions_of(entry, where, raw),
        "note": text_of(entry, "note", where),
    }


def compile_checklists(raw: dict[str, Any]) -> list[dict[str, Any]]:
    """Turn what a person looks at into {"id", "clause", "words", "level", "scope", "when", ...}."""
    return compiled_list(raw, "checklist", compile_look)


def compile_look(entry: dict[str, Any], where: str, raw: dict[str, Any]) -> dict[str, Any]:
    """Turn one thing that a person looks at into its compiled form."""
    expect_keys(entry, CHECKLIST, {*CONDITIONS, "scope", "note"}, where)
    where = named(entry, "checklist", where)
    expect_origin(entry, raw, where)
    expect_word(entry["level"], LEVELS, f"{where}.level")
    return {
        **{key: entry[key] for key in ("id", "clause", "source", "evidence", "level")},
        "words": text_of(entry, "words", where),
        "scope": scope_of(entry, where),
        "when": conditions_of(entry, where, raw),
        "note": text_of(entry, "note", where),
    }


def compile_reopening(raw: dict[str, Any]) -> list[dict[str, Any]]:
    """Turn what the rules want before a closed pool opens into its compiled form.

    Parameters
    ----------
    raw : dict
        The pack.

    Returns
    -------
    list of dict
        {"id", "clause", "words", "for", "when", "rule": as a rule that closes, or None,
        "approval", "duty", ...}.
    """
    return compiled_list(raw, "reopening", compile_condition)


def compile_condition(entry: dict[str, Any], where: str, raw: dict[str, Any]) -> dict[str, Any]:
    """Turn one condition of reopening into its compiled form."""
    expect_keys(entry, REOPENING, OPTIONAL_REOPENING, where)
    where = named(entry, "reopening", where)
    expect_origin(entry, raw, where)
    if sum(key in entry for key in ("parameter", "approval", "duty")) != 1:
        raise InputError(where, "one of parameter with a comparison, approval and duty is wanted")
    if "approval" in entry:
        expect_word(entry["approval"], ("authority",), f"{where}.approval")
    rule = None
    if "parameter" in entry:
        given = {key: entry[key] for key in (*TOLD_WHERE, *OF_A_READING) if key in entry}
        rule = compile_rule({**given, "level": "close"}, where, raw)
    elif any(key in entry for key in COMPARISONS):
        raise InputError(where, "a comparison goes with a parameter")
    return {
        **{key: entry[key] for key in ("id", "clause", "source", "evidence")},
        "words": text_of(entry, "words", where),
        "for": words_of(entry, "for", REOPENED, where),
        "when": conditions_of(entry, where, raw),
        "rule": rule,
        "approval": entry.get("approval", ""),
        "duty": text_of(entry, "duty", where),
        "note": text_of(entry, "note", where),
    }


def single(
    raw: dict[str, Any], table: str, needed: set[str], optional: set[str]
) -> dict[str, Any] | None:
    """Give a table that stands once in a pack, None where it does not stand there."""
    entry: dict[str, Any] | None = raw.get(table)
    if entry is not None:
        expect_keys(entry, needed, optional, table)
        expect_origin(entry, raw, table)
    return entry


def compile_sampling(raw: dict[str, Any]) -> dict[str, Any] | None:
    """Turn [sampling] into its compiled form, None where the pack has none."""
    where = "sampling"
    entry = single(raw, where, SAMPLING, OPTIONAL_SAMPLING)
    if entry is None:
        return None
    depth = entry.get("depth_mm", 0)
    points = entry.get("points", 0)
    return {
        **{key: entry.get(key, "") for key in ("clause", "source", "evidence")},
        "words": text_of(entry, "words", where),
        "depth_mm": whole(depth, f"{where}.depth_mm", 0, 10_000),
        "points": whole(points, f"{where}.points", 0, 100),
        "order": text_of(entry, "order", where),
        "note": text_of(entry, "note", where),
    }


def compile_records(raw: dict[str, Any]) -> dict[str, Any] | None:
    """Turn [records] into its compiled form, None where the pack has none."""
    where = "records"
    entry = single(raw, where, RECORDS, OPTIONAL_RECORDS)
    if entry is None:
        return None
    keep = entry.get("keep_months", 0)
    display = entry.get("display_days", 0)
    return {
        **{key: entry.get(key, "") for key in ("clause", "source", "evidence")},
        "words": text_of(entry, "words", where),
        "keep_months": whole(keep, f"{where}.keep_months", 0, 1200),
        "fields": words_of(entry, "fields", None, where) if "fields" in entry else [],
        "display_days": whole(display, f"{where}.display_days", 0, 3660),
        "signature": flag(entry, "signature", where),
        "note": text_of(entry, "note", where),
    }


def compile_contradictions(raw: dict[str, Any]) -> list[dict[str, Any]]:
    """Give where a source contradicts itself or another: both readings, which one, and why."""
    return compiled_list(raw, "contradiction", compile_contradiction, ())


def compile_contradiction(
    entry: dict[str, Any], where: str, _raw: dict[str, Any]
) -> dict[str, Any]:
    """Turn one contradiction into its compiled form."""
    expect_keys(entry, CONTRADICTION, {"clause"}, where)
    texts = {key: text_of(entry, key, where) for key in sorted(CONTRADICTION)}
    return {**texts, "clause": text_of(entry, "clause", where)}
