"""What else happened at a pool, as rows: opened, closed, everyone out, added, told."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from lanewater.reports import incidents
from lanewater.reports.closings import CLOSINGS, closed_words
from lanewater.reports.moments import minute_near
from lanewater.reports.pieces import Pieces
from lanewater.reports.sheet import Line, Row
from lanewater.reports.words import AGAINST, ANSWERS, UNCONFIRMED, stop_words

Rows = Callable[[Pieces, Line], Row]


def reason_of(line: Line) -> str:
    """Give the reason that was given, as it goes behind a sentence."""
    return f": {line.entry.reason}" if line.entry.reason else ""


def opened(pieces: Pieces, line: Line) -> Row:
    """A pool was opened, on somebody's word."""
    body = line.entry.body
    against = f", last round: {AGAINST[body['overall']]}" if "overall" in body else ""
    words = ", ".join(str(row) for row in body.get("marked", ()))
    marked = f" (marked: {words})" if words else ""
    text = f"opened{by_authority(pieces, line)}{against}{marked}{reason_of(line)}"
    row = pieces.row("opened", line, text=text)
    waits = "word_of" in body and not is_confirmed(pieces, line)
    return replace(row, flags=(*row.flags, UNCONFIRMED)) if waits else row


def is_confirmed(pieces: Pieces, line: Line) -> bool:
    """Tell whether the person on whose word a pool was opened stands by it."""
    confirmed = pieces.confirmed.get(line.entry.id)
    return confirmed is not None and confirmed.entry.user == line.entry.body["word_of"]


def by_authority(pieces: Pieces, line: Line) -> str:
    """Say on whose word by telephone, and whether they stood by it; or under what permission."""
    body = line.entry.body
    if "standing" in body:
        return " under standing permission"
    if "word_of" not in body:
        return ""
    known = UNCONFIRMED
    if is_confirmed(pieces, line):
        at_ms = pieces.confirmed[line.entry.id].at_ms
        known = f"confirmed {minute_near(pieces.local(at_ms), pieces.local(line.at_ms))}"
    return f" on the word of {pieces.initials(body['word_of'])} by telephone, {known}"


def confirmed(pieces: Pieces, line: Line) -> Row:
    """Somebody stood by the word on which a pool was opened."""
    return pieces.row("confirmed", line, text="stands by the opening by telephone")


def closed(pieces: Pieces, line: Line) -> Row:
    """A pool was closed for a reason, or shut for the hours."""
    if line.entry.body["kind"] == "shut":
        return pieces.row("shut", line, text=f"shut (hours){reason_of(line)}")
    return pieces.row("closed", line, text=f"{closed_words(line)}{reason_of(line)}")


def everyone_out(pieces: Pieces, line: Line) -> Row:
    """Somebody called everyone out."""
    body = line.entry.body
    nobody = ", nobody was in" if body.get("nobody_in") else ""
    words = f": {body['words']}" if body.get("words") else ""
    text = f"everyone out: {stop_words(body['stop'])}{nobody}{words}{reason_of(line)}"
    return pieces.row("everyone-out", line, text=text)


def stop_ended(pieces: Pieces, line: Line) -> Row:
    """Somebody ended house stops."""
    body = line.entry.body
    alarm = " (false alarm)" if body.get("false_alarm") else ""
    stops = ", ".join(stop_words(stop) for stop in body["stops"])
    return pieces.row("stop-ended", line, text=f"stop ended: {stops}{alarm}{reason_of(line)}")


def settled(pieces: Pieces, line: Line) -> Row:
    """A named person said how a pool stood that two devices disagreed about."""
    text = f"settled: the pool is {line.entry.body['status']}{reason_of(line)}"
    return pieces.row("settled", line, text=text)


def started(pieces: Pieces, line: Line) -> Row:
    """Somebody began to add something."""
    return pieces.row("started", line, text=f"adding {amount(pieces, line.entry.body)}")


def answered(pieces: Pieces, line: Line) -> Row:
    """What came of an addition: how much of what; the amount as begun where it is not said anew."""
    body = line.entry.body
    begun = pieces.started.get(body.get("addition", ""))
    known: dict[str, Any] = dict(begun.entry.body) if begun else {}
    text = f"{ANSWERS[body['answer']]}: {amount(pieces, known | dict(body))}"
    if begun:
        text += f" (begun {minute_near(pieces.local(begun.at_ms), pieces.local(line.at_ms))})"
    return pieces.row("addition", line, text=text)


def amount(pieces: Pieces, body: Mapping[str, Any]) -> str:
    """Say how much of what, and how much was advised."""
    what = pieces.named(body.get("product", "")) or "not said what"
    much = f"{body['amount']} {body.get('unit', '')} of " if "amount" in body else ""
    advice = pieces.advised.get(body.get("advice", ""))
    told = ""
    if advice:
        told = f", advised {advice.entry.body['amount']} {advice.entry.body['unit']}"
    lot = f", lot {body['lot']}" if body.get("lot") else ""
    wait = f", wait {body['wait_minutes']} min" if body.get("wait_minutes") else ""
    return f"{much}{what}{told}{lot}{wait}"


def told(pieces: Pieces, line: Line) -> Row:
    """Somebody was told."""
    body = line.entry.body
    how = f" {body['how']}" if body.get("how") else ""
    return pieces.row("told", line, text=f"told {pieces.initials(body['whom'])}{how}")


def duty_done(pieces: Pieces, line: Line) -> Row:
    """A duty was done, was not needed, or was not done."""
    body = line.entry.body
    words = f": {body['words']}" if body.get("words") else ""
    said = {"done": "done", "not-needed": "not needed", "not-done": "not done"}[body["answer"]]
    return pieces.row("duty", line, text=f"{body['duty'].partition(':')[2]}: {said}{words}")


def event_noted(pieces: Pieces, line: Line) -> Row:
    """Something happened."""
    body = line.entry.body
    words = f": {body['words']}" if body.get("words") else ""
    return pieces.row("event", line, text=f"{body['what']}{words}")


HAPPENINGS: dict[str, Rows] = {
    "pool-opened": opened,
    "pool-closed": closed,
    "everyone-out": everyone_out,
    "house-stop-ended": stop_ended,
    "opening-settled": settled,
    "opening-confirmed": confirmed,
    "addition-started": started,
    "addition-answered": answered,
    "told": told,
    "incident-started": incidents.begun,
    "incident-step-done": incidents.step_done,
    "incident-route-chosen": incidents.route_chosen,
    "incident-noted": incidents.noted,
    "incident-ended": incidents.ended,
    "incident-continued": incidents.continued,
    **CLOSINGS,
    "duty-done": duty_done,
    "event-noted": event_noted,
}
