"""Who is at the device: nothing by default, one key once, ten tries, sessions that end."""

from __future__ import annotations

import sqlite3

import pytest
from argon2 import PasswordHasher
from tests.baths import PINS, Baths

from lanewater.records.store import people as store
from lanewater.service import access
from lanewater.service.access import (
    LockedError,
    SignInError,
    actor_of,
    enrol,
    make_first_key,
    random_pin,
    sign_in,
    sign_out,
    unlock,
)
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.enrolment import revoke_device
from lanewater.service.permission import NotAllowedError, may
from lanewater.service.set_up import add
from lanewater.terms.errors import InputError, RefusedError

MANAGER, PIN = "p-manager", PINS["p-manager"]


def tablet(baths: Baths, name: str = "Tablet 2", kind: str = "shared") -> dict[str, str]:
    """Enrol a browser."""
    return enrol(baths.book, make_first_key(baths.book), name, kind)


def test_a_first_key_opens_once(baths: Baths) -> None:
    key = make_first_key(baths.book)
    enrol(baths.book, f"  {key.upper()} ", "Tablet 1")
    with pytest.raises(RefusedError, match="access new"):
        enrol(baths.book, key, "Tablet 2")


def test_a_first_key_is_good_for_a_day(baths: Baths) -> None:
    key = make_first_key(baths.book)
    baths.wait(24 * 60 + 1)
    with pytest.raises(RefusedError):
        enrol(baths.book, key, "Tablet 1")


@pytest.mark.parametrize("key", ["", "admin", "x" * 101, "\ud800", 5, None])
def test_no_other_key_opens(baths: Baths, key: str) -> None:
    with pytest.raises((RefusedError, InputError)):
        enrol(baths.book, key, "Tablet 1")


def test_a_first_keys_session_sets_up_and_does_nothing_else(baths: Baths) -> None:
    made = tablet(baths)
    owner = actor_of(baths.book, made["token"], made["session"])
    state = baths.book.state
    assert may(state, owner, "set-up") == "yes"
    assert {may(state, owner, what) for what in ("open", "close", "hand-dose")} == {"no"}
    assert not owner.listed


def test_an_enrolled_browser_is_on_record(baths: Baths) -> None:
    made = tablet(baths, "Office")
    assert baths.book.state.devices[made["device"]].name == "Office"


def test_a_person_signs_in_with_a_pin_on_an_enrolled_browser(baths: Baths) -> None:
    made = tablet(baths)
    session = sign_in(baths.book, made["token"], MANAGER, PIN)["session"]
    actor = actor_of(baths.book, made["token"], session)
    assert (actor.person, actor.method, actor.verified) == (MANAGER, "pin", True)
    assert actor.through == made["device"]


def test_without_an_enrolled_browser_a_right_pin_is_nothing(baths: Baths) -> None:
    with pytest.raises(RefusedError, match="not enrolled"):
        sign_in(baths.book, "made-up", MANAGER, PIN)
    assert actor_of(baths.book, None, None) == ANYBODY
    assert actor_of(baths.book, "made-up", "made-up") == ANYBODY


@pytest.mark.parametrize(
    ("person", "pin"),
    [
        (MANAGER, "000000"),
        (MANAGER, ""),
        (MANAGER, PIN + "0"),
        ("p-area", ""),
        ("p-area", "000000"),
        ("p-nobody", PIN),
        ("unlisted", ""),
        ("", ""),
        (MANAGER, "9" * 500),
        (MANAGER, 283746),
        (MANAGER, "\ud800"),
        ("\ud800", PIN),
        (None, PIN),
    ],
)
def test_every_failure_says_the_same(baths: Baths, person: str, pin: str) -> None:
    made = tablet(baths)
    with pytest.raises(SignInError, match="does not fit"):
        sign_in(baths.book, made["token"], person, pin)


def test_ten_wrong_pins_lock_that_person_on_that_device_only(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    hashed = access.pin_fits
    monkeypatch.setattr(access, "pin_fits", lambda _stored, pin: pin == PIN)
    one, other = tablet(baths), tablet(baths, "Tablet 3")
    for _ in range(10):
        with pytest.raises(SignInError):
            sign_in(baths.book, one["token"], MANAGER, "000000")
    with pytest.raises(LockedError):
        sign_in(baths.book, one["token"], MANAGER, PIN)
    monkeypatch.setattr(access, "pin_fits", hashed)
    sign_in(baths.book, other["token"], MANAGER, PIN)
    sign_in(baths.book, one["token"], "p-tester", PINS["p-tester"])
    with pytest.raises(NotAllowedError):
        unlock(baths.book, baths.who("manager"), MANAGER, one["device"])
    unlock(baths.book, SHELL, MANAGER, one["device"])
    sign_in(baths.book, one["token"], MANAGER, PIN)


def test_a_right_pin_forgets_the_wrong_ones(baths: Baths, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(access, "pin_fits", lambda _stored, pin: pin == PIN)
    made = tablet(baths)
    for _ in range(3):
        for _ in range(9):
            with pytest.raises(SignInError):
                sign_in(baths.book, made["token"], MANAGER, "000000")
        sign_in(baths.book, made["token"], MANAGER, PIN)


@pytest.mark.parametrize(("kind", "idle", "whole"), [("shared", 5, 720), ("office", 30, 480)])
def test_a_session_ends_idle_and_in_any_case(
    baths: Baths, kind: str, idle: int, whole: int
) -> None:
    made = tablet(baths, kind=kind)

    def signed_in() -> bool:
        return actor_of(baths.book, made["token"], session).listed

    session = sign_in(baths.book, made["token"], MANAGER, PIN)["session"]
    baths.wait(idle + 0.1)
    assert not signed_in()
    session = sign_in(baths.book, made["token"], MANAGER, PIN)["session"]
    for _ in range(whole // idle):
        assert signed_in()
        baths.wait(idle)
    baths.wait(0.1)
    assert not signed_in()


def test_a_session_is_good_on_its_own_device_only(baths: Baths) -> None:
    one, other = tablet(baths), tablet(baths, "Tablet 3")
    session = sign_in(baths.book, one["token"], MANAGER, PIN)["session"]
    assert not actor_of(baths.book, other["token"], session).listed


def test_signing_out_leaving_and_a_new_pin_end_sessions_at_once(baths: Baths) -> None:
    made = tablet(baths)
    item = {"person": MANAGER, "name": "D", "initials": "D", "roles": ["duty-manager"]}
    session = sign_in(baths.book, made["token"], MANAGER, PIN)["session"]
    sign_out(baths.book, session)
    assert not actor_of(baths.book, made["token"], session).listed
    session = sign_in(baths.book, made["token"], MANAGER, PIN)["session"]
    add(baths.book, SHELL, "person", item | {"pin": "564738"})
    assert not actor_of(baths.book, made["token"], session).listed
    session = sign_in(baths.book, made["token"], MANAGER, "564738")["session"]
    add(baths.book, SHELL, "person", item | {"gone": True})
    assert not actor_of(baths.book, made["token"], session).listed
    with pytest.raises(SignInError):
        sign_in(baths.book, made["token"], MANAGER, "564738")


def test_a_removed_device_is_nobodys(baths: Baths) -> None:
    made = tablet(baths)
    session = sign_in(baths.book, made["token"], MANAGER, PIN)["session"]
    revoke_device(baths.book, baths.who("area"), made["device"])
    assert actor_of(baths.book, made["token"], session) == ANYBODY


def test_no_secret_is_kept_as_it_is(baths: Baths) -> None:
    key = make_first_key(baths.book)
    made = enrol(baths.book, key, "Tablet 2")
    session = sign_in(baths.book, made["token"], MANAGER, PIN)["session"]
    baths.book.close()
    raw = sqlite3.connect(baths.config.store)
    raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    hashes = [row[0] for row in raw.execute("SELECT pin_hash FROM person WHERE pin_hash <> ''")]
    raw.close()
    content = baths.config.store.read_bytes()
    for secret in (key, made["token"], made["session"], session, PIN):
        assert secret.encode() not in content
    assert all("$argon2id$v=19$m=47104,t=1,p=1$" in found for found in hashes)
    baths.reopened()


def test_a_made_pin_is_never_one_that_is_guessed_first() -> None:
    for _ in range(200):
        pin = random_pin()
        assert len(pin) == 6
        assert len(set(pin)) >= 4


@pytest.mark.parametrize(
    "pin", ["12345", "111111", "123456", "654321", "1" * 13, "28374a", "１２３４５６"]
)
def test_a_weak_pin_is_refused(pin: str) -> None:
    with pytest.raises(InputError, match=r"^pin: "):
        access.hashed_pin(pin, "pin")


def test_a_hash_of_an_earlier_release_is_made_anew_by_the_next_right_pin(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = tablet(baths)
    weak = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    with baths.book.writing() as writing:
        store.put_person(writing.connection, MANAGER, {"pin_hash": weak.hash(PIN)})
    with pytest.raises(SignInError):
        sign_in(baths.book, made["token"], MANAGER, "000000")
    sign_in(baths.book, made["token"], MANAGER, PIN)
    with baths.book.reading() as connection:
        stored = store.pin_hash(connection, MANAGER)
    assert "m=47104,t=1,p=1" in stored
    sign_in(baths.book, made["token"], MANAGER, PIN)
    with baths.book.reading() as connection:
        assert store.pin_hash(connection, MANAGER) == stored
