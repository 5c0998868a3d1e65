"""A certificate on disk: its key for its owner alone, renewed in time, and said where it ends."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from lanewater.service.certificate_folder import (
    CertificateFolder,
    make_certificate,
    read_certificate,
    renew_certificate,
    renew_where_due,
    server_certificate,
    warnings_of,
)
from lanewater.service.certificates import days_left, names_of
from lanewater.terms.errors import MissingError, RefusedError

NOW = datetime(2026, 11, 26, 5, 45, tzinfo=UTC)
NAMES = names_of(["baths.lan", "192.168.1.20"])


@pytest.fixture
def folder(tmp_path: Path) -> CertificateFolder:
    """A certificate that was made now."""
    found = CertificateFolder(tmp_path / "certificate")
    make_certificate(found, NAMES, NOW)
    return found


def after(days: int) -> datetime:
    """Give an instant so many days on."""
    return NOW + timedelta(days=days)


def test_nobody_else_reads_a_key(folder: CertificateFolder) -> None:
    assert folder.path.stat().st_mode & 0o777 == 0o700
    for path in (folder.authority_key, folder.server):
        assert path.stat().st_mode & 0o777 == 0o600


def test_what_tablets_trust_is_never_made_anew_by_mistake(folder: CertificateFolder) -> None:
    before = folder.authority.read_bytes()
    with pytest.raises(RefusedError, match="tablets may trust it"):
        make_certificate(folder, names_of(["other.lan"]), NOW)
    assert folder.authority.read_bytes() == before


def test_it_is_renewed_in_time_under_the_same_authority(folder: CertificateFolder) -> None:
    authority, server = folder.authority.read_bytes(), folder.server.read_bytes()
    assert not renew_where_due(folder, after(300))
    assert folder.server.read_bytes() == server
    assert renew_where_due(folder, after(350))
    assert folder.authority.read_bytes() == authority
    assert days_left(server_certificate(folder), after(350)) == 396
    assert warnings_of(folder, after(350)) == []


def test_without_the_authoritys_key_its_end_is_said(folder: CertificateFolder) -> None:
    folder.authority_key.unlink()
    assert warnings_of(folder, after(300)) == []
    assert not renew_where_due(folder, after(380))
    assert "ends in 16 days" in warnings_of(folder, after(380))[0]
    assert "has ended" in warnings_of(folder, after(400))[0]
    with pytest.raises(MissingError, match="put it back"):
        renew_certificate(folder, after(380))


def test_the_end_of_the_authority_itself_is_said_before_it_comes(
    folder: CertificateFolder,
) -> None:
    near = 3650 - 30
    renew_certificate(folder, after(near))
    assert days_left(server_certificate(folder), after(near)) <= 30
    assert not renew_where_due(folder, after(near + 1))
    assert "visit every tablet" in warnings_of(folder, after(near))[0]
    with pytest.raises(RefusedError, match="authority itself has ended"):
        renew_certificate(folder, after(3651))


def test_where_there_is_none_it_says_how_one_is_made(tmp_path: Path) -> None:
    with pytest.raises(MissingError, match="certificate new"):
        read_certificate(tmp_path / "authority.crt")
