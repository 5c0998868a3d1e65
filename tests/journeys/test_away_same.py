"""The tablet and the server say the same of the same water: the judgement and the amount."""

from __future__ import annotations

import re
from typing import Any

from playwright.sync_api import Route, expect
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.harbour import KIT, LOW, TESTER, today
from tests.journeys.tablet import Tablet

from lanewater.dosing.advice import advise_for
from lanewater.rules.judging import utc_text
from lanewater.service.actor import SHELL, Actor
from lanewater.service.additions import competent_for
from lanewater.service.advice import told_of
from lanewater.service.advice_request import request_for
from lanewater.service.constants import load_constants
from lanewater.service.judging import storable, verdict_on_the_wire
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add

OPERATOR = Actor("p-operator", "pin", verified=True)
GOOD = {"free_chlorine": "1.52", "total_chlorine": "1.68", "ph": "7.43", "temperature_c": "28.4"}
LOTS = (
    ("OLD1", "free_chlorine", "photo-1", today(-9)),
    ("NEW1", "free_chlorine", "photo-1", today(300)),
    ("OLD2", "ph", "photo-2", today(-9)),
)
BETWEEN = {"low": "0.5", "high": "1.0"}
ALL_WELL = {
    "everybody_out": "yes",
    "pump_running": "yes",
    "anything_added": "no",
    "looked": "yes",
}
SAVE = """async ({ pool, body }) => {
  const { fact } = await import("/static/offline/local.js");
  const { verdictOf } = await import("/static/offline/view.js");
  const alone = () => Promise.reject(new Error("no key"));
  const whole = { pool, source: "direct", tester: { person: "p-tester" }, ...body };
  const { entry } = await fact("round-recorded", whole, {}, alone);
  const verdict = verdictOf(entry);
  await (await import("/static/offline/sync.js")).flush();
  return { entry, verdict };
}"""
CORRECT = """async ({ pool, round, parameter, dilution, was, value }) => {
  const { correct } = await import("/static/offline/local.js");
  const { verdictOf } = await import("/static/offline/view.js");
  const line = { id: round, pool, by: "p-tester" };
  await correct(line, { parameter, dilution, value: was }, { value, reason: "Mistyped" });
  const verdict = verdictOf(round);
  await (await import("/static/offline/sync.js")).flush();
  return verdict;
}"""
ADVISE = """async (given) => {
  const { advise } = await import("/static/offline/advising.js");
  return await advise(given);
}"""
BEGIN = """async ({ pool, advice, late }) => {
  const { startAddition } = await import("/static/offline/advising.js");
  const now = Date.now;
  if (late) Date.now = () => now() + late;
  try { return await startAddition(pool, advice); }
  catch (error) { return { refused: error.id }; }
  finally { Date.now = now; }
}"""
CALL_OUT = """async (pool) => {
  const { fact } = await import("/static/offline/local.js");
  const body = { pool, stop: "glass" };
  await fact("everyone-out", body, {}, () => Promise.reject(new Error("no key")));
}"""


def rows(values: dict[str, str], *more: dict[str, Any], **of: dict[str, Any]) -> dict[str, Any]:
    """Write readings of the photometer; more of a parameter replaces what stands there."""
    found = [
        {"parameter": name, "value": value, "kit": "photo-1"} | of.get(name, {})
        for name, value in values.items()
    ]
    return {"readings": [*found, {"parameter": "clarity", "value": "visible"}, *more]}


DRAWN = {
    "meets": rows(GOOD),
    "low free": rows(GOOD | {"free_chlorine": "0.66", "total_chlorine": "0.80"}),
    "total below free": rows(GOOD | {"total_chlorine": "1.20"}),
    "over range": rows(GOOD | {"free_chlorine": ">6.00"}),
    "diluted": rows(
        GOOD | {"free_chlorine": "1.48", "total_chlorine": "1.52"},
        free_chlorine={"dilution": 5},
        total_chlorine={"dilution": 5},
    ),
    "between": rows(GOOD | {"free_chlorine": "0.75"}, free_chlorine={"between": BETWEEN}),
    "expired": rows(GOOD, free_chlorine={"lot": "OLD1"}),
    "expired, the kit's only lot": rows(GOOD, ph={"kit": "photo-2"}),
    "changed": rows(GOOD)
    | {"changed_after_result": [{"parameter": "free_chlorine", "value": "0.55"}]},
    "second point": rows(GOOD, {"parameter": "free_chlorine", "value": "0.40", "point": "deep"}),
}


def server_says(site: Served, round_id: str) -> Any:
    """Give the server's judgement of a round, as pages get it."""
    found: Any = verdict_on_the_wire(site.book.state.verdicts.get(round_id))
    return as_kept(found)


def as_kept(verdict: dict[str, Any] | None) -> Any:
    """Give a judgement in the record's profile: nothing null, no float, an instant in UTC."""
    due = dict((verdict or {}).get("next_due", {}))
    if isinstance(due.get("at"), int):
        due["at"] = utc_text(due["at"])
    return storable({**(verdict or {}), "next_due": due})


def test_every_drawn_round_is_judged_alike_by_the_tablet_and_the_server(
    site: Served, tablet: Tablet
) -> None:
    add(site.book, SHELL, "kit", KIT | {"kit": "photo-2", "name": "Photometer 2"})
    for name, parameter, kit, until in LOTS:
        lot = {"reagent": name.lower(), "parameter": parameter, "lot": name, "kit": kit}
        add(site.book, SHELL, "reagent", lot | {"expires_on": until})
    tablet.sign_in("TT")
    told = {}
    for name, body in DRAWN.items():
        made = tablet.page.evaluate(SAVE, {"pool": "main", "body": body})
        tablet.synced()
        told[name] = made["verdict"]
        assert as_kept(made["verdict"]) == server_says(site, made["entry"]), name
    words = {name: verdict["overall"] for name, verdict in told.items()}
    assert words["meets"] == "meets"
    assert "meets" not in {word for name, word in words.items() if name != "meets"}, words


def test_a_corrected_reading_keeps_its_dilution_on_both(site: Served, tablet: Tablet) -> None:
    tablet.sign_in("TT")
    made = tablet.page.evaluate(SAVE, {"pool": "main", "body": DRAWN["diluted"]})
    tablet.synced()
    change = {"parameter": "free_chlorine", "dilution": 5, "was": "1.48", "value": "1.47"}
    here = tablet.page.evaluate(CORRECT, {"pool": "main", "round": made["entry"], **change})
    tablet.synced()
    assert as_kept(here) == server_says(site, made["entry"])
    assert here["overall"] not in ("meets", "meets-borderline")


def loosened(route: Route) -> None:
    """Hand out rules whose limits let any free chlorine pass."""
    answer = route.fetch()
    carry = answer.json()
    for pack in carry.get("packs", {}).values():
        for rule in pack["rules"]:
            if rule["parameter"] == "free_chlorine" and rule["comparison"] == "at-least":
                rule |= {"limit": "0.1", "limit_thousandths": 100}
    route.fulfill(response=answer, json=carry)


def test_a_planted_difference_is_on_record_and_shown(site: Served, new_tablet: NewTablet) -> None:
    tablet = new_tablet(site)
    tablet.page.route(re.compile("/api/v1/carry"), loosened)
    tablet.enrol()
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.test("066", "743", "080")
    tablet.save("Main")
    last = site.book.state.last_round("main")
    assert last is not None
    verdict = server_says(site, last.id)
    assert verdict is not None
    assert (verdict["overall"], verdict["differs_from"]) == ("does-not-meet", last.shown)
    tablet.go("/")
    expect(tablet.page.locator("main")).to_contain_text(
        "The record judged the last round otherwise"
    )


def both_answers(site: Served, tablet: Tablet, free: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """Ask the server, without a line of it on record, then the tablet, of the same low water."""
    readings = LOW | {"free_chlorine": free, "total_chlorine": f"{float(free) + 0.14:.2f}"}
    for pool in ("main", "teaching"):
        record_round(site.book, TESTER, {"pool": pool, "readings": readings})
    given = {"pool": "main", "questions": ALL_WELL, "volume_of": "circuit"}
    state, now = site.book.state, site.book.clock()
    request = request_for(state, "main", given, site.book.load("ca-qc"), now)
    covered = competent_for(state, OPERATOR, now)
    there = advise_for(load_constants(), request, covered, told_of(state, "main")).as_dict()
    tablet.page.route("**/api/v1/advice", lambda route: route.abort())
    tablet.page.evaluate(
        "async () => (await import('/static/offline/view.js')).heed({after: true})"
    )
    return there, tablet.page.evaluate(ADVISE, given)


def told_alike(there: dict[str, Any], here: dict[str, Any]) -> None:
    """Hold the two answers to the same amount."""
    assert (there["state"], here["state"], here["saved"]) == ("add", "add", "here")
    for name in ("amount", "low", "high"):
        assert str(here[name]) == there[name]
    for name in ("unit", "product", "wait_s", "purpose", "predicted", "substance"):
        assert here[name] == there[name]


def test_an_amount_worked_out_here_is_the_servers_and_is_begun_while_it_holds(
    site: Served, tablet: Tablet
) -> None:
    tablet.sign_in("OP")
    there, here = both_answers(site, tablet, "0.78")
    told_alike(there, here)
    asked = {"pool": "main", "advice": here}
    late = tablet.page.evaluate(BEGIN, {**asked, "late": 61 * 60_000})
    assert late == {"refused": "advice-old"}
    assert "addition" in tablet.page.evaluate(BEGIN, asked)


def test_an_amount_worked_out_here_is_not_begun_once_everyone_was_called_out(
    site: Served, tablet: Tablet
) -> None:
    tablet.sign_in("OP")
    there, here = both_answers(site, tablet, "0.81")
    told_alike(there, here)
    tablet.page.evaluate(CALL_OUT, "teaching")
    refused = tablet.page.evaluate(BEGIN, {"pool": "main", "advice": here})
    assert refused == {"refused": "house-stop"}
