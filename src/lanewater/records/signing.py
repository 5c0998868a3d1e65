"""Device keys: Ed25519, named by algorithm in the entry that enrols the device."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
)

from lanewater.records.entries import signed_message
from lanewater.terms.errors import InputError, LanewaterError

ALGORITHM = "ed25519"


class SignatureError(LanewaterError):
    """An entry does not carry the signature of the device it names."""

    exit_code = 4


@dataclass(frozen=True, slots=True)
class DeviceKey:
    """A device's own signing key."""

    private: Ed25519PrivateKey

    @property
    def public_hex(self) -> str:
        """Give the public key as 64 hexadecimal digits."""
        return self.private.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw).hex()

    @property
    def device(self) -> str:
        """Give the device's id, which follows from its public key."""
        return device_of(self.public_hex)


def device_of(public_hex: str) -> str:
    """Give the device id of a public key: the first 20 digits of its SHA-256."""
    return "dev-" + hashlib.sha256(bytes.fromhex(public_hex)).hexdigest()[:20]


def make_key() -> DeviceKey:
    """Make a new device key."""
    return DeviceKey(Ed25519PrivateKey.generate())


def key_bytes(key: DeviceKey) -> bytes:
    """Give the private key as 32 raw bytes, to be kept where only its owner reads."""
    return key.private.private_bytes(Encoding.Raw, PrivateFormat.Raw, NoEncryption())


def key_from(raw: bytes) -> DeviceKey:
    """Read a private key from its 32 raw bytes."""
    if len(raw) != 32:
        raise InputError("device key", f"must be 32 bytes, not {len(raw)}")
    return DeviceKey(Ed25519PrivateKey.from_private_bytes(raw))


def sign(key: DeviceKey, raw: bytes) -> bytes:
    """Sign an entry's bytes, 64 bytes of signature."""
    return key.private.sign(signed_message(raw))


def check_signature(algorithm: str, public_hex: str, raw: bytes, signature: bytes) -> None:
    """Hold an entry's bytes to the signature of its device.

    Raises
    ------
    SignatureError
        Where the algorithm is not known or the signature does not fit.
    """
    if algorithm != ALGORITHM:
        raise SignatureError(f"signature: the algorithm {algorithm!r} is not known; {ALGORITHM} is")
    try:
        public = Ed25519PublicKey.from_public_bytes(bytes.fromhex(public_hex))
        public.verify(signature, signed_message(raw))
    except (InvalidSignature, ValueError):
        raise SignatureError("signature: does not fit the entry and its device") from None
