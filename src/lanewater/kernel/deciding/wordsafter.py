"""How a pool stands once a device says one more thing of it, which knows all that it carries.

Where devices wrote without knowing of each other, `openings` decides over the whole record; this
decides only of what is carried, and the record has the last word.
"""

from typing import Any

from lanewater.kernel.deciding.openings import CLOSING_RANKS


def word_kind(word: dict[str, Any]) -> str:
    """Give the rank's name of a word that closes."""
    if word["stop"] != "":
        return "stop"
    return word["status"]


def told_before(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Tell which of two closings is told first: by cause, then the earlier."""
    ranks = [CLOSING_RANKS[word_kind(one)], CLOSING_RANKS[word_kind(other)]]
    if ranks[0] != ranks[1]:
        return ranks[0] < ranks[1]
    if one["since"] != other["since"]:
        return one["since"] < other["since"]
    return one["entry"] < other["entry"]


def first_told(words: list[dict[str, Any]]) -> dict[str, Any]:
    """Give the closing that a pool stands by; there must be one."""
    found = words[0]
    for word in words:
        if told_before(word, found):
            found = word
    return found


def disputes_left(
    disputes: list[dict[str, Any]], kind: str, names: list[str]
) -> list[dict[str, Any]]:
    """Give the disputes that a word leaves: a settlement ends those of which it names both."""
    found = []
    for pair in disputes:
        named = pair["opened"]["entry"] in names and pair["closed"]["entry"] in names
        if kind != "settled" or not named:
            found.append(pair)
    return found


def front_closings(facts: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    """Give the closings that go on beside a word: a house stop takes the place of openings only."""
    found: list[dict[str, Any]] = []
    if kind != "stop":
        return found
    opening = facts["opening"]
    if opening is not None and opening["status"] != "open":
        found.append(opening)
    for word in facts["also_closed"]:
        found.append(word)
    return found


def words_after(
    facts: dict[str, Any], kind: str, word: dict[str, Any], names: list[str]
) -> dict[str, Any]:
    """Give how a pool stands after a word.

    Parameters
    ----------
    facts : dict
        "opening", "also_closed" and "disputes" of the pool's facts.
    kind : str
        opened, closed, shut, stop or settled.
    word : dict
        The word.
    names : list of str
        The lines that a settlement names.

    Returns
    -------
    dict
        {"opening", "also_closed", "disputes"}.
    """
    disputes = disputes_left(facts["disputes"], kind, names)
    closings = front_closings(facts, kind)
    if word["status"] != "open":
        closings.append(word)
    if len(closings) == 0:
        for pair in disputes:
            closings.append(pair["closed"])
        if len(closings) == 0:
            return {"opening": word, "also_closed": [], "disputes": disputes}
        return {"opening": first_told(closings), "also_closed": [], "disputes": disputes}
    telling = first_told(closings)
    also = []
    for other in closings:
        if other["stop"] == "" and other["entry"] != telling["entry"]:
            also.append(other)
    return {"opening": telling, "also_closed": also, "disputes": disputes}
