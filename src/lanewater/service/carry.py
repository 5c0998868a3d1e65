"""What a browser carries, so that it works for a month with no network: all of it in one answer.

Nothing in it hangs on the time of asking, so what has not changed is answered by its tag alone. Of
what was added it says only that and when; the amounts of the record's lines are left out by whoever
sends it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from lanewater.people.authority import Matrix, answer_for
from lanewater.service.advice import constants_hash
from lanewater.service.advice_request import base_of
from lanewater.service.book import Book
from lanewater.service.clock import instant_text
from lanewater.service.constants import load_constants
from lanewater.service.context import limits_of, pool_told
from lanewater.service.directory import contacts, names, people, tell_list
from lanewater.service.duty_facts import site_facts
from lanewater.service.handover import handover_facts
from lanewater.service.judging import ENGINE
from lanewater.service.lookback import lookback_facts
from lanewater.service.past_rounds import round_row
from lanewater.service.pool_facts import case_base, facts_of, offsets_carried
from lanewater.service.record import lines
from lanewater.service.rules_held import pack_or_why
from lanewater.service.state import SiteState
from lanewater.service.transfer import export_set_up

FORM = 4
LINES_CARRIED = 200
LINES_LOOKED_AT = 400
# What people did is carried; what the machinery says of itself is on the record.
LINES_LEFT = ("round-judged", "device-enrolled", "log-key-named")
FOR_ALL = ("site", "pools", "circuits", "kits", "reagents")
EPOCH_DAY = date(1970, 1, 1).toordinal()


def carry(book: Book, device: Mapping[str, str], now_ms: int, have: str = "") -> dict[str, Any]:
    """Give all that a browser needs to work alone, or that what it has is still so.

    Parameters
    ----------
    book : Book
        The site's book.
    device : mapping
        The browser: "id", "name" and "kind".
    now_ms : int
        UTC milliseconds.
    have : str
        The tag of what the browser carries, "" for nothing.

    Returns
    -------
    dict
        {"unchanged": true, "tag", "now"} or {"tag", "now", "index": how many lines of the record it
        was made from, "log_key", "site", "public", "people", "names", "contacts", "tell", "device",
        "packs", "constants", "pools": [{"pool", "context", "facts", "advice"}], "authority",
        "unauthorised", "lines", "handover", "duties": the facts of the site itself}.
    """
    with book.reading():
        state = book.state
        tag = tag_of(book, state, device, now_ms)
        told = {"tag": tag, "now": instant_text(now_ms)}
        if have == tag:
            return {"unchanged": True, **told}
        return told | carried(book, state, device, now_ms)


def tag_of(book: Book, state: SiteState, device: Mapping[str, str], now_ms: int) -> str:
    """Give the mark of all that is carried: the record so far, what is kept apart, the program."""
    hung_on = [
        FORM,
        ENGINE,
        state.index,
        state.epoch,
        state.log_keys[-1].public_key,
        dict(device),
        names(book),
        contacts(book),
        [(name, pack["hash"]) for name, pack in sorted(packs_of(book, state)[0].items())],
        constants_hash(),
        offsets_carried(state.site.timezone, now_ms),
    ]
    return hashlib.sha256(json.dumps(hung_on, sort_keys=True).encode()).hexdigest()[:32]


def carried(book: Book, state: SiteState, device: Mapping[str, str], now_ms: int) -> dict[str, Any]:
    """Give what is carried, without its tag."""
    packs, used = packs_of(book, state)
    listed = people_carried(book, state)
    return {
        "index": state.index + 1,
        "log_key": state.log_keys[-1].public_key,
        "site": site_carried(state),
        "public": {key: value for key, value in export_set_up(book).items() if key in FOR_ALL}
        | {"contacts": contacts(book)},
        "people": listed,
        "names": {
            identity: {"name": known["name"], "initials": known["initials"]}
            for identity, known in names(book).items()
        },
        "contacts": contacts(book),
        "tell": tell_list(book),
        "device": dict(device),
        "packs": packs,
        "constants": list(load_constants()),
        "pools": [
            pool_carried(book, state, pool, packs, used[pool], now_ms) for pool in state.pools
        ],
        "authority": {
            "telephone": state.site.telephone_authority,
            "standing": standing_carried(state),
            "people": [{"id": row["id"], "may": row["may"]} for row in listed],
        },
        "unauthorised": [
            {"entry": row.entry, "kind": row.kind, "pool": row.pool, "by": row.by, "at": row.at_ms}
            for row in state.unauthorised
        ],
        "lines": lines_carried(book),
        "handover": handover_facts(state),
        "duties": site_facts(state, now_ms),
    }


def site_carried(state: SiteState) -> dict[str, Any]:
    """Give the site."""
    site = state.site
    return {
        "id": site.id,
        "name": site.name,
        "timezone": site.timezone,
        "units": dict(site.units),
        "rules": site.rules.id,
        "demo": site.demo,
        "telephone_authority": site.telephone_authority,
    }


def packs_of(book: Book, state: SiteState) -> tuple[dict[str, dict[str, Any]], dict[str, str]]:
    """Give the compiled rules that are in use, and which of them each pool goes by.

    What cannot be loaded judges nothing: such a pool goes by "". Two versions of one pack, or one
    with a site's own rules upon it, have a name each.
    """
    found: dict[str, dict[str, Any]] = {}
    used: dict[str, str] = {}
    for pool in sorted(state.pools):
        pack, _ = pack_or_why(book, state, pool)
        name = pack["id"] if pack else ""
        if pack and name in found and found[name]["hash"] != pack["hash"]:
            name = f"{name}#{pack['hash'][:12]}"
        used[pool] = name
        if pack:
            found[name] = pack
    return found, used


def people_carried(book: Book, state: SiteState) -> list[dict[str, Any]]:
    """Give who works here, what each may decide, and the number of whoever is to be called."""
    return [
        {
            **{key: row[key] for key in ("id", "name", "initials", "roles", "delegated")},
            "may": (may := may_of(row["roles"], row["delegated"], state.matrix)),
            "phone": row["phone"] if may["open"] == "yes" or may["hand-dose"] != "no" else "",
            "hand_dosing": hand_dosing(row["competences"]),
        }
        for row in people(book)
    ]


def may_of(roles: Iterable[str], delegated: Iterable[str], matrix: Matrix) -> dict[str, str]:
    """Give what the matrix says of every decision."""
    held, given = list(roles), list(delegated)
    return {decision: answer_for(decision, held, given, matrix) for decision in matrix}


def hand_dosing(competences: Iterable[Mapping[str, str]]) -> list[dict[str, Any]]:
    """Give what somebody's recorded competences cover, in days since 1970-01-01."""
    return [
        {
            "substance": row["product"],
            "from": day_of(row["from"]),
            "until": day_of(row["until"]) if "until" in row else None,
        }
        for row in competences
        if row["covers"] == "hand-dosing"
    ]


def day_of(text: str) -> int:
    """Give a date as days since 1970-01-01."""
    return date.fromisoformat(text).toordinal() - EPOCH_DAY


def pool_carried(
    book: Book,
    state: SiteState,
    pool: str,
    packs: Mapping[str, dict[str, Any]],
    rules: str,
    now_ms: int,
) -> dict[str, Any]:
    """Give one pool: what a round is tested with, what is known, and what advice rests on."""
    last = state.last_round(pool)
    case = {
        "purpose": "round",
        "readings": [],
        "history": [],
        "at": None,
        "between": [],
        "events": [],
        "expired": [],
        **case_base(state, pool),
        **lookback_facts(book, state, pool, now_ms),
    }
    return {
        "pool": pool,
        "context": {
            "pool": pool_told(state, pool),
            "rules": rules if rules in packs else "",
            "case": case,
            "kits": [dict(kit.body) for kit in state.kits.values()],
            "reagents": [dict(reagent.body) for reagent in state.reagents.values()],
            "limits": limits_of(packs[rules], case) if rules in packs else [],
            "last_round": None if last is None else round_row(state, last),
        },
        "facts": facts_of(book, state, pool, now_ms),
        "advice": base_of(state, pool),
    }


def standing_carried(state: SiteState) -> list[dict[str, Any]]:
    """Give the standing authorities that nobody ended."""
    return [
        {
            "authority": row.id,
            "entry": row.entry,
            "person": row.person,
            "pools": list(row.pools),
            "from": row.from_ms,
            "until": row.until_ms,
            "by": row.given_by,
        }
        for row in state.authorities.values()
        if not row.ended_ms
    ]


def lines_carried(book: Book) -> list[dict[str, Any]]:
    """Give the record's last lines on what people did, oldest first."""
    found = [row for row in lines(book, limit=LINES_LOOKED_AT) if row["type"] not in LINES_LEFT]
    return found[-LINES_CARRIED:]
