"""Newer texts of the rules, accepting them, and one round under every rules pack."""

from __future__ import annotations

from typing import Annotated

from fastapi import Path
from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.answering import answer, prove
from lanewater.interfaces.api.schemas.rules import RulesAcceptSent
from lanewater.interfaces.api.served import Site
from lanewater.service.every_pack import round_under_every_pack
from lanewater.service.permission import require
from lanewater.service.rules_accept import accept_rules, rules_waiting

RoundId = Annotated[str, Path(pattern=r"^[0-9a-f-]{36}$", max_length=36)]


def waiting(served: Site) -> JSONResponse:
    """Give the newer texts of the chosen rules: what changes, and for which pools."""
    return answer({"waiting": rules_waiting(served.book)})


def accept(sent: RulesAcceptSent, served: Site, caller: Who) -> JSONResponse:
    """Accept a newer text of the chosen rules, from now on."""
    given = sent.given()
    require(served.book.state, caller.actor, "accept-rules")
    prove(served, caller, given.pop("pin"))
    return answer(accept_rules(served.book, caller.actor, given))


def every_pack(round_id: RoundId, served: Site) -> JSONResponse:
    """Give a round's case and every rules pack, for the page to judge it by each."""
    return answer(round_under_every_pack(served.book, round_id))
