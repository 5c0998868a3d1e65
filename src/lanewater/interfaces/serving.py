"""The server put together: the API and the pages behind one shield. The only file that knows both.

`lanewater serve` and `lanewater demo` start it; nothing below imports it.
"""

from __future__ import annotations

import ipaddress
import logging
import signal
import socket
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

import uvicorn
from starlette.types import ASGIApp, Receive, Scope, Send

from lanewater.interfaces.api.app import build_api
from lanewater.interfaces.api.doors import Doors
from lanewater.interfaces.api.served import Served
from lanewater.interfaces.certified import (
    Certified,
    certified,
    kept_current,
    onboarding_of,
    onboarding_served,
    tls_context,
)
from lanewater.interfaces.shield import POLICY, Shield
from lanewater.interfaces.web.files import FOLDER, Pages
from lanewater.service.book import Book, open_book
from lanewater.service.certificate_folder import CertificateFolder
from lanewater.service.config import Config
from lanewater.service.keeping import keep_until
from lanewater.service.rounds import judge_missing
from lanewater.service.translation.generated import write_kernel
from lanewater.terms.errors import InputError, MissingError

OWN_NAMES = ("localhost", "127.0.0.1", "[::1]")
API_PATHS = ("/openapi.json", "/healthz")
LONGEST_GOODBYE_S = 5


class Together:
    """Send each request to the API or to the pages, by its path."""

    def __init__(self, api: ASGIApp, pages: ASGIApp) -> None:
        self.api = api
        self.pages = pages

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        path = scope.get("path", "")
        to_api = scope["type"] != "http" or path in API_PATHS or path.startswith("/api/")
        await (self.api if to_api else self.pages)(scope, receive, send)


def site_app(
    book: Book,
    *,
    over_tls: bool = False,
    folder: Path = FOLDER,
    names: Sequence[str] | None = None,
) -> ASGIApp:
    """Put a site's server together.

    Parameters
    ----------
    book : Book
        The site's book, open.
    over_tls : bool
        Whether browsers come over TLS.
    folder : Path
        The pages' files.
    names : sequence of str, optional
        The host names that are answered. Left out: any where they come over TLS, else this
        machine's own.
    """
    served = Served(book, Doors(book.clock), over_tls=over_tls)
    return shielded(build_api(served), over_tls=over_tls, folder=folder, names=names)


def shielded(
    api: ASGIApp,
    *,
    over_tls: bool = False,
    folder: Path = FOLDER,
    names: Sequence[str] | None = None,
) -> ASGIApp:
    """Put the shield before an API and the pages."""
    if names is None:
        names = () if over_tls else OWN_NAMES
    pages = Pages(folder, POLICY)
    return Shield(Together(api, pages), over_tls=over_tls, names=frozenset(names))


def refuse_plain_http(host: str, *, behind_tls: bool) -> None:
    """Refuse to serve plain HTTP to other machines.

    Raises
    ------
    InputError
        Where the address is not this machine's own.
    """
    if behind_tls or loopback(host):
        return
    raise InputError(
        "--host",
        f"{host[:60]} is reached from other machines, and over plain HTTP browsers there keep no "
        "sign-in and work without no network. Make a certificate ('lanewater certificate new') and "
        "say --certificate, put a proxy that speaks TLS before it and say --behind-tls, or leave "
        "--host out (docs/how-to/serve-on-the-network.md)",
    )


def loopback(host: str) -> bool:
    """Tell whether an address is reached from this machine only."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


def listening_socket(host: str, port: int) -> socket.socket:
    """Take the port.

    Raises
    ------
    MissingError
        Where it is taken, or the address is not this machine's.
    """
    try:
        family, kind, proto, _, address = socket.getaddrinfo(
            host.strip("[]"), port, type=socket.SOCK_STREAM
        )[0]
        found = socket.socket(family, kind, proto)
    except OSError as error:
        raise MissingError(f"--host: {host[:60]} cannot be used: {error.strerror}") from None
    try:
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind(address)
        found.listen(128)
    except OSError as error:
        found.close()
        raise MissingError(
            f"port {port} at {host[:60]} cannot be used: {error.strerror}. "
            "Another server may run there; name another port with --port"
        ) from None
    return found


def address_of(taken: socket.socket) -> str:
    """Write where a browser on this machine finds it."""
    host, port = taken.getsockname()[:2]
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


class Announced(uvicorn.Server):
    """A server that says where it is once it can be reached."""

    def __init__(self, config: uvicorn.Config, where: str, announce: Callable[[str], None]) -> None:
        super().__init__(config)
        self.where = where
        self.announce = announce

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, then say where."""
        await super().startup(sockets)
        if self.started:
            self.announce(self.where)


def say_where(where: str) -> None:
    """Say to a person where the server is."""
    sys.stderr.write(f"Lanewater is at {where}  (Ctrl+C stops it)\n")
    sys.stderr.flush()


def log_to_stderr() -> None:
    """Have faults and what touches security written to standard error, one line an event."""
    log = logging.getLogger("lanewater")
    if not log.handlers:
        handler = logging.StreamHandler()
        handler.setFormatter(logging.Formatter("%(message)s"))
        log.addHandler(handler)
        log.setLevel(logging.INFO)
        log.propagate = False


@contextmanager
def kept(book: Book, config: Config, backups: Path | None) -> Iterator[None]:
    """Stamp and back up beside the serving."""
    stop = threading.Event()
    keeper = threading.Thread(target=keep_until, args=(stop, book, config, backups), daemon=True)
    keeper.start()
    try:
        yield
    finally:
        stop.set()
        keeper.join(LONGEST_GOODBYE_S)


def serve(
    config: Config,
    *,
    behind_tls: bool = False,
    certificate: CertificateFolder | None = None,
    onboarding_port: int | None = None,
    backups: Path | None = None,
    announce: Callable[[str], None] = say_where,
) -> int:
    """Serve a site until it is told to stop.

    Parameters
    ----------
    config : Config
        Which site, and where.
    behind_tls : bool
        Whether a proxy that speaks TLS stands before it.
    certificate : CertificateFolder, optional
        The site's own certificate, with which the server speaks TLS itself.
    onboarding_port : int, optional
        With a certificate: where tablets learn to trust it, over plain HTTP.
    backups : Path, optional
        The folder that takes a backup a day.
    announce : callable
        Called with the address once the server can be reached.

    Returns
    -------
    int
        0 where it stopped because it was told to.

    Raises
    ------
    InputError
        Where plain HTTP would leave this machine.
    MissingError
        Where there is no site, the port cannot be taken, or the kernel for the pages has changed
        and cannot be written.
    """
    refuse_plain_http(config.host, behind_tls=behind_tls or certificate is not None)
    if config.server and backups is not None:
        raise InputError(
            "--backups", "a record in PostgreSQL is backed up with PostgreSQL's own tools"
        )
    log_to_stderr()
    own = None if certificate is None else certified(certificate, onboarding_port)
    # A page that judges by another kernel than the server would show another verdict.
    write_kernel()
    book = open_book(config, "server")
    try:
        with listening_socket(config.host, config.port) as taken, ExitStack() as beside:
            judge_missing(book)
            app = site_app(
                book,
                over_tls=behind_tls or own is not None,
                names=None if own is None else own.names.in_urls,
            )
            settings = settings_of(app, behind_tls=behind_tls)
            where = address_of(taken)
            if own is not None:
                where = over_own_tls(own, settings, taken, beside)
            # uvicorn says goodbye and raises the stop signal again: that is the wanted end.
            signal.signal(signal.SIGTERM, signal.default_int_handler)
            with suppress(KeyboardInterrupt), kept(book, config, backups):
                Announced(settings, where, announce).run(sockets=[taken])
    finally:
        book.close()
    return 0


def settings_of(app: ASGIApp, *, behind_tls: bool) -> uvicorn.Config:
    """Give what the server runs by."""
    return uvicorn.Config(
        app,
        access_log=False,
        log_level="warning",
        server_header=False,
        date_header=True,
        proxy_headers=behind_tls,
        forwarded_allow_ips="127.0.0.1,::1",
        timeout_graceful_shutdown=LONGEST_GOODBYE_S,
        ws="none",
    )


def over_own_tls(
    own: Certified, settings: uvicorn.Config, taken: socket.socket, beside: ExitStack
) -> str:
    """Have the server speak TLS, its certificate looked after, and tablets told how to trust it.

    Returns
    -------
    str
        The address that a tablet finds it at.
    """
    context = tls_context(own.folder)
    settings.ssl_context_factory = lambda _config, _default: context
    beside.enter_context(kept_current(own, context))
    host, port = taken.getsockname()[:2]
    site = own.address(port)
    if own.onboarding_port is not None:
        at = beside.enter_context(listening_socket(host, own.onboarding_port))
        page = onboarding_of(own, site + "/", at.getsockname()[1])
        beside.enter_context(onboarding_served(page, at))
        sys.stderr.write(f"Tablets learn to trust it at {page.here}\n")
    return site
