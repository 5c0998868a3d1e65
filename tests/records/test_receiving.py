"""What a device sends by itself: each thing that may be wrong with it has its own word."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.records.entry_cases import KEY, chain, entry

from lanewater.records.entries import Entry, canonical, digest
from lanewater.records.kinds import KINDS
from lanewater.records.receiving import (
    BY_PIN,
    CAUSES,
    SENDABLE,
    Ground,
    Objection,
    Restored,
    Sealed,
    Sender,
    Weighed,
    weigh,
)
from lanewater.records.signing import ALGORITHM, DeviceKey, make_key, sign

SENDER = Sender(KEY.device, ALGORITHM, KEY.public_hex)
AUTH = {"method": "device", "verified": False}
ROOTS = {3: "3" * 64, 5: "5" * 64}
OTHER = make_key()
PAGE = Path(__file__).parents[2] / "docs" / "reference" / "sending-later.md"


def ground(**changes: Any) -> Ground:
    """Give a record of five lines in which this device has said nothing."""
    fields: dict[str, Any] = {
        "site": "baths",
        "size": 5,
        "root_at": lambda size: ROOTS.get(size, "0" * 64),
        "restored": (),
        "head": (0, ""),
        "bytes_of": lambda _id: None,
        "object_to": lambda _entry: None,
        "proves": lambda _entry: False,
    }
    return Ground(**(fields | changes))


def sealed(made: Entry, key: DeviceKey = KEY) -> Sealed:
    """Sign an entry."""
    raw = canonical(made)
    return Sealed(raw.decode(), sign(key, raw).hex())


def fact(**changes: Any) -> Entry:
    """Give a fact that a device may say by itself."""
    return entry(**({"auth": AUTH} | changes))


def refused(sent: Sealed, **changes: Any) -> Weighed:
    """Weigh what must be refused."""
    found = weigh(sent, changes.pop("sender", SENDER), ground(**changes))
    assert found.outcome == "refused"
    return found


def test_a_fact_that_follows_is_recorded() -> None:
    found = weigh(sealed(fact()), SENDER, ground())
    assert (found.outcome, found.why, found.send_from) == ("record", "", 0)
    assert found.sha256 == digest(canonical(fact()))


def test_the_same_bytes_are_known_again_wherever_the_device_stands() -> None:
    raw = canonical(fact())
    found = weigh(sealed(fact()), SENDER, ground(bytes_of=lambda _id: raw, head=(9, "9" * 64)))
    assert found.outcome == "known"


def test_an_id_with_other_content_is_refused_and_kept() -> None:
    other = canonical(fact(reason="Else"))
    found = refused(sealed(fact()), bytes_of=lambda _id: other)
    assert (found.why, found.cause.kept, found.cause.again) == ("id-reused", True, False)


@pytest.mark.parametrize("kind", sorted(set(KINDS) - set(SENDABLE)))
def test_whatever_is_not_on_the_list_is_refused(kind: str) -> None:
    body = {
        "device-revoked": {"device": "tab-1"},
        "rules-chosen": {"rules": "none"},
        "person-added": {"person": "p-1", "roles": ["area-manager"]},
        "standing-authority-ended": {"authority": "a-1"},
    }.get(kind)
    if body is None:
        assert kind not in SENDABLE
        return
    assert refused(sealed(fact(kind=kind, body=body)), proves=lambda _: True).why == "kind"


def test_only_these_facts_and_decisions_may_be_said_by_a_device_itself() -> None:
    assert sorted(SENDABLE) == [
        "addition-answered",
        "addition-started",
        "advice-given",
        "authority-notified",
        "closure-lifted",
        "deadline-met",
        "duty-done",
        "event-noted",
        "everyone-out",
        "handover-acknowledged",
        "house-stop-ended",
        "incident-ended",
        "incident-noted",
        "incident-route-chosen",
        "incident-started",
        "incident-step-done",
        "notice-posted",
        "opening-confirmed",
        "opening-settled",
        "pool-closed",
        "pool-opened",
        "reading-corrected",
        "round-recorded",
        "told",
    ]


BODIES: dict[str, dict[str, Any]] = {
    "pool-opened": {"pool": "main"},
    "pool-closed": {"pool": "main", "kind": "closed"},
    "house-stop-ended": {"pool": "main", "stops": ["glass"]},
    "opening-settled": {"pool": "main", "status": "open", "entries": ["a", "b"]},
    "opening-confirmed": {"pool": "main", "opening": "a"},
    "closure-lifted": {"pool": "main", "closure": "a", "authority": "Health office"},
    "incident-route-chosen": {"incident": "a", "pool": "main", "procedure": "b", "route": "c"},
    "incident-ended": {"incident": "a", "pool": "main", "outcome": "false-alarm"},
    "addition-started": {"pool": "main", "product": "hypo"},
    "advice-given": {
        "pool": "main",
        "round": "a",
        "product": "hypo",
        "amount": "1",
        "unit": "L",
        "wait_minutes": 0,
    },
    "handover-acknowledged": {"made": "2026-07-01T09:51:00.000Z", "open": []},
}
BY_DEVICE = {"method": "pin", "verified": False, "through": KEY.device}


@pytest.mark.parametrize("kind", BY_PIN)
def test_a_decision_takes_a_person_on_the_list_and_a_grant_that_holds(kind: str) -> None:
    said = {"kind": kind, "body": BODIES[kind]}
    decided = sealed(fact(user="p-manager", auth=BY_DEVICE, **said))
    assert weigh(decided, SENDER, ground(proves=lambda _: True)).outcome == "record"
    assert refused(decided).why == "claims-proof"
    for changes, about in (
        ({"user": "unlisted", "auth": BY_DEVICE}, "user"),
        ({"user": "p-manager", "auth": AUTH}, "auth.method"),
        ({"user": "p-manager", "auth": {"method": "none", "verified": False}}, "auth.method"),
    ):
        found = refused(sealed(fact(**said, **changes)), proves=lambda _: True)
        assert (found.why, found.about, found.cause.again) == ("kind", about, False)


@pytest.mark.parametrize(
    "auth",
    [
        {"method": "pin", "verified": True},
        {"method": "shell", "verified": False},
        {"method": "key", "verified": False},
        {"method": "pin", "verified": False, "through": "tab-other"},
    ],
)
def test_no_device_proves_who_acts(auth: dict[str, Any]) -> None:
    assert refused(sealed(fact(auth=auth))).why == "claims-proof"


def test_a_pin_that_the_device_itself_checked_is_believed_only_with_a_grant() -> None:
    asked: list[Entry] = []

    def proves(entry: Entry) -> bool:
        asked.append(entry)
        return True

    assert weigh(sealed(fact(auth=BY_DEVICE)), SENDER, ground(proves=proves)).outcome == "record"
    assert asked == [fact(auth=BY_DEVICE)]
    found = refused(sealed(fact(auth=BY_DEVICE)))
    assert (found.why, found.about, found.cause.again) == ("claims-proof", "auth.method", False)


@pytest.mark.parametrize("method", ["none", "device"])
def test_no_grant_is_asked_for_where_no_proof_is_claimed(method: str) -> None:
    def proves(_entry: Entry) -> bool:
        raise AssertionError("asked")

    auth = {"method": method, "verified": False}
    assert weigh(sealed(fact(auth=auth)), SENDER, ground(proves=proves)).outcome == "record"


def test_a_gap_says_from_where_to_send() -> None:
    third = sealed(replace(chain(3)[2][0], auth=AUTH))
    found = refused(third, head=(1, "1" * 64))
    assert (found.why, found.send_from, found.cause.again) == ("gap", 2, True)
    assert not found.cause.kept


def test_a_number_that_is_taken_is_kept_as_evidence() -> None:
    found = refused(sealed(fact()), head=(4, "4" * 64))
    assert (found.why, found.cause.kept) == ("number-taken", True)


def test_an_entry_that_names_another_previous_one_does_not_follow() -> None:
    second = sealed(fact(number=2, dprev="a" * 64))
    assert refused(second, head=(1, "b" * 64)).why == "does-not-follow"


@pytest.mark.parametrize(
    ("changes", "why"),
    [({"dev": OTHER.device}, "other-device"), ({"site": "elsewhere"}, "other-site")],
)
def test_what_is_not_this_devices_at_this_site_is_refused(
    changes: dict[str, str], why: str
) -> None:
    assert refused(sealed(fact(**changes))).why == why


def test_a_signature_of_another_key_is_refused_and_kept() -> None:
    found = refused(sealed(fact(), OTHER))
    assert (found.why, found.cause.kept) == ("signature", True)


@pytest.mark.parametrize("sig", ["", "zz", "00", "A" * 128, "0" * 127, "0" * 130])
def test_a_signature_of_another_shape_is_refused(sig: str) -> None:
    assert refused(replace(sealed(fact()), sig=sig)).why == "signature"


def test_a_device_without_a_key_is_asked_to_enrol_again() -> None:
    assert refused(sealed(fact()), sender=Sender(KEY.device, "none", "")).why == "no-key"


def test_a_revoked_device_is_not_recorded_and_what_it_sends_is_kept() -> None:
    found = refused(sealed(fact()), sender=replace(SENDER, revoked=True))
    assert (found.why, found.cause.kept, found.cause.again) == ("revoked", True, False)


@pytest.mark.parametrize(
    "text", ["", "{}", "[]", "null", '{"v":1}', "\ud800", "{" * 99, "x" * 20_000]
)
def test_what_is_no_entry_is_refused_and_never_kept(text: str) -> None:
    found = refused(Sealed(text, "0" * 128))
    assert (found.why, found.cause.kept, found.id) == ("not-an-entry", False, "")
    assert len(found.raw) <= 16 * 1024 + 1


@given(st.integers(0, len(canonical(fact())) * 8 - 1))
def test_one_flipped_bit_is_never_recorded(bit: int) -> None:
    good = sealed(fact())
    raw = bytearray(good.text.encode())
    raw[bit // 8] ^= 1 << bit % 8
    text = raw.decode("utf-8", "replace")
    assert weigh(Sealed(text, good.sig), SENDER, ground()).outcome == "refused"


@given(st.text(max_size=300), st.text(max_size=140))
def test_nothing_that_can_be_sent_raises(text: str, sig: str) -> None:
    assert weigh(Sealed(text, sig), SENDER, ground()).outcome == "refused"


SEEN = {
    "nothing": ({"size": 0, "root": ""}, ""),
    "a root of nothing": ({"size": 0, "root": "a" * 64}, "other-history"),
    "a head of this log": ({"size": 3, "root": "3" * 64}, ""),
    "the whole of it": ({"size": 5, "root": "5" * 64}, ""),
    "another history": ({"size": 3, "root": "4" * 64}, "other-history"),
    "more than there is": ({"size": 6, "root": "6" * 64}, "ahead"),
}


@pytest.mark.parametrize("case", SEEN)
def test_a_head_that_a_device_saw_is_one_of_this_log(case: str) -> None:
    seen, why = SEEN[case]
    assert weigh(sealed(fact(seen=seen)), SENDER, ground()).why == why


@pytest.mark.parametrize(
    ("size", "root", "why"),
    [
        (4, "d" * 64, ""),
        (7, "d" * 64, ""),
        (8, "8" * 64, ""),
        (8, "d" * 64, "ahead"),
        (9, "d" * 64, "ahead"),
    ],
)
def test_a_head_that_a_restoring_lost_is_let_through(size: int, root: str, why: str) -> None:
    restored = (Restored(3, 8, "8" * 64),)
    sent = sealed(fact(seen={"size": size, "root": root}))
    assert weigh(sent, SENDER, ground(restored=restored)).why == why


def test_the_sites_own_objection_is_told_with_its_place() -> None:
    def object_to(_entry: Entry) -> None:
        raise Objection("not-yet", "body.pool")

    found = refused(sealed(fact()), object_to=object_to)
    assert (found.why, found.about, found.cause.again) == ("not-yet", "body.pool", True)


def test_every_cause_has_words_and_only_what_may_help_is_sent_again() -> None:
    again = sorted(why for why, cause in CAUSES.items() if cause.again)
    assert again == ["ahead", "gap", "not-yet", "other-history"]
    assert all(cause.words for cause in CAUSES.values())


def test_the_page_tells_every_cause_as_it_is() -> None:
    told: dict[str, tuple[bool, bool]] = {}
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if len(cells) == 4 and cells[2] in ("yes", "no"):
            for why in re.findall(r"`([a-z-]+)`", cells[0]):
                told[why] = (cells[2] == "yes", cells[3] == "yes")
    assert told == {why: (cause.again, cause.kept) for why, cause in CAUSES.items()}


def stray(seen: dict[str, Any]) -> Sealed:
    """Give a fact whose device saw something."""
    return sealed(fact(seen=seen))


RAW = canonical(fact())
WHERE: dict[str, tuple[Sealed, dict[str, Any], str, str, int]] = {
    "no entry": (Sealed("{}", "0" * 128), {}, "not-an-entry", "v", 0),
    "no field": (Sealed("nothing", "0" * 128), {}, "not-an-entry", "", 0),
    "another device": (sealed(fact(dev=OTHER.device)), {}, "other-device", "dev", 0),
    "no key": (sealed(fact()), {"sender": Sender(KEY.device, "none", "")}, "no-key", "dev", 0),
    "another site": (sealed(fact(site="elsewhere")), {}, "other-site", "site", 0),
    "a signature of another": (sealed(fact(), OTHER), {}, "signature", "sig", 0),
    "an id again": (sealed(fact()), {"bytes_of": lambda _: b"x"}, "id-reused", "id", 0),
    "revoked": (sealed(fact()), {"sender": replace(SENDER, revoked=True)}, "revoked", "", 0),
    "a proof": (
        sealed(fact(auth={"method": "pin", "verified": True})), {}, "claims-proof", "auth", 0,
    ),
    "through another": (
        sealed(fact(auth=AUTH | {"through": "tab-other"})), {}, "claims-proof", "auth.through", 0,
    ),
    "a gap": (sealed(fact(number=3, dprev="a" * 64)), {"head": (1, "b" * 64)}, "gap", "dseq", 2),
    "a number before": (sealed(fact()), {"head": (4, "4" * 64)}, "number-taken", "dseq", 0),
    "the last number": (sealed(fact()), {"head": (1, "4" * 64)}, "number-taken", "dseq", 0),
    "another before it": (
        sealed(fact(number=2, dprev="a" * 64)), {"head": (1, "b" * 64)}, "does-not-follow", "dprev",
        0,
    ),
    "a root of nothing": (stray({"size": 0, "root": "a" * 64}), {}, "other-history", "seen", 0),
    "another root": (stray({"size": 5, "root": "4" * 64}), {}, "other-history", "seen", 0),
    "more than there is": (stray({"size": 6, "root": "5" * 64}), {}, "ahead", "seen", 0),
}  # fmt: skip


@pytest.mark.parametrize("case", WHERE)
def test_a_refusal_says_what_in_the_entry_it_is_about(case: str) -> None:
    sent, changes, why, about, send_from = WHERE[case]
    found = refused(sent, **dict(changes))
    assert (found.why, found.about, found.send_from) == (why, about, send_from)


def test_a_kind_that_a_device_may_not_say_is_told_by_its_field() -> None:
    chosen = sealed(fact(kind="rules-chosen", body={"rules": "none"}))
    found = refused(chosen)
    assert (found.why, found.about) == ("kind", "type")


def test_the_record_is_asked_by_this_entrys_id_and_this_entry_is_held_to_the_site() -> None:
    asked: list[str] = []
    held: list[Entry] = []

    def bytes_of(entry_id: str) -> None:
        asked.append(entry_id)

    weigh(sealed(fact()), SENDER, ground(bytes_of=bytes_of, object_to=held.append))
    assert asked == [fact().id]
    assert held == [fact()]


@pytest.mark.parametrize("change", [str.upper, lambda sig: sig[:-2], lambda sig: sig + "00"])
def test_a_signature_is_64_bytes_in_lower_case(change: Any) -> None:
    sent = sealed(fact())
    assert any(letter.isalpha() for letter in sent.sig)
    found = refused(replace(sent, sig=change(sent.sig)))
    assert (found.why, found.sig) == ("signature", b"")


def test_a_signature_that_fits_is_handed_on_with_its_bytes() -> None:
    sent = sealed(fact())
    found = weigh(sent, SENDER, ground())
    assert (found.raw, found.sig.hex(), found.id) == (RAW, sent.sig, fact().id)


def test_of_too_long_a_text_one_byte_more_than_is_allowed_is_handed_on() -> None:
    found = refused(Sealed("x" * 20_000, ""))
    assert len(found.raw) == 16 * 1024 + 1
    assert found.sha256 == digest(b"x" * 20_000)
