"""Incidents: what happened, what was done, and what must be met before one is ended."""

from __future__ import annotations

from typing import Annotated

from fastapi import Path
from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.answering import answer, known_pool, prove
from lanewater.interfaces.api.schemas.base import ID_FORM
from lanewater.interfaces.api.schemas.incidents import (
    IncidentEndSent,
    IncidentSent,
    NoteSent,
    RouteSent,
    StepSent,
)
from lanewater.interfaces.api.served import Site
from lanewater.service import incidents
from lanewater.service.incidents_told import incident_told, incidents_told, open_incident
from lanewater.service.permission import require

IncidentId = Annotated[str, Path(pattern=ID_FORM, max_length=64, description="The incident's id.")]


def begin_incident(sent: IncidentSent, served: Site, caller: Who) -> JSONResponse:
    """Begin an incident: anybody at an enrolled browser, signed in or not."""
    given = sent.given()
    known_pool(served, given["pool"])
    return answer(incidents.start_incident(served.book, caller.actor, given))


def list_incidents(served: Site) -> JSONResponse:
    """List the incidents that are open, and the last that were ended."""
    return answer(incidents_told(served.book, served.book.clock()))


def one_incident(incident: IncidentId, served: Site) -> JSONResponse:
    """Tell how an incident stands: its steps, the rules' own clocks, and what is met."""
    return answer(incident_told(served.book, incident, served.book.clock()))


def incident_step(incident: IncidentId, sent: StepSent, served: Site, caller: Who) -> JSONResponse:
    """Say that a step was done, is not needed, or was not done after all."""
    open_incident(served.book.state, incident)
    given = {"incident": incident, **sent.given()}
    return answer(incidents.step_incident(served.book, caller.actor, given))


def incident_route(
    incident: IncidentId, sent: RouteSent, served: Site, caller: Who
) -> JSONResponse:
    """Choose one of the rules' own routes; a person does, no program."""
    given = {"incident": incident, **sent.given()}
    incidents.hold_to_choice(served.book.state, caller.actor)
    prove(served, caller, given.pop("pin"))
    return answer(incidents.choose_route(served.book, caller.actor, given))


def incident_note(incident: IncidentId, sent: NoteSent, served: Site, caller: Who) -> JSONResponse:
    """Note that it was seen or heard again, how many people, or something in words."""
    given = {"incident": incident, **sent.given()}
    return answer(incidents.note_incident(served.book, caller.actor, given))


def end_incident(
    incident: IncidentId, sent: IncidentEndSent, served: Site, caller: Who
) -> JSONResponse:
    """End an incident; each pool stays closed until somebody opens it."""
    given = {"incident": incident, **sent.given()}
    require(served.book.state, caller.actor, "end-incident")
    prove(served, caller, given.pop("pin"))
    return answer(incidents.end_incident(served.book, caller.actor, given))
