"""`lanewater certificate` and `serve --certificate`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from lanewater.interfaces.cli.main import main

Capture = pytest.CaptureFixture[str]


def made(folder: Path, *names: str) -> int:
    """Make a certificate."""
    return main(["certificate", "new", *names, "--folder", str(folder), "--json"])


def test_new_show_and_renew_tell_the_same_certificate(tmp_path: Path, capsys: Capture) -> None:
    folder = tmp_path / "certificate"
    assert made(folder, "baths.lan", "192.168.1.20") == 0
    first = json.loads(capsys.readouterr().out)
    assert first["names"] == ["baths.lan", "192.168.1.20"]
    assert first["days_left"] in (395, 396)
    assert first["warnings"] == []
    before = (folder / "server.pem").read_bytes()
    assert main(["certificate", "renew", "--folder", str(folder), "--json"]) == 0
    assert (folder / "server.pem").read_bytes() != before
    assert json.loads(capsys.readouterr().out)["fingerprint"] == first["fingerprint"]
    assert main(["certificate", "show", "--folder", str(folder)]) == 0
    words = capsys.readouterr().out
    assert first["fingerprint"][:47] in words
    assert "PRIVATE" not in words


def test_it_lies_in_the_data_folder_where_none_is_named(tmp_path: Path, capsys: Capture) -> None:
    assert main(["certificate", "new", "baths.lan", "--data", str(tmp_path)]) == 0
    assert (tmp_path / "certificate" / "authority.crt").is_file()
    assert "baths.lan, and nothing else" in capsys.readouterr().out


def test_another_beside_it_a_wrong_name_and_none_are_each_refused_by_name(
    tmp_path: Path, capsys: Capture
) -> None:
    assert made(tmp_path / "c", "baths.lan") == 0
    assert made(tmp_path / "c", "other.lan") == 2
    assert made(tmp_path / "d", "lan") == 2
    assert main(["certificate", "show", "--folder", str(tmp_path / "none")]) == 3
    errors = capsys.readouterr().err
    for part in ("tablets may trust it", "name the machine in full", "certificate new"):
        assert part in errors


def test_serving_with_what_does_not_go_together_is_refused(tmp_path: Path, capsys: Capture) -> None:
    data = ["--data", str(tmp_path)]
    assert main(["serve", "--certificate", "--behind-tls", *data]) == 2
    assert main(["serve", "--onboarding-port", "8322", *data]) == 2
    assert main(["serve", "--certificate", *data]) == 3
    errors = capsys.readouterr().err
    assert "a proxy speaks TLS already" in errors
    assert "goes with --certificate" in errors
    assert "certificate new" in errors
