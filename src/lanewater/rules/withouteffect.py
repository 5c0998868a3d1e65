"""Where a limit laid upon a law has no effect, as a tighter one of the law holds all the same."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lanewater.kernel.deciding.decimals import thousandths
from lanewater.rules.differences import LEAST, LOOSER, place_of, sharper
from lanewater.rules.packrules import LASTING
from lanewater.rules.phrases import condition_words, limit_words, listed
from lanewater.terms.errors import RefusedError

Rule = Mapping[str, Any]
CLOSING = ("close", "evacuate")
# A rule that is only said, or counts only by what was before it, or for some methods of reading,
# leaves room for one that is looser and plain.
SAID_ONLY = ("note", "advise")
ROOM = {*LASTING, "methods"}


def refuse_without_effect(base: Mapping[str, Any], own: Mapping[str, Any]) -> None:
    """Refuse a limit that is looser than the law's own wherever it holds: it would only mislead.

    Parameters
    ----------
    base : mapping
        The parsed text of the law, whole.
    own : mapping
        The parsed text of what is laid upon it.

    Raises
    ------
    RefusedError
        Naming both rules, and what may be done.
    """
    found = without_effect(base, own)
    if found:
        raise RefusedError(
            f"{found[0]}; take it out, or replace that rule by a document of the authority"
        )


def without_effect(base: Mapping[str, Any], own: Mapping[str, Any]) -> list[str]:
    """Say of each limit laid upon a law which of the law's own holds wherever it does.

    Parameters
    ----------
    base, own : mapping
        As `refuse_without_effect`.
    """
    return [
        f"rule {rule['id']} is looser than {other['id']} ({limit_words(other)}), or no tighter, "
        "and that one holds all the same"
        for rule, other in no_tighter(base, own)
        if holds_wherever(other, rule)
    ]


def partly_without_effect(base: Mapping[str, Any], own: Mapping[str, Any]) -> list[str]:
    """Say of each limit laid upon a law where a tighter one of the law holds all the same.

    Parameters
    ----------
    base, own : mapping
        As `refuse_without_effect`.

    Returns
    -------
    list of str
        A sentence a pair of rules; empty where every limit tightens wherever it holds.
    """
    found = []
    for rule, other in no_tighter(base, own):
        if not holds_wherever(other, rule) and not never_together(other, rule):
            where = listed(condition_words(other))
            found.append(
                f"Rule {rule['id']} ({limit_words(rule)}) loosens nothing: where {where}, "
                f"{other['id']} ({limit_words(other)}) holds all the same."
            )
    return found


def no_tighter(base: Mapping[str, Any], own: Mapping[str, Any]) -> Iterator[tuple[Rule, Rule]]:
    """Give each own limit with every limit of the base that it is no tighter than."""
    gone = own.get("replaces", [])
    for rule in own.get("rule", []):
        for other in base["rule"]:
            closes = rule["level"] in CLOSING and other["level"] not in CLOSING
            said = other["level"] in SAID_ONLY and rule["level"] not in SAID_ONLY
            if (
                other["id"] not in gone
                and place_of(other)[:2] == place_of(rule)[:2]
                and not closes
                and not said
                and not ROOM & set(other)
                and not eased(other)
                and sharper(other, rule) == LOOSER
            ):
                yield rule, other


def eased(rule: Rule) -> bool:
    """Tell whether a step on a limit may leave more room than the number that is printed."""
    least = any(key in rule for key in LEAST)
    steps = [
        thousandths(row["add"]) if "add" in row else thousandths(row["times"]) - 1000
        for row in rule.get("modify", [])
    ]
    return any(step < 0 if least else step > 0 for step in steps)


def holds_wherever(other: Rule, rule: Rule) -> bool:
    """Tell whether each condition of one rule follows from those of another."""
    facts = all(
        any(
            follows(key, values, name, given)
            for table in ("when", "when_known")
            for name, given in rule.get(table, {}).items()
        )
        for key, values in other.get("when", {}).items()
    )
    known = other.get("when_known", {}).items()
    return (
        facts
        and all(rule.get("when_known", {}).get(key) == values for key, values in known)
        and all(
            row in rule.get(table, [])
            for table in ("when_reading", "when_number")
            for row in other.get(table, [])
        )
    )


def follows(key: str, values: list[str], name: str, given: list[str]) -> bool:
    """Tell whether one condition on a fact follows from another; NAME_not is all but these."""
    if key.removesuffix("_not") != name.removesuffix("_not"):
        return False
    if name.endswith("_not"):
        return key.endswith("_not") and set(values) <= set(given)
    return not set(values) & set(given) if key.endswith("_not") else set(given) <= set(values)


def never_together(other: Rule, rule: Rule) -> bool:
    """Tell whether a fact of the pool keeps two rules from ever holding at once."""
    return any(
        excludes(key, set(values), name, set(given))
        for key, values in {**other.get("when", {}), **other.get("when_known", {})}.items()
        for name, given in {**rule.get("when", {}), **rule.get("when_known", {})}.items()
    )


def excludes(key: str, values: set[str], name: str, given: set[str]) -> bool:
    """Tell whether no value of a fact meets both conditions."""
    if key.removesuffix("_not") != name.removesuffix("_not"):
        return False
    if key.endswith("_not") and name.endswith("_not"):
        return False
    if key.endswith("_not"):
        return given <= values
    return values <= given if name.endswith("_not") else not values & given
