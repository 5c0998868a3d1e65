"""docs/reference/api.md, written from the table of routes: `python -m` this module prints it."""

from __future__ import annotations

import sys
from typing import Any

from fastapi import FastAPI

from lanewater.interfaces.api.app import build_api, errors_of
from lanewater.interfaces.api.body import LARGEST
from lanewater.interfaces.api.errors import STATUSES
from lanewater.interfaces.api.gate import (
    ANYBODY,
    ENROLLED,
    INSPECTION,
    MAY_SET_UP,
    SENDING,
    SIGNED_IN,
)
from lanewater.interfaces.api.table import JSON, TABLE, Endpoint

WHO_WORDS = {
    ANYBODY: "anybody",
    ENROLLED: "enrolled",
    SIGNED_IN: "signed in",
    MAY_SET_UP: "may set up",
    INSPECTION: "an inspector's link",
    SENDING: "an enrolled device, revoked or not",
}
HEAD = f"""\
# HTTP API

<!-- Written by `python -m lanewater.interfaces.api.reference`; a test holds it to the program. -->

JSON in, JSON out, under `/api/v1/`. The exact fields stand in `/openapi.json` (OpenAPI 3.1); there
is no page of documentation on the server. What does not stand in the table below, nobody may use.

* **Cookies.** `__Host-device` tells the enrolled browser, `__Host-session` who is signed in. Both
  are set by the server, hidden from scripts, and sent to this host alone.
* **Changes** (POST) are taken from the site's own pages only: `Sec-Fetch-Site: same-origin`, or
  where a browser does not say so, an `Origin` equal to the address asked. The body is a JSON
  object with `Content-Type: application/json`, at most {LARGEST:,} bytes. A key that stands twice,
  NaN, an infinity, half a surrogate pair, or more than 40 levels are refused.
* **Fields.** Unknown ones are refused; null is a field left out. Readings and amounts are decimal
  text. Times are RFC 3339 with their offset.
* **Saved means on disk.** A POST that records is answered once its line is durable.
* **Amounts** go only to a person signed in whose recorded competence covers the product. For
  everybody else `/api/v1/advice` answers `call`, and the record leaves out amounts on their way.
* **Tries.** A PIN may be tried 5 times a minute for a person on a browser and 20 times on a
  browser; ten wrong in a row lock that person on that browser. A first key may be tried 10 times a
  minute from a network, an inspector's link looked by 30 times. Nothing else is limited, and
  nobody's tries cost somebody elsewhere.
* **An inspector's link** opens two routes by `Authorization: Bearer TOKEN` and nothing else, for
  the period and the time that it was made for. Pages carry the token behind the `#` of an address,
  which no browser sends to any server.
"""
ERRORS_HEAD = """\
Every error is `{"error": {"id", "message", "field"?, "incident"?}}` and never repeats what was
sent.
"""


def reference_text(app: FastAPI) -> str:
    """Write the reference.

    Parameters
    ----------
    app : FastAPI
        The API.

    Returns
    -------
    str
        Markdown.
    """
    description = app.openapi()
    legend = (
        "*Enrolled*: a browser that was enrolled, with nobody signed in needed. *Signed in*: a "
        "person with a PIN, as far as their role allows. *May set up*: the area manager, or a "
        "session opened with a first key.\n"
    )
    rows = [route_row(description, row) for row in TABLE]
    return "\n".join(
        [
            HEAD,
            "## Routes\n",
            legend,
            "| route | who may | what it does | takes | gives |",
            "| --- | --- | --- | --- | --- |",
            *rows,
            "\n## Errors\n",
            ERRORS_HEAD,
            "| id | status | when | routes |",
            "| --- | --- | --- | --- |",
            *(error_row(identity) for identity in STATUSES),
            "",
        ]
    )


def route_row(description: dict[str, Any], row: Endpoint) -> str:
    """Write one route."""
    operation = description["paths"][row.path][row.method.lower()]
    taken = ", ".join([*body_fields(description, operation), *query_fields(operation)])
    return (
        f"| `{row.method} {row.path}` | {WHO_WORDS[row.who]} | {operation['summary']} "
        f"| {taken or '-'} | {', '.join(answer_fields(description, operation)) or '-'} |"
    )


def body_fields(description: dict[str, Any], operation: dict[str, Any]) -> list[str]:
    """Give the fields of a body; those that may be left out with a question mark."""
    if "requestBody" not in operation:
        return []
    return fields(description, operation["requestBody"]["content"]["application/json"]["schema"])


def query_fields(operation: dict[str, Any]) -> list[str]:
    """Give what may stand in the query."""
    return [
        f"?{parameter['name']}="
        for parameter in operation.get("parameters", [])
        if parameter["in"] == "query"
    ]


def answer_fields(description: dict[str, Any], operation: dict[str, Any]) -> list[str]:
    """Give the names of an answer's fields."""
    content = operation["responses"]["200"]["content"]
    if JSON not in content:
        return [f"a file, {media}" for media in content]
    return fields(description, content[JSON]["schema"])


def fields(description: dict[str, Any], schema: dict[str, Any]) -> list[str]:
    """Give the names of a schema's fields; of alternatives, those of the first."""
    if "$ref" in schema:
        name = schema["$ref"].rpartition("/")[2]
        return fields(description, description["components"]["schemas"][name])
    if schema.get("type") == "array":
        return [f"[{', '.join(fields(description, schema['items']))}]"]
    for alternatives in ("oneOf", "anyOf"):
        if alternatives in schema:
            return fields(description, schema[alternatives][0])
    required = schema.get("required", [])
    return [name if name in required else f"{name}?" for name in schema.get("properties", {})]


def error_row(identity: str) -> str:
    """Write one kind of error."""
    status, about = STATUSES[identity]
    count = sum(identity in errors_of(row) for row in TABLE)
    where = {0: "before any route", len(TABLE): "all"}.get(count, f"{count} of {len(TABLE)}")
    return f"| `{identity}` | {status} | {about} | {where} |"


if __name__ == "__main__":
    sys.stdout.write(reference_text(build_api(None)))
