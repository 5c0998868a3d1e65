"""A device's word that it checked a PIN is believed with a grant that holds, and never without."""

from __future__ import annotations

import json
from typing import Any

import pytest
from tests.baths import GOOD, MINUTE_MS, PINS, Baths
from tests.service.test_enrolment import enrolled
from tests.sync.device import Device

from lanewater.records.receiving import Sealed
from lanewater.records.signing import DeviceKey, make_key
from lanewater.service import access, sync
from lanewater.service.actor import SHELL
from lanewater.service.book import new_id
from lanewater.service.clock import DAY_MS
from lanewater.service.grants import CLOCKS_APART_MS, LASTS_MS, PREFIX, make_grant
from lanewater.service.log_key import rotate_log_key
from lanewater.service.people_forget import forget_person
from lanewater.service.set_up import add

TESTER = "p-tester"
TOVE = {"person": TESTER, "name": "Tove Testerlund", "initials": "TT", "roles": ["tester"]}


class Tablet(Device):
    """A tablet that holds grants."""

    grants: list[dict[str, str]]

    def round(self, baths: Baths, **more: Any) -> str:
        """Make a round by the tester, whose PIN this tablet says that it checked."""
        readings = [{"parameter": key, "value": text} for key, text in GOOD.items()]
        body = {"pool": "main", "source": "direct", "tester": {"person": more.get("user", TESTER)}}
        at_ms = more.pop("at_ms", baths.now_ms)
        said = {"user": TESTER} | more
        made = new_id(baths.now_ms)
        return self.write(made, "round-recorded", body | {"readings": readings}, at_ms, **said).id

    def send(self, baths: Baths) -> list[str]:
        """Send what waits with the grants; give what came of each."""
        batch, held = [Sealed(*one) for one in self.batch()], self.held
        answer = sync.receive(baths.book, self.device, batch, self.held_text, self.grants)
        self.take_answer(answer, held)
        return [one.get("why", one["outcome"]) for one in answer["outcomes"]]


def signed_in(baths: Baths, key: DeviceKey, person: str = TESTER) -> dict[str, str]:
    """Enrol a tablet with a key, sign somebody in on it and give the grant."""
    token = enrolled(baths, key)["token"]
    grant = access.sign_in(baths.book, token, person, PINS[person])["grant"]
    assert grant is not None
    return dict(grant)


@pytest.fixture
def tablet(baths: Baths) -> Tablet:
    """Give a tablet on which the tester signed in."""
    key = make_key()
    made = Tablet(key, baths.book.site, baths.book.own.log.public_hex)
    made.grants = [signed_in(baths, key)]
    return made


def verified(baths: Baths, round_id: str) -> bool:
    """Tell whether a round on record counts as its tester's."""
    found = baths.book.state.round_by_id(round_id)
    assert found is not None
    return found.verified


def test_a_round_with_a_grant_is_its_testers(baths: Baths, tablet: Tablet) -> None:
    made = tablet.round(baths)
    assert tablet.send(baths) == ["recorded"]
    assert verified(baths, made)
    tablet.grants = []
    assert tablet.send(baths) == []
    assert verified(baths, made)


def test_without_its_grant_the_round_is_said_anew_and_not_verified(
    baths: Baths, tablet: Tablet
) -> None:
    made = tablet.round(baths)
    tablet.grants = []
    assert tablet.send(baths) == ["claims-proof"]
    assert baths.book.state.round_by_id(made) is None
    assert tablet.send(baths) == ["recorded"]
    assert not verified(baths, made)
    assert tablet.aside == {}


def test_a_grant_is_for_one_person_on_one_device(baths: Baths, tablet: Tablet) -> None:
    tablet.round(baths, user="p-manager")
    assert tablet.send(baths) == ["claims-proof"]
    tablet.grants = [signed_in(baths, make_key())]
    tablet.round(baths)
    assert tablet.send(baths) == ["recorded", "claims-proof"]


@pytest.mark.parametrize(
    ("away_ms", "came"),
    [
        (-CLOCKS_APART_MS, "recorded"),
        (-CLOCKS_APART_MS - 1, "claims-proof"),
        (LASTS_MS, "recorded"),
        (LASTS_MS + 1, "claims-proof"),
    ],
)
def test_a_grant_holds_for_35_days_from_when_it_was_given(
    baths: Baths, tablet: Tablet, away_ms: int, came: str
) -> None:
    tablet.round(baths, at_ms=baths.now_ms + away_ms)
    baths.now_ms += 60 * DAY_MS
    assert tablet.send(baths) == [came]


def test_a_clock_that_was_measured_is_put_right(baths: Baths, tablet: Tablet) -> None:
    year_ms = 365 * DAY_MS
    clock = {"offset_ms": -year_ms, "rtt_ms": 40, "age_s": 60}
    tablet.round(baths, at_ms=baths.now_ms - year_ms, clk=clock)
    tablet.round(baths, at_ms=baths.now_ms - year_ms)
    assert tablet.send(baths) == ["recorded", "claims-proof"]


def test_what_was_done_before_a_pin_was_changed_stays_proved(baths: Baths, tablet: Tablet) -> None:
    before = tablet.round(baths, at_ms=baths.now_ms + MINUTE_MS)
    baths.wait(10)
    add(baths.book, SHELL, "person", TOVE | {"pin": "537190"})
    after = tablet.round(baths, at_ms=baths.now_ms + MINUTE_MS)
    assert tablet.send(baths) == ["recorded", "claims-proof"]
    tablet.send(baths)
    assert (verified(baths, before), verified(baths, after)) == (True, False)


def test_a_pin_whose_hash_was_made_stronger_is_the_same_pin(
    baths: Baths, tablet: Tablet, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(access, "HASHER", access.PasswordHasher(time_cost=2, memory_cost=1024))
    monkeypatch.setattr(access, "rehashed", lambda _stored, pin: access.HASHER.hash(pin))
    access.check_pin(baths.book, tablet.device, TESTER, PINS[TESTER])
    tablet.round(baths)
    assert tablet.send(baths) == ["recorded"]


def test_somebody_forgotten_is_proved_no_more(baths: Baths, tablet: Tablet) -> None:
    tablet.round(baths)
    add(baths.book, SHELL, "person", TOVE | {"gone": True})
    forget_person(baths.book, SHELL, TESTER)
    assert tablet.send(baths) == ["claims-proof"]


@pytest.mark.parametrize("lost", [False, True])
def test_a_log_key_that_was_handed_over_goes_on_proving_and_one_that_was_lost_does_not(
    baths: Baths, tablet: Tablet, lost: bool
) -> None:
    tablet.round(baths)
    if lost:
        (baths.folder / "keys" / "log.key").write_bytes(b"\7" * 32)
        baths.reopened()
    rotate_log_key(baths.book, SHELL, lost=lost)
    batch = [Sealed(*one) for one in tablet.batch()]
    answer = sync.receive(baths.book, tablet.device, batch, "", tablet.grants)
    came = answer["outcomes"][0]
    assert came.get("why", came["outcome"]) == ("claims-proof" if lost else "recorded")


def altered(grant: dict[str, str], **changes: str) -> dict[str, str]:
    """Give a grant that says something else under the same signature."""
    said = json.loads(grant["text"]) | changes
    return grant | {"text": json.dumps(said, separators=(",", ":"), sort_keys=True)}


def test_a_grant_that_was_written_over_or_signed_by_another_key_proves_nothing(
    baths: Baths, tablet: Tablet
) -> None:
    good = tablet.grants[0]
    forged = make_key().private.sign(PREFIX + good["text"].encode()).hex()
    other = baths.book.own.log.private.sign(b"lanewater/entry/v1\n" + good["text"].encode())
    for bad in (
        altered(good, person="p-manager"),
        altered(good, expires="2036-08-05T09:51:00.000Z"),
        good | {"sig": forged},
        good | {"sig": other.hex()},
        good | {"sig": "zz"},
        {"text": "{}", "sig": baths.book.own.log.private.sign(PREFIX + b"{}").hex()},
        {"text": "\ud800", "sig": "0" * 128},
    ):
        tablet.grants = [bad]
        tablet.round(baths, user="p-manager" if "p-manager" in bad["text"] else TESTER)
        assert tablet.send(baths) == ["claims-proof"]
        tablet.send(baths)


def test_a_browser_without_a_key_of_its_own_gets_no_grant(baths: Baths) -> None:
    key = access.make_first_key(baths.book)
    token = access.enrol(baths.book, key, "Office", "office")["token"]
    assert access.sign_in(baths.book, token, TESTER, PINS[TESTER])["grant"] is None


def test_a_grant_says_nothing_of_the_pin_that_could_be_tried(baths: Baths, tablet: Tablet) -> None:
    said = json.loads(tablet.grants[0]["text"])
    assert sorted(said) == ["device", "expires", "issued", "person", "pin"]
    with baths.book.writing() as writing:
        again = make_grant(writing, tablet.device, TESTER)
    assert again == tablet.grants[0]
    assert PINS[TESTER] not in tablet.grants[0]["text"]
    other = Tablet(make_key(), baths.book.site, tablet.log_key)
    assert json.loads(signed_in(baths, other.key)["text"])["pin"] == said["pin"]
