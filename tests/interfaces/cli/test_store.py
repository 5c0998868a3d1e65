"""`lanewater store`, and the record's commands where it lies on a server."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.interfaces.cli.shell_case import Shell
from tests.postgres import Server
from tests.stores import server_place

NEW = ("site", "new", "Harbour Baths", "--timezone", "America/Toronto")


def test_a_site_lives_on_a_server_from_the_first_command(
    empty_shell: Shell, postgres: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = server_place(postgres)
    monkeypatch.setenv("LANEWATER_STORE", str(place.where))
    said = empty_shell(*NEW)
    assert (said.code, said.out) == (3, "")
    assert "lanewater store prepare" in said.err

    owner = postgres.url("lanewater_owner")
    made = empty_shell("store", "prepare", "--owner", owner, "--json").answer
    assert (made["schema"], made["role"]) == (place.schema, "lanewater")
    again = empty_shell("store", "prepare", "--owner", owner)
    assert again.out.startswith(f"The schema {place.schema} is ready")

    assert empty_shell(*NEW).code == 0
    said = empty_shell(*NEW)
    assert said.code == 2
    assert "holds a site already" in said.err
    assert empty_shell("site", "add", "pool", "--name", "Main").code == 0
    assert empty_shell("round", "add", "--pool", "main", "--ph", "7.4").code == 0
    shown = empty_shell("record", "show", "--json")
    assert "round-recorded" in shown.out
    bundle = str(tmp_path / "bundle")
    assert empty_shell("export", bundle).code == 0
    assert empty_shell("verify", bundle, "--json").answer["outcome"] == "complete"
    said = empty_shell("backup", str(tmp_path / "copy"))
    assert said.code == 2
    assert "use-postgresql" in said.err
    # Without the server's name there is nothing in the folder but keys.
    monkeypatch.delenv("LANEWATER_STORE")
    assert empty_shell("site", "show").code == 3
    assert empty_shell("site", "show", "--store", str(place.where)).code == 0


def test_without_a_server_there_is_nothing_to_prepare(empty_shell: Shell) -> None:
    said = empty_shell("store", "prepare", "--owner", "postgresql://o@h/d")
    assert said.code == 3
    assert "--store" in said.err
    said = empty_shell("store", "prepare", "--store", "postgresql://a@h/d", "--owner", "o")
    assert said.code == 2
    assert "--owner" in said.err


def test_as_the_owner_nothing_is_recorded(empty_shell: Shell, postgres: Server) -> None:
    place = server_place(postgres)
    owner = postgres.url("lanewater_owner")
    assert empty_shell("store", "prepare", "--store", str(place.where), "--owner", owner).code == 0
    said = empty_shell(*NEW, "--store", postgres.url("lanewater_owner", place.schema))
    assert said.code == 4
    assert "could change the record" in said.err
