"""A site's own certificate authority, held to that site's names, and the certificate of its server.

Tablets trust the authority for good, so its reach is kept small: a critical name constraint holds
it to the names and addresses that it was made for, and whoever takes its key can pretend to be this
site and no other (RFC 5280 section 4.2.1.10).
"""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from lanewater.terms.errors import InputError

AUTHORITY_DAYS = 3650
# Browsers refuse what holds longer than 398 days (from memory); tablets' clocks differ by a day.
SERVER_DAYS = 396
RENEW_BEFORE_DAYS = 60
DAY = timedelta(days=1)
# An authority without names is held to one that never exists (RFC 2606), not left free.
NOWHERE = "invalid"
MOST_NAMES = 20
LABEL = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?", re.ASCII)

Address = ipaddress.IPv4Address | ipaddress.IPv6Address


@dataclass(frozen=True, slots=True)
class SiteNames:
    """Under what a site is found: host names, and addresses."""

    hosts: tuple[str, ...]
    addresses: tuple[Address, ...]

    @property
    def first(self) -> str:
        """Give the name to tell people: an address needs nothing that answers for names."""
        return str(self.addresses[0]) if self.addresses else self.hosts[0]

    @property
    def in_urls(self) -> tuple[str, ...]:
        """Give every name as it stands in an address of the web, in small letters."""
        written = [f"[{one}]" if one.version == 6 else str(one) for one in self.addresses]
        return (*self.hosts, *written)


@dataclass(frozen=True, slots=True)
class Issued:
    """A certificate with its key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey


def names_of(texts: Sequence[str]) -> SiteNames:
    """Read the names and addresses of a site.

    Raises
    ------
    InputError
        Naming the one that is neither.
    """
    hosts: list[str] = []
    addresses: list[Address] = []
    for text in texts:
        try:
            addresses.append(ipaddress.ip_address(text.strip("[]")))
        except ValueError:
            hosts.append(host_name(text))
            continue
        if addresses[-1].is_unspecified or addresses[-1].is_multicast:
            raise InputError("names", f"{text[:60]} is not the address of a machine")
    if not 0 < len(hosts) + len(addresses) <= MOST_NAMES:
        raise InputError("names", f"must be 1 to {MOST_NAMES} names or addresses")
    return SiteNames(tuple(dict.fromkeys(hosts)), tuple(dict.fromkeys(addresses)))


def host_name(text: str) -> str:
    """Read one host name; a constraint reaches below a name, so a bare first level is refused."""
    name = text.lower().rstrip(".")
    labels = name.split(".")
    if len(name) > 253 or not all(map(LABEL.fullmatch, labels)) or labels[-1].isdigit():
        raise InputError(
            "names", f"{text[:60]!r} is no host name and no address (pool.lan, 192.168.1.20)"
        )
    if len(labels) < 2:
        raise InputError(
            "names",
            f"{text[:60]!r} stands for everything that ends in .{name[:60]}: name the machine in "
            f"full ({name[:60]}.lan, {name[:60]}.local), or give its address",
        )
    return name


def new_authority(names: SiteNames, now: datetime) -> Issued:
    """Make the authority of a site.

    Parameters
    ----------
    names : SiteNames
        All that it may ever speak for.
    now : datetime
        With its time zone.
    """
    key = ec.generate_private_key(ec.SECP256R1())
    who = subject_of(f"Lanewater, for {names.first} alone")
    builder = (
        drafted(who, who, key, now, AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage(signs_certificates=True), critical=True)
        .add_extension(constraint_of(names), critical=True)
    )
    return Issued(builder.sign(key, hashes.SHA256()), key)


def new_server(authority: Issued, names: SiteNames, now: datetime) -> Issued:
    """Make the certificate of a site's server.

    Parameters
    ----------
    authority : Issued
        Who signs it.
    names : SiteNames
        Under what the server is found.
    now : datetime
        With its time zone. It holds for 397 days from a day before, and not past its authority.
    """
    above = authority.certificate
    left = (above.not_valid_after_utc - now) // DAY
    key = ec.generate_private_key(ec.SECP256R1())
    found: list[x509.GeneralName] = [x509.DNSName(name) for name in names.hosts]
    found += [x509.IPAddress(address) for address in names.addresses]
    builder = (
        drafted(subject_of("Lanewater server"), above.subject, key, now, min(SERVER_DAYS, left))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(found), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.key.public_key()),
            critical=False,
        )
    )
    return Issued(builder.sign(authority.key, hashes.SHA256()), key)


def drafted(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, now: datetime, days: int
) -> x509.CertificateBuilder:
    """Begin a certificate: whose, by whom, and from a day ago for so many days from now."""
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - DAY)
        .not_valid_after(now + days * DAY)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def subject_of(name: str) -> x509.Name:
    """Write a name that no machine has, so that none is taken from it."""
    return x509.Name([x509.NameAttribute(NameOID.ORGANIZATION_NAME, name[:64])])


def usage(*, signs_certificates: bool) -> x509.KeyUsage:
    """Say what a key is for: certificates, or talking."""
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def constraint_of(names: SiteNames) -> x509.NameConstraints:
    """Hold an authority to names; a kind of name that is not spoken of would be free."""
    allowed: list[x509.GeneralName] = [x509.DNSName(name) for name in names.hosts or (NOWHERE,)]
    allowed += [x509.IPAddress(ipaddress.ip_network(address)) for address in names.addresses]
    refused: list[x509.GeneralName] | None = None
    if not names.addresses:
        every = ("0.0.0.0/0", "::/0")
        refused = [x509.IPAddress(ipaddress.ip_network(net)) for net in every]
    return x509.NameConstraints(permitted_subtrees=allowed, excluded_subtrees=refused)


def names_in(certificate: x509.Certificate) -> SiteNames:
    """Give the names of a server's certificate."""
    found = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    hosts = found.get_values_for_type(x509.DNSName)
    addresses = found.get_values_for_type(x509.IPAddress)
    return SiteNames(tuple(hosts), tuple(addresses))  # type: ignore[arg-type]  # networks stand in constraints only


def fingerprint(certificate: x509.Certificate) -> str:
    """Give a certificate's SHA-256 as tablets show it: "AB:CD:..."."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def days_left(certificate: x509.Certificate, now: datetime) -> int:
    """Give how many whole days a certificate still holds; below 0 once it has ended."""
    return (certificate.not_valid_after_utc - now) // DAY


def key_text(key: ec.EllipticCurvePrivateKey) -> bytes:
    """Write a key as PEM, in the clear: the folder's rights keep it."""
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )


def certificate_text(certificate: x509.Certificate) -> bytes:
    """Write a certificate as PEM."""
    return certificate.public_bytes(serialization.Encoding.PEM)
