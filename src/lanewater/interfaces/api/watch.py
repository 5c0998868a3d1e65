"""The log of what touches security: who tried what, from where, and how it ended."""

from __future__ import annotations

import json
import logging
import re
from typing import Any

from starlette.requests import Request

from lanewater.interfaces.api.caller import Caller
from lanewater.interfaces.api.served import Served
from lanewater.service.clock import instant_text

LOG = logging.getLogger("lanewater.security")

# Kept whatever came of them; of other changes, those that were refused.
ALWAYS = (
    "/sign-in",
    "/sign-out",
    "/enrol",
    "/unlock",
    "/devices/remove",
    "/people/forget",
    "/open",
    "/settle",
    "/inspections",
    "/inspections/end",
    "/end-stop",
)
REFUSED = (401, 403, 423, 429)
# Pages ask before anybody is signed in, so a refusal to read tells little; a flood of them does.
FLOOD = 429
PERSON = re.compile(r"[a-z0-9][a-z0-9._:-]{0,63}", re.ASCII)


def watch(served: Served, request: Request, path: str, status: int) -> None:
    """Write one line where a request touches security: JSON, without any secret.

    Parameters
    ----------
    served : Served
        Its clock tells when.
    request : Request
        What was asked.
    path : str
        The route, with the names of its parts.
    status : int
        How it ended.
    """
    if not touches_security(request.method, path, status):
        return
    caller: Caller | None = getattr(request.state, "caller", None)
    line = {
        "at": instant_text(served.book.clock()),
        "route": f"{request.method} {path}",
        "status": status,
        "device": caller.device if caller else "",
        "person": caller.actor.person if caller else "",
        "from": request.client.host if request.client else "",
    }
    asked_for = person_asked_for(getattr(request, "_json", None))
    LOG.info(json.dumps(line | ({"asked_for": asked_for} if asked_for else {})))


def touches_security(method: str, path: str, status: int) -> bool:
    """Tell whether a request leaves a line."""
    if method == "GET":
        return status == FLOOD
    return path.endswith(ALWAYS) or status in REFUSED


def person_asked_for(sent: Any) -> str:
    """Give the person that a body names, "" where it names none in the form of an id."""
    named = sent.get("person") if isinstance(sent, dict) else None
    return named if isinstance(named, str) and PERSON.fullmatch(named) else ""
