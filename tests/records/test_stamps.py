"""A stamp says one thing, in one spelling, and only the log's key can say it."""

from __future__ import annotations

import base64
import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lanewater.records.signing import key_from
from lanewater.records.stamps import (
    Head,
    handover_holds,
    handover_word,
    key_id,
    make_receipt,
    make_stamp,
    origin_of,
    read_stamp,
    receipt_holds,
    stamp_holds,
)
from lanewater.terms.errors import InputError

KEY, OTHER = key_from(b"\x07" * 32), key_from(b"\x08" * 32)
FIRST = hashlib.sha256(b"first").hexdigest()
HEAD = Head(origin_of("baths", FIRST, 2), 1234, bytes(range(32)))
NOTE = make_stamp(HEAD, KEY)
BODY = {
    "origin": HEAD.origin,
    "index": 17,
    "leaf": "ab" * 32,
    "id": "0192f0c1-0000-7000-8000-000000000001",
    "received_at": "2026-11-25T10:00:00.000Z",
}


def test_a_stamp_is_three_lines_a_blank_one_and_a_signature() -> None:
    lines = NOTE.split("\n")
    assert lines[:4] == [
        f"lanewater/baths/{FIRST[:16]}/2",
        "1234",
        base64.b64encode(HEAD.root).decode(),
        "",
    ]
    assert lines[4].startswith(f"— lanewater/baths/{FIRST[:16]} ")
    assert lines[5:] == [""]


def test_a_stamp_comes_back_as_it_was_made_and_holds() -> None:
    stamp = read_stamp(NOTE)
    assert stamp.head == HEAD
    assert (stamp.head.epoch, stamp.head.name) == (2, f"lanewater/baths/{FIRST[:16]}")
    assert stamp_holds(stamp, KEY.public_hex, HEAD.name)


def test_the_key_id_is_the_one_of_the_signed_note_format() -> None:
    named = b"example.org/log\n\x01" + bytes.fromhex(KEY.public_hex)
    assert key_id("example.org/log", KEY.public_hex) == hashlib.sha256(named).digest()[:4]


@pytest.mark.parametrize(
    ("public", "name"),
    [(OTHER.public_hex, HEAD.name), (KEY.public_hex, HEAD.origin), ("zz", HEAD.name), ("", "x")],
)
def test_another_key_or_another_name_does_not_hold(public: str, name: str) -> None:
    assert not stamp_holds(read_stamp(NOTE), public, name)


def test_a_witness_beside_the_log_is_passed_over() -> None:
    witness = NOTE.split("\n")[4].replace(HEAD.name, "council.example/records")
    assert stamp_holds(read_stamp(f"{NOTE}{witness}\n"), KEY.public_hex, HEAD.name)


def test_a_bad_signature_beside_a_good_one_of_the_same_key_does_not_hold() -> None:
    line = NOTE.split("\n")[4]
    raw = bytearray(base64.b64decode(line.rsplit(" ", 1)[1]))
    raw[-1] ^= 1
    forged = f"— {HEAD.name} {base64.b64encode(bytes(raw)).decode()}"
    assert not stamp_holds(read_stamp(f"{NOTE}{forged}\n"), KEY.public_hex, HEAD.name)


@given(st.integers(0, len(NOTE.encode()) * 8 - 1))
def test_one_flipped_bit_is_refused_or_does_not_hold(bit: int) -> None:
    raw = bytearray(NOTE.encode())
    raw[bit // 8] ^= 1 << bit % 8
    try:
        stamp = read_stamp(raw.decode())
    except (InputError, UnicodeDecodeError):
        return
    assert not stamp_holds(stamp, KEY.public_hex, HEAD.name)


LINES = NOTE.split("\n")
NO_FORM = "stamp: must be three lines, a blank line and a signature"
CUT_SHORT = "stamp: must end with a line feed; its last line may be cut short"
NO_ORIGIN = "stamp line 1: must be an origin such as lanewater/SITE/0123…/1"
NO_SIZE = "stamp line 2: must be the number of entries, without leading zeros"
NO_SIGNATURE = 'stamp signature: must be "— NAME BASE64"'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", NO_FORM),
        ("\n", NO_FORM),
        (NOTE[:-1], CUT_SHORT),
        (NOTE + "\n", NO_SIGNATURE),
        (NOTE.replace("\n", "\r\n"), NO_FORM),
        (NOTE.replace("\n1234\n", "\n01234\n"), NO_SIZE),
        (NOTE.replace("\n1234\n", "\n+1234\n"), NO_SIZE),
        (NOTE.replace("\n1234\n", "\n-1\n"), NO_SIZE),
        (NOTE.replace("\n1234\n", "\n9007199254740992\n"), NO_SIZE),
        (NOTE.replace("\n1234\n", "\n１２３４\n"), NO_SIZE),
        (NOTE.replace("/2\n", "/0\n"), NO_ORIGIN),
        (NOTE.replace("/2\n", "/02\n"), NO_ORIGIN),
        (NOTE.replace("/2\n", "\n", 1), NO_ORIGIN),
        (NOTE.replace("/2\n", "/2 \n"), NO_ORIGIN),
        (NOTE.replace(LINES[2], LINES[2][:-1]), "stamp line 3: is not base64"),
        (NOTE.replace(LINES[2], "AA=A"), "stamp line 3: is not base64"),
        (
            NOTE.replace(LINES[2], LINES[2][:-2] + "9="),
            "stamp line 3: is not base64 in its one spelling",
        ),
        (
            NOTE.replace(LINES[2], base64.b64encode(bytes(31)).decode()),
            "stamp line 3: holds 31 bytes, which cannot be right",
        ),
        (NOTE.replace("\n\n", "\nanother line\n\n"), NO_FORM),
        (NOTE.replace("— ", "- "), NO_SIGNATURE),
        (
            "\n".join([*LINES[:4], f"— {HEAD.name} AAAA", ""]),
            "stamp signature: holds 3 bytes, which cannot be right",
        ),
        (
            "\n".join([*LINES[:4], f"— {HEAD.name} AAAAAA==", ""]),
            "stamp signature: holds 4 bytes, which cannot be right",
        ),
        (
            "\n".join([*LINES[:4], f"— {HEAD.name} AAAAA", ""]),
            "stamp signature: is not base64",
        ),
        (NOTE + "— x AAAAAAA=\n" * 16, "stamp: carries more than 16 signatures"),
        (NOTE + NOTE[NOTE.index("—") :] * 40, "stamp: is longer than 4096 characters"),
    ],
)
def test_a_stamp_written_in_any_other_way_is_refused_and_told_why(text: str, said: str) -> None:
    assert text != NOTE
    with pytest.raises(InputError) as caught:
        read_stamp(text)
    assert str(caught.value) == said


def test_the_largest_stamp_is_read_to_its_last_character() -> None:
    size = Head(HEAD.origin, 2**53 - 1, HEAD.root)
    assert read_stamp(make_stamp(size, KEY)).head == size
    assert len(read_stamp(NOTE + "— x AAAAAAA=\n" * 15).signatures) == 16
    left = 4096 - len(NOTE) - len("—  \n")
    name = "x" * (4 + left % 4)
    full = f"{NOTE}— {name} {'A' * (left - len(name))}\n"
    assert len(full) == 4096
    assert len(read_stamp(full).signatures) == 2
    with pytest.raises(InputError, match="is longer than 4096"):
        read_stamp(full.replace(" xxxx", " xxxxx", 1))


def test_an_origin_names_site_first_entry_and_epoch() -> None:
    assert origin_of("baths", FIRST, 1) == f"lanewater/baths/{FIRST[:16]}/1"
    assert len(origin_of("baths", FIRST, 1).split("/")[2]) == 16


def test_a_receipt_holds_for_what_it_says_and_nothing_else() -> None:
    receipt = make_receipt(KEY, BODY)
    assert receipt_holds(receipt, KEY.public_hex)
    assert not receipt_holds(receipt, OTHER.public_hex)
    for name in BODY:
        assert not receipt_holds({**receipt, name: "changed"}, KEY.public_hex)
        assert not receipt_holds({k: v for k, v in receipt.items() if k != name}, KEY.public_hex)
    assert not receipt_holds({**receipt, "more": 1}, KEY.public_hex)


@pytest.mark.parametrize("odd", [None, 1.5, float("nan"), 2**60, {"a": None}, "\ud800"])
def test_an_odd_receipt_is_refused_without_a_crash(odd: object) -> None:
    receipt = make_receipt(KEY, BODY)
    assert not receipt_holds({**receipt, "index": odd}, KEY.public_hex)
    assert not receipt_holds({**receipt, "sig": odd}, KEY.public_hex)


def test_a_new_log_key_needs_the_old_ones_word() -> None:
    word = handover_word(KEY, OTHER.public_hex)
    assert handover_holds(word, KEY.public_hex, OTHER.public_hex)
    assert not handover_holds(word, OTHER.public_hex, KEY.public_hex)
    assert not handover_holds(word, KEY.public_hex, KEY.public_hex)
    for odd in ("", "zz", "00" * 64):
        assert not handover_holds(odd, KEY.public_hex, OTHER.public_hex)


def test_what_one_signature_says_no_other_kind_of_signature_can_say() -> None:
    bare = KEY.private.sign(bytes.fromhex(OTHER.public_hex)).hex()
    assert not handover_holds(bare, KEY.public_hex, OTHER.public_hex)
    note = read_stamp(make_stamp(HEAD, KEY))
    signature = note.signatures[0][2]
    assert not receipt_holds({**BODY, "sig": signature.hex()}, KEY.public_hex)
    assert not handover_holds(signature.hex(), KEY.public_hex, OTHER.public_hex)
