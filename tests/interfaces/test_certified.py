"""A server that speaks TLS with the site's own certificate, and looks after it while it serves."""

from __future__ import annotations

import socket
import ssl
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from lanewater.interfaces.certified import certified, look, tls_context
from lanewater.service.certificate_folder import CertificateFolder, make_certificate
from lanewater.service.certificates import names_of
from lanewater.terms.errors import MissingError

NOW = datetime(2026, 11, 26, 5, 45, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path) -> CertificateFolder:
    """A certificate that was made now."""
    found = CertificateFolder(tmp_path / "certificate")
    make_certificate(found, names_of(["baths.lan", "192.168.1.20"]), NOW)
    return found


def shown(context: ssl.SSLContext, *, newest: ssl.TLSVersion | None = None) -> bytes:
    """Give the certificate that a server shows to a browser that comes now."""
    ours, theirs = socket.socketpair()

    def serve() -> None:
        try:
            context.wrap_socket(theirs, server_side=True).close()
        except ssl.SSLError:
            theirs.close()

    server = threading.Thread(target=serve)
    server.start()
    browser = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    browser.check_hostname = False
    browser.verify_mode = ssl.CERT_NONE
    if newest is not None:
        browser.maximum_version = newest
    try:
        with browser.wrap_socket(ours) as line:
            found = line.getpeercert(binary_form=True)
    finally:
        ours.close()
        server.join()
    assert found is not None
    return found


def test_a_certificate_near_its_end_is_changed_without_a_new_start(
    folder: CertificateFolder,
) -> None:
    context = tls_context(folder)
    first = shown(context)
    look(folder, context, lambda: NOW + timedelta(days=300))
    assert shown(context) == first
    look(folder, context, lambda: NOW + timedelta(days=350))
    assert shown(context) != first


def test_what_is_older_than_tls_1_2_is_refused(folder: CertificateFolder) -> None:
    with pytest.warns(DeprecationWarning, match="TLSv1_1"), pytest.raises((ssl.SSLError, OSError)):
        shown(tls_context(folder), newest=ssl.TLSVersion.TLSv1_1)
    assert shown(tls_context(folder), newest=ssl.TLSVersion.TLSv1_2)


def test_without_the_authoritys_key_serving_goes_on_and_says_what_is_wanted(
    folder: CertificateFolder, caplog: pytest.LogCaptureFixture
) -> None:
    folder.authority_key.unlink()
    context = tls_context(folder)
    first = shown(context)
    look(folder, context, lambda: NOW + timedelta(days=380))
    assert "ends in 16 days" in caplog.text
    folder.server.unlink()
    look(folder, context, lambda: NOW + timedelta(days=381))
    assert "was not looked after" in caplog.text
    assert shown(context) == first


def test_an_ended_certificate_is_renewed_at_the_start_or_serving_is_refused(
    folder: CertificateFolder,
) -> None:
    key = folder.authority_key.read_bytes()
    folder.authority_key.unlink()
    with pytest.raises(MissingError, match="has ended"):
        certified(folder, None, lambda: NOW + timedelta(days=400))
    folder.authority_key.write_bytes(key)
    taken = certified(folder, None, lambda: NOW + timedelta(days=400))
    assert taken.address(8321) == "https://192.168.1.20:8321"
