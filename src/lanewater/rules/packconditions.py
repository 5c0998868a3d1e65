"""When something of a pack applies: pool facts, numbers of the pool, other readings."""

from __future__ import annotations

import re
from typing import Any

from lanewater.rules.packkeys import (
    expect_keys,
    expect_word,
    limit_number,
    meant_by,
    tables_of,
    text_of,
    words_of,
)
from lanewater.terms.errors import InputError
from lanewater.terms.parameters import PARAMETERS
from lanewater.terms.words import POOL_FACTS

COMPARISONS = {
    "at_least": "at-least",
    "at_most": "at-most",
    "above": "above",
    "below": "below",
    "equals": "equals",
}
# A condition on a reading that was not taken, or on a fact that is not known, counts as met, the
# stricter branch; if_not_read and when_known narrow that.
CONDITIONS = {"when", "when_known", "when_number", "when_reading"}
RISK_CLASS = "risk_class"
OTHER_FACT = "facts."
FACT_NAME = re.compile(r"[a-z][a-z0-9_]{0,59}")
NUMERIC = tuple(name for name, one in PARAMETERS.items() if not one.words)


def own_name(fact: Any, where: str) -> str:
    """Give the name under which a pool's own further fact is known: "beds" for "facts.beds"."""
    name = fact.removeprefix(OTHER_FACT) if isinstance(fact, str) else ""
    if not FACT_NAME.fullmatch(name):
        raise InputError(where, 'the name of a fact is wanted, such as "volume_m3" or "facts.beds"')
    return name


def class_names(raw: dict[str, Any]) -> set[str]:
    """Give the facts that a pack's classes work out, the risk class among them."""
    return {RISK_CLASS} | {
        own_name(entry["fact"], "class.fact")
        for entry in tables_of(raw, "class", "pack")
        if isinstance(entry, dict) and "fact" in entry
    }


def fact_conditions(
    table: Any, where: str, classes: set[str] | None = None, *, known: bool = False
) -> list[dict[str, Any]]:
    """Turn `when` into conditions: a fact's name with its values, or name_not for all but these.

    Where `known` is set (`when_known`), a fact that is not known does not meet the condition.
    """
    if not isinstance(table, dict):
        raise InputError(where, "a table is wanted here")
    conditions = []
    for key in table:
        name = key.removesuffix("_not")
        wanted = name == key
        other = name.startswith(OTHER_FACT)
        if other:
            name = own_name(name, f"{where}.{key}")
        if not other and name not in POOL_FACTS and name not in (classes or {RISK_CLASS}):
            facts = [*POOL_FACTS, *sorted(classes or {RISK_CLASS})]
            message = f"is not a pool fact, which are {', '.join(facts)}{meant_by(name, facts)}"
            raise InputError(f"{where}.{key}", message)
        values = words_of(table, key, None if other else POOL_FACTS.get(name), where)
        conditions.append(
            {"of": "fact", "name": name, "values": values, "wanted": wanted, "known": known}
        )
    return conditions


def comparisons_in(entry: dict[str, Any], where: str) -> list[str]:
    """Give the keys of an entry that compare; at least one is wanted."""
    found = [key for key in COMPARISONS if key in entry]
    if not found:
        raise InputError(where, f"a comparison is missing: {', '.join(COMPARISONS)}")
    return found


def compared(entry: dict[str, Any], key: str, where: str) -> dict[str, Any]:
    """Give one comparison with its limit as printed and in thousandths."""
    return {
        "comparison": COMPARISONS[key],
        "limit": entry[key],
        "limit_thousandths": limit_number(entry[key], f"{where}.{key}"),
    }


def number_conditions(entries: list[Any], where: str) -> list[dict[str, Any]]:
    """Turn `when_number` into conditions on numbers of the pool, such as its volume."""
    conditions = []
    for entry in entries:
        expect_keys(entry, {"fact"}, set(COMPARISONS), where)
        name = own_name(entry["fact"], f"{where}.fact")
        conditions += [
            {"of": "number", "name": name, **compared(entry, key, where)}
            for key in comparisons_in(entry, where)
        ]
    return conditions


def reading_conditions(entries: list[Any], where: str) -> list[dict[str, Any]]:
    """Turn `when_reading` into conditions on other readings."""
    conditions = []
    for entry in entries:
        expect_keys(entry, {"parameter"}, {*COMPARISONS, "if_not_read"}, where)
        expect_word(entry["parameter"], NUMERIC, f"{where}.parameter")
        conditions += [
            {
                "of": "reading",
                "name": entry["parameter"],
                **compared(entry, key, where),
                "if_not_read": fact_conditions(
                    entry.get("if_not_read", {}), f"{where}.if_not_read"
                ),
            }
            for key in comparisons_in(entry, where)
        ]
    return conditions


def conditions_of(entry: dict[str, Any], where: str, raw: dict[str, Any]) -> list[dict[str, Any]]:
    """Give every condition of an entry.

    Parameters
    ----------
    entry : dict
        With any of `when`, `when_known`, `when_number` and `when_reading`.
    where : str
        How the entry is told in an error.
    raw : dict
        The pack that it stands in, whose classes may be named.

    Returns
    -------
    list of dict
        {"of": "fact", "number" or "reading", "name", ...}; all must hold.
    """
    classes = class_names(raw)
    known = fact_conditions(entry.get("when_known", {}), f"{where}.when_known", classes, known=True)
    return (
        fact_conditions(entry.get("when", {}), f"{where}.when", classes)
        + known
        + number_conditions(tables_of(entry, "when_number", where), f"{where}.when_number")
        + reading_conditions(tables_of(entry, "when_reading", where), f"{where}.when_reading")
    )


def gate_of(entry: Any, where: str) -> dict[str, Any]:
    """Turn a measured gate into {"parameter", "comparison", "limit", "limit_thousandths"}."""
    expect_keys(entry, {"parameter"}, set(COMPARISONS), where)
    expect_word(entry["parameter"], NUMERIC, f"{where}.parameter")
    found = comparisons_in(entry, where)
    if len(found) != 1:
        raise InputError(where, "exactly one comparison is wanted")
    return {"parameter": text_of(entry, "parameter", where), **compared(entry, found[0], where)}
