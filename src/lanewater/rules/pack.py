"""A rules pack: text in our own format to the flat form that the kernel judges with.

The format is described in docs/reference/rules-format.md. A pack is data; nothing in it runs.
"""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime
from typing import Any

from lanewater.rules.packconditions import fact_conditions
from lanewater.rules.packgolden import golden_case
from lanewater.rules.packkeys import (
    day_of,
    expect_keys,
    expect_word,
    flag,
    hours,
    tables_of,
    text_of,
    words_of,
)
from lanewater.rules.packparts import (
    compile_checklists,
    compile_classes,
    compile_contradictions,
    compile_records,
    compile_reopening,
    compile_sampling,
)
from lanewater.rules.packrules import compile_rules
from lanewater.rules.packtimes import compile_deadlines, compile_intervals, compile_schedules
from lanewater.rules.procedures import compile_procedures
from lanewater.terms.errors import InputError
from lanewater.terms.words import COVERAGE_ITEMS, COVERAGE_STATES, STATUSES

HEAD = {"id", "title", "authority", "place", "edition", "status", "law", "read_on", "borrow_hours"}
OPTIONAL_HEAD = {"effective_from", "effective_to", "note", "doubtful", "extends", "replaces"}
LISTS = {
    "rule",
    "interval",
    "procedures",
    "golden",
    "class",
    "checklist",
    "schedule",
    "reopening",
    "deadline",
    "contradiction",
}
TABLES = {"sources", "coverage", "sampling", "records"} | LISTS
SOURCE = {"address", "read_on"}


def compile_pack(text: str) -> dict[str, Any]:
    """Turn the text of a pack into the compiled form.

    Parameters
    ----------
    text : str
        TOML in the format of docs/reference/rules-format.md.

    Returns
    -------
    dict
        JSON-ready: head, coverage and every list of the pack, golden cases included; limits in
        thousandths, times in seconds.

    Raises
    ------
    InputError
        Naming the table, its number or id, and the key that is wrong.
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError("pack", f"not readable as TOML: {error}") from error
    return compile_raw(raw)


def compile_raw(raw: dict[str, Any]) -> dict[str, Any]:
    """Turn the parsed text of a pack, layers put together, into the compiled form.

    Parameters
    ----------
    raw : dict
        As tomllib reads it.

    Raises
    ------
    InputError
        As `compile_pack`.
    """
    expect_keys(raw, HEAD | {"sources", "coverage", "rule"}, OPTIONAL_HEAD | TABLES, "pack")
    expect_sources(raw["sources"])
    rules = compile_rules(raw)
    identities = [rule["id"] for rule in rules]
    return {
        **compile_head(raw),
        "sources": raw["sources"],
        "coverage": compile_coverage(raw["coverage"]),
        "classes": compile_classes(raw),
        "rules": rules,
        "intervals": compile_intervals(raw),
        "schedules": compile_schedules(raw),
        "checklists": compile_checklists(raw),
        "reopening": compile_reopening(raw),
        "deadlines": compile_deadlines(raw, identities),
        "procedures": compile_procedures(raw),
        "sampling": compile_sampling(raw),
        "records": compile_records(raw),
        "contradictions": compile_contradictions(raw),
        "golden": [
            golden_case(entry, f"golden[{index}]", identities)
            for index, entry in enumerate(tables_of(raw, "golden", "pack"))
        ],
    }


def compile_head(raw: dict[str, Any]) -> dict[str, Any]:
    """Turn what a pack says of itself into its compiled form."""
    expect_word(raw["status"], STATUSES, "pack.status")
    flag(raw, "law", "pack")
    for key in HEAD - {"borrow_hours", "law", "status"}:
        text_of(raw, key, "pack")
    day_of(raw, "read_on", "pack")
    return {
        **{key: raw[key] for key in HEAD - {"borrow_hours"}},
        "note": text_of(raw, "note", "pack"),
        "doubtful": words_of(raw, "doubtful", None, "pack") if "doubtful" in raw else [],
        "extends": text_of(raw, "extends", "pack"),
        "replaces": words_of(raw, "replaces", None, "pack") if "replaces" in raw else [],
        "effective_from": instant(raw.get("effective_from"), "pack.effective_from"),
        "effective_to": instant(raw.get("effective_to"), "pack.effective_to"),
        "borrow_seconds": hours(raw["borrow_hours"], "pack.borrow_hours"),
    }


def expect_sources(sources: Any) -> None:
    """Refuse a source without an address or the date on which it was read."""
    expect_keys(sources, set(), set(sources) if isinstance(sources, dict) else set(), "sources")
    for name, source in sources.items():
        expect_keys(source, SOURCE, {"note"}, f"sources.{name}")
        text_of(source, "address", f"sources.{name}")
        day_of(source, "read_on", f"sources.{name}")


def instant(value: Any, where: str) -> int | None:
    """Turn a date into UTC seconds; a pack's day starts at 00:00 UTC."""
    if value is None:
        return None
    try:
        return int(datetime.fromisoformat(str(value)).replace(tzinfo=UTC).timestamp())
    except ValueError as error:
        raise InputError(where, "a date such as 2024-04-16 is wanted") from error


def compile_coverage(table: dict[str, Any]) -> dict[str, Any]:
    """Turn the coverage table into its compiled form; every item must be there."""
    expect_keys(table, set(COVERAGE_ITEMS), set(), "coverage")
    compiled = {}
    for item, entry in table.items():
        where = f"coverage.{item}"
        expect_keys(entry, {"state"}, {"clause", "none_for", "note"}, where)
        expect_word(entry["state"], COVERAGE_STATES, f"{where}.state")
        if entry["state"] == "no-limit-set" and not entry.get("clause"):
            raise InputError(f"{where}.clause", "say which clause shows that there is no limit")
        compiled[item] = {
            "state": entry["state"],
            "clause": entry.get("clause", ""),
            "note": entry.get("note", ""),
            "none_for": fact_conditions(entry.get("none_for", {}), f"{where}.none_for"),
        }
    return compiled
