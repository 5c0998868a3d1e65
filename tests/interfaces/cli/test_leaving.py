"""The record leaves the building and comes back: stamp, export, verify, backup, restore."""

from __future__ import annotations

import json
import socketserver
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.baths import Baths
from tests.interfaces.cli.shell_case import Shell


class Mailbox(socketserver.StreamRequestHandler):
    """A mail server that keeps what it is given."""

    def handle(self) -> None:
        """Speak as much SMTP as a sender needs."""
        self.wfile.write(b"220 here\r\n")
        taking, held = False, b""
        while line := self.rfile.readline():
            if taking:
                held += line
                if line == b".\r\n":
                    self.server.kept.append(held)  # type: ignore[attr-defined]  # a list put on it below
                    taking = False
                    self.wfile.write(b"250 kept\r\n")
            elif line.upper().startswith(b"DATA"):
                taking = True
                self.wfile.write(b"354 go on\r\n")
            elif line.upper().startswith(b"QUIT"):
                self.wfile.write(b"221 bye\r\n")
                return
            else:
                self.wfile.write(b"250 ok\r\n")


@pytest.fixture
def mail() -> Iterator[socketserver.ThreadingTCPServer]:
    """Give a mail server on this machine."""
    with socketserver.ThreadingTCPServer(("127.0.0.1", 0), Mailbox) as server:
        server.kept = []  # type: ignore[attr-defined]  # a list for what came
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server
        server.shutdown()


@pytest.fixture
def shell(
    baths: Baths, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Shell:
    """Give a shell in the baths' folder."""
    baths.book.close()
    return Shell(baths.folder, capsys, monkeypatch)


def test_a_stamp_is_shown_and_an_older_one_holds(shell: Shell, tmp_path: Path) -> None:
    shown = shell("stamp", "show")
    assert shown.code == 0
    lines = shown.out.split("\n")
    assert lines[0].startswith("lanewater/")
    assert lines[3] == ""
    older = tmp_path / "older.txt"
    older.write_text(shown.out.replace("\n", "\r\n"))
    assert shell("access", "new").code == 0
    said = shell("stamp", "compare", str(older), "--json")
    assert (said.code, said.answer["outcome"], said.answer["signed"]) == (0, "goes-on", True)


def another(text: str, at: int) -> str:
    """Give a text with another letter at a place."""
    letter = "B" if text[at] == "A" else "A"
    return text[:at] + letter + text[at + 1 :]


CHANGES = {
    "another-record": lambda lines: [lines[0].replace("lanewater/0", "lanewater/1"), *lines[1:]],
    "rolled-back": lambda lines: [lines[0], str(int(lines[1]) + 500), *lines[2:]],
    "changed": lambda lines: [*lines[:2], another(lines[2], 0), *lines[3:]],
    "not-signed": lambda lines: [*lines[:4], another(lines[4], len(lines[4]) - 8), *lines[5:]],
}


@pytest.mark.parametrize("outcome", CHANGES)
def test_a_stamp_that_does_not_fit_says_how(shell: Shell, tmp_path: Path, outcome: str) -> None:
    lines = CHANGES[outcome](shell("stamp", "show").out.split("\n"))
    told = tmp_path / "told.txt"
    told.write_text("\n".join(lines))
    said = shell("stamp", "compare", str(told), "--json")
    assert (said.code, said.answer["outcome"]) == (4, outcome)
    assert shell("stamp", "compare", str(told)).out.strip()


def test_what_is_no_stamp_is_refused(shell: Shell) -> None:
    assert shell("stamp", "compare", "-", stdin="nothing").code == 2
    assert shell("stamp", "compare", "-", stdin=b"\xff\xfe").code == 2


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_a_stamp_is_drawn(shell: Shell, tmp_path: Path, ending: str) -> None:
    drawn = tmp_path / f"stamp.{ending}"
    assert shell("stamp", "show", "--qr", str(drawn)).code == 0
    assert drawn.stat().st_size > 500
    assert shell("stamp", "show", "--qr", str(tmp_path / "stamp.bmp")).code == 2


def test_a_stamp_is_sent_and_that_it_was_is_on_record(
    shell: Shell, mail: socketserver.ThreadingTCPServer
) -> None:
    where = f"127.0.0.1:{mail.server_address[1]}"
    note = shell("stamp", "show").out
    words = ("--to", "records@council.example", "--from", "baths@site.example")
    sent = shell("stamp", "send", *words, "--smtp", where, "--json")
    assert sent.code == 0
    (message,) = mail.kept  # type: ignore[attr-defined]  # a list put on it above
    assert note.split("\n")[2].encode() in message
    lines = shell("record", "show", "--json").answer
    assert lines[-1]["type"] == "stamp-sent"
    assert lines[-1]["body"]["size"] == sent.answer["size"]
    assert "council" not in json.dumps(lines)


def test_a_mail_server_that_is_not_there_leaves_nothing_on_record(shell: Shell) -> None:
    words = ("--to", "records@council.example", "--from", "baths@site.example")
    said = shell("stamp", "send", *words, "--smtp", "127.0.0.1:1")
    assert said.code == 3
    assert "nothing was sent" in said.err
    assert shell("stamp", "send", *words).code == 2
    assert shell("stamp", "send", "--to", "a\nb@c", "--from", "a@b", "--smtp", "x").code == 2
    types = [line["type"] for line in shell("record", "show", "--json").answer]
    assert "stamp-sent" not in types


def test_an_export_verifies_and_comes_back_elsewhere(shell: Shell, tmp_path: Path) -> None:
    bundle = tmp_path / "bundle"
    told = shell("export", str(bundle), "--with-names", "--json")
    assert told.code == 0
    assert shell("verify", str(bundle)).code == 0
    assert shell("export", str(bundle)).code == 2
    new = str(tmp_path / "new")
    back = shell("restore", str(bundle), "--bundle", "--data", new, "--json")
    assert (back.code, back.answer["restored"]) == (0, told.answer["lines"])
    assert shell("site", "show", "--data", new).code == 0
    events = bundle / "events.jsonl"
    events.write_bytes(events.read_bytes()[:-40])
    assert shell("verify", str(bundle)).code == 4
    assert shell("restore", str(bundle), "--bundle", "--data", str(tmp_path / "b")).code == 4


def test_a_backup_comes_back_and_an_older_one_needs_a_decision(
    shell: Shell, tmp_path: Path
) -> None:
    copy = str(tmp_path / "copy")
    assert shell("backup", copy, "--json").code == 0
    assert shell("backup", copy).code == 2
    fresh = shell("restore", copy, "--data", str(tmp_path / "new"), "--json")
    assert (fresh.code, fresh.answer["trouble"]) == (0, "")
    for _ in range(2):
        assert shell("access", "new").code == 0
    assert (
        shell("round", "add", "--pool", "main", "--free", "1.5", "--clarity", "visible").code == 0
    )
    held = tmp_path / "held.txt"
    held.write_text(shell("stamp", "show").out)
    assert shell("restore", copy).code == 2
    refused = shell("restore", copy, "--replace", "--stamp", str(held))
    assert refused.code == 4
    old = shell("restore", copy, "--replace")
    assert old.code == 0
    assert "ROLLED BACK" in old.out
    assert shell("round", "add", "--pool", "main", "--free", "1.5").code == 3
    assert shell("restore", "--accept").code == 2
    done = shell("restore", "--accept", "--reason", "the disk broke")
    assert done.code == 0
    assert "on record" in done.out
    assert shell("round", "add", "--pool", "main", "--free", "1.5").code == 0
    assert shell("restore").code == 2
