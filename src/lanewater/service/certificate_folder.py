"""The folder of a certificate: the authority, its key, and what the server speaks TLS with."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import load_pem_private_key

from lanewater.service.certificates import (
    RENEW_BEFORE_DAYS,
    Issued,
    SiteNames,
    certificate_text,
    days_left,
    key_text,
    names_in,
    new_authority,
    new_server,
)
from lanewater.service.flushed import keep_file, make_folder
from lanewater.terms.errors import MissingError, RefusedError

FOLDER = "certificate"


@dataclass(frozen=True, slots=True)
class CertificateFolder:
    """Where a site's certificate lies."""

    path: Path

    @property
    def authority(self) -> Path:
        """Give the file of the authority's certificate, which tablets take."""
        return self.path / "authority.crt"

    @property
    def authority_key(self) -> Path:
        """Give the file of the authority's key, which may be kept elsewhere."""
        return self.path / "authority.key"

    @property
    def server(self) -> Path:
        """Give the file of the server's key and certificate: one file, so that they fit."""
        return self.path / "server.pem"


def make_certificate(folder: CertificateFolder, names: SiteNames, now: datetime) -> None:
    """Make an authority for these names and the server's first certificate.

    Raises
    ------
    RefusedError
        Where the folder holds one: tablets trust that, and would have to be visited again.
    """
    if folder.authority.exists() or folder.authority_key.exists():
        raise RefusedError(
            f"{folder.path} holds a certificate, and tablets may trust it. 'certificate renew' "
            "goes on with it; for other names move the folder away, make a new one, and visit "
            "every tablet again"
        )
    authority = new_authority(names, now)
    make_folder(folder.path)
    keep_file(folder.authority_key, key_text(authority.key))
    keep_file(folder.authority, certificate_text(authority.certificate))
    put_server(folder, new_server(authority, names, now))


def renew_certificate(folder: CertificateFolder, now: datetime) -> None:
    """Make the server's next certificate, under the same names and authority.

    Raises
    ------
    MissingError
        Where the authority's key is not there.
    RefusedError
        Where the authority itself ends: tablets must be brought to trust another.
    """
    authority = Issued(read_certificate(folder.authority), read_key(folder.authority_key))
    if days_left(authority.certificate, now) < 1:
        raise RefusedError(
            "the authority itself has ended: move the folder away, make a new one with "
            "'certificate new', and visit every tablet again"
        )
    put_server(folder, new_server(authority, names_in(server_certificate(folder)), now))


def renew_where_due(folder: CertificateFolder, now: datetime) -> bool:
    """Renew the server's certificate where its end is near and the authority's key is at hand."""
    if not due(folder, now) or not folder.authority_key.exists():
        return False
    renew_certificate(folder, now)
    return True


def due(folder: CertificateFolder, now: datetime) -> bool:
    """Tell whether the server's certificate ends soon, and a new one would hold longer."""
    server, authority = server_certificate(folder), read_certificate(folder.authority)
    near = days_left(server, now) < RENEW_BEFORE_DAYS
    return near and authority.not_valid_after_utc > server.not_valid_after_utc


def warnings_of(folder: CertificateFolder, now: datetime) -> list[str]:
    """Say what about a certificate wants somebody soon; nothing where all is well."""
    server = days_left(server_certificate(folder), now)
    authority = days_left(read_certificate(folder.authority), now)
    found = []
    if authority < RENEW_BEFORE_DAYS:
        found.append(
            f"the certificate authority ends in {authority} days: make a new one "
            "('certificate new' in another folder) and visit every tablet"
            if authority >= 0
            else "the certificate authority has ended: no tablet connects any more"
        )
    elif server < RENEW_BEFORE_DAYS:
        found.append(
            f"the server's certificate ends in {server} days: put authority.key in its folder "
            "and run 'lanewater certificate renew'"
            if server >= 0
            else "the server's certificate has ended: no tablet connects; 'certificate renew'"
        )
    return found


def put_server(folder: CertificateFolder, made: Issued) -> None:
    """Put the server's key and certificate in place, together."""
    keep_file(folder.server, key_text(made.key) + certificate_text(made.certificate))


def server_certificate(folder: CertificateFolder) -> x509.Certificate:
    """Read the server's certificate."""
    return read_certificate(folder.server)


def read_certificate(path: Path) -> x509.Certificate:
    """Read a certificate.

    Raises
    ------
    MissingError
        Where there is none.
    """
    try:
        return x509.load_pem_x509_certificate(path.read_bytes())
    except (OSError, ValueError):
        raise MissingError(
            f"{path}: there is no certificate; make one with 'lanewater certificate new'"
        ) from None


def read_key(path: Path) -> ec.EllipticCurvePrivateKey:
    """Read the authority's key.

    Raises
    ------
    MissingError
        Where it is not there.
    """
    try:
        found = load_pem_private_key(path.read_bytes(), None)
    except (OSError, ValueError, TypeError):
        found = None
    if not isinstance(found, ec.EllipticCurvePrivateKey):
        raise MissingError(f"{path}: the authority's key is not there; put it back to renew")
    return found
