"""What the pages on rules, incidents, closures and duties print runs, at the tutorial's bath."""

from __future__ import annotations

import io
import re
import shlex
from collections.abc import Iterator
from pathlib import Path
from textwrap import dedent

import pytest
from tests.docs.pages import PAGES
from tests.docs.test_examples import STEP, TUTORIAL, lanewater_commands, lines_missing

from lanewater.interfaces.cli.main import main
from lanewater.service.packs import pack_ids

FILES = re.compile(r"`([a-z-]+\.toml)`:\n\n *```toml\n(.*?)^ *```$", re.MULTILINE | re.DOTALL)
INDENTED = re.compile(r"^( +)```.*?^\1```$", re.MULTILINE | re.DOTALL)
SHELL = re.compile(r" *```sh\n(.*?)^ *```$", re.MULTILINE | re.DOTALL)
README = PAGES["README.md"]
LOCAL = README[README.index("## Incidents, closures") : README.index("## Without a network")]
INCIDENT = PAGES["docs/how-to/go-through-an-incident.md"]
DUTIES = PAGES["docs/how-to/plan-tests-and-duties.md"]
RULES = PAGES["docs/how-to/write-local-rules.md"]
CLOSING = PAGES["docs/how-to/close-and-reopen.md"]
DECIDES = PAGES["docs/how-to/who-decides.md"]
# Pages that share a bath; the README's incident stands open at one of its own.
AT_A_BATH = ((INCIDENT, DUTIES, CLOSING, DECIDES, RULES), (LOCAL,))
# What the page itself says is refused, or has nothing to do at a bath that was just set up.
REFUSED = {
    "rules check us-tx-dallas.toml": 4,
    "rules explain us-tx-dallas.toml": 2,
    "site rules accept --by AA": 2,
}
PIN = re.compile(r"PIN, shown this once: (\d+)")


@pytest.fixture
def bath(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Set up the tutorial's bath; its manager's PIN is in pin.txt, the area manager's is typed."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LANEWATER_DATA", str(tmp_path / "site"))
    for block, _ in STEP.findall(TUTORIAL):
        for words in lanewater_commands(block):
            person = ["--new-pin"] if "duty-manager" in words else []
            assert main([*words, *person]) == 0
    area = ("--name", "Ann Arden", "--initials", "AA", "--role", "area-manager", "--new-pin")
    assert main(["site", "add", "person", *area]) == 0
    manager, typed = PIN.findall(capsys.readouterr().out)
    Path("pin.txt").write_text(manager, encoding="ascii")
    monkeypatch.setattr("sys.stdin", Typed(typed))


class Typed(io.StringIO):
    """Somebody who types the same PIN whenever it is asked for."""

    def __init__(self, pin: str) -> None:
        super().__init__()
        self.pin = pin

    def readline(self, _size: int | None = -1, /) -> str:
        """Type it."""
        return f"{self.pin}\n"


def steps(text: str) -> Iterator[tuple[str, str]]:
    """Give each block of commands of a page with what it prints, "" where that is not shown."""
    yield from STEP.findall(INDENTED.sub(lambda block: dedent(block[0]), text))


def run_page(text: str, capsys: pytest.CaptureFixture[str]) -> None:
    for name, held in FILES.findall(text):
        Path(name).write_text(held, encoding="utf-8")
    found = list(steps(text))
    assert found
    assert len(found) == len(SHELL.findall(text))
    for block, printed in found:
        for words in lanewater_commands(re.sub(r"  +#.*", "", block)):
            assert main(words) == REFUSED.get(shlex.join(words), 0), (words, capsys.readouterr())
        assert lines_missing(printed, capsys.readouterr().out) == []


@pytest.mark.usefixtures("bath")
@pytest.mark.parametrize("texts", AT_A_BATH, ids=["pages", "README"])
def test_the_pages_go_as_they_are_printed(
    texts: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    Path("order.pdf").write_bytes(b"the order as it came")
    Path("log.csv").write_text("free_chlorine,ph\n0.62,7.43\n", encoding="utf-8")
    for text in texts:
        run_page(text, capsys)


def test_the_readme_counts_the_packs_that_are_held() -> None:
    assert len(pack_ids()) > 50
    assert "more than fifty are held" in LOCAL
