"""Device keys: Ed25519 or ECDSA P-256, as the entry that enrols the device names it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
)

from lanewater.records.entries import signed_message
from lanewater.terms.errors import InputError, LanewaterError

ALGORITHM = "ed25519"
ECDSA = "ecdsa-p256"  # what browsers sign with that do not know Ed25519
SIGNATURE_BYTES = 64


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
    holds = CHECKS.get(algorithm)
    if holds is None:
        known = " and ".join(CHECKS)
        raise SignatureError(f"signature: the algorithm {algorithm!r} is not known; {known} are")
    if not holds(public_hex, signed_message(raw), signature):
        raise SignatureError("signature: does not fit the entry and its device")


def ed25519_holds(public_hex: str, message: bytes, signature: bytes) -> bool:
    """Tell whether an Ed25519 signature fits; False on a key that is none."""
    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(public_hex)).verify(signature, message)
    except (InvalidSignature, ValueError):
        return False
    return True


def ecdsa_holds(public_hex: str, message: bytes, signature: bytes) -> bool:
    """Tell whether an ECDSA signature on P-256 with SHA-256 fits; False on a key that is none.

    Parameters
    ----------
    public_hex : str
        The uncompressed point, 65 bytes (04, x, y), hexadecimal.
    message, signature : bytes
        The signature is r and s, 32 bytes each, as browsers write it.
    """
    if len(signature) != SIGNATURE_BYTES or not public_hex.startswith("04"):
        return False
    r, s = int.from_bytes(signature[:32]), int.from_bytes(signature[32:])
    try:
        point = bytes.fromhex(public_hex)
        public = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), point)
        public.verify(encode_dss_signature(r, s), message, ec.ECDSA(SHA256()))
    except (InvalidSignature, ValueError):
        return False
    return True


CHECKS = {ALGORITHM: ed25519_holds, ECDSA: ecdsa_holds}
