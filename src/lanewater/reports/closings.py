"""What a closing says on a sheet, and what followed it: lifted, notified, the sign, deadlines."""

from __future__ import annotations

from collections.abc import Callable

from lanewater.reports.pieces import Pieces
from lanewater.reports.sheet import Line, Row

SCOPES = {"circuit": ", with every pool on its filter", "site": ", with the whole site"}


def closed_words(line: Line) -> str:
    """Say by whose decision, on which clause and how widely a pool was closed."""
    body = line.entry.body
    clause = f", {body['clause']}" if body.get("clause") else ""
    wide = SCOPES.get(body.get("scope", ""), "")
    if not body.get("by_order"):
        return f"closed{clause}{wide}"
    named = f" ({body['reference']})" if body.get("reference") else ""
    return f"closed BY ORDER of {body['authority']}{named}{clause}{wide}"


def lifted(pieces: Pieces, line: Line) -> Row:
    """An authority lifted its order."""
    body = line.entry.body
    named = f" ({body['reference']})" if body.get("reference") else ""
    paper = f", paper: {body['document']['name']}" if "document" in body else ""
    text = f"order lifted: {body['authority']}{named}{paper}"
    return pieces.row("lifted", line, text=text)


def notified(pieces: Pieces, line: Line) -> Row:
    """An authority was notified."""
    body = line.entry.body
    how = f" {body['how']}" if body.get("how") else ""
    words = f": {body['words']}" if body.get("words") else ""
    return pieces.row("told", line, text=f"authority told{how}: {body['authority']}{words}")


def posted(pieces: Pieces, line: Line) -> Row:
    """A sign was put up."""
    body = line.entry.body
    place = f", {body['place']}" if body.get("place") else ""
    text = f"sign put up ({', '.join(body['languages'])}){place}"
    return pieces.row("notice", line, text=text)


def met(pieces: Pieces, line: Line) -> Row:
    """Somebody said that a deadline of the rules was met."""
    body = line.entry.body
    words = f": {body['words']}" if body.get("words") else ""
    return pieces.row("deadline", line, text=f"deadline met: {body['deadline']}{words}")


CLOSINGS: dict[str, Callable[[Pieces, Line], Row]] = {
    "closure-lifted": lifted,
    "authority-notified": notified,
    "notice-posted": posted,
    "deadline-met": met,
}
