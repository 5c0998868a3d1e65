"""A day's commands and a day's pages under strace: no packet leaves this machine."""

from __future__ import annotations

import ipaddress
import json
import os
import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import httpx
import pytest
from tests.interfaces.api.browser import OWN_PAGE

CALLS = "trace=connect,sendto,sendmsg,sendmmsg"
ADDRESS = re.compile(
    r'sa_family=AF_INET6?\b.*?(?:inet_addr\("|inet_pton\(AF_INET6, ")([0-9a-fA-F.:]+)"'
)
ROUND = {"pool": "main", "readings": {"free_chlorine": "1.52", "ph": "7.4", "clarity": "visible"}}
DAY: tuple[tuple[str, ...], ...] = (
    ("site", "new", "Lindmere Baths", "--timezone", "America/Toronto", "--rules", "ca-qc"),
    ("site", "add", "pool", "--id", "main", "--name", "Main", "--kind", "pool"),
    ("round", "add", "--pool", "main", "--free", "1.52", "--ph", "7.4", "--clarity", "visible"),
    ("record", "show"),
    ("rules", "list"),
    ("access", "new"),
    ("people", "forget", "nobody"),
)
MAIN = """
import json, sys
from lanewater.interfaces.cli.main import main
print("codes", [main(words) for words in json.loads(sys.argv[1])])
"""


def under_strace(log: Path, *command: str) -> list[str]:
    """Write a command that tells every address it speaks to."""
    tool = shutil.which("strace")
    assert tool, "strace is missing: apt-get install strace"
    return [tool, "-f", "--seccomp-bpf", "-qq", "-e", CALLS, "-o", str(log), *command]


def strangers(log: str) -> list[str]:
    """Give every address that is not this machine's own."""
    return [found for found in ADDRESS.findall(log) if not ipaddress.ip_address(found).is_loopback]


def run(log: Path, *command: str) -> subprocess.CompletedProcess[str]:
    """Run a command to its end under strace."""
    return subprocess.run(
        under_strace(log, *command), capture_output=True, text=True, check=False, timeout=120
    )


def test_the_commands_of_a_day_speak_to_nobody(tmp_path: Path) -> None:
    log = tmp_path / "strace"
    day = json.dumps([[*words, "--data", str(tmp_path / "site")] for words in DAY])
    done = run(log, sys.executable, "-P", "-c", MAIN, day)
    assert "codes [0, 0, 0, 0, 0, 0, 3]" in done.stdout, done.stdout + done.stderr
    assert strangers(log.read_text(encoding="utf-8")) == []


def test_the_pages_of_a_day_speak_to_the_browser_alone(tmp_path: Path) -> None:
    log, where = tmp_path / "strace", str(tmp_path / "site")
    made = [[*words, "--data", where] for words in (DAY[0], DAY[1], DAY[-2])]
    done = run(log, sys.executable, "-P", "-c", MAIN, json.dumps(made))
    keys = re.findall(r"(?:[a-z2-9]{5}-){5}[a-z2-9]{5}", done.stdout)
    assert keys, done.stdout + done.stderr
    serve = (sys.executable, "-P", "-m", "lanewater", "serve", "--port", "0", "--data", where)
    server = subprocess.Popen(under_strace(log, *serve), stderr=subprocess.PIPE, text=True)
    assert server.stderr is not None
    line = server.stderr.readline()
    address = next((word for word in line.split() if word.startswith("http://")), "")
    if not address:
        server.kill()
        pytest.fail(line + server.communicate()[1])
    try:
        with httpx.Client(base_url=address, headers=OWN_PAGE, timeout=30) as browser:
            enrolled = browser.post("/api/v1/enrol", json={"key": keys[-1], "name": "Tablet"})
            assert enrolled.status_code == 200
            for path in ("/", "/static/app.js", "/api/v1/me", "/api/v1/now", "/api/v1/record"):
                assert browser.get(path).status_code < 500
            assert browser.post("/api/v1/rounds", json=ROUND).status_code < 500
    finally:
        # strace itself passes no signal on.
        traced = Path(f"/proc/{server.pid}/task/{server.pid}/children").read_text(encoding="ascii")
        os.kill(int(traced.split()[0]), signal.SIGTERM)
        server.wait(timeout=60)
        server.stderr.close()
    assert strangers(log.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "text",
    [
        "import socket; s = socket.socket(); s.setblocking(False); s.connect_ex(('192.0.2.1', 80))",
        "import socket; socket.socket(2, 2).sendto(b'x', ('192.0.2.1', 53))",
        "import socket; s = socket.socket(10, 2); s.connect_ex(('2001:db8::1', 53))",
    ],
)
def test_one_word_to_another_machine_is_seen(tmp_path: Path, text: str) -> None:
    log = tmp_path / "strace"
    run(log, sys.executable, "-S", "-c", text)
    assert strangers(log.read_text(encoding="utf-8")) in (["192.0.2.1"], ["2001:db8::1"])
