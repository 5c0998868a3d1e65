"""A device signs what it says; nothing else passes for it."""

from __future__ import annotations

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from hypothesis import given
from hypothesis import strategies as st
from tests.records.entry_cases import KEY, entry

from lanewater.records.entries import canonical
from lanewater.records.signing import (
    ALGORITHM,
    ECDSA,
    SignatureError,
    check_signature,
    device_of,
    key_bytes,
    key_from,
    make_key,
    sign,
    signed_message,
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
    ("algorithm", "public"),
    [("none", KEY.public_hex), (ALGORITHM, "zz"), (ALGORITHM, "00")],
    ids=["no algorithm", "no hexadecimal", "one byte"],
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


CURVE_KEY = ec.generate_private_key(ec.SECP256R1())
POINT = CURVE_KEY.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint).hex()


def on_the_curve(message: bytes) -> bytes:
    """Sign as a browser does: r and s, 32 bytes each."""
    r, s = decode_dss_signature(CURVE_KEY.sign(message, ec.ECDSA(SHA256())))
    return r.to_bytes(32) + s.to_bytes(32)


CURVED = on_the_curve(signed_message(RAW))


def test_a_browsers_ecdsa_signature_fits_its_entry_and_device() -> None:
    check_signature(ECDSA, POINT, RAW, CURVED)
    assert device_of(POINT).startswith("dev-")


@given(st.integers(0, (len(RAW) + 64) * 8 - 1))
def test_one_flipped_bit_under_ecdsa_is_seen(bit: int) -> None:
    whole = bytearray(RAW + CURVED)
    whole[bit // 8] ^= 1 << bit % 8
    with pytest.raises(SignatureError):
        check_signature(ECDSA, POINT, bytes(whole[: len(RAW)]), bytes(whole[len(RAW) :]))


@pytest.mark.parametrize(
    "signature",
    [b"", CURVED[:-1], CURVED + b"\0", bytes(64), b"\xff" * 64],
    ids=["empty", "cut short", "a byte more", "zeros", "ones"],
)
def test_an_ecdsa_signature_of_another_shape_is_refused(signature: bytes) -> None:
    with pytest.raises(SignatureError):
        check_signature(ECDSA, POINT, RAW, signature)


@pytest.mark.parametrize(
    "public",
    ["", "04", POINT[:-2], "02" + POINT[2:66], "04" + "11" * 64],
    ids=["empty", "no point", "cut short", "compressed", "off the curve"],
)
def test_a_point_that_is_not_on_the_curve_or_not_written_out_is_refused(public: str) -> None:
    with pytest.raises(SignatureError):
        check_signature(ECDSA, public, RAW, CURVED)


def test_one_algorithm_does_not_pass_for_the_other() -> None:
    for algorithm, public, signature in (
        (ECDSA, KEY.public_hex, SIGNATURE),
        (ALGORITHM, POINT, CURVED),
    ):
        with pytest.raises(SignatureError):
            check_signature(algorithm, public, RAW, signature)
