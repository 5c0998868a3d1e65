"""`lanewater keys` and `lanewater people`."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.baths import Baths
from tests.interfaces.cli.shell_case import Shell

from lanewater.records.signing import key_from
from lanewater.service import people_forget
from lanewater.service.directory import shown_as


def test_every_key_that_lies_in_the_folder_is_listed_and_no_private_half(
    shell: Shell, baths: Baths
) -> None:
    where = ("--data", str(baths.folder))
    baths.book.close()
    said = shell("keys", "list", "--json", *where)
    listed = {row["public_key"] for row in [*said.answer["log"], *said.answer["devices"]]}
    files = [path for path in (baths.folder / "keys").iterdir() if path.suffix == ".key"]
    assert {path.stem for path in files} >= {"shell", "log"}
    for path in files:
        assert key_from(path.read_bytes()).public_hex in listed
        assert path.read_bytes().hex() not in said.out
        assert path.read_bytes().decode("latin-1") not in said.out
    assert said.answer["log_key_here"] is True
    baths.reopened()


def test_a_new_key_stamps_from_here_on_and_the_old_one_gives_its_word(shell: Shell) -> None:
    old = shell("keys", "list", "--json").answer["log"]
    made = shell("keys", "rotate", "--json").answer
    assert made["word"] is True
    assert made["replaces"] == old[-1]["public_key"]
    log = shell("keys", "list", "--json").answer["log"]
    assert log[-1]["public_key"] == made["public_key"]
    assert log[-2]["until_line"] is not None
    assert shell("stamp", "show").code == 0
    said = shell("keys", "list")
    assert "in use" in said.out
    assert made["public_key"] in said.out


def test_a_lost_key_is_said_and_without_it_nothing_is_rotated(shell: Shell, tmp_path: Path) -> None:
    (tmp_path / "shell" / "keys" / "log.key").unlink()
    said = shell("keys", "list")
    assert "nothing is stamped" in said.out
    assert shell("keys", "rotate").code == 2
    said = shell("keys", "rotate", "--lost")
    assert said.code == 0
    assert "asks for it by a person" in said.out
    assert "nothing is stamped" not in shell("keys", "list").out


def test_a_key_that_is_here_is_not_lost(shell: Shell) -> None:
    assert shell("keys", "rotate", "--lost").code == 2


def test_a_person_is_forgotten_by_id(shell: Shell) -> None:
    said = shell("people", "forget", "p-manager")
    assert said.code == 0
    assert shown_as("p-manager") in said.out
    assert "backups" in said.out
    assert "Dagny" not in shell("site", "show", "--json").out


def test_nobody_is_forgotten_by_a_name(shell: Shell) -> None:
    said = shell("people", "forget", "Dagny Dutyvik")
    assert (said.code, said.out) == (3, "")


def test_traces_that_are_left_are_said_and_the_check_does_not_hold(
    shell: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(people_forget, "scrub", lambda _connection: False)
    said = shell("people", "forget", "p-manager", "--json")
    assert said.code == 4
    assert said.answer["traces"] == "left"
    assert "Run the same command again" in said.err
