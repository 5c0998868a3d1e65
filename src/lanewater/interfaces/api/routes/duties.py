"""What is due today, that it was done, and that something happened."""

from __future__ import annotations

from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.answering import answer
from lanewater.interfaces.api.schemas.duties import DutyDoneSent, EventSent
from lanewater.interfaces.api.served import Site
from lanewater.service import duties


def due_today(served: Site, caller: Who) -> JSONResponse:
    """Give what is due, for whoever asks."""
    return answer(duties.due_page(served.book, served.book.clock(), caller.actor.person))


def duty_done(sent: DutyDoneSent, served: Site, caller: Who) -> JSONResponse:
    """Keep that a duty was done, was not needed, or was not done."""
    return answer(duties.duty_done(served.book, caller.actor, sent.given()))


def note_event(sent: EventSent, served: Site, caller: Who) -> JSONResponse:
    """Keep that something happened."""
    return answer(duties.note_event(served.book, caller.actor, sent.given()))
