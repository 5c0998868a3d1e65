"""The handover: what the next shift must know, and that somebody took over."""

from __future__ import annotations

from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.answering import answer
from lanewater.interfaces.api.schemas.handover import AcknowledgedSent
from lanewater.interfaces.api.served import Site
from lanewater.service import handover


def show_handover(served: Site, caller: Who) -> JSONResponse:
    """Give the handover as the record writes it now."""
    person = caller.actor.person
    return answer(handover.handover_page(served.book, served.book.clock(), person))


def take_over(sent: AcknowledgedSent, served: Site, caller: Who) -> JSONResponse:
    """Take over: somebody who is signed in has read what stands open."""
    return answer(handover.acknowledge(served.book, caller.actor, sent.given()))
