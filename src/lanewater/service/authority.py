"""Who may open when nobody senior is there: a word by telephone, and standing authority.

Both hold only where every reading meets and nothing stands in the way. A word by telephone is
shown as that, on every page and sheet, until the person named stands by it with their own PIN.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.people.authority import answer_for
from lanewater.service.actor import Actor
from lanewater.service.additions import known_pool
from lanewater.service.book import Book, Writing, new_id
from lanewater.service.clock import DAY_MS, instant_ms, instant_text
from lanewater.service.opening import CRITERIA, criteria_said, opened_on, opening_answer
from lanewater.service.permission import OWNERS, NotAllowedError, may, person_of, require
from lanewater.service.state import Site, SiteState, StandingAuthority
from lanewater.terms.errors import InputError, RefusedError
from lanewater.terms.shapes import Shape, anything, flag, identity, list_of

# JUDG: longer than a season's rota nobody plans ahead, and what is forgotten must end by itself.
LONGEST_MS = 92 * DAY_MS

ON_WORD = Shape({"pool": identity, "word_of": identity}, {"confirmed": CRITERIA})
UNDER = Shape({"pool": identity, "standing": identity}, {"confirmed": CRITERIA})
GIVE = Shape(
    {
        "person": identity,
        "pools": list_of(identity, 100, least=1),
        "from": anything,
        "until": anything,
    }
)
END = Shape({"authority": identity})
CONFIRM = Shape({"pool": identity, "opening": identity})
TELEPHONE = Shape({"allowed": flag})


def open_on_word(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Open a pool on the word of somebody who may, given by telephone.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Anybody on the list, signed in: they took the call.
    given : mapping
        {"pool", "word_of": the person who gave it}.

    Returns
    -------
    dict
        {"entry", "marked": empty}.

    Raises
    ------
    RefusedError
        Where the site does not allow it, or the pool could not be opened without a reason.
    NotAllowedError
        Where the actor is not signed in, or the person named may not open pools.
    """
    ON_WORD(given, "")
    with book.writing() as writing:
        state = writing.state
        if not state.site.telephone_authority:
            raise RefusedError("this site does not let a pool be opened on a word by telephone")
        if given["word_of"] == actor.person:
            raise InputError("word_of", "is the person who opens; sign in and open")
        if not may_open_by_role(state, given["word_of"]):
            raise NotAllowedError(f"{given['word_of']} may not open a pool")
        return opened(writing, actor, {"pool": given["pool"], "word_of": given["word_of"]}, given)


def open_under_standing(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Open a pool under a standing authority that somebody in charge gave.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        The person to whom it was given, signed in.
    given : mapping
        {"pool", "standing": the entry that gave it}.

    Returns
    -------
    dict
        As open_on_word.

    Raises
    ------
    NotAllowedError
        Where it is not theirs, not for this pool or not for now.
    """
    UNDER(given, "")
    with book.writing() as writing:
        known = standing_now(writing.state, actor.person, given["pool"], book.clock())
        if known is None or known.entry != given["standing"]:
            raise NotAllowedError("no standing authority covers this person, this pool and now")
        return opened(writing, actor, {"pool": given["pool"], "standing": known.entry}, given)


def opened(
    writing: Writing, actor: Actor, body: dict[str, Any], given: Mapping[str, Any]
) -> dict[str, Any]:
    """Open a pool where it takes no reason at all."""
    book, state = writing.book, writing.state
    pool = known_pool(state, body["pool"])
    if person_of(state.people, actor) is None or not actor.verified:
        raise NotAllowedError("to open a pool takes a person on the list, signed in with a PIN")
    opening = state.openings.get(pool)
    if opening is not None and opening.status == "open":
        raise RefusedError(f"{pool} is open already")
    answer = opening_answer(book, pool, book.clock())
    if answer["may"] != "open":
        raise RefusedError(f"{pool} takes somebody who may open pools: {', '.join(answer['why'])}")
    body |= opened_on(state, pool, []) | criteria_said(book, pool, given)
    entry = writing.append("pool-opened", body, actor)
    return {"entry": entry.id, "marked": []}


def may_open_by_role(state: SiteState, identity_: str) -> bool:
    """Tell whether the matrix lets somebody on the list open pools."""
    person = state.people.get(identity_)
    if person is None or person.gone:
        return False
    return answer_for("open", person.roles, person.delegated, state.matrix) == "yes"


def standing_now(state: SiteState, person: str, pool: str, now_ms: int) -> StandingAuthority | None:
    """Give the standing authority under which somebody may open a pool now, None without one."""
    for known in state.authorities.values():
        within = known.from_ms <= now_ms < known.until_ms and not known.ended_ms
        if within and known.person == person and pool in known.pools:
            return known
    return None


def give_authority(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, str]:
    """Let somebody open some pools in some time, where every reading meets.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Somebody who may open pools, signed in; or who owns the data folder.
    given : mapping
        {"person", "pools", "from", "until"}: RFC 3339, at most 92 days.

    Returns
    -------
    dict
        {"authority", "entry"}.

    Raises
    ------
    InputError
        Naming the field.
    """
    GIVE(given, "")
    from_ms, until_ms = instant_ms(given["from"], "from"), instant_ms(given["until"], "until")
    if until_ms <= max(from_ms, book.clock()):
        raise InputError("until", "must lie after `from`, and ahead")
    if until_ms - from_ms > LONGEST_MS:
        raise InputError("until", "must lie at most 92 days after `from`")
    with book.writing() as writing:
        state = writing.state
        hold_to_charge(state, actor)
        for pool in given["pools"]:
            known_pool(state, pool)
        person = state.people.get(given["person"])
        if person is None or person.gone:
            raise InputError("person", f"{given['person']!r} is not on the list")
        body = {
            "authority": f"sa-{new_id(book.clock())}",
            "person": person.id,
            "pools": sorted(set(given["pools"])),
            "from": instant_text(from_ms),
            "until": instant_text(until_ms),
        }
        entry = writing.append("standing-authority-given", body, actor)
    return {"authority": str(body["authority"]), "entry": entry.id}


def end_authority(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, str]:
    """End a standing authority before its time."""
    END(given, "")
    with book.writing() as writing:
        hold_to_charge(writing.state, actor)
        known = writing.state.authorities.get(given["authority"])
        if known is None:
            raise InputError("authority", f"{given['authority']!r} is not on record")
        if known.ended_ms:
            raise RefusedError("authority: is ended already")
        entry = writing.append("standing-authority-ended", {"authority": known.id}, actor)
    return {"entry": entry.id}


def hold_to_charge(state: SiteState, actor: Actor) -> None:
    """Refuse whoever may neither open pools nor owns the data folder."""
    if actor.method not in OWNERS or may(state, actor, "set-up") != "yes":
        require(state, actor, "open")


def authorities(book: Book, now_ms: int) -> list[dict[str, Any]]:
    """Give the standing authorities that hold now or will; the earliest to end first."""
    found = [
        row for row in book.state.authorities.values() if row.until_ms > now_ms and not row.ended_ms
    ]
    return [
        {
            "authority": row.id,
            "entry": row.entry,
            "person": row.person,
            "pools": list(row.pools),
            "from": instant_text(row.from_ms),
            "until": instant_text(row.until_ms),
            "given_by": row.given_by,
        }
        for row in sorted(found, key=lambda row: (row.until_ms, row.id))
    ]


def confirm_opening(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, str]:
    """Stand by one's word, given by telephone, on which a pool was opened.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        The person named in the opening, signed in; nobody else.
    given : mapping
        {"pool", "opening": the entry that opened it}.

    Returns
    -------
    dict
        {"entry"}.

    Raises
    ------
    NotAllowedError
        For anybody but the person named.
    RefusedError
        Where the opening is not held, was on nobody's word or is confirmed.
    """
    CONFIRM(given, "")
    with book.writing() as writing:
        pool = known_pool(writing.state, given["pool"])
        trail = book.draft.trails.get(pool)
        known = trail.words.get(given["opening"]) if trail else None
        if known is None or not known.word_of:
            raise RefusedError("opening: is not on record as one on somebody's word")
        if known.confirmed_ms:
            raise RefusedError("opening: is confirmed already")
        if known.word_of != actor.person or not actor.verified:
            raise NotAllowedError(
                "an opening is confirmed by the person who gave their word for it"
            )
        entry = writing.append("opening-confirmed", {"pool": pool, "opening": known.entry}, actor)
    return {"entry": entry.id}


def allow_telephone(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, bool]:
    """Say whether a pool may be opened on a word by telephone here; at first it may not."""
    TELEPHONE(given, "")
    require(book.state, actor, "set-up")
    with book.writing() as writing:
        body = site_said(writing.state.site) | {"telephone_authority": given["allowed"]}
        writing.append("site-set-up", body, actor)
    return {"allowed": given["allowed"]}


def site_said(site: Site) -> dict[str, Any]:
    """Give a site as it was set up, to be said again with something changed."""
    body: dict[str, Any] = {"name": site.name, "timezone": site.timezone}
    body |= {"units": dict(site.units)} if site.units else {}
    body |= {"demo": True} if site.demo else {}
    body |= {"telephone_authority": True} if site.telephone_authority else {}
    return body | ({"quiet_minutes": site.quiet_minutes} if site.quiet_minutes else {})
