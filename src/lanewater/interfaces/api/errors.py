"""What goes wrong on the wire: each kind with its status, and the one form that all take."""

from __future__ import annotations

import logging
import re
import secrets
from collections.abc import Iterator, Mapping
from typing import Any

from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, Field

from lanewater.records.errors import NotRecordingError
from lanewater.service.access import LockedError, SignInError
from lanewater.service.inspection import LinkError
from lanewater.service.permission import NotAllowedError
from lanewater.terms.errors import InputError, LanewaterError, MissingError, RefusedError
from lanewater.terms.shapes import below

LOG = logging.getLogger("lanewater.faults")

# The only place with HTTP statuses.
OK = 200
STATUSES: dict[str, tuple[int, str]] = {
    "json": (400, "The body is not JSON that has one meaning."),
    "not-enrolled": (401, "This browser is not enrolled."),
    "sign-in": (401, "Nobody is signed in."),
    "link": (401, "This link opens nothing, or no more."),
    "pin": (403, "The PIN does not fit."),
    "not-allowed": (403, "Somebody else may do this; the message names who."),
    "cross-site": (403, "The request does not come from this site's own pages."),
    "missing": (404, "There is no such thing."),
    "method": (405, "This address takes other methods."),
    "refused": (409, "Understood, and not possible now; the message says why."),
    "too-large": (
        413,
        "The body is larger than a million bytes; than ten thousand where anybody may ask.",
    ),
    "media-type": (415, "The body is not application/json."),
    "host": (421, "The request was meant for another host."),
    "input": (422, "A field cannot be read; it is named."),
    "locked": (423, "Ten wrong PINs: this person is locked on this device."),
    "too-many": (429, "Too many tries; wait as many seconds as Retry-After says."),
    "server": (500, "A fault of the program; the incident's id is in its log."),
    "not-recording": (503, "The disk does not take it: nothing is recorded any more."),
}
OF_STARLETTE = {404: "missing", 405: "method"}
KINDS: tuple[tuple[type[LanewaterError], str], ...] = (
    (NotRecordingError, "not-recording"),
    (LockedError, "locked"),
    (LinkError, "link"),
    (SignInError, "pin"),
    (NotAllowedError, "not-allowed"),
    (RefusedError, "refused"),
    (MissingError, "missing"),
    (InputError, "input"),
)
LONGEST_FIELD = 120


class ErrorFacts(BaseModel):
    """What went wrong."""

    model_config = ConfigDict(extra="forbid")

    id: str = Field(description="A word of a closed list, for programs.")
    message: str = Field(description="What is wrong and what would be right, for people.")
    field: str | None = Field(default=None, description="The field, such as readings[0].value.")
    incident: str | None = Field(default=None, description="Names a fault in the program's log.")


class ErrorAnswer(BaseModel):
    """The one form of every error."""

    model_config = ConfigDict(extra="forbid")

    error: ErrorFacts


class WireError(Exception):
    """An error of the wire itself: who asks, how, how often.

    Parameters
    ----------
    identity : str
        A key of STATUSES.
    message : str
        For people.
    headers : mapping, optional
        What goes out with it.
    """

    def __init__(
        self, identity: str, message: str, headers: Mapping[str, str] | None = None
    ) -> None:
        super().__init__(message)
        self.identity = identity
        self.message = message
        self.headers = dict(headers or {})

    def answer(self) -> JSONResponse:
        """Give it in the one form of every error."""
        return error_answer(self.identity, self.message, headers=self.headers)


def error_answer(
    identity: str,
    message: str,
    *,
    where: str = "",
    incident: str = "",
    headers: Mapping[str, str] | None = None,
) -> JSONResponse:
    """Write an error in its one form.

    Parameters
    ----------
    identity : str
        A key of STATUSES.
    message : str
        For people.
    where : str, optional
        The field.
    incident : str, optional
        Names a fault in the log.
    headers : mapping, optional
        What goes out with it.
    """
    facts = {"id": identity, "message": message}
    facts |= {"field": where[:LONGEST_FIELD]} if where else {}
    facts |= {"incident": incident} if incident else {}
    status = STATUSES[identity][0]
    extra = dict(headers or {})
    if status == 401:
        extra["WWW-Authenticate"] = "Lanewater"
    return JSONResponse({"error": facts}, status_code=status, headers=extra)


def identity_of(error: LanewaterError) -> str:
    """Give the word for an error of the service."""
    return next((word for kind, word in KINDS if isinstance(error, kind)), "server")


def answer_to(error: LanewaterError, sent: Any) -> JSONResponse:
    """Turn an error of the service into an answer that does not repeat what was sent."""
    where = error.field if isinstance(error, InputError) else ""
    text = str(error)
    if where and text.startswith(f"{where}: "):
        text = text[len(where) + 2 :]
    return error_answer(identity_of(error), without_echo(text, sent), where=without_marks(where))


def fault(error: Exception) -> JSONResponse:
    """Answer a fault of the program: its traceback goes to the log, its id to both."""
    incident = secrets.token_hex(6)
    LOG.error("incident %s", incident, exc_info=error)
    return error_answer(
        "server",
        "a fault of the program; nothing was half saved. Quote the incident to whoever looks "
        "after it",
        incident=incident,
    )


def without_echo(message: str, sent: Any) -> str:
    """Take every quoted value that was sent out of a message."""
    for value in leaves(sent):
        for quoted in (repr(value), repr(value)[:37] + "..."):
            if len(quoted) > 2 and quoted[0] in "'\"" and quoted in message:
                message = message.replace(f", not {quoted}", "").replace(quoted, "what was sent")
    return message


def leaves(value: Any) -> Iterator[str]:
    """Give every text inside a JSON value, names of fields included."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for name, inner in value.items():
            yield name
            yield from leaves(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from leaves(inner)


def without_marks(where: str) -> str:
    """Leave of a field's path only what a path is made of."""
    return re.sub(r"[^A-Za-z0-9_.\[\]:-]", "?", where)


# pydantic's own sentences are not used: some of them repeat the input.
SENTENCES = {
    "missing": "is missing",
    "extra_forbidden": "is not a known field",
    "string_type": "must be text",
    "int_type": "must be a whole number",
    "int_parsing": "must be a whole number",
    "bool_type": "must be true or false",
    "list_type": "must be a list",
    "dict_type": "must be an object with named fields",
    "model_type": "must be an object with named fields",
    "model_attributes_type": "must be an object with named fields",
    "union_tag_not_found": "is missing",
    "union_tag_invalid": "is not one of the known words",
}


def sentence_for(kind: str, limits: Mapping[str, Any]) -> str:
    """Say what is wrong with a field, from the kind of error and the schema's own limits."""
    known = {
        "string_pattern_mismatch": ("does not have the form {pattern}", "pattern"),
        "string_too_long": ("is longer than {max_length} characters", "max_length"),
        "string_too_short": ("is shorter than {min_length} characters", "min_length"),
        "literal_error": ("must be {expected}", "expected"),
        "too_long": ("holds more than {max_length} items", "max_length"),
        "too_short": ("holds fewer than {min_length} items", "min_length"),
        "greater_than_equal": ("must be at least {ge}", "ge"),
        "less_than_equal": ("must be at most {le}", "le"),
    }
    if kind in known and known[kind][1] in limits:
        return known[kind][0].format(**limits)
    return SENTENCES.get(kind, "does not fit; see the schema")


def path_of(place: tuple[Any, ...], sent: Any) -> str:
    """Write the place of an error as a path in what was sent.

    Parameters
    ----------
    place : tuple
        Such as ("body", "readings", "long", 0, "value"); marks of alternatives stand among the
        names of fields, and are left out.
    sent : object
        The body.

    Returns
    -------
    str
        Such as "readings[0].value".
    """
    text = ""
    inside = sent
    for number, step in enumerate(place[1:], start=2):
        if holds(inside, step):
            inside = inside[step]
        elif number < len(place) or step == "[key]":
            continue
        text += f"[{step}]" if isinstance(step, int) else f".{str(step)[:LONGEST_FIELD]}"
    return text.removeprefix(".")


def holds(inside: Any, step: Any) -> bool:
    """Tell whether a step leads further into a JSON value."""
    if isinstance(inside, list):
        return isinstance(step, int) and step < len(inside)
    return isinstance(inside, Mapping) and step in inside


def unfit(error: RequestValidationError) -> JSONResponse:
    """Answer a request whose fields do not fit: the first of them, and never its content."""
    first = error.errors()[0]
    kind, limits = str(first.get("type")), first.get("ctx") or {}
    place = tuple(first.get("loc", ()))
    sent = error.body if place[:1] == ("body",) else None
    where = without_marks(path_of(place, sent))
    if kind.startswith("union_tag"):
        where = below(where, str(limits.get("discriminator", "")).strip("'"))
    return error_answer("input", sentence_for(kind, limits), where=where)


def documented(*identities: str) -> dict[int | str, dict[str, Any]]:
    """Describe errors for OpenAPI, one entry a status."""
    found: dict[int | str, dict[str, Any]] = {}
    for identity in identities:
        status, about = STATUSES[identity]
        before = found.get(status, {}).get("description", "")
        found[status] = {
            "model": ErrorAnswer,
            "description": f"{before} `{identity}`: {about}".strip(),
        }
    return found
