"""Whether the record gave somebody the authority for what a device says that they decided.

What the server wrote was held to it before it was written. What a device says was decided while it
was out of reach is a fact all the same: it is taken in, and noted where the record, as it stands
when the line comes, gives no authority for it.
"""

from __future__ import annotations

from dataclasses import replace

from lanewater.people.authority import answer_for, matrix_with
from lanewater.people.competence import why_not_dose
from lanewater.records.entries import Entry
from lanewater.service.clock import MINUTE_MS, instant_text, known_instant
from lanewater.service.fold.draft import Draft
from lanewater.service.state import Handover, StandingAuthority, Unauthorised

OF_BROWSERS = ("shared", "office")
FULL_PASSES = ("meets", "meets-borderline")
HANDOVERS_HELD = 50
NOTES_HELD = 1000


def proved(entry: Entry) -> bool:
    """Tell whether it was proved who acts: to the server, or to a device that holds its grant."""
    return bool(entry.auth["verified"]) or entry.auth["method"] == "pin"


def through_of(entry: Entry) -> str:
    """Give the device that somebody held."""
    return str(entry.auth.get("through", entry.dev))


def by_itself(draft: Draft, entry: Entry) -> bool:
    """Tell whether a browser wrote an entry by itself."""
    device = draft.devices.get(entry.dev)
    return device is not None and device.kind in OF_BROWSERS


def on_device(draft: Draft, entry: Entry) -> bool:
    """Tell whether a PIN was checked by a device alone."""
    return by_itself(draft, entry) and entry.auth["method"] == "pin"


def note(draft: Draft, entry: Entry, *, given: bool) -> bool:
    """Note a device's decision that the record gives no authority for; tell whether it is one."""
    if given or not by_itself(draft, entry):
        return False
    found = Unauthorised(
        entry.id,
        entry.type,
        entry.body["pool"],
        entry.user,
        known_instant(entry.at),
        through_of(entry),
    )
    draft.unauthorised = (*draft.unauthorised, found)[-NOTES_HELD:]
    return True


def person_may(draft: Draft, identity: str, decision: str) -> bool:
    """Tell whether the matrix gives a decision to somebody on the list."""
    person = draft.people.get(identity)
    if person is None or person.gone:
        return False
    return answer_for(decision, person.roles, person.delegated, draft.matrix) == "yes"


def may_decide(draft: Draft, entry: Entry, decision: str) -> bool:
    """Tell whether somebody who was proved may decide something here."""
    return proved(entry) and person_may(draft, entry.user, decision)


def may_open(draft: Draft, entry: Entry) -> bool:
    """Tell whether somebody may open: by role, on a word by telephone, or by standing authority."""
    if may_decide(draft, entry, "open"):
        return True
    person = draft.people.get(entry.user)
    if not proved(entry) or person is None or person.gone or not rests_on_a_pass(draft, entry):
        return False
    if "word_of" in entry.body:
        allowed = draft.site is not None and draft.site.telephone_authority
        return allowed and person_may(draft, entry.body["word_of"], "open")
    return any(
        known.entry == entry.body.get("standing") and covers(known, entry)
        for known in draft.authorities.values()
    )


def rests_on_a_pass(draft: Draft, entry: Entry) -> bool:
    """Tell whether an opening took no reason and names a round of its pool that meets."""
    known = draft.rounds.get(entry.body.get("round", ""))
    verdict = draft.verdicts.get(known.id) if known else None
    if known is None or verdict is None or known.pool != entry.body["pool"]:
        return False
    changed = verdict.body.get("changed_to_pass", False)
    return verdict.overall in FULL_PASSES and not changed and not entry.body.get("marked")


def covers(known: StandingAuthority, entry: Entry) -> bool:
    """Tell whether a standing authority covers an opening, at the time it is claimed for."""
    at_ms = known_instant(entry.at)
    ends_ms = min(known.until_ms, known.ended_ms or known.until_ms)
    within = known.from_ms <= at_ms < ends_ms
    return within and known.person == entry.user and entry.body["pool"] in known.pools


def note_dosing(draft: Draft, entry: Entry) -> bool:
    """Note an amount shown to or added by somebody whose competence does not cover it."""
    return note(draft, entry, given=may_dose(draft, entry))


def may_dose(draft: Draft, entry: Entry) -> bool:
    """Tell whether somebody's recorded competence covers a product, on the site's day."""
    person = draft.people.get(entry.user)
    product = draft.products.get(entry.body["product"])
    if not proved(entry) or person is None or person.gone or product is None:
        return False
    if answer_for("hand-dose", person.roles, person.delegated, draft.matrix) == "no":
        return False
    today = instant_text(known_instant(entry.at) + entry.off * MINUTE_MS)[:10]
    return not why_not_dose(person.competences, str(product.body["substance"]), today)


def take_authority(draft: Draft, entry: Entry) -> None:
    """Take in that somebody may open where every reading meets; given anew it is another."""
    body = entry.body
    draft.authorities[body["authority"]] = StandingAuthority(
        id=body["authority"],
        entry=entry.id,
        person=body["person"],
        pools=tuple(body["pools"]),
        from_ms=known_instant(body["from"]),
        until_ms=known_instant(body["until"]),
        given_by=entry.user,
        given_ms=known_instant(entry.at),
    )


def take_authority_ended(draft: Draft, entry: Entry) -> None:
    """End a standing authority; what was opened under it before stays so."""
    known = draft.authorities.get(entry.body["authority"])
    if known is not None and not known.ended_ms:
        draft.authorities[known.id] = replace(known, ended_ms=known_instant(entry.at))


def take_matrix(draft: Draft, entry: Entry) -> None:
    """Take in who decides what from now on; what was decided before stays so."""
    draft.matrix = matrix_with(draft.matrix, entry.body["rows"])


def take_handover(draft: Draft, entry: Entry) -> None:
    """Take in that somebody read the handover and took over."""
    made_ms = known_instant(entry.body["made"])
    found = Handover(entry.id, entry.user, known_instant(entry.at), made_ms, through_of(entry))
    draft.handovers = (*draft.handovers, found)[-HANDOVERS_HELD:]
