"""A device signs what it says; nothing else passes for it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.records.entry_cases import KEY, entry

from lanewater.records.entries import canonical
from lanewater.records.signing import (
    ALGORITHM,
    SignatureError,
    check_signature,
    device_of,
    key_bytes,
    key_from,
    make_key,
    sign,
)
from lanewater.terms.errors import InputError

RAW = canonical(entry())
SIGNATURE = sign(KEY, RAW)


def test_a_signature_fits_its_entry_and_device() -> None:
    check_signature(ALGORITHM, KEY.public_hex, RAW, SIGNATURE)


@given(st.integers(0, (len(RAW) + 64) * 8 - 1))
def test_one_flipped_bit_is_seen(bit: int) -> None:
    whole = bytearray(RAW + SIGNATURE)
    whole[bit // 8] ^= 1 << bit % 8
    with pytest.raises(SignatureError):
        check_signature(
            ALGORITHM, KEY.public_hex, bytes(whole[: len(RAW)]), bytes(whole[len(RAW) :])
        )


def test_another_devices_key_does_not_fit() -> None:
    with pytest.raises(SignatureError):
        check_signature(ALGORITHM, make_key().public_hex, RAW, SIGNATURE)


@pytest.mark.parametrize(
    ("algorithm", "public"), [("none", KEY.public_hex), (ALGORITHM, "zz"), (ALGORITHM, "00")]
)
def test_an_unknown_algorithm_or_broken_key_is_refused(algorithm: str, public: str) -> None:
    with pytest.raises(SignatureError):
        check_signature(algorithm, public, RAW, SIGNATURE)


def test_a_signature_of_the_bare_bytes_does_not_pass() -> None:
    with pytest.raises(SignatureError):
        check_signature(ALGORITHM, KEY.public_hex, RAW, KEY.private.sign(RAW))


def test_a_key_comes_back_from_its_bytes() -> None:
    again = key_from(key_bytes(KEY))
    assert again.public_hex == KEY.public_hex
    assert again.device == KEY.device == device_of(KEY.public_hex)


def test_a_key_cut_short_is_refused() -> None:
    with pytest.raises(InputError, match="32 bytes"):
        key_from(key_bytes(KEY)[:-1])
