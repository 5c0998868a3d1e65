"""Incidents as rows of a sheet: what happened, what was done, chosen and noted, how it ended."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from lanewater.records.entries import Entry
from lanewater.reports.pieces import Pieces
from lanewater.reports.sheet import Line, Row
from lanewater.terms.instants import known_instant

ANSWERED = {"done": "done", "not-needed": "not needed", "not-done": "not done"}
OUTCOMES = {"criteria-met": "everything asked for was met", "false-alarm": "false alarm"}
ENDED = "incident ended"
NOTED = {"again": "seen or heard again", "people": "people", "words": ""}


def plain_words(identity: str) -> str:
    """Give an id of ours as words."""
    return identity.replace("-", " ")


def words_after(body: Mapping[str, Any]) -> str:
    """Give what was said in words, as it goes behind a sentence."""
    return f": {body['words']}" if body.get("words") else ""


def begun(pieces: Pieces, line: Line) -> Row:
    """An incident began: the pools it names are stopped."""
    body = line.entry.body
    nobody = ", nobody was in" if body.get("nobody_in") else ""
    pools = ", ".join(body["pools"])
    text = f"incident: {plain_words(body['kind'])}, stopped: {pools}{nobody}{words_after(body)}"
    return pieces.row("incident", line, text=text, fails=True)


def step_done(pieces: Pieces, line: Line) -> Row:
    """A step of an incident was answered."""
    body = line.entry.body
    step = plain_words(body["step"].rpartition(":")[2])
    text = f"incident, {ANSWERED[body['answer']]}: {step}{words_after(body)}"
    return pieces.row("incident", line, text=text)


def route_chosen(pieces: Pieces, line: Line) -> Row:
    """A person chose one of the rules' own routes."""
    body = line.entry.body
    text = f"incident, procedure {body['procedure']}: route {body['route']} chosen"
    return pieces.row("incident", line, text=text)


def noted(pieces: Pieces, line: Line) -> Row:
    """Something was noted of an incident."""
    body = line.entry.body
    many = f"{body['count']} " if "count" in body else ""
    text = f"incident, {many}{NOTED[body['what']]}{words_after(body)}".rstrip(", ")
    return pieces.row("incident", line, text=text)


def ended(pieces: Pieces, line: Line) -> Row:
    """An incident was ended: by what procedure, with which contact time, and how the water was."""
    body = line.entry.body
    said = [OUTCOMES[body["outcome"]]]
    if "procedure" in body:
        said.append(f"procedure {body['procedure']}, route {body['route']}")
    if "ct" in body:
        said.append(f"contact time {body['ct']} mg min/L in {body['held_minutes']} min")
    if "still_minutes" in body:
        said.append(f"circulation stood still {body['still_minutes']} min")
    said += [water_words(row) for row in body.get("water", ()) if len(row) > 1]
    reason = f" ({line.entry.reason})" if line.entry.reason else ""
    text = f"{ENDED}: {'; '.join(said)}{reason}. Closed until opened"
    return pieces.row("incident", line, text=text)


def continued(pieces: Pieces, line: Line) -> Row:
    """An incident was ended, and the record had not everything met: it goes on."""
    unmet = ", ".join(plain_words(one) for one in line.entry.body["unmet"])
    text = f"incident goes on: it was ended, on the record not met: {unmet}"
    return pieces.row("incident", line, text=text, fails=True)


def water_words(row: Mapping[str, str]) -> str:
    """Say how a pool's water was as found and as left."""
    names = {"free": "free", "ph": "pH"}
    parts = [
        f"{when} " + ", ".join(f"{word} {row[f'{when}_{key}']}" for key, word in known.items())
        for when in ("found", "left")
        if (known := {key: word for key, word in names.items() if f"{when}_{key}" in row})
    ]
    return f"{row['pool']} {', '.join(parts)}"


def stands_ms(entry: Entry) -> int:
    """Give from when a line says how a pool stands; a start told later closes when it was told."""
    at_ms = known_instant(entry.at)
    told = entry.type == "incident-started"
    return max(at_ms, known_instant(entry.rec)) if told else at_ms


def is_of(line: Line, pool: str) -> bool:
    """Tell whether a line is about a pool: its own, or one that an incident stops as well."""
    return line.entry.body.get("pool") == pool or pool in line.entry.body.get("pools", ())


def story(later: Sequence[Row]) -> Iterable[str]:
    """Say what was done about an incident, up to where one was ended."""
    for found in later:
        if found.kind == "incident" and not found.fails:
            yield f"{found.at} {found.text} ({found.by})"
            if found.text.startswith(ENDED):
                return
    yield "Not ended in this period."
