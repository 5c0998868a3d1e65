"""Enrolling a browser, signing in and out, and what keeps others out."""

from __future__ import annotations

import re

import pytest
from tests.interfaces.api.baths import PINS, Baths, cookies
from tests.interfaces.api.browser import cookies_set

from lanewater.interfaces.api.caller import DEVICE_COOKIE, SESSION_COOKIE
from lanewater.service import access

MINUTE_MS = 60_000


def enrol(baths: Baths, kind: str = "shared") -> dict[str, str]:
    """Enrol another browser and give its cookies."""
    key = access.make_first_key(baths.book)
    answer = baths.post("/enrol", {"key": key, "name": "Tablet 2", "kind": kind}, role="nobody")
    assert answer.status_code == 200
    return cookies_set(answer)


def as_browser(baths: Baths, given: dict[str, str]) -> str:
    """Name a browser by its cookies, as a role of the test site."""
    baths.tokens = {**baths.tokens, "other": given}
    return "other"


def test_a_first_key_enrols_a_browser_that_may_set_up_and_nothing_else(baths: Baths) -> None:
    given = enrol(baths)
    other = as_browser(baths, given)
    told = baths.get("/me", role=other).json()
    assert told["enrolled"] is True
    assert told["owner"] is True
    assert told["may_set_up"] is True
    assert told["device"]["name"] == "Tablet 2"
    assert told["may"]["open"] == "no"


def test_a_person_signs_in_with_a_pin(baths: Baths) -> None:
    answer = baths.post("/sign-in", {"person": "tester", "pin": PINS["tester"]})
    assert answer.json() == {
        "id": "tester",
        "initials": "TE",
        "name": "The tester",
        "roles": ["tester"],
        "grant": None,
    }
    session = cookies_set(answer)[SESSION_COOKIE]
    device = baths.tokens["enrolled"][DEVICE_COOKIE]
    told = baths.get("/me", role=as_browser(baths, cookies(device, session))).json()
    assert told["person"] == "tester"
    assert told["locked"] is False


def test_signing_out_ends_the_session_at_once(baths: Baths) -> None:
    answer = baths.post("/sign-out", {}, role="tester")
    assert answer.json() == {}
    told = baths.get("/me", role="tester").json()
    assert told["person"] is None
    assert told["locked"] is True
    assert told["enrolled"] is True


def test_signing_in_ends_the_session_before(baths: Baths) -> None:
    baths.post("/sign-in", {"person": "duty-manager", "pin": PINS["duty-manager"]}, role="tester")
    assert baths.get("/me", role="tester").json()["person"] is None


def test_every_cookie_is_bound_to_this_host_and_hidden_from_scripts(baths: Baths) -> None:
    key = access.make_first_key(baths.book)
    answers = [
        baths.post("/enrol", {"key": key, "name": "T"}, role="nobody"),
        baths.post("/sign-in", {"person": "tester", "pin": PINS["tester"]}),
        baths.post("/sign-out", {}, role="tester"),
    ]
    lines = [line for answer in answers for line in answer.headers.get_list("set-cookie")]
    assert len(lines) == 4
    for line in lines:
        assert line.startswith("__Host-")
        parts = {part.strip().lower() for part in line.split(";")[1:]}
        assert {"secure", "httponly", "samesite=strict", "path=/"} <= parts
        assert not any(part.startswith("domain") for part in parts)


def test_who_is_not_enrolled_learns_the_sites_name_and_nothing_more(baths: Baths) -> None:
    told = baths.get("/me", role="nobody").json()
    assert told["site"] == {"name": "Lindmere Baths"}
    assert told["enrolled"] is False
    assert told["device"] is None
    assert told["locked"] is False


def test_a_used_first_key_opens_nothing(baths: Baths) -> None:
    key = access.make_first_key(baths.book)
    assert baths.post("/enrol", {"key": key, "name": "A"}, role="nobody").status_code == 200
    again = baths.post("/enrol", {"key": key, "name": "B"}, role="nobody")
    assert again.status_code == 409
    assert not again.headers.get_list("set-cookie")


def test_a_wrong_pin_and_an_unknown_person_get_the_same_answer(baths: Baths) -> None:
    wrong = baths.post("/sign-in", {"person": "tester", "pin": "999999"})
    unknown = baths.post("/sign-in", {"person": "no-such-person", "pin": "999999"})
    assert wrong.status_code == unknown.status_code == 403
    assert wrong.json() == unknown.json()
    assert wrong.json()["error"]["id"] == "pin"


def test_tries_run_out_and_come_back_with_time(baths: Baths) -> None:
    sent = {"person": "tester", "pin": "999999"}
    statuses = [baths.post("/sign-in", sent).status_code for _ in range(6)]
    assert statuses == [403] * 5 + [429]
    refused = baths.post("/sign-in", sent)
    assert re.fullmatch(r"\d+", refused.headers["Retry-After"])
    baths.clock.ahead_ms += int(refused.headers["Retry-After"]) * 1000
    right = baths.post("/sign-in", {"person": "tester", "pin": PINS["tester"]})
    assert right.status_code == 200


def test_anothers_wrong_tries_keep_nobody_from_signing_in(baths: Baths) -> None:
    elsewhere = as_browser(baths, enrol(baths))
    for _ in range(30):
        baths.post("/sign-in", {"person": "tester", "pin": "999999"}, role=elsewhere)
    for _ in range(30):
        baths.post("/sign-in", {"person": "tester", "pin": "999999"}, role="nobody")
    own = baths.post("/sign-in", {"person": "tester", "pin": PINS["tester"]})
    assert own.status_code == 200


def test_ten_wrong_pins_lock_one_person_on_one_browser_until_a_manager_unlocks(
    baths: Baths,
) -> None:
    for _ in range(10):
        baths.clock.ahead_ms += MINUTE_MS // 4
        baths.post("/sign-in", {"person": "tester", "pin": "999999"})
    right = {"person": "tester", "pin": PINS["tester"]}
    locked = baths.post("/sign-in", right)
    assert locked.status_code == 423
    device = baths.get("/me").json()["device"]["id"]
    told = baths.post("/unlock", {"person": "tester", "device": device}, role="owner")
    assert told.json() == {}
    assert baths.post("/sign-in", right).status_code == 200


def test_a_locked_browser_still_records(baths: Baths) -> None:
    for _ in range(12):
        baths.post("/sign-in", {"person": "tester", "pin": "999999"})
    answer = baths.post("/pools/main/everyone-out", {"stop": "glass"})
    assert answer.status_code == 200


def test_a_session_ends_when_nobody_uses_it(baths: Baths) -> None:
    baths.clock.ahead_ms = 31 * MINUTE_MS
    assert baths.get("/me", role="tester").json()["person"] is None
    assert baths.get("/site", role="owner").status_code == 403


def test_a_removed_browser_is_a_stranger_at_once(baths: Baths) -> None:
    other = as_browser(baths, enrol(baths))
    device = baths.get("/me", role=other).json()["device"]["id"]
    assert baths.post("/devices/remove", {"device": device}, role="area-manager").json() == {}
    assert baths.get("/now", role=other).status_code == 401


def test_a_person_who_left_is_signed_out_at_once(baths: Baths) -> None:
    left = {"person": "tester", "name": "T", "initials": "T", "roles": ["tester"], "gone": True}
    answer = baths.post("/site/items", {"what": "person", "item": left}, role="owner")
    assert answer.status_code == 200
    assert baths.get("/me", role="tester").json()["person"] is None
    assert "tester" not in {row["id"] for row in baths.get("/people").json()}


@pytest.mark.parametrize("token", ["", "x", "é", "a" * 5000, '"quoted"', "../../etc"])
def test_a_made_up_cookie_is_a_strangers(baths: Baths, token: str) -> None:
    made_up = {DEVICE_COOKIE: token.encode().decode("latin-1"), SESSION_COOKIE: "x"}
    role = as_browser(baths, made_up)
    if token.isascii():
        assert baths.get("/now", role=role).status_code == 401


def test_a_session_is_worth_nothing_on_another_browser(baths: Baths) -> None:
    elsewhere = enrol(baths)
    moved = {**baths.tokens["duty-manager"], DEVICE_COOKIE: elsewhere[DEVICE_COOKIE]}
    assert baths.get("/me", role=as_browser(baths, moved)).json()["person"] is None
