"""A rules pack: text in our own format to the flat form that the kernel judges with.

The format is described in docs/reference/rules-format.md. A pack is data; nothing in it runs.
"""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime
from typing import Any

from lanewater.rules.packkeys import expect_keys, expect_word, hours, limit_number
from lanewater.rules.procedures import compile_procedures
from lanewater.terms.errors import InputError
from lanewater.terms.parameters import PARAMETERS
from lanewater.terms.words import (
    COVERAGE_ITEMS,
    COVERAGE_STATES,
    EVIDENCE,
    LEVELS,
    POOL_FACTS,
    STATUSES,
)

COMPARISONS = {
    "at_least": "at-least",
    "at_most": "at-most",
    "above": "above",
    "below": "below",
    "equals": "equals",
}
HEAD = {"id", "title", "authority", "place", "edition", "status", "law", "read_on", "borrow_hours"}
OPTIONAL_HEAD = {"effective_from", "effective_to", "note", "doubtful"}
TABLES = {"sources", "coverage", "rule", "interval", "procedures", "golden"}
# A condition on a reading that was not taken counts as met, the stricter branch; if_not_read
# narrows that to the pools where it could be met at all.
RULE = {"id", "clause", "source", "evidence", "parameter", "level"}
OPTIONAL_RULE = {
    *COMPARISONS,
    "when",
    "when_known",
    "when_reading",
    "for_more_than_hours",
    "not_computable",
    "relative_to",
    "times",
    "plus",
    "serves",
    "scope",
    "do",
    "note",
}
GOLDEN = {"note", "overall"}
OPTIONAL_GOLDEN = {"purpose", "pool", "readings", "history", "at", "fails", "stops"}
DEFAULT_DO = "Find the cause and correct it, then test again."


def compile_pack(text: str) -> dict[str, Any]:
    """Turn the text of a pack into the compiled form.

    Parameters
    ----------
    text : str
        TOML in the format of docs/reference/rules-format.md.

    Returns
    -------
    dict
        JSON-ready: head, coverage, rules, intervals, procedures, golden cases; limits in
        thousandths.

    Raises
    ------
    InputError
        Naming the table, its number and the key that is wrong.
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError("pack", f"not readable as TOML: {error}") from error
    expect_keys(raw, HEAD | {"sources", "coverage", "rule"}, OPTIONAL_HEAD | TABLES, "pack")
    expect_word(raw["status"], STATUSES, "pack.status")
    rules = [compile_rule(rule, f"rule[{index}]", raw) for index, rule in enumerate(raw["rule"])]
    identities = [rule["id"] for rule in rules]
    if len(set(identities)) != len(identities):
        twice = next(name for name in identities if identities.count(name) > 1)
        raise InputError("pack.rule", f"the id {twice} stands twice")
    return {
        **{key: raw[key] for key in HEAD - {"borrow_hours"}},
        "note": raw.get("note", ""),
        "doubtful": raw.get("doubtful", []),
        "effective_from": instant(raw.get("effective_from"), "pack.effective_from"),
        "effective_to": instant(raw.get("effective_to"), "pack.effective_to"),
        "borrow_seconds": hours(raw["borrow_hours"], "pack.borrow_hours"),
        "sources": raw["sources"],
        "coverage": compile_coverage(raw["coverage"]),
        "rules": rules,
        "intervals": [
            compile_interval(entry, f"interval[{index}]", raw)
            for index, entry in enumerate(raw.get("interval", []))
        ],
        "procedures": compile_procedures(raw),
        "golden": [
            golden_case(entry, f"golden[{index}]", identities)
            for index, entry in enumerate(raw.get("golden", []))
        ],
    }


def instant(value: Any, where: str) -> int | None:
    """Turn a date into UTC seconds; a pack's day starts at 00:00 UTC."""
    if value is None:
        return None
    try:
        return int(datetime.fromisoformat(str(value)).replace(tzinfo=UTC).timestamp())
    except ValueError as error:
        raise InputError(where, "a date such as 2024-04-16 is wanted") from error


def fact_conditions(
    table: dict[str, Any], where: str, *, known: bool = False
) -> list[dict[str, Any]]:
    """Turn `when` into conditions: a fact's name with its values, or name_not for all but these.

    Where `known` is set (`when_known`), a fact that is not known does not meet the condition.
    """
    conditions = []
    for key, values in table.items():
        name = key.removesuffix("_not")
        if name not in POOL_FACTS and name != "risk_class":
            raise InputError(f"{where}.{key}", "is not a pool fact")
        if not isinstance(values, list) or not values:
            raise InputError(f"{where}.{key}", "a list of values is wanted")
        for value in values:
            if name in POOL_FACTS:
                expect_word(value, POOL_FACTS[name], f"{where}.{key}")
        conditions.append(
            {"of": "fact", "name": name, "values": values, "wanted": name == key, "known": known}
        )
    return conditions


def reading_conditions(entries: list[dict[str, Any]], where: str) -> list[dict[str, Any]]:
    """Turn `when_reading` into conditions on other readings."""
    conditions = []
    for entry in entries:
        expect_keys(entry, {"parameter"}, {*COMPARISONS, "if_not_read"}, where)
        expect_word(entry["parameter"], tuple(PARAMETERS), f"{where}.parameter")
        found = [key for key in COMPARISONS if key in entry]
        if not found:
            raise InputError(where, "a comparison is missing")
        conditions += [
            {
                "of": "reading",
                "name": entry["parameter"],
                "comparison": COMPARISONS[key],
                "limit": entry[key],
                "limit_thousandths": limit_number(entry[key], f"{where}.{key}"),
                "if_not_read": fact_conditions(entry.get("if_not_read", {}), where),
            }
            for key in found
        ]
    return conditions


def conditions_of(entry: dict[str, Any], where: str) -> list[dict[str, Any]]:
    """Give every condition of a rule or an interval."""
    return (
        fact_conditions(entry.get("when", {}), f"{where}.when")
        + fact_conditions(entry.get("when_known", {}), f"{where}.when_known", known=True)
        + reading_conditions(entry.get("when_reading", []), f"{where}.when_reading")
    )


def comparison_of(rule: dict[str, Any], where: str) -> tuple[str, str, int]:
    """Give the comparison, the limit as printed and the limit in thousandths."""
    found = [key for key in COMPARISONS if key in rule]
    if "not_computable" in rule:
        if found:
            raise InputError(where, "a clause that cannot be computed has no comparison")
        return "equals", "not computable", 0
    if len(found) != 1:
        raise InputError(where, f"exactly one of {', '.join(COMPARISONS)} is wanted")
    key = found[0]
    words = PARAMETERS[rule["parameter"]].words
    if words:
        expect_word(rule[key], words, f"{where}.{key}")
        return COMPARISONS[key], rule[key], 0
    return COMPARISONS[key], rule[key], limit_number(rule[key], f"{where}.{key}")


def compile_rule(rule: dict[str, Any], where: str, raw: dict[str, Any]) -> dict[str, Any]:
    """Turn one rule into its compiled form."""
    expect_keys(rule, RULE, OPTIONAL_RULE, where)
    where = f"rule {rule['id']}"
    expect_word(rule["parameter"], tuple(PARAMETERS), f"{where}.parameter")
    expect_word(rule["level"], LEVELS, f"{where}.level")
    expect_word(rule["evidence"], EVIDENCE, f"{where}.evidence")
    expect_word(rule["source"], tuple(raw["sources"]), f"{where}.source")
    if rule["evidence"] == "memory" and raw["status"] != "draft":
        raise InputError(f"{where}.evidence", "a value from memory stands only in a draft pack")
    comparison, limit, number = comparison_of(rule, where)
    times = rule.get("times", [1, 1])
    return {
        "id": rule["id"],
        "clause": rule["clause"],
        "source": rule["source"],
        "evidence": rule["evidence"],
        "parameter": rule["parameter"],
        "comparison": comparison,
        "limit": relative_words(rule, times) if "relative_to" in rule else limit,
        "limit_thousandths": number,
        "relative_to": rule.get("relative_to", ""),
        "times": times,
        "level": rule["level"],
        "when": conditions_of(rule, where),
        "lasting_seconds": hours(rule["for_more_than_hours"], f"{where}.for_more_than_hours")
        if "for_more_than_hours" in rule
        else 0,
        "computable": "not_computable" not in rule,
        "why_not_computable": rule.get("not_computable", ""),
        "serves": rule.get("serves", ""),
        "scope": rule.get("scope", "pool"),
        "do": rule.get("do", DEFAULT_DO),
        "note": rule.get("note", ""),
    }


def relative_words(rule: dict[str, Any], times: list[int]) -> str:
    """Write a limit that hangs on another reading: "1/3 of total chlorine + 0"."""
    plus = next(rule[key] for key in COMPARISONS if key in rule)
    share = "" if times == [1, 1] else f"{times[0]}/{times[1]} of "
    name = PARAMETERS[rule["relative_to"]].name
    return f"{share}{name}" + ("" if plus == "0" else f" + {plus}")


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


def compile_interval(entry: dict[str, Any], where: str, raw: dict[str, Any]) -> dict[str, Any]:
    """Turn one test interval into its compiled form."""
    expect_keys(
        entry, {"every_hours", "clause", "source", "evidence", "words"}, {"when", "note"}, where
    )
    expect_word(entry["source"], tuple(raw["sources"]), f"{where}.source")
    expect_word(entry["evidence"], EVIDENCE, f"{where}.evidence")
    return {
        "every_seconds": hours(entry["every_hours"], f"{where}.every_hours"),
        "clause": entry["clause"],
        "source": entry["source"],
        "words": entry["words"],
        "evidence": entry["evidence"],
        "when": conditions_of(entry, where),
    }


def golden_case(entry: dict[str, Any], where: str, identities: list[str]) -> dict[str, Any]:
    """Check the shape of a golden case; it is run by `rules check`."""
    expect_keys(entry, GOLDEN, OPTIONAL_GOLDEN, where)
    for name in entry.get("fails", []):
        expect_word(name, tuple(identities), f"{where}.fails")
    return {"purpose": "round", "pool": {}, "readings": {}, **entry}
