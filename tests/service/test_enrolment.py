"""A device with a key of its own: it proves that it holds it, and it can be ended."""

from __future__ import annotations

from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from tests.baths import Baths

from lanewater.records.signing import ALGORITHM, ECDSA, DeviceKey, device_of, make_key
from lanewater.service.access import actor_of, enrol, make_first_key, sender_of, sign_in
from lanewater.service.actor import ANYBODY, SHELL, Actor
from lanewater.service.directory import devices
from lanewater.service.enrolment import enrol_message, revoke_device
from lanewater.service.permission import NotAllowedError
from lanewater.service.record import lines
from lanewater.service.rounds import record_round
from lanewater.terms.errors import InputError, RefusedError

NAME = "Tablet 2"


def signing(key: DeviceKey, first_key: str, **changes: str) -> dict[str, str]:
    """Give a key with its proof."""
    said = {"name": NAME, "kind": "shared", "algorithm": ALGORITHM, "public_key": key.public_hex}
    message = enrol_message(first_key, **(said | changes))
    told = {key: said[key] for key in ("algorithm", "public_key")}
    return told | {"proof": key.private.sign(message).hex()}


def enrolled(baths: Baths, key: DeviceKey) -> dict[str, str]:
    """Enrol a device with its key."""
    first = make_first_key(baths.book)
    return enrol(baths.book, first, NAME, "shared", signing(key, first))


def test_a_device_with_a_key_has_the_id_of_its_key(baths: Baths) -> None:
    key = make_key()
    made = enrolled(baths, key)
    known = baths.book.state.devices[made["device"]]
    assert made["device"] == key.device
    assert (known.algorithm, known.public_key) == (ALGORITHM, key.public_hex)
    assert actor_of(baths.book, made["token"], made["session"]).method == "key"


def test_a_browser_that_signs_on_the_curve_is_enrolled(baths: Baths) -> None:
    private = ec.generate_private_key(ec.SECP256R1())
    point = private.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint).hex()
    first = make_first_key(baths.book)
    message = enrol_message(first, NAME, "shared", ECDSA, point)
    r, s = decode_dss_signature(private.sign(message, ec.ECDSA(SHA256())))
    proof = (r.to_bytes(32) + s.to_bytes(32)).hex()
    told = {"algorithm": ECDSA, "public_key": point, "proof": proof}
    assert enrol(baths.book, first, NAME, "shared", told)["device"] == device_of(point)


@pytest.mark.parametrize(
    "changes",
    [{"name": "Another"}, {"kind": "office"}, {"algorithm": ECDSA}, {"public_key": "0" * 64}],
)
def test_a_proof_for_something_else_enrols_nothing_and_spends_no_key(
    baths: Baths, changes: dict[str, str]
) -> None:
    first = make_first_key(baths.book)
    with pytest.raises(InputError, match="own"):
        enrol(baths.book, first, NAME, "shared", signing(make_key(), first, **changes))
    assert enrol(baths.book, first, NAME)["device"].startswith("tab-")


def test_a_proof_made_for_another_first_key_enrols_nothing(baths: Baths) -> None:
    key, spent, fresh = make_key(), make_first_key(baths.book), make_first_key(baths.book)
    with pytest.raises(InputError, match="own"):
        enrol(baths.book, fresh, NAME, "shared", signing(key, spent))


def test_nobody_enrols_the_key_of_another_device(baths: Baths) -> None:
    theirs, mine, first = make_key(), make_key(), make_first_key(baths.book)
    told = signing(mine, first) | {"public_key": theirs.public_hex}
    with pytest.raises(InputError, match="own"):
        enrol(baths.book, first, NAME, "shared", told)


@pytest.mark.parametrize("proof", ["", "zz", "00" * 64])
def test_what_is_no_proof_is_refused(baths: Baths, proof: str) -> None:
    first = make_first_key(baths.book)
    with pytest.raises(InputError):
        enrol(baths.book, first, NAME, "shared", signing(make_key(), first) | {"proof": proof})


def test_a_device_enrolled_again_is_the_same_device_with_a_new_token(baths: Baths) -> None:
    key = make_key()
    before, after = enrolled(baths, key), enrolled(baths, key)
    assert before["device"] == after["device"]
    assert actor_of(baths.book, before["token"], before["session"]) == ANYBODY
    assert [row["id"] for row in devices(baths.book)].count(key.device) == 1


def test_a_revoked_device_is_nobody_and_is_still_known_as_a_sender(baths: Baths) -> None:
    key = make_key()
    made = enrolled(baths, key)
    session = sign_in(baths.book, made["token"], "p-manager", "283746")["session"]
    revoke_device(baths.book, baths.who("area"), key.device)
    assert actor_of(baths.book, made["token"], session) == ANYBODY
    assert (sender_of(baths.book, made["token"]) or {})["id"] == key.device
    assert key.device not in [row["id"] for row in devices(baths.book)]


def test_a_revoked_key_enrols_no_more(baths: Baths) -> None:
    key = make_key()
    enrolled(baths, key)
    revoke_device(baths.book, SHELL, key.device)
    with pytest.raises(RefusedError, match="new key"):
        enrolled(baths, key)


def test_a_device_is_revoked_once_and_by_whoever_sets_up(baths: Baths) -> None:
    key = make_key()
    enrolled(baths, key)
    with pytest.raises(NotAllowedError):
        revoke_device(baths.book, baths.who("manager"), key.device)
    revoke_device(baths.book, SHELL, key.device)
    revoke_device(baths.book, SHELL, key.device)
    told = [line for line in lines(baths.book) if line["type"] == "device-revoked"]
    assert [line["body"]["device"] for line in told] == [key.device]


def test_the_shell_and_the_server_cannot_be_revoked(baths: Baths) -> None:
    with pytest.raises(RefusedError, match="browser"):
        revoke_device(baths.book, SHELL, baths.book.device)


def test_a_loss_in_the_future_is_refused(baths: Baths) -> None:
    made = enrol(baths.book, make_first_key(baths.book), NAME)
    with pytest.raises(InputError, match="future"):
        revoke_device(baths.book, SHELL, made["device"], "2026-07-01T09:00:00-04:00")


def test_what_a_device_wrote_after_it_was_lost_is_marked(baths: Baths) -> None:
    made = enrol(baths.book, make_first_key(baths.book), NAME)
    who = Actor(method="device", through=made["device"])
    given: dict[str, Any] = {"pool": "main", "readings": {"ph": "7.40"}}
    first = record_round(baths.book, who, given)["round"]
    baths.wait(30)
    second = record_round(baths.book, who, given)["round"]
    revoke_device(baths.book, SHELL, made["device"], "2026-07-01T06:00:00-04:00")
    marked = {line["id"] for line in lines(baths.book) if line.get("after_reported_loss")}
    assert first not in marked
    assert second in marked
