"""Links for inspectors: making and ending them, and what one opens."""

from __future__ import annotations

from threading import Lock

from fastapi import Request
from fastapi.responses import JSONResponse, Response

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.answering import From, PoolWanted, To, answer, span
from lanewater.interfaces.api.schemas.inspections import LinkEndSent, LinkSent
from lanewater.interfaces.api.served import Site
from lanewater.service import inspection
from lanewater.service.inspection import Asked, Link

# A print of a year takes half a gigabyte for some seconds: one at a time.
PRINTING = Lock()


def make(sent: LinkSent, served: Site, caller: Who) -> JSONResponse:
    """Make a link to one period of the record; its token is shown this once."""
    return answer(inspection.make_link(served.book, caller.actor, sent.given()))


def list_all(served: Site, caller: Who) -> JSONResponse:
    """List the links that were made."""
    return answer({"links": inspection.list_links(served.book, caller.actor)})


def end(sent: LinkEndSent, served: Site, caller: Who) -> JSONResponse:
    """End a link before its time."""
    return answer(inspection.end_link(served.book, caller.actor, sent.link))


def look(
    request: Request,
    served: Site,
    pool: PoolWanted = None,
    since: From = None,
    until: To = None,
) -> JSONResponse:
    """Give a stretch of the period that the link opens, in words."""
    link: Link = request.state.link
    asked = Asked(pool=pool, **span(since, until))
    return answer(inspection.look(served.book, link, asked))


def sheet(
    request: Request,
    served: Site,
    pool: PoolWanted = None,
    since: From = None,
    until: To = None,
) -> Response:
    """Print a stretch of the period that the link opens, with the lines it is made of."""
    link: Link = request.state.link
    served.doors.try_print(link.token_hash)
    asked = Asked(pool=pool, **span(since, until))
    with PRINTING:
        content = inspection.printed(served.book, link, asked)
    headers = {"Content-Disposition": 'attachment; filename="inspection.pdf"'}
    return Response(content, media_type="application/pdf", headers=headers)
