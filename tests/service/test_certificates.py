"""An authority that speaks for one site: two independent verifiers hold it to that."""

from __future__ import annotations

import ipaddress
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from lanewater.service.certificates import (
    Issued,
    SiteNames,
    certificate_text,
    days_left,
    fingerprint,
    names_in,
    names_of,
    new_authority,
    new_server,
)
from lanewater.terms.errors import InputError

NOW = datetime(2026, 11, 26, 5, 45, tzinfo=UTC)
BOTH = names_of(["baths.lan", "192.168.1.20"])
HOSTS_ONLY = names_of(["baths.lan"])
ADDRESS_ONLY = names_of(["192.168.1.20"])


def cryptography_takes(authority: Issued, server: Issued, name: str, at: datetime = NOW) -> bool:
    """Ask cryptography whether a server is who it says."""
    subject: x509.DNSName | x509.IPAddress
    try:
        subject = x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        subject = x509.DNSName(name)
    store = Store([authority.certificate])
    try:
        verifier = PolicyBuilder().store(store).time(at).build_server_verifier(subject)
        verifier.verify(server.certificate, [])
    except VerificationError:
        return False
    return True


def openssl_takes(folder: Path, authority: Issued, server: Issued, name: str) -> bool:
    """Ask openssl whether a server is who it says."""
    (folder / "ca.crt").write_bytes(certificate_text(authority.certificate))
    (folder / "server.crt").write_bytes(certificate_text(server.certificate))
    flag = "-verify_ip" if name[0].isdigit() or ":" in name else "-verify_hostname"
    command = ["openssl", "verify", "-x509_strict", "-purpose", "sslserver"]
    command += ["-attime", str(int(NOW.timestamp())), "-CAfile", str(folder / "ca.crt")]
    command += [flag, name, str(folder / "server.crt")]
    return subprocess.run(command, capture_output=True, check=False).returncode == 0


@pytest.mark.parametrize(
    ("names", "name"),
    [
        (BOTH, "baths.lan"),
        (BOTH, "192.168.1.20"),
        (HOSTS_ONLY, "baths.lan"),
        (ADDRESS_ONLY, "192.168.1.20"),
        (names_of(["fd00::20"]), "fd00::20"),
    ],
)
def test_a_server_under_the_sites_own_name_is_believed(
    tmp_path: Path, names: SiteNames, name: str
) -> None:
    authority = new_authority(names, NOW)
    server = new_server(authority, names, NOW)
    assert cryptography_takes(authority, server, name)
    assert openssl_takes(tmp_path, authority, server, name)


@pytest.mark.parametrize("held_to", [BOTH, HOSTS_ONLY, ADDRESS_ONLY])
@pytest.mark.parametrize(
    "other",
    ["bank.example", "baths.lan.evil.example", "evilbaths.lan", "192.168.1.21", "8.8.8.8", "::1"],
)
def test_whoever_has_the_authoritys_key_is_believed_for_no_other_name(
    tmp_path: Path, held_to: SiteNames, other: str
) -> None:
    authority = new_authority(held_to, NOW)
    stolen = new_server(authority, names_of([other]), NOW)
    assert not cryptography_takes(authority, stolen, other)
    assert not openssl_takes(tmp_path, authority, stolen, other)
    # The planted fault: an authority without the constraint is believed for it by both.
    free = unconstrained(authority)
    assert cryptography_takes(free, stolen, other)
    assert openssl_takes(tmp_path, free, stolen, other)


def unconstrained(authority: Issued) -> Issued:
    """Make the same authority, with the same key, held to nothing."""
    found = authority.certificate
    builder = (
        x509.CertificateBuilder()
        .subject_name(found.subject)
        .issuer_name(found.issuer)
        .public_key(authority.key.public_key())
        .serial_number(1)
        .not_valid_before(found.not_valid_before_utc)
        .not_valid_after(found.not_valid_after_utc)
    )
    for extension in found.extensions:
        if not isinstance(extension.value, x509.NameConstraints):
            builder = builder.add_extension(extension.value, critical=extension.critical)
    return Issued(builder.sign(authority.key, found.signature_hash_algorithm), authority.key)


def test_the_authority_makes_no_further_authorities(tmp_path: Path) -> None:
    authority = new_authority(BOTH, NOW)
    constraints = authority.certificate.extensions.get_extension_for_class(x509.BasicConstraints)
    assert constraints.critical
    assert constraints.value == x509.BasicConstraints(ca=True, path_length=0)


def test_a_server_holds_397_days_at_most_and_never_past_its_authority() -> None:
    authority = new_authority(BOTH, NOW)
    server = new_server(authority, BOTH, NOW).certificate
    assert server.not_valid_after_utc - server.not_valid_before_utc <= timedelta(days=397)
    late = authority.certificate.not_valid_after_utc - timedelta(days=30)
    last = new_server(authority, BOTH, late).certificate
    assert last.not_valid_after_utc <= authority.certificate.not_valid_after_utc
    assert cryptography_takes(authority, Issued(last, authority.key), "baths.lan", late)


def test_an_ended_certificate_is_not_believed() -> None:
    authority = new_authority(BOTH, NOW)
    server = new_server(authority, BOTH, NOW)
    assert cryptography_takes(authority, server, "baths.lan", NOW + timedelta(days=395))
    assert not cryptography_takes(authority, server, "baths.lan", NOW + timedelta(days=397))
    assert days_left(server.certificate, NOW) == 396
    assert days_left(server.certificate, NOW + timedelta(days=398)) < 0


def test_names_come_back_as_they_were_given() -> None:
    authority = new_authority(BOTH, NOW)
    assert names_in(new_server(authority, BOTH, NOW).certificate) == BOTH
    assert names_of(["[fd00::20]"]).in_urls == ("[fd00::20]",)
    assert BOTH.in_urls == ("baths.lan", "192.168.1.20")
    assert BOTH.first == "192.168.1.20"


def test_the_fingerprint_is_written_as_tablets_write_it() -> None:
    parts = fingerprint(new_authority(BOTH, NOW).certificate).split(":")
    assert len(parts) == 32
    assert all(len(part) == 2 and part == part.upper() for part in parts)


@pytest.mark.parametrize(
    "text",
    ["lan", "com", "*.baths.lan", "baths..lan", "-a.lan", "a b.lan", "", "baths.lan/", "1.2.3",
     "0.0.0.0", "::",  # noqa: S104  refused here
     "224.0.0.1", "bäder.lan", "baths.lan:8321", "x" * 64 + ".lan"],
)  # fmt: skip
def test_what_is_no_machines_name_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="names"):
        names_of([text])


def test_one_name_at_least_and_twenty_at_most() -> None:
    for texts in ([], [f"b{number}.lan" for number in range(21)]):
        with pytest.raises(InputError, match="1 to 20"):
            names_of(texts)
