"""Every route of the API, and who may use it. What does not stand here, nobody may use."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from lanewater.interfaces.api.gate import (
    ANYBODY,
    ENROLLED,
    INSPECTION,
    MAY_SET_UP,
    SENDING,
    SIGNED_IN,
)
from lanewater.interfaces.api.routes import (
    access,
    amounts,
    authority,
    carry,
    closing,
    duties,
    handover,
    health,
    incidents,
    inspections,
    pools,
    rounds,
    rules,
    sheets,
    site,
    stamps,
    sync,
    water,
)
from lanewater.interfaces.api.schemas import access as access_told
from lanewater.interfaces.api.schemas import answers as told
from lanewater.interfaces.api.schemas import authority as authority_told
from lanewater.interfaces.api.schemas import carry as carry_told
from lanewater.interfaces.api.schemas import closing as closing_told
from lanewater.interfaces.api.schemas import duties as duties_told
from lanewater.interfaces.api.schemas import handover as handover_told
from lanewater.interfaces.api.schemas import incidents as incidents_told
from lanewater.interfaces.api.schemas import inspections as inspections_told
from lanewater.interfaces.api.schemas import pools as pools_told
from lanewater.interfaces.api.schemas import rounds as rounds_told
from lanewater.interfaces.api.schemas import rules as rules_told
from lanewater.interfaces.api.schemas import site as site_told
from lanewater.interfaces.api.schemas import stamps as stamps_told
from lanewater.interfaces.api.schemas import sync as sync_told
from lanewater.interfaces.api.schemas import water as water_told
from lanewater.interfaces.api.schemas.base import Done

V1 = "/api/v1"
JSON = "application/json"
PDF = "application/pdf"


@dataclass(frozen=True, slots=True)
class Endpoint:
    """One route.

    Attributes
    ----------
    method, path : str
        Its address.
    call : callable
        The function behind it.
    who : str
        Who may use it: a word of the gate. What depends on a role is held by the service.
    answers : model
        The model of its answer.
    errors : tuple of str
        What can go wrong beside what can always.
    media : str
        What a good answer is written in.
    """

    method: str
    path: str
    call: Callable[..., Any]
    who: str
    answers: type[BaseModel]
    errors: tuple[str, ...] = ()
    media: str = JSON


def get(
    path: str, call: Callable[..., Any], who: str, answers: type[BaseModel], *errors: str
) -> Endpoint:
    """Write a route that only reads."""
    return Endpoint("GET", path, call, who, answers, errors)


def post(
    path: str, call: Callable[..., Any], who: str, answers: type[BaseModel], *errors: str
) -> Endpoint:
    """Write a route that records."""
    return Endpoint("POST", path, call, who, answers, errors)


PIN = ("pin", "locked", "too-many")
POOL = f"{V1}/pools/{{pool}}"
INCIDENT = f"{V1}/incidents/{{incident}}"

TABLE: tuple[Endpoint, ...] = (
    get("/healthz", health.health, ANYBODY, told.HealthAnswer),
    get("/openapi.json", health.openapi, ANYBODY, told.AnyAnswer),
    get(f"{V1}/me", access.me, ANYBODY, access_told.MeAnswer),
    post(f"{V1}/enrol", access.enrol, ANYBODY, access_told.EnrolAnswer, "too-many"),
    get(f"{V1}/people", access.people, ENROLLED, told.PeopleAnswer),
    post(f"{V1}/sign-in", access.sign_in, ENROLLED, access_told.SignedIn, *PIN),
    post(f"{V1}/sign-out", access.sign_out, ENROLLED, Done),
    post(f"{V1}/unlock", access.unlock, MAY_SET_UP, Done),
    post(f"{V1}/people/forget", access.forget, MAY_SET_UP, access_told.ForgottenAnswer, "missing"),
    post(f"{V1}/devices/remove", access.remove_device, MAY_SET_UP, Done),
    get(f"{V1}/now", pools.now_page, ENROLLED, told.NowAnswer),
    get(f"{V1}/carry", carry.carry_all, ENROLLED, carry_told.CarryAnswer),
    get(f"{V1}/handover", handover.show_handover, ENROLLED, handover_told.HandoverAnswer),
    post(
        f"{V1}/handover/acknowledge",
        handover.take_over,
        SIGNED_IN,
        pools_told.EntryTold,
    ),
    get(f"{POOL}/context", pools.pool_context, ENROLLED, told.ContextAnswer, "missing"),
    get(f"{POOL}/causes", pools.pool_causes, ENROLLED, told.CausesAnswer, "missing"),
    post(
        f"{POOL}/everyone-out",
        pools.everyone_out,
        ENROLLED,
        pools_told.EveryoneOutAnswer,
        "missing",
    ),
    post(f"{POOL}/end-stop", pools.end_stop, SIGNED_IN, told.StopEndedAnswer, "missing", *PIN),
    post(f"{POOL}/open", pools.open_pool, SIGNED_IN, told.OpenedAnswer, "missing", *PIN),
    post(
        f"{POOL}/confirm",
        authority.confirm,
        SIGNED_IN,
        pools_told.EntryTold,
        "missing",
        *PIN,
    ),
    post(f"{POOL}/settle", pools.settle, SIGNED_IN, told.OpenedAnswer, "missing", *PIN),
    post(
        f"{POOL}/close", closing.close_pool, SIGNED_IN, closing_told.ClosedAnswer, "missing", *PIN
    ),
    post(f"{POOL}/lift", closing.lift, SIGNED_IN, pools_told.EntryTold, "missing", *PIN),
    post(f"{POOL}/notified", closing.notified, ENROLLED, pools_told.EntryTold, "missing"),
    post(f"{POOL}/notice", closing.notice, ENROLLED, pools_told.EntryTold, "missing"),
    post(f"{POOL}/deadline-met", closing.deadline_met, ENROLLED, pools_told.EntryTold, "missing"),
    post(f"{POOL}/told", pools.told, ENROLLED, pools_told.EntryTold, "missing"),
    post(
        f"{V1}/incidents",
        incidents.begin_incident,
        ENROLLED,
        incidents_told.IncidentBegun,
        "missing",
    ),
    get(f"{V1}/incidents", incidents.list_incidents, ENROLLED, incidents_told.IncidentsAnswer),
    get(INCIDENT, incidents.one_incident, ENROLLED, incidents_told.IncidentTold, "missing"),
    post(f"{INCIDENT}/steps", incidents.incident_step, ENROLLED, pools_told.EntryTold, "missing"),
    post(
        f"{INCIDENT}/route",
        incidents.incident_route,
        SIGNED_IN,
        pools_told.EntryTold,
        "missing",
        *PIN,
    ),
    post(f"{INCIDENT}/notes", incidents.incident_note, ENROLLED, pools_told.EntryTold, "missing"),
    post(
        f"{INCIDENT}/end",
        incidents.end_incident,
        SIGNED_IN,
        incidents_told.IncidentEnded,
        "missing",
        *PIN,
    ),
    get(f"{V1}/due", duties.due_today, ENROLLED, duties_told.DueAnswer),
    post(f"{V1}/duties/done", duties.duty_done, ENROLLED, pools_told.EntryTold),
    post(f"{V1}/events", duties.note_event, ENROLLED, pools_told.EntryTold),
    post(f"{V1}/rounds", rounds.record_round, ENROLLED, rounds_told.RoundAnswer),
    get(f"{V1}/rounds", rounds.list_rounds, ENROLLED, told.RoundsAnswer),
    get(f"{V1}/rounds/{{round_id}}", rounds.one_round, ENROLLED, told.RoundTold, "missing"),
    post(
        f"{V1}/rounds/{{round_id}}/corrections",
        rounds.correct,
        ENROLLED,
        rounds_told.RoundAnswer,
        "missing",
    ),
    get(f"{V1}/record", rounds.list_record, ENROLLED, told.RecordAnswer),
    get(f"{V1}/record/stamp", stamps.show, SIGNED_IN, stamps_told.StampAnswer),
    post(f"{V1}/record/compare", stamps.compare, SIGNED_IN, stamps_told.ComparedAnswer),
    post(f"{V1}/sync/entries", sync.send, SENDING, sync_told.EntriesTaken, "too-many"),
    get(f"{V1}/sync/entries", sync.lines, ENROLLED, sync_told.LinesAnswer),
    get(f"{V1}/stamp", sync.stamp, ENROLLED, sync_told.StampFromAnswer),
    post(f"{V1}/advice", amounts.advise, ENROLLED, told.AnyAnswer),
    post(f"{V1}/plan", amounts.plan, ENROLLED, told.AnyAnswer),
    post(f"{V1}/additions/start", amounts.start, SIGNED_IN, told.AdditionStarted),
    post(f"{V1}/additions/answer", amounts.say_what_came, ENROLLED, told.AdditionAnswered),
    get(f"{POOL}/additions", amounts.list_additions, ENROLLED, told.AdditionsAnswer, "missing"),
    get(f"{V1}/water", water.water_page, SIGNED_IN, water_told.WaterAnswer),
    get(f"{POOL}/trends", water.pool_trends, SIGNED_IN, water_told.TrendsAnswer, "missing"),
    get(f"{POOL}/combined", water.pool_combined, SIGNED_IN, water_told.CombinedAnswer, "missing"),
    get(f"{V1}/site", site.whole_site, MAY_SET_UP, told.AnyAnswer),
    get(f"{V1}/site/public", site.public_site, ENROLLED, told.AnyAnswer),
    post(f"{V1}/site/items", site.add_item, MAY_SET_UP, site_told.ItemAnswer, "missing"),
    post(f"{V1}/site/import", site.import_site, MAY_SET_UP, site_told.ImportAnswer, "missing"),
    post(
        f"{V1}/site/telephone",
        authority.allow_telephone,
        MAY_SET_UP,
        authority_told.TelephoneAnswer,
    ),
    get(f"{V1}/site/matrix", closing.show_matrix, ENROLLED, closing_told.MatrixAnswer),
    post(f"{V1}/site/matrix", closing.change_matrix, MAY_SET_UP, closing_told.MatrixSetAnswer),
    get(
        f"{V1}/authorities", authority.list_authorities, ENROLLED, authority_told.AuthoritiesAnswer
    ),
    post(
        f"{V1}/authorities",
        authority.give_authority,
        SIGNED_IN,
        authority_told.AuthorityGiven,
        *PIN,
    ),
    post(f"{V1}/authorities/end", authority.end_authority, SIGNED_IN, pools_told.EntryTold, *PIN),
    post(f"{V1}/inspections", inspections.make, MAY_SET_UP, inspections_told.LinkMade),
    get(f"{V1}/inspections", inspections.list_all, MAY_SET_UP, inspections_told.LinksAnswer),
    post(
        f"{V1}/inspections/end", inspections.end, MAY_SET_UP, inspections_told.LinkEnded, "missing"
    ),
    get(f"{V1}/inspection", inspections.look, INSPECTION, inspections_told.InspectionAnswer),
    Endpoint(
        "GET",
        f"{V1}/inspection/sheet",
        inspections.sheet,
        INSPECTION,
        told.AnyAnswer,
        ("refused",),
        PDF,
    ),
    Endpoint("GET", f"{V1}/sheet/blank", sheets.blank, ENROLLED, told.AnyAnswer, (), PDF),
    get(f"{V1}/rules", site.list_rules, ENROLLED, told.RulesAnswer),
    get(f"{V1}/rules/{{pack}}", site.one_pack, ENROLLED, told.AnyAnswer, "missing"),
    get(f"{V1}/site/rules", rules.waiting, ENROLLED, rules_told.RulesWaitingAnswer),
    post(f"{V1}/site/rules/accept", rules.accept, SIGNED_IN, rules_told.RulesAccepted, *PIN),
    get(
        f"{V1}/rounds/{{round_id}}/every-pack",
        rules.every_pack,
        ENROLLED,
        rules_told.EveryPackAnswer,
        "missing",
    ),
    get(f"{V1}/words", site.all_words, ENROLLED, told.AnyAnswer),
)
