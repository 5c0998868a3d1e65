"""Grants, a word by telephone and standing authority, over the wire."""

from __future__ import annotations

from typing import Any

import pytest
from tests.interfaces.api.baths import PINS, ROUND, Baths
from tests.interfaces.api.test_sync import Tablet, enrolled

from lanewater.interfaces.api.schemas.access import SignedIn
from lanewater.interfaces.api.schemas.authority import AuthoritiesAnswer
from lanewater.service.book import new_id
from lanewater.service.clock import DAY_MS, instant_text


@pytest.fixture
def told(baths: Baths) -> Baths:
    """Let a word by telephone open pools, and record a round that meets."""
    assert baths.post("/site/telephone", {"allowed": True}, role="area-manager").status_code == 200
    assert baths.post("/rounds", ROUND, role="tester").status_code == 200
    return baths


def asked(baths: Baths, role: str, path: str, **body: Any) -> Any:
    """Ask with the role's own PIN."""
    return baths.post(path, body | {"pin": PINS[role]}, role=role)


def opening_now(baths: Baths) -> Any:
    """Give Main's lane."""
    return next(row for row in baths.get("/now").json()["pools"] if row["pool"] == "main")


def test_a_tester_opens_on_a_word_and_only_its_giver_confirms(told: Baths) -> None:
    made = asked(told, "tester", "/pools/main/open", word_of="duty-manager")
    assert made.status_code == 200, made.text
    lane = opening_now(told)
    assert (lane["status"], lane["word_of"], lane["marked"]) == (
        "open", "duty-manager", ["by-telephone"],
    )  # fmt: skip
    opening = made.json()["entry"]
    refused = asked(told, "area-manager", "/pools/main/confirm", opening=opening)
    assert refused.status_code == 403
    done = asked(told, "duty-manager", "/pools/main/confirm", opening=opening)
    assert done.status_code == 200
    lane = opening_now(told)
    assert (lane["confirmed_by"], lane["marked"]) == ("duty-manager", [])


def test_a_wrong_pin_opens_nothing(told: Baths) -> None:
    body = {"word_of": "duty-manager", "pin": "000000"}
    assert told.post("/pools/main/open", body, role="tester").status_code == 403
    assert opening_now(told)["status"] != "open"


def test_standing_authority_is_given_listed_used_and_ended(told: Baths) -> None:
    now = told.clock()
    given = asked(
        told, "duty-manager", "/authorities", person="tester", pools=["main"],
        **{"from": instant_text(now - DAY_MS), "until": instant_text(now + DAY_MS)},
    )  # fmt: skip
    assert given.status_code == 200, given.text
    listed = AuthoritiesAnswer.model_validate(told.get("/authorities").json())
    assert [row.entry for row in listed.authorities] == [given.json()["entry"]]
    made = asked(told, "tester", "/pools/main/open", standing=given.json()["entry"])
    assert made.status_code == 200, made.text
    assert opening_now(told)["standing"] == given.json()["entry"]
    authority = given.json()["authority"]
    assert asked(told, "tester", "/authorities/end", authority=authority).status_code == 403
    assert asked(told, "duty-manager", "/authorities/end", authority=authority).status_code == 200
    assert told.get("/authorities").json() == {"authorities": [], "telephone": True}


def signed_in(baths: Baths, tablet: Tablet, person: str) -> dict[str, str]:
    """Sign somebody in on a tablet and give the grant."""
    answer = tablet.ask(baths, "POST", "/sign-in", {"person": person, "pin": PINS[person]})
    assert answer.status_code == 200, answer.text
    grant = SignedIn.model_validate(answer.json()).grant
    assert grant is not None
    return grant.model_dump()


def test_an_opening_out_of_reach_arrives_with_the_grant_that_proves_it(baths: Baths) -> None:
    tablet = enrolled(baths)
    grant = signed_in(baths, tablet, "duty-manager")
    now = baths.clock()
    made = tablet.write(new_id(now), "pool-opened", {"pool": "main"}, now, user="duty-manager")
    entries = [{"entry": text, "sig": sig} for text, sig in tablet.batch()]
    bare = tablet.ask(baths, "POST", "/sync/entries", {"entries": entries})
    assert [one["why"] for one in bare.json()["outcomes"]] == ["claims-proof"]
    body = {"entries": entries, "grants": [grant]}
    sent = tablet.ask(baths, "POST", "/sync/entries", body)
    assert [one["outcome"] for one in sent.json()["outcomes"]] == ["recorded"]
    lane = opening_now(baths)
    assert (lane["status"], lane["on_device"], lane["without_authority"]) == ("open", True, False)
    lines = baths.get("/record").json()
    assert [row["id"] for row in lines if row["type"] == "pool-opened"] == [made.id]


def test_what_had_no_authority_is_marked_on_its_line(baths: Baths) -> None:
    tablet = enrolled(baths)
    grant = signed_in(baths, tablet, "tester")
    now = baths.clock()
    tablet.write(new_id(now), "pool-opened", {"pool": "main"}, now, user="tester")
    entries = [{"entry": text, "sig": sig} for text, sig in tablet.batch()]
    tablet.ask(baths, "POST", "/sync/entries", {"entries": entries, "grants": [grant]})
    lines = baths.get("/record").json()
    marked = [row["type"] for row in lines if row.get("without_authority")]
    assert marked == ["pool-opened"]


def test_forty_grants_are_taken_and_one_more_is_not(baths: Baths) -> None:
    tablet = enrolled(baths)
    grant = {"text": "{}", "sig": "0" * 128}
    for many, status in ((40, 200), (41, 422)):
        body = {"entries": [], "grants": [grant] * many}
        assert tablet.ask(baths, "POST", "/sync/entries", body).status_code == status
