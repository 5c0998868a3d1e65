"""A tablet that trusts the site's own authority works there without a network; no other name does.

The browser is Chromium with a trust store of its own (NSS, `certutil` of libnss3-tools), and
finds the site by a name that is not this machine's: what works there works by the certificate.
"""

from __future__ import annotations

import http.server
import re
import shutil
import ssl
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import httpx
import pytest
from cryptography import x509
from playwright.sync_api import Browser, BrowserContext, Error, expect
from tests.conftest import FLAGS, browser_path
from tests.journeys.conftest import Made

from lanewater.service.certificate_folder import (
    CertificateFolder,
    make_certificate,
    read_certificate,
    read_key,
)
from lanewater.service.certificates import (
    Issued,
    certificate_text,
    fingerprint,
    key_text,
    names_of,
    new_server,
)

NAME, OTHER = "baths.test", "bank.test"
RULES = f"--host-resolver-rules=MAP {NAME} 127.0.0.1,MAP {OTHER} 127.0.0.1"
BY_THE_KEY = "What do you call this device?"

NewBrowser = Callable[..., BrowserContext]


@dataclass
class Certified:
    """`lanewater serve --certificate` in a process of its own."""

    folder: CertificateFolder
    process: subprocess.Popen[str]
    onboarding: str
    address: str
    first_key: str

    @property
    def port(self) -> str:
        """Give its port."""
        return self.address.rpartition(":")[2]

    @property
    def by_name(self) -> str:
        """Give its address by the name that tablets use."""
        return f"https://{NAME}:{self.port}"

    def kill(self) -> None:
        """Stop it, as a pulled plug would."""
        self.process.kill()
        self.process.wait()


@pytest.fixture
def site(harbour_made: Made, tmp_path: Path) -> Iterator[Certified]:
    """The harbour baths, served under a certificate of their own."""
    data = harbour_made.copied(tmp_path)
    folder = CertificateFolder(data / "certificate")
    make_certificate(folder, names_of([NAME, "127.0.0.1"]), datetime.now(UTC))
    command = [sys.executable, "-m", "lanewater", "serve", "--data", str(data), "--certificate"]
    command += ["--host", "127.0.0.1", "--port", "0", "--onboarding-port", "0"]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    assert process.stderr is not None
    lines = [process.stderr.readline() for _ in range(2)]
    onboarding, address = (
        next(word for word in line.split() if word.startswith("http")) for line in lines
    )
    found = Certified(folder, process, onboarding, address, harbour_made.first_key)
    yield found
    found.kill()
    process.stderr.close()


@pytest.fixture
def new_browser(chromium: Browser, tmp_path: Path) -> Iterator[NewBrowser]:
    """Hand out browsers, each with a home of its own: what it trusts, what it keeps."""
    opened: list[BrowserContext] = []

    def hand_out(home: str, trusted: bytes | None = None) -> BrowserContext:
        place = tmp_path / home
        if trusted is not None and not place.exists():
            trust(place, trusted)
        context = chromium.browser_type.launch_persistent_context(
            place / "profile",
            executable_path=browser_path(),
            args=[*FLAGS, RULES],
            env={"HOME": str(place)},
        )
        opened.append(context)
        return context

    yield hand_out
    for context in opened:
        context.close()


def trust(home: Path, authority: bytes) -> None:
    """Have a home's browsers trust an authority, as a person does in the settings."""
    tool = shutil.which("certutil")
    assert tool, "certutil is missing: apt-get install libnss3-tools"
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    file = home / "lanewater.crt"
    file.write_bytes(authority)
    at = ["-d", f"sql:{store}"]
    subprocess.run([tool, "-N", *at, "--empty-password"], check=True)
    subprocess.run([tool, "-A", *at, "-n", "site", "-t", "C,,", "-i", str(file)], check=True)


def test_a_tablet_that_took_the_authority_from_the_page_works_without_a_network(
    site: Certified, new_browser: NewBrowser
) -> None:
    taken = httpx.get(f"{site.onboarding}lanewater.crt").content
    shown = httpx.get(site.onboarding).text
    assert fingerprint(x509.load_der_x509_certificate(taken))[:47] in shown
    context = new_browser("trusting", taken)
    page = context.pages[0]
    page.goto(f"{site.by_name}/#key={site.first_key}")
    assert page.evaluate("() => isSecureContext && location.hostname") == NAME
    page.get_by_label(BY_THE_KEY).fill("Poolside tablet")
    page.get_by_label("Shared at the poolside").check()
    page.get_by_role("button", name="Enrol").click()
    expect(page.get_by_role("navigation", name="Pages")).to_be_visible()
    expect(page.locator("body[data-shell='whole']")).to_be_attached(timeout=30_000)
    site.kill()
    page.goto(f"{site.by_name}/")
    expect(page).to_have_title(re.compile("^Now "), timeout=30_000)
    expect(page.locator("main .lane").first).to_contain_text("Main", timeout=30_000)


def test_a_browser_that_was_not_told_to_trust_it_does_not_come_in(
    site: Certified, new_browser: NewBrowser
) -> None:
    page = new_browser("fresh").pages[0]
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        page.goto(f"{site.by_name}/")


def test_another_name_signed_by_the_sites_own_key_is_refused_by_the_browser_that_trusts_it(
    site: Certified, new_browser: NewBrowser, tmp_path: Path
) -> None:
    page = new_browser("trusting", site.folder.authority.read_bytes()).pages[0]
    page.goto(f"{site.by_name}/")
    with stolen(site.folder, tmp_path) as port, pytest.raises(Error, match="ERR_CERT"):
        page.goto(f"https://{OTHER}:{port}/")


class stolen:  # noqa: N801  a context, used as a verb
    """Somebody with the authority's key, who pretends to be another."""

    def __init__(self, folder: CertificateFolder, at: Path) -> None:
        authority = Issued(read_certificate(folder.authority), read_key(folder.authority_key))
        made = new_server(authority, names_of([OTHER]), datetime.now(UTC))
        file = at / "stolen.pem"
        file.write_bytes(key_text(made.key) + certificate_text(made.certificate))
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(file)
        handler = http.server.SimpleHTTPRequestHandler
        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
        self.server.socket = context.wrap_socket(self.server.socket, server_side=True)

    def __enter__(self) -> int:
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        port: int = self.server.server_address[1]
        return port

    def __exit__(self, *_: object) -> None:
        self.server.shutdown()
        self.server.server_close()


def test_only_the_certificates_names_are_answered_and_only_over_tls(site: Certified) -> None:
    context = ssl.create_default_context(cafile=str(site.folder.authority))
    with httpx.Client(verify=context) as client:
        answer = client.get(f"{site.address}/healthz")
        assert answer.json() == {"ok": True, "recording": True}
        assert "Strict-Transport-Security" in answer.headers
        for host, status in ((NAME, 200), (OTHER, 421), ("localhost", 421)):
            answer = client.get(f"{site.address}/healthz", headers={"Host": host})
            assert answer.status_code == status
    with pytest.raises(httpx.HTTPError):
        httpx.get(f"http://127.0.0.1:{site.port}/healthz")
    assert httpx.get(f"{site.onboarding}api/v1/site/public").status_code == 404
