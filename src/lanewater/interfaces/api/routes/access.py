"""Who is at this browser: enrolling, signing in and out."""

from __future__ import annotations

from typing import Any

from fastapi import Request
from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import (
    DEVICE_COOKIE,
    DEVICE_SECONDS,
    SESSION_COOKIE,
    Caller,
    Who,
    drop_cookie,
    set_cookie,
)
from lanewater.interfaces.api.routes.answering import answer, with_tries
from lanewater.interfaces.api.schemas.access import (
    EnrolSent,
    ForgetSent,
    RemoveSent,
    SignInSent,
    UnlockSent,
)
from lanewater.interfaces.api.schemas.base import Nothing
from lanewater.interfaces.api.served import Served, Site
from lanewater.service import access
from lanewater.service.clock import instant_text
from lanewater.service.directory import devices, names, people_here
from lanewater.service.enrolment import revoke_device
from lanewater.service.people_forget import forget_person
from lanewater.service.permission import may, person_of
from lanewater.service.state import SiteState


def me(served: Site, caller: Who) -> JSONResponse:
    """Tell who asks, from which browser, and what they may."""
    book, state = served.book, served.book.state
    person = person_of(state.people, caller.actor)
    known = names(book).get(caller.actor.person, {}) if person else {}
    decisions = {what: may(state, caller.actor, what) for what in state.matrix}
    return answer(
        {
            "enrolled": bool(caller.device),
            "device": device_told(served, caller),
            "person": person.id if person else None,
            "name": known.get("name", ""),
            "initials": known.get("initials", ""),
            "roles": list(person.roles) if person else [],
            "owner": caller.owner,
            "may_set_up": decisions["set-up"] == "yes",
            "may": decisions,
            "demo": state.site.demo,
            "secure": served.secure,
            "recording": book.recording,
            "trouble": book.trouble,
            "locked": bool(caller.device) and not person and not caller.owner,
            "now": instant_text(book.clock()),
            "site": site_told(state, enrolled=bool(caller.device)),
        }
    )


def device_told(served: Served, caller: Caller) -> dict[str, Any] | None:
    """Give the browser that asks, None where it is not enrolled."""
    for row in devices(served.book):
        if row["id"] == caller.device:
            return {key: row[key] for key in ("id", "name", "kind")}
    return None


def site_told(state: SiteState, *, enrolled: bool) -> dict[str, Any]:
    """Give the site's name, and to an enrolled browser how it measures and judges."""
    site = state.site
    told: dict[str, Any] = {"name": site.name}
    if enrolled:
        told |= {
            "timezone": site.timezone,
            "units": dict(site.units),
            "rules": site.rules.id or "none",
        }
    return told


def enrol(sent: EnrolSent, served: Site, request: Request) -> JSONResponse:
    """Enrol this browser with a first key; it may then set the site up."""
    served.doors.try_first_key(request.client.host if request.client else "")
    signing = sent.signing.given() if sent.signing else None
    made = access.enrol(served.book, sent.key, sent.name, sent.kind or "shared", signing)
    book = served.book
    log_key = book.state.log_keys[-1].public_key
    told = answer({"device": made["device"], "site": book.site, "log_key": log_key})
    set_cookie(told, DEVICE_COOKIE, made["token"], DEVICE_SECONDS)
    set_cookie(told, SESSION_COOKIE, made["session"])
    return told


def people(served: Site) -> JSONResponse:
    """List who works here, for the sign-in page."""
    return answer(people_here(served.book))


def sign_in(sent: SignInSent, served: Site, caller: Who) -> JSONResponse:
    """Sign a person in with their PIN."""
    made = with_tries(
        served,
        caller.device,
        sent.person,
        lambda: access.sign_in(served.book, caller.device_token, sent.person, sent.pin),
    )
    if caller.session_token:
        access.sign_out(served.book, caller.session_token)
    found = next(row for row in people_here(served.book) if row["id"] == made["person"])
    told = answer({**found, "grant": made["grant"]})
    set_cookie(told, SESSION_COOKIE, made["session"])
    return told


def sign_out(sent: Nothing, served: Site, caller: Who) -> JSONResponse:
    """Sign out; the browser stays enrolled."""
    if caller.session_token:
        access.sign_out(served.book, caller.session_token)
    told = answer(sent.given())
    drop_cookie(told, SESSION_COOKIE)
    return told


def unlock(sent: UnlockSent, served: Site, caller: Who) -> JSONResponse:
    """Let somebody who is locked on a browser try again."""
    access.unlock(served.book, caller.actor, sent.person, sent.device)
    return answer({})


def remove_device(sent: RemoveSent, served: Site, caller: Who) -> JSONResponse:
    """End an enrolled browser: its sessions at once, and nothing that it sends is recorded."""
    revoke_device(served.book, caller.actor, sent.device, sent.lost_at)
    return answer({})


def forget(sent: ForgetSent, served: Site, caller: Who) -> JSONResponse:
    """Forget a person's name for good; what they did stays on record under an opaque word."""
    return answer(forget_person(served.book, caller.actor, sent.person))
