"""The handover that writes itself: all that is open, how each pool stands, and what moves.

Everything that waits for somebody on a pool's lane is here, whatever its kind, each of it once.
Who comes after others is asked to read it; a site of one person is not.
"""

from typing import Any

from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.trends import (
    difference_series,
    series_of,
    trend_of,
)

# Who was away so long comes to another shift. JUDG.
SHIFT_SECONDS = 14400
MOST_MARKS = 100
# So many rounds, and no longer ago than this, say how a number moves now. JUDG.
HANDED_ROUNDS = 12
HANDED_SECONDS = 604800
HANDED_PARAMETERS = ("free_chlorine", "total_bromine", "ph", "total_alkalinity")
# What is said first; what is not named here comes after it, in the order of the lane.
FIRST_SAID = (
    "house-stop",
    "devices-disagree",
    "opened-without-authority",
    "dose-running",
    "advice-unanswered",
    "addition-unknown",
    "wait",
    "retest-first",
    "confirm-opening",
    "repeat",
    "tell",
)


def item_of(identity: str, pool: str, about: str, detail: dict[str, Any]) -> dict[str, Any]:
    """Write one thing that is open."""
    return {"id": identity, "pool": pool, "about": about, "detail": detail}


def own_actions(row: dict[str, Any], pools: list[str]) -> list[dict[str, Any]]:
    """Give what is open on a lane; what belongs to another pool of the list is said there."""
    found = []
    for action in row["open_actions"]:
        of: str = action.get("pool", "")
        if of == "" or of == row["pool"] or of not in pools:
            about: str = action.get("about", "")
            found.append(item_of(action["id"], row["pool"], about, action))
    return found


def said_in_order(items: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Put what is open into the order in which it is said; nothing is left out."""
    found = []
    for identity in FIRST_SAID:
        for item in items:
            if item["id"] == identity:
                found.append(item)
    for item in items:
        if item["id"] not in FIRST_SAID:
            found.append(item)
    return found


def standing_items(row: dict[str, Any]) -> list[dict[str, Any]]:
    """Give what a lane says of the pool itself: rules that say close, closed, overdue, marks."""
    found = []
    pool = row["pool"]
    for why in row["lead_why"]:
        if why == "rules-say-close" or why == "rules-say-evacuate":
            found.append(item_of(why, pool, pool, {}))
    if row["status"] == "closed":
        detail = {"since": row["since"], "by": row["by"], "reason": row["reason"]}
        found.append(item_of("closed", pool, pool, detail))
    for mark in row["marked"]:
        found.append(item_of("marked", pool, pool + ":" + mark, {"mark": mark}))
    if row["due"]["late"] is True:
        found.append(item_of("overdue", pool, pool, {"due": row["due"]}))
    return found


def stop_items(row: dict[str, Any], items: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the house stops of a lane that none of its open actions names."""
    found = []
    for stop in row["stops"]:
        named = False
        for item in items:
            if item["id"] == "house-stop" and item["about"] == stop["entry"]:
                named = True
        if not named:
            found.append(item_of("house-stop", row["pool"], stop["entry"], {"stop": stop["id"]}))
    return found


def pool_items(row: dict[str, Any], pools: list[str]) -> list[dict[str, Any]]:
    """Give everything that is open at one pool, in the order in which it is said."""
    items = own_actions(row, pools)
    for item in stop_items(row, items):
        items.append(item)
    for item in standing_items(row):
        items.append(item)
    return said_in_order(items)


def last_number(rounds: list[dict[str, Any]], parameter: str) -> str:
    """Give the mean of the last round that read a parameter, as text; "" where none did."""
    series = series_of(rounds, parameter)
    if len(series) == 0:
        return ""
    return decimal_text(series[len(series) - 1]["number"])


def trend_item(parameter: str, series: list[dict[str, int]], last: str) -> list[dict[str, Any]]:
    """Give how a parameter moves, where it moves by more than test error."""
    trend = trend_of(series)
    if trend["way"] != "up" and trend["way"] != "down":
        return []
    return [
        {
            "parameter": parameter,
            "way": trend["way"],
            "moved": decimal_text(abs(trend["moved"])),
            "last": last,
            "rounds": trend["rounds"],
            "hours": (series[len(series) - 1]["at"] - series[0]["at"]) // 3600,
        }
    ]


def recent_rounds(rounds: list[dict[str, Any]], now: int) -> list[dict[str, Any]]:
    """Give the rounds that say how a number moves now: the latest ones of the last week."""
    found = []
    start = max(len(rounds) - HANDED_ROUNDS, 0)
    for index in range(start, len(rounds)):
        if now - rounds[index]["at"] <= HANDED_SECONDS:
            found.append(rounds[index])
    return found


def pool_trends_now(rounds: list[dict[str, Any]], now: int) -> list[dict[str, Any]]:
    """Give each number of a pool that rises or falls over its latest rounds.

    Parameters
    ----------
    rounds : list of dict
        {"at": UTC s, "readings": normal form, "doubtful"?}, oldest first.
    now : int
        UTC s.

    Returns
    -------
    list of dict
        {"parameter", "way": up or down, "moved", "last": text, "rounds", "hours"}.
    """
    recent = recent_rounds(rounds, now)
    found = []
    for parameter in HANDED_PARAMETERS:
        series = series_of(recent, parameter)
        for row in trend_item(parameter, series, last_number(recent, parameter)):
            found.append(row)
    pairs = difference_series(recent, "total_chlorine", "free_chlorine")
    if len(pairs) > 0:
        last = decimal_text(max(pairs[len(pairs) - 1]["number"], 0))
        for row in trend_item("combined_chlorine", pairs, last):
            found.append(row)
    return found


def latest_by(acts: list[dict[str, Any]], person: str, mine: bool) -> int | None:
    """Give when a person, or anybody else, last did something; None where nobody did."""
    found = None
    for act in acts:
        if (act["by"] == person) == mine:
            if found is None or act["at"] > found:
                found = act["at"]
    return found


def handover_asked(case: dict[str, Any]) -> bool:
    """Tell whether somebody is asked to read the handover and take over.

    So it is where others worked since this person last did, and that is a shift ago; never at a
    site that one person runs, and of nobody who is not on the list.
    """
    if case["person"] == "" or case["person"] == "unlisted" or case["listed"] < 2:
        return False
    mine = latest_by(case["acts"], case["person"], True)
    others = latest_by(case["acts"], case["person"], False)
    if others is None:
        return False
    return mine is None or (others > mine and case["now"] - mine >= SHIFT_SECONDS)


def marks_of(items: list[dict[str, Any]]) -> list[str]:
    """Write what stood open in few words, for the line on record."""
    found: list[str] = []
    for item in items:
        if len(found) < MOST_MARKS:
            found.append(item["id"] + "|" + item["about"])
    return found


def pool_handed(
    row: dict[str, Any], pools: list[str], rounds: list[dict[str, Any]], now: int
) -> dict[str, Any]:
    """Give one pool's part of the handover."""
    return {
        "pool": row["pool"],
        "name": row["name"],
        "status": row["status"],
        "since": row["since"],
        "by": row["by"],
        "reason": row["reason"],
        "stale": row["stale"],
        "due": row["due"],
        "round": row["round"],
        "verdict": row["verdict"],
        "items": pool_items(row, pools),
        "trends": pool_trends_now(rounds, now),
    }


def handover(case: dict[str, Any]) -> dict[str, Any]:
    """Write the handover of a site.

    Parameters
    ----------
    case : dict
        {"now": UTC s, "person": who looks or "", "listed": people on the list, "rows": each pool's
        lane as the Now page gives it, "rounds": {pool: rounds as `pool_trends_now` takes them},
        "acts": [{"by", "at"}] what people last did or acknowledged, "unsent": entries of this
        device that are not on the record}.

    Returns
    -------
    dict
        {"pools": [{"pool", "name", "status", ..., "items", "trends"}], "open": how much is open,
        "marks": at most 100 texts, "more": how many did not fit, "unsent", "asked",
        "alone": one person runs the site}.
    """
    pools: list[str] = []
    for row in case["rows"]:
        pools.append(row["pool"])
    handed = []
    items: list[dict[str, Any]] = []
    for row in case["rows"]:
        rounds: list[dict[str, Any]] = case["rounds"].get(row["pool"], [])
        one = pool_handed(row, pools, rounds, case["now"])
        handed.append(one)
        for item in one["items"]:
            items.append(item)
    return {
        "pools": handed,
        "open": len(items),
        "marks": marks_of(items),
        "more": max(len(items) - MOST_MARKS, 0),
        "unsent": case["unsent"],
        "asked": handover_asked(case),
        "alone": case["listed"] < 2,
    }
