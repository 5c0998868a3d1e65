"""Ten thousand guesses at a PIN or a first key: few are looked at, and nobody else is kept out."""

from __future__ import annotations

from contextlib import suppress

import pytest
from tests.interfaces.api.baths import PINS, Baths
from tests.interfaces.api.browser import cookies_set

from lanewater.interfaces.api.caller import DEVICE_COOKIE
from lanewater.interfaces.api.doors import Doors
from lanewater.interfaces.api.errors import WireError
from lanewater.interfaces.api.routes.answering import with_tries
from lanewater.interfaces.api.served import Served
from lanewater.service import access
from lanewater.terms.errors import RefusedError

GUESSES = 10_000
SECOND_MS = 1000


@pytest.fixture
def looked_at(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Count the PINs that are held to a hash, without the time that it takes."""
    found: list[str] = []

    def fits(stored: str, pin: str) -> bool:
        found.append(pin)
        return bool(stored) and pin == PINS["duty-manager"]

    monkeypatch.setattr(access, "pin_fits", fits)
    return found


def guess(baths: Baths, served: Served, device: str, number: int) -> None:
    """Guess one PIN of the duty manager, as the sign-in route does."""
    token = baths.tokens["other-device"][DEVICE_COOKIE]
    with suppress(RefusedError, WireError):
        with_tries(
            served,
            device,
            "duty-manager",
            lambda: access.sign_in(baths.book, token, "duty-manager", f"{number:06d}"),
        )


def test_of_ten_thousand_guesses_ten_are_looked_at_and_the_person_signs_in_elsewhere(
    baths: Baths, looked_at: list[str]
) -> None:
    served = Served(baths.book, Doors(baths.clock))
    device = baths.get("/me", role="other-device").json()["device"]["id"]
    for number in range(GUESSES):
        guess(baths, served, device, number)
        baths.clock.ahead_ms += SECOND_MS
    assert len(looked_at) == access.MOST_FAILURES <= 100
    own = baths.post("/sign-in", {"person": "duty-manager", "pin": PINS["duty-manager"]})
    assert own.status_code == 200
    assert cookies_set(own)
    there = {"person": "duty-manager", "pin": PINS["duty-manager"]}
    assert baths.post("/sign-in", there, role="other-device").status_code == 423


def test_without_an_enrolled_browser_no_guess_is_looked_at(
    baths: Baths, looked_at: list[str]
) -> None:
    for number in range(50):
        sent = {"person": "duty-manager", "pin": f"{number:06d}"}
        assert baths.post("/sign-in", sent, role="nobody").status_code == 401
    assert looked_at == []


def test_a_thousand_calls_for_a_key_from_one_network_leave_the_others_their_tries() -> None:
    clock_ms = [0]
    doors = Doors(lambda: clock_ms[0])
    let_in = 0
    for _ in range(GUESSES):
        with suppress(WireError):
            doors.try_first_key("192.0.2.66")
            let_in += 1
        clock_ms[0] += 100
        if clock_ms[0] % 60_000 == 0:
            doors.try_first_key("192.0.2.7")
    assert let_in <= 10 + GUESSES * 100 / 60_000 * 10


def test_there_is_no_account_and_no_pin_that_a_new_site_comes_with(
    baths: Baths, looked_at: list[str]
) -> None:
    token = baths.tokens["enrolled"][DEVICE_COOKIE]
    for person in ("admin", "root", "user", "demo", "owner", "unlisted", "lanewater", ""):
        for pin in ("", "000000", "123456", "111111", "admin"):
            with pytest.raises(access.SignInError):
                access.sign_in(baths.book, token, person, pin)
    assert len(looked_at) == 8 * 5
