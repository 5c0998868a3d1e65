"""Devices that sign for themselves, over the wire: enrolled by key, taken once, ended."""

from __future__ import annotations

from typing import Any

import pytest
from tests.interfaces.api.baths import ROUND, Baths, cookies
from tests.interfaces.api.browser import cookies_set
from tests.sync.device import Device

from lanewater.interfaces.api.caller import DEVICE_COOKIE
from lanewater.interfaces.api.doors import Doors
from lanewater.interfaces.api.errors import WireError
from lanewater.interfaces.api.schemas.sync import EntriesTaken, LinesAnswer, StampFromAnswer
from lanewater.records.signing import ALGORITHM, make_key
from lanewater.records.stamps import read_stamp
from lanewater.records.store import evidence
from lanewater.records.tree import holds_consistency
from lanewater.service.access import make_first_key
from lanewater.service.book import new_id
from lanewater.service.enrolment import enrol_message

NAME = "Tablet 2"


class Tablet(Device):
    """A tablet of the baths, and how it speaks to them over the wire."""

    token: str = ""

    def ask(self, baths: Baths, method: str, path: str, body: Any = None) -> Any:
        """Ask with this device's cookie."""
        more = {} if body is None else {"body": body}
        baths.tokens["tablet"] = cookies(self.token)
        return baths.ask(method, f"/api/v1{path}", role="tablet", **more)

    def send(self, baths: Baths, stamp: str = "") -> Any:
        """Send what waits."""
        entries = [{"entry": text, "sig": sig} for text, sig in self.batch()]
        body: dict[str, Any] = {"entries": entries} | ({"stamp": stamp} if stamp else {})
        return self.ask(baths, "POST", "/sync/entries", body)

    def say(self, baths: Baths) -> str:
        """Make a round now."""
        readings = [{"parameter": key, "value": text} for key, text in ROUND["readings"].items()]
        body = {"pool": "main", "source": "direct", "tester": {"unlisted": True}}
        now = baths.clock()
        return self.write(new_id(now), "round-recorded", body | {"readings": readings}, now).id


def enrolled(baths: Baths) -> Tablet:
    """Enrol a tablet by its key."""
    key, first = make_key(), make_first_key(baths.book)
    message = enrol_message(first, NAME, "shared", ALGORITHM, key.public_hex)
    signing = {
        "algorithm": ALGORITHM,
        "public_key": key.public_hex,
        "proof": key.private.sign(message).hex(),
    }
    told = baths.post("/enrol", {"key": first, "name": NAME, "signing": signing}, role="nobody")
    assert told.status_code == 200, told.text
    made = told.json()
    assert made["device"] == key.device
    tablet = Tablet(key, made["site"], made["log_key"])
    tablet.token = cookies_set(told)[DEVICE_COOKIE]
    return tablet


def test_a_round_signed_on_a_tablet_is_recorded_once_over_the_wire(baths: Baths) -> None:
    tablet = enrolled(baths)
    made = tablet.say(baths)
    first, again = tablet.send(baths), tablet.send(baths)
    assert (first.status_code, again.status_code) == (200, 200)
    told = EntriesTaken.model_validate(first.json())
    assert [one.outcome for one in told.outcomes] == ["recorded"]
    assert [one["outcome"] for one in again.json()["outcomes"]] == ["known"]
    assert baths.get(f"/rounds/{made}").json()["verdict"]["overall"] == "meets"
    tablet.take_answer(first.json(), None)
    assert tablet.waiting == 0


def test_a_tablet_follows_the_record_by_lines_and_by_proof(baths: Baths) -> None:
    tablet = enrolled(baths)
    before = tablet.ask(baths, "GET", "/sync/entries?from=0&limit=500")
    LinesAnswer.model_validate(before.json())
    tablet.take_lines(0, before.json(), None)
    assert tablet.held is not None
    held = tablet.held
    tablet.say(baths)
    tablet.send(baths)
    told = tablet.ask(baths, "GET", f"/stamp?from={held.size}")
    answer = StampFromAnswer.model_validate(told.json())
    head = read_stamp(answer.stamp).head
    path = [bytes.fromhex(part) for part in answer.consistency]
    assert holds_consistency(held.size, held.root, head.size, head.root, path)
    beyond = tablet.ask(baths, "GET", f"/stamp?from={head.size + 1}")
    assert (beyond.status_code, beyond.json()["error"]["field"]) == (422, "from")


def test_a_lost_tablet_is_nobody_and_what_it_still_sends_is_kept(baths: Baths) -> None:
    tablet = enrolled(baths)
    made = tablet.say(baths)
    body = {"device": tablet.device, "lost_at": "2026-01-01T00:00:00Z"}
    assert baths.post("/devices/remove", body, role="area-manager").status_code == 200
    assert tablet.ask(baths, "GET", "/now").status_code == 401
    assert tablet.ask(baths, "GET", "/sync/entries").status_code == 401
    told = tablet.send(baths).json()["outcomes"][0]
    assert (told["outcome"], told["why"]) == ("refused", "revoked")
    assert baths.get(f"/rounds/{made}").status_code == 404
    assert [row[2] for row in evidence.rows(baths.book.connection)] == ["revoked"]


def test_a_browser_without_a_key_is_told_to_enrol_with_one(baths: Baths) -> None:
    tablet = enrolled(baths)
    tablet.say(baths)
    text, sig = tablet.batch()[0]
    told = baths.post("/sync/entries", {"entries": [{"entry": text, "sig": sig}]})
    assert told.json()["outcomes"][0]["why"] == "other-device"


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"entries": {}},
        {"entries": [{"entry": "{}"}]},
        {"entries": [{"entry": "{}", "sig": "0" * 127}]},
        {"entries": [{"entry": "{}", "sig": "0" * 128, "more": 1}]},
        {"entries": [{"entry": "x" * 16_385, "sig": "0" * 128}]},
        {"entries": [{"entry": "{}", "sig": "0" * 128}] * 201},
        {"entries": [], "stamp": "x" * 4097},
        {"entries": [], "stamp": "no stamp"},
    ],
)
def test_what_does_not_fit_is_refused_by_name(baths: Baths, body: dict[str, Any]) -> None:
    answer = enrolled(baths).ask(baths, "POST", "/sync/entries", body)
    assert answer.status_code == 422
    assert answer.json()["error"]["id"] == "input"


def test_a_backlog_of_a_shift_goes_through_and_a_flood_does_not() -> None:
    now = [0]
    doors = Doors(lambda: now[0])
    for _ in range(60):
        doors.try_send("dev-1")
    with pytest.raises(WireError, match="wait"):
        doors.try_send("dev-1")
    doors.try_send("dev-2")
    now[0] += 1000
    doors.try_send("dev-1")


def test_a_proof_that_does_not_fit_spends_no_first_key(baths: Baths) -> None:
    first = make_first_key(baths.book)
    signing = {"algorithm": ALGORITHM, "public_key": make_key().public_hex, "proof": "0" * 128}
    body = {"key": first, "name": NAME}
    wrong = baths.post("/enrol", body | {"signing": signing}, role="nobody")
    assert (wrong.status_code, wrong.json()["error"]["field"]) == (422, "proof")
    assert baths.post("/enrol", body, role="nobody").status_code == 200
