"""`./run` on a machine that lacks something: one line to hand on, exit 3, nothing made."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from tests.contracts.house import ROOT

REAL_PYTHON = shutil.which("python3") or "python3"
LINE = (
    "python3-venv is missing. Hand this line to whoever has root: "
    "apt-get update && apt-get install -y --no-install-recommends python3-venv\n"
)


class Machine:
    """A checkout with nothing installed, and a machine on which tools can be replaced."""

    def __init__(self, folder: Path) -> None:
        self.checkout = folder / "lane water"
        self.tools = folder / "tools"
        self.tools.mkdir()
        (self.checkout / "locks").mkdir(parents=True)
        shutil.copy(ROOT / "run", self.checkout)
        for lock in (ROOT / "locks").glob("*.txt"):
            shutil.copy(lock, self.checkout / "locks")
        self.has("id", "echo 1000")
        self.has("sudo", "exit 1")
        self.has("apt-get", "exit 1")

    def has(self, name: str, script: str) -> None:
        """Put a tool of ours before the machine's own."""
        tool = self.tools / name
        tool.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
        tool.chmod(0o755)

    def without_venv(self) -> None:
        """Take ensurepip away from Python."""
        self.has(
            "python3",
            f'case "$*" in *ensurepip*) exit 1 ;; esac\nexec "{REAL_PYTHON}" "$@"',
        )

    def run(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        """Start ./run from somewhere else."""
        return subprocess.run(
            [self.checkout / "run", *arguments],
            cwd=self.tools,
            env={"PATH": f"{self.tools}:{os.environ['PATH']}", "HOME": str(self.tools)},
            capture_output=True,
            text=True,
            check=False,
        )


@pytest.fixture
def machine(tmp_path: Path) -> Machine:
    return Machine(tmp_path)


@pytest.mark.parametrize("arguments", [(), ("test",), ("lanewater", "judge")])
def test_without_venv_and_without_root_it_says_one_line_and_makes_nothing(
    machine: Machine, arguments: tuple[str, ...]
) -> None:
    machine.without_venv()
    done = machine.run(*arguments)
    assert (done.returncode, done.stdout, done.stderr) == (3, "", LINE)
    assert sorted(path.name for path in machine.checkout.iterdir()) == ["locks", "run"]


def test_with_sudo_it_installs_what_it_needs_itself(machine: Machine) -> None:
    machine.without_venv()
    machine.has("sudo", 'shift; exec "$@"')
    machine.has("apt-get", f'echo "$@" >>"{machine.tools}/asked"')
    done = machine.run()
    assert done.returncode == 3  # our apt-get brings nothing, and it is noticed
    assert done.stderr == "Installing with apt-get: python3-venv\n" + LINE
    assert (machine.tools / "asked").read_text() == (
        "update\ninstall -y --no-install-recommends python3-venv\n"
    )


def test_what_apt_says_is_shown_when_it_fails(machine: Machine) -> None:
    machine.without_venv()
    machine.has("sudo", 'shift; exec "$@"')
    machine.has("apt-get", "echo no space left on device; exit 100")
    assert "no space left on device" in machine.run().stderr


def test_an_old_python_is_named(machine: Machine) -> None:
    machine.has("python3", 'case "$1" in -V) echo "Python 3.9.2" ;; *) exit 1 ;; esac')
    done = machine.run()
    assert done.returncode == 3
    assert done.stderr == "Python 3.11 or later is needed; here is Python 3.9.2.\n"


def test_a_word_it_does_not_know_is_wrong_use(machine: Machine) -> None:
    done = machine.run("tset")
    assert done.returncode == 2
    assert done.stderr.startswith("Use: ./run")


def test_a_missing_browser_is_named_and_no_check_is_skipped(machine: Machine) -> None:
    (machine.checkout / ".venv").mkdir()
    stamp(machine, "development")
    for name in ("chromium", "chromium-browser", "google-chrome"):
        machine.has(name, "exit 127")
    done = machine.run("test")
    assert done.returncode == 3
    assert done.stdout == ""
    assert done.stderr == (
        "A Chromium that starts (chromium) is missing. Hand this line to whoever has root: apt-get "
        "update && apt-get install -y --no-install-recommends chromium fonts-dejavu-core "
        "libatomic1\n"
    )


def stamp(machine: Machine, name: str) -> None:
    """Mark an environment as whole, as ./run does at the end of an install."""
    text = (machine.checkout / "locks" / f"{name}.txt").read_bytes()
    text += (machine.checkout / "run").read_bytes()
    version = subprocess.check_output([REAL_PYTHON, "-V"], text=True).strip()
    text += f"{machine.checkout}, {version}\n".encode()
    wanted = subprocess.check_output(["cksum"], input=text)
    (machine.checkout / ".venv" / f"stamp-{name}").write_bytes(wanted)
