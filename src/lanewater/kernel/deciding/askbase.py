"""The request for advice on a pool's last round, put together from what is carried of the pool.

The server and a tablet ask with the same request. Facts are those of `poolnow`, in UTC ms; what is
asked of `advise` is in UTC s. The base of a pool is {"targets", "feeder", "products", "volumes":
{"", "pool", "circuit"}, "ages", "dye_test", "mixing_s"?}: what the site has set up, without a time.
"""

from typing import Any

from lanewater.kernel.deciding.applying import rules_that_apply, with_doubt
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.duenow import MS_A_SECOND
from lanewater.kernel.deciding.retesting import wait_end, water_blocks
from lanewater.kernel.deciding.roundskept import case_drawn, held_against
from lanewater.kernel.deciding.tries import legible, number_of, relation_in

LOWER_ENDS = ("at-least", "above")
UPPER_ENDS = ("at-most", "below")
ADVISORY_LEVELS = ("note", "advise")
FOUR_QUESTIONS = ("everybody_out", "pump_running", "anything_added", "looked")


def way_block(identity: str, why: str, do: str) -> dict[str, Any]:
    """Write one thing that stands in the way."""
    return {"id": identity, "why": why, "do": do}


def case_of_last(facts: dict[str, Any], base: dict[str, Any], now: int) -> dict[str, Any]:
    """Give the judging case of a pool's last round; one without readings where there is none.

    Parameters
    ----------
    facts : dict
        "last", "rounds", "mates", "additions" and "offsets" of the pool's facts.
    base : dict
        "pool" and "kits" of its context's case.
    now : int
        UTC ms; asked of a pool without a round only.
    """
    last = facts["last"]
    if last is None:
        return case_drawn(base, facts, now, "")
    case = case_drawn(base, facts, last["at"], last["id"])
    history = []
    for row in held_against(facts["rounds"], last["at"], last["id"]):
        told = {"at": row["at"] // 1000, "readings": row["readings"]}
        told["doubtful"] = row["doubtful"]
        history.append(told)
    case["history"] = history
    case["readings"] = last["normal"]
    case["between"] = last["between"]
    case["expired"] = last["expired"]
    return case


def combined_most(readings: list[dict[str, Any]]) -> int:
    """Give the most combined chlorine that a round's exact readings can hold, in thousandths."""
    total = 0
    free = 0
    found = [False, False]
    for row in readings:
        if legible(row) and relation_in(row) == "exact":
            number = number_of(row)
            if row["parameter"] == "total_chlorine":
                total = max(number, total) if found[0] else number
                found[0] = True
            if row["parameter"] == "free_chlorine":
                free = min(number, free) if found[1] else number
                found[1] = True
    if found[0] and found[1]:
        return max(total - free, 0)
    return 0


def band_written(low: int | None, high: int | None) -> dict[str, Any]:
    """Write a band in thousandths, leaving out the ends that are not set; never below nothing."""
    found = {}
    if low is not None:
        found["low"] = decimal_text(max(low, 0))
    if high is not None:
        found["high"] = decimal_text(max(high, 0))
    return found


def narrowest_limits(pack: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    """Give the narrowest {"low"?, "high"?} that the rules set for each parameter, as text.

    A limit on total chlorine holds free chlorine too, less what is combined now.

    Parameters
    ----------
    pack : dict
        The compiled rules.
    case : dict
        The round they are asked of.
    """
    lows: dict[str, int] = {}
    highs: dict[str, int] = {}
    for rule in rules_that_apply(pack, with_doubt(case, []))["rules"]:
        name: str = rule["parameter"]
        hung = rule["relative_to"] != "" or rule.get("relative_to_fact", "") != ""
        plain = rule["computable"] is True and not hung
        if plain and rule["level"] not in ADVISORY_LEVELS:
            limit: int = rule["limit_thousandths"]
            if rule["comparison"] in LOWER_ENDS:
                lows[name] = max(limit, lows.get(name, limit))
            elif rule["comparison"] in UPPER_ENDS:
                highs[name] = min(limit, highs.get(name, limit))
    if "total_chlorine" in highs:
        room = highs["total_chlorine"] - combined_most(case["readings"])
        highs["free_chlorine"] = min(room, highs.get("free_chlorine", room))
    found = {}
    for name, low in lows.items():
        found[name] = band_written(low, highs.get(name))
    for name, high in highs.items():
        if name not in found:
            found[name] = band_written(None, high)
    return found


def filter_pools(asked: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the facts of every pool on a filter, in the order in which it names them."""
    found = []
    for mate in asked["facts"]["mates"]:
        if mate == asked["facts"]["pool"]:
            found.append(asked["facts"])
        for other in asked["others"]:
            if other["facts"]["pool"] == mate:
                found.append(other["facts"])
    return found


def stop_blocks(pools: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the house stops that stand anywhere on a filter, and incidents that outlast theirs."""
    found = []
    for facts in pools:
        if len(facts["stops"]) == 0 and len(facts.get("incidents", [])) > 0:
            why = "An incident is open: " + facts["name"] + "."
            found.append(way_block("incident", why, "Do its steps and end it first."))
        for _stop in facts["stops"]:
            why = "A house stop is open: " + facts["name"] + "."
            found.append(way_block("house-stop", why, "End it first: look, test, reopen."))
    return found


def open_blocks(pools: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give the pools that are open on record although something is to be added to them."""
    found = []
    for facts in pools:
        if facts["opening"] is not None and facts["opening"]["status"] == "open":
            why = "The record says that this pool is open: " + facts["name"] + "."
            found.append(way_block("record-says-open", why, "Close it on record first."))
    return found


def sampled_blocks(facts: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the block of a last round whose water was sampled before an addition had mixed."""
    found: list[dict[str, Any]] = []
    if facts["last"] is None:
        return found
    for row in facts["additions"]:
        since = 0
        if row["answer"] == "added":
            since = wait_end(row)
        elif row["answer"] == "unknown":
            since = row["answered"]
        if facts["last"]["oldest"] < since:
            why = "This water was sampled before what was added had mixed."
            found.append(way_block("reading-before-addition", why, "Test again."))
    return found


def standing_in_the_way(
    asked: dict[str, Any], given: dict[str, Any], now: int
) -> list[dict[str, Any]]:
    """Give what stands in the way: additions and waits, house stops, an open pool, a repeat."""
    facts = asked["facts"]
    found = []
    for row in water_blocks(facts, now):
        found.append(way_block(row["id"], row["why"], row["do"]))
    for row in stop_blocks(filter_pools(asked)):
        found.append(row)
    if given["questions"].get("everybody_out", "") == "yes":
        pools = [facts]
        if given.get("volume_of", "") == "circuit":
            pools = filter_pools(asked)
        for row in open_blocks(pools):
            found.append(row)
    for row in sampled_blocks(facts):
        found.append(row)
    last = facts["last"]
    if last is not None and last["verdict"] is not None:
        if last["verdict"].get("changed_to_pass", False) is True:
            why = "A reading was changed after its result was shown."
            found.append(way_block("changed-after-result", why, "Repeat the test."))
    return found


def no_longer_holds(asked: dict[str, Any], shown: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give why an amount that was shown no longer holds; empty where it still does.

    An hour after its reading, after a later round or a correction, under a house stop or with the
    pool open, the water or the people in it are not those that it was worked out for. What was
    added meanwhile is not looked at here (`water_blocks`).

    Parameters
    ----------
    asked : dict
        As advice_asked.
    shown : dict
        {"scope": pool or circuit, "oldest": ms of the oldest reading it rests on, "same_water":
        whether the last round is still the one it rests on, uncorrected}.
    now : int
        UTC ms.
    """
    found = stop_blocks(filter_pools(asked))
    pools = [asked["facts"]]
    if shown["scope"] == "circuit":
        pools = filter_pools(asked)
    for row in open_blocks(pools):
        found.append(row)
    if now - shown["oldest"] > asked["base"]["ages"]["reading_s"] * MS_A_SECOND:
        found.append(way_block("advice-old", "This amount's reading is too old.", "Test again."))
    if shown["same_water"] is not True:
        why = "The water was tested, or its reading corrected, since this amount was shown."
        found.append(
            way_block("advice-overtaken", why, "Say that it was not added, then ask again.")
        )
    return found


def other_asked(other: dict[str, Any], now: int) -> dict[str, Any]:
    """Give another pool of the filter with its last round."""
    case = case_of_last(other["facts"], other["case"], now)
    found = {
        "name": other["facts"]["name"],
        "pool": case["pool"],
        "readings": case["readings"],
        "configured": case["pool"].get("dosing_configured", False) is True,
    }
    last = other["facts"]["last"]
    if last is not None:
        found["taken_at"] = last["oldest"] // 1000
        found["late"] = last["source"] != "direct"
    return found


def volume_asked(base: dict[str, Any], given: dict[str, Any]) -> dict[str, Any]:
    """Give the volume that an addition goes into, and whether a guess was accepted just now."""
    which: str = given.get("volume_of", "")
    stated = base["volumes"].get(which)
    known = which != "" and stated is not None
    found = {"accepted": known and given.get("accept_guess", False) is True}
    for key, value in base["volumes"][which if known else ""].items():
        found[key] = value
    return found


def advice_asked(asked: dict[str, Any], given: dict[str, Any], now: int) -> dict[str, Any]:
    """Put together the request for advice on a pool's last round.

    Parameters
    ----------
    asked : dict
        {"base", "facts", "case": its context's case, "pack" or None, "others": [{"facts", "case"}]
        the other pools on its filter}.
    given : dict
        {"questions": {everybody_out, pump_running, anything_added, looked: yes, no or unknown},
        "volume_of"?: pool or circuit, "product"?, "accept_guess"?}.
    now : int
        UTC ms.

    Returns
    -------
    dict
        What `advise` and `plan` take.
    """
    base = asked["base"]
    facts = asked["facts"]
    last = facts["last"]
    case = case_of_last(facts, asked["case"], now)
    questions = {}
    for name in FOUR_QUESTIONS:
        if given["questions"].get(name, "") != "":
            questions[name] = given["questions"][name]
    others = []
    for other in asked["others"]:
        others.append(other_asked(other, now))
    found = {
        "at": now // 1000,
        "case": case,
        "questions": questions,
        "targets": base["targets"],
        "volume": volume_asked(base, given),
        "others": others,
        "feeder": base["feeder"],
        "products": base["products"],
        "choice": given.get("product", ""),
        "ages": base["ages"],
        "configured": case["pool"].get("dosing_configured", False) is True,
        "dye_test": base["dye_test"],
        "blocks": standing_in_the_way(asked, given, now),
    }
    if last is not None:
        found["taken_at"] = last["oldest"] // 1000
        found["late"] = last["source"] != "direct"
    if base.get("mixing_s") is not None:
        found["mixing_s"] = base["mixing_s"]
    if asked["pack"] is not None:
        found["limits"] = narrowest_limits(asked["pack"], case)
    return found
