"""What changes from one pack, or one version of a pack, to another: rule by rule, in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from lanewater.kernel.deciding.decimals import thousandths
from lanewater.rules.explaining import ITEM_WORDS, first_words
from lanewater.rules.phrases import COMPARED, condition_words, length_words, limit_words, listed
from lanewater.terms.words import COVERAGE_ITEMS, LEVELS

LEAST = ("at_least", "above")
# What a rule is told apart by beside its limit; the sources and remarks are told apart by nobody.
LIMIT_KEYS = {*COMPARED, "times", "plus"}
WITHOUT_WEIGHT = {"clause", "source", "evidence", "note", "do", "words"}
TABLES = (
    ("interval", "test interval"),
    ("schedule", "schedule"),
    ("class", "class"),
    ("procedures", "procedure"),
    ("reopening", "condition for reopening"),
    ("deadline", "deadline"),
    ("checklist", "item for a person to look at"),
)
SINGLE = (("sampling", "sampling"), ("records", "records"))
HEAD = {
    "status": "status",
    "edition": "edition",
    "effective_from": "day from which it is in force",
    "effective_to": "day until which it is in force",
    "borrow_hours": "number of hours for which a reading may choose a limit",
    "law": "answer to whether it is a law",
    "extends": "pack that it stands on",
}
KEY_WORDS = {
    "modify": "what changes the limit",
    "methods": "the methods of reading that it holds for",
    "for_more_than_hours": "how long it must be broken",
    "consecutive": "how many in a row must break it",
    "window": "how many of how many must break it",
    "share": "which share must break it",
    "scope": "what closes",
    "then": "what else is to be done",
    "serves": "what it stands for",
    "relative_to": "the reading that it hangs on",
    "relative_to_fact": "the number of the pool that it hangs on",
}
NUMBERS = ("was_comparison", "was_limit", "now_comparison", "now_limit")
ADDED, GONE, TIGHTER, LOOSER, CHANGED = "added", "taken-away", "tighter", "looser", "changed"


def differences(one: Mapping[str, Any], other: Mapping[str, Any]) -> list[dict[str, str]]:
    """Give what changes from one pack's text to another's.

    Parameters
    ----------
    one, other : mapping
        The parsed texts: what holds now, and what would.

    Returns
    -------
    list of dict
        {"change": added, taken-away, tighter, looser or changed, "table", "rule": its id, "clause",
        "parameter", "level", "was", "now": the limit or text on each side, "was_comparison",
        "was_limit", "now_comparison", "now_limit": the same as numbers, "text": a sentence}.
    """
    return [
        *head_changes(one, other),
        *coverage_changes(one, other),
        *rule_changes(one, other),
        *table_changes(one, other),
    ]


def row(
    change: str, table: str, entry: Mapping[str, Any], text: str, **also: str
) -> dict[str, str]:
    """Write one difference."""
    return {
        "change": change,
        "table": table,
        "rule": str(entry.get("id", "")),
        "clause": str(entry.get("clause", "")),
        "parameter": str(entry.get("parameter", "")),
        "level": str(entry.get("level", "")),
        "was": "",
        "now": "",
        **dict.fromkeys(NUMBERS, ""),
        "text": text,
        **also,
    }


def numbers_of(rule: Mapping[str, Any], side: str) -> dict[str, str]:
    """Give a limit that is a number of its own, for a page to say in any language."""
    found = next((key for key in COMPARED if key in rule), "")
    if not found or "relative_to" in rule or "relative_to_fact" in rule:
        return {}
    return {f"{side}_comparison": found.replace("_", "-"), f"{side}_limit": str(rule[found])}


def head_changes(one: Mapping[str, Any], other: Mapping[str, Any]) -> Iterator[dict[str, str]]:
    """Give what changes in the head."""
    for key, name in HEAD.items():
        was, now = (str(raw.get(key, "")) for raw in (one, other))
        if was != now:
            text = f"The {name} was {was or 'not given'} and is {now or 'not given'}."
            yield row(CHANGED, "head", {"id": key}, text, was=was, now=now)


def coverage_changes(one: Mapping[str, Any], other: Mapping[str, Any]) -> Iterator[dict[str, str]]:
    """Give what changes in what is covered."""
    for item in COVERAGE_ITEMS:
        was, now = (raw.get("coverage", {}).get(item, {}) for raw in (one, other))
        before, after = was.get("state", ""), now.get("state", "")
        none_for = was.get("none_for", {}) != now.get("none_for", {})
        if before != after or none_for:
            text = f"Coverage of {ITEM_WORDS[item]} was {before} and is {after}."
            if none_for:
                where = listed(condition_words({"when": now.get("none_for", {})}))
                text += f" The authority sets no limit where {where}." if where else ""
            entry = {"id": item, "clause": now.get("clause", "")}
            yield row(CHANGED, "coverage", entry, text, was=before, now=after)


def rule_changes(one: Mapping[str, Any], other: Mapping[str, Any]) -> Iterator[dict[str, str]]:
    """Give what changes rule by rule; rules are told by their id, else by what they limit."""
    before = {rule["id"]: rule for rule in one.get("rule", [])}
    after = {rule["id"]: rule for rule in other.get("rule", [])}
    pairs = {name: name for name in after if name in before}
    rest = {place_of(rule): name for name, rule in before.items() if name not in pairs}
    for name, rule in after.items():
        if name not in pairs and place_of(rule) in rest:
            pairs[name] = rest.pop(place_of(rule))
    for name, rule in after.items():
        if name in pairs:
            yield from changed_rule(before[pairs[name]], rule)
        else:
            text = f"New: {said(rule)}"
            numbers = numbers_of(rule, "now")
            yield row(ADDED, "rule", rule, text, now=limit_words(rule), **numbers)
    for name, rule in before.items():
        if name not in pairs.values():
            text = f"No longer there: {said(rule)}"
            numbers = numbers_of(rule, "was")
            yield row(GONE, "rule", rule, text, was=limit_words(rule), **numbers)


def place_of(rule: Mapping[str, Any]) -> tuple[str, ...]:
    """Give what a rule limits, for whom and how sharply: two of one place are one rule."""
    side = "least" if any(key in rule for key in LEAST) else "most"
    closes = "closes" if rule["level"] in ("close", "evacuate") else ""
    hangs = sorted(condition_words(rule))
    return (rule["parameter"], side, closes, *hangs)


def said(rule: Mapping[str, Any]) -> str:
    """Write a rule with its clause and its level."""
    return f"{rule['clause']}: {first_words(rule)} ({rule['level']})"


def changed_rule(was: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[dict[str, str]]:
    """Give the differences of one rule that stands on both sides."""
    before, after = limit_words(was), limit_words(now)
    if before != after:
        change = sharper(was, now)
        yield row(
            change,
            "rule",
            now,
            f"{now['clause']}: {words_of(change)}: {before} before, {after} now"
            f"{', where ' + listed(condition_words(now)) if condition_words(now) else ''}.",
            was=before,
            now=after,
            **numbers_of(was, "was"),
            **numbers_of(now, "now"),
        )
    if was["level"] != now["level"]:
        change = TIGHTER if LEVELS.index(now["level"]) > LEVELS.index(was["level"]) else LOOSER
        text = (
            f"{now['clause']}: {after}: breaking it meant {was['level']}, and means {now['level']}."
        )
        yield row(change, "rule", now, text, was=was["level"], now=now["level"])
    ours, theirs = (listed(condition_words(rule)) or "every pool" for rule in (was, now))
    if ours != theirs:
        text = f"{now['clause']}: {after}: it held for: {ours}; it holds for: {theirs}."
        yield row(CHANGED, "rule", now, text, was=ours, now=theirs)
    rest = other_keys(was, now)
    if rest:
        text = f"{now['clause']}: {after}: also changed: {listed(rest)}."
        yield row(CHANGED, "rule", now, text)
    elif was["clause"] != now["clause"]:
        text = f"{after}: its clause was {was['clause']} and is {now['clause']}."
        yield row(CHANGED, "rule", now, text, was=was["clause"], now=now["clause"])


def other_keys(was: Mapping[str, Any], now: Mapping[str, Any]) -> list[str]:
    """Give the keys that differ and were not spoken of: what works on a limit, not remarks."""
    spoken = {"id", "level", "parameter", "when", "when_known", "when_reading", "when_number"}
    keys = (set(was) | set(now)) - spoken - LIMIT_KEYS - WITHOUT_WEIGHT - {"not_computable"}
    return sorted(
        KEY_WORDS.get(key, key.replace("_", " ")) for key in keys if was.get(key) != now.get(key)
    )


def sharper(was: Mapping[str, Any], now: Mapping[str, Any]) -> str:
    """Tell whether a limit became tighter or looser; where that cannot be told, it changed."""
    side = [
        next((key for key in COMPARED if key in rule and key != "equals"), "")
        for rule in (was, now)
    ]
    hanging = any("relative_to" in rule or "relative_to_fact" in rule for rule in (was, now))
    if not all(side) or hanging or (side[0] in LEAST) != (side[1] in LEAST):
        return CHANGED
    before, after = thousandths(was[side[0]]), thousandths(now[side[1]])
    if before == after:
        return TIGHTER if side[1] in ("above", "below") else LOOSER
    return TIGHTER if (after > before) == (side[1] in LEAST) else LOOSER


def words_of(change: str) -> str:
    """Write a change."""
    return {TIGHTER: "tighter", LOOSER: "LOOSER"}.get(change, "changed")


def table_changes(one: Mapping[str, Any], other: Mapping[str, Any]) -> Iterator[dict[str, str]]:
    """Give what changes beside the limits."""
    for key, name in TABLES:
        before, after = (named(raw.get(key, [])) for raw in (one, other))
        for identity in {**before, **after}:
            yield from changed_entry(key, name, before.get(identity), after.get(identity))
    for key, name in SINGLE:
        was, now = weight_of(one.get(key, {})), weight_of(other.get(key, {}))
        if was != now:
            yield row(CHANGED, key, {"id": key}, f"What is said of {name} changes.")


def named(entries: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    """Give entries by their id; an interval, which has none, by its clause and its pools."""
    return {
        str(entry.get("id", f"{entry.get('clause', '')} {listed(condition_words(entry))}")): entry
        for entry in entries
    }


def changed_entry(
    table: str, name: str, was: Mapping[str, Any] | None, now: Mapping[str, Any] | None
) -> Iterator[dict[str, str]]:
    """Give the difference of one entry, None on the side where it is not."""
    entry = now or was or {}
    about = f"{entry.get('clause', '')}: {name}: {entry.get('words', entry.get('id', ''))}"
    if was is None:
        yield row(ADDED, table, entry, f"New: {about}")
    elif now is None:
        yield row(GONE, table, entry, f"No longer there: {about}")
    elif weight_of(was) != weight_of(now):
        before, after = length_words(was), length_words(now)
        change = CHANGED
        if before != after and was.get("every_hours") and now.get("every_hours"):
            change = TIGHTER if now["every_hours"] < was["every_hours"] else LOOSER
        numbers = f" ({before} before, {after} now)" if before != after else ""
        text = f"{words_of(change).capitalize()}: {about}{numbers}"
        yield row(change, table, entry, text, was=before, now=after)


def weight_of(entry: Mapping[str, Any]) -> dict[str, Any]:
    """Give an entry without where it was read and what was remarked on it."""
    return {key: value for key, value in entry.items() if key not in {*WITHOUT_WEIGHT, "golden"}}
