"""Serving over TLS with the site's own certificate: its names, its renewal, its onboarding page."""

from __future__ import annotations

import logging
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from socket import socket

import uvicorn
from cryptography.hazmat.primitives.serialization import Encoding

from lanewater.interfaces.web.onboarding import Onboarding
from lanewater.service.certificate_folder import (
    CertificateFolder,
    read_certificate,
    renew_where_due,
    server_certificate,
    warnings_of,
)
from lanewater.service.certificates import SiteNames, days_left, fingerprint, names_in
from lanewater.terms.errors import LanewaterError, MissingError

LOG = logging.getLogger("lanewater.certificate")

LOOK_EVERY_S = 6 * 3600.0
GOODBYE_S = 2

Now = Callable[[], datetime]


def now_utc() -> datetime:
    """Give the machine's time."""
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Certified:
    """A site's certificate, ready to serve with.

    Attributes
    ----------
    folder : CertificateFolder
        Where it lies.
    names : SiteNames
        The only names that are answered.
    onboarding_port : int or None
        Where the onboarding page is; None for nowhere.
    """

    folder: CertificateFolder
    names: SiteNames
    onboarding_port: int | None

    def address(self, port: int) -> str:
        """Write where a tablet finds the site."""
        return f"https://{self.first}:{port}"

    @property
    def first(self) -> str:
        """Give the name to tell people, as it stands in an address of the web."""
        first = self.names.first
        return f"[{first}]" if ":" in first else first


def certified(
    folder: CertificateFolder, onboarding_port: int | None, now: Now = now_utc
) -> Certified:
    """Take a site's certificate, renewed where that is due.

    Raises
    ------
    MissingError
        Where there is none, or it has ended.
    """
    renew_where_due(folder, now())
    server = server_certificate(folder)
    if days_left(server, now()) < 0:
        raise MissingError("; ".join(warnings_of(folder, now())))
    return Certified(folder, names_in(server), onboarding_port)


def tls_context(folder: CertificateFolder) -> ssl.SSLContext:
    """Give what TLS is spoken with: 1.2 or later."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.load_cert_chain(folder.server)
    return context


@contextmanager
def kept_current(taken: Certified, context: ssl.SSLContext, now: Now = now_utc) -> Iterator[None]:
    """Renew the certificate beside the serving, and say what wants somebody."""
    stop = threading.Event()

    def watch() -> None:
        look(taken.folder, context, now)
        while not stop.wait(LOOK_EVERY_S):
            look(taken.folder, context, now)

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    try:
        yield
    finally:
        stop.set()
        watcher.join(GOODBYE_S)


def look(folder: CertificateFolder, context: ssl.SSLContext, now: Now) -> None:
    """Renew where it is due; connections from then on are made with what lies in the folder."""
    try:
        if renew_where_due(folder, now()):
            LOG.info("the server's certificate was renewed")
        context.load_cert_chain(folder.server)
        for line in warnings_of(folder, now()):
            LOG.warning("%s", line)
    except (LanewaterError, OSError) as error:
        LOG.error("the certificate was not looked after: %s", error)


def onboarding_of(taken: Certified, site: str, port: int) -> Onboarding:
    """Put the onboarding page together."""
    authority = read_certificate(taken.folder.authority)
    return Onboarding(
        authority.public_bytes(Encoding.DER),
        fingerprint(authority),
        (*taken.names.hosts, *map(str, taken.names.addresses)),
        f"http://{taken.first}:{port}/",
        site,
    )


@contextmanager
def onboarding_served(page: Onboarding, at: socket) -> Iterator[None]:
    """Serve the onboarding page beside the site."""
    settings = uvicorn.Config(
        page, access_log=False, log_level="warning", server_header=False, ws="none", lifespan="off"
    )
    server = uvicorn.Server(settings)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [at]}, daemon=True)
    thread.start()
    try:
        yield
    finally:
        server.should_exit = True
        thread.join(GOODBYE_S)
