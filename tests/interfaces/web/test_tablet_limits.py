"""What a tablet holds itself to is what the server holds it to: one thing in two languages."""

from __future__ import annotations

import json
import re

from lanewater.dosing.advice import CALL_ROLES
from lanewater.interfaces.web.files import FOLDER
from lanewater.records.entries import MOST_BYTES, MOST_DEPTH
from lanewater.records.receiving import BY_PIN, CAUSES, MOST_AT_ONCE
from lanewater.service.access import LASTS_MS, MOST_FAILURES
from lanewater.service.grants import MOST_GRANTS
from lanewater.service.incident_facts import LONGEST_INCIDENT_MS
from lanewater.service.round_given import LATE_MS
from lanewater.terms.words import DUTY_KINDS, INCIDENT_KINDS, NOTED_EVENTS, ROLES

OFFLINE = FOLDER / "offline"


def said(module: str, name: str) -> str:
    """Give what a script says that a constant is, without blanks."""
    script = (OFFLINE / module).read_text(encoding="utf-8")
    found = re.search(rf"const {name} = ([^;]+);", script)
    assert found is not None, f"{module} has no {name}"
    return re.sub(r"\s|_(?=\d)", "", found[1])


def number(module: str, name: str) -> int:
    """Give a number, written as it is or as a product."""
    product = 1
    for part in said(module, name).split("*"):
        product *= int(part)
    return product


def words(module: str, name: str) -> tuple[str, ...]:
    """Give a list of words."""
    return tuple(json.loads(said(module, name).replace(",]", "]")))


def test_a_tablet_asks_a_pin_for_what_the_server_takes_by_pin_only() -> None:
    assert words("fact.js", "DECISIONS") == BY_PIN


def test_an_entry_is_as_long_and_as_deep_as_the_server_takes() -> None:
    assert number("canonical.js", "MOST_BYTES") == MOST_BYTES
    assert number("canonical.js", "MOST_DEPTH") == MOST_DEPTH


def test_a_push_holds_what_one_call_may() -> None:
    assert number("push.js", "MOST_AT_ONCE") == MOST_AT_ONCE
    assert number("push.js", "MOST_GRANTS") == MOST_GRANTS


def test_a_refusal_that_a_tablet_knows_is_one_that_the_server_gives() -> None:
    for name in ("NEVER", "UNSEEN", "OF_DEVICE"):
        assert set(words("push.js", name)) <= set(CAUSES)
    assert not any(CAUSES[why].again for why in words("push.js", "NEVER"))
    assert all(CAUSES[why].again for why in words("push.js", "UNSEEN"))


def test_a_pin_is_tried_as_often_and_a_session_left_alone_as_long() -> None:
    assert number("pin.js", "MOST_FAILURES") == MOST_FAILURES
    idle = ",".join(f"{kind}:{lasts[0] // 60_000}*60000" for kind, lasts in LASTS_MS.items())
    assert said("who.js", "LONGEST_MS") == f"{{{idle}}}"


def test_a_round_counts_as_late_after_the_same_time() -> None:
    assert number("local.js", "LATE_AFTER_MS") == LATE_MS


def test_the_same_roles_are_called_for_an_amount() -> None:
    assert set(words("advising.js", "CALLED")) == set(CALL_ROLES)


def test_the_pages_offer_the_incidents_events_duties_and_roles_that_there_are() -> None:
    groups = json.loads(said("incidents.js", "GROUPS").replace(",]", "]"))
    assert sorted(kind for _, kinds in groups for kind in kinds) == sorted(INCIDENT_KINDS)
    assert sorted(words("duties.js", "EVENTS")) == sorted(NOTED_EVENTS)
    assert words("../setup/spec.js", "DUTIES") == DUTY_KINDS
    assert words("../setup/spec.js", "ROLES") == ROLES


def test_an_incident_began_as_long_ago_as_the_server_takes() -> None:
    assert number("incidents.js", "LONGEST_AGO_MS") == LONGEST_INCIDENT_MS
