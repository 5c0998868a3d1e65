"""The shape of a pack's golden cases; `rules check` runs them."""

from __future__ import annotations

from typing import Any

from lanewater.rules.packkeys import expect_keys, expect_word, tables_of, text_of, within_seconds
from lanewater.terms.errors import InputError
from lanewater.terms.words import LEVELS, NOTIFIED, PURPOSES, VERDICTS

GOLDEN = {"note", "overall"}
ASKED = {"purpose", "pool", "readings", "history", "at"}
OPTIONAL_GOLDEN = {*ASKED, "fails", "stops", "assumed", "actions", "worked"}
ACTION = {"rule", "level"}


def golden_case(entry: dict[str, Any], where: str, identities: list[str]) -> dict[str, Any]:
    """Check the shape of a golden case.

    Parameters
    ----------
    entry : dict
        As it stands in the pack.
    where : str
        Its place.
    identities : list of str
        The ids of the pack's rules.
    """
    expect_keys(entry, GOLDEN, OPTIONAL_GOLDEN, where)
    text_of(entry, "note", where)
    expect_word(entry["overall"], VERDICTS, f"{where}.overall")
    expect_word(entry.get("purpose", "round"), PURPOSES, f"{where}.purpose")
    for key in ("fails", "stops", "assumed"):
        if not isinstance(entry.get(key, []), list):
            raise InputError(f"{where}.{key}", "a list is wanted")
    for name in entry.get("fails", []):
        expect_word(name, tuple(identities), f"{where}.fails")
    found = {"purpose": "round", "pool": {}, "readings": {}, **entry}
    if "actions" in entry:
        found["actions"] = [
            golden_action(action, f"{where}.actions[{index}]", identities)
            for index, action in enumerate(tables_of(entry, "actions", where))
        ]
    if "worked" in entry:
        expect_keys(entry["worked"], set(), set(identities), f"{where}.worked")
    return found


def golden_action(entry: Any, where: str, identities: list[str]) -> dict[str, Any]:
    """Check one action that a golden case wants: {"rule", "level", "within_seconds", "to"}."""
    expect_keys(entry, ACTION, {"within_hours", "to"}, where)
    expect_word(entry["rule"], tuple(identities), f"{where}.rule")
    expect_word(entry["level"], LEVELS, f"{where}.level")
    if "to" in entry:
        expect_word(entry["to"], NOTIFIED, f"{where}.to")
    return {
        "rule": entry["rule"],
        "level": entry["level"],
        "within_seconds": within_seconds(entry, where),
        "to": entry.get("to", ""),
    }
