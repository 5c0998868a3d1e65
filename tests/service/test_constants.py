"""The compiled constants: used while fresh, made anew when the text or its compiler changes."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from lanewater.service.constants import SOURCE, load_constants, load_sets
from lanewater.terms.errors import InputError, MissingError


def test_a_changed_text_is_noticed(tmp_path: Path) -> None:
    source, compiled = tmp_path / "constants.toml", tmp_path / "compiled" / "constants.json"
    source.write_bytes(SOURCE.read_bytes())
    first = load_sets(source, compiled)
    assert load_sets(source, compiled) == first
    text = source.read_text(encoding="utf-8").replace("pk = 13.5", "pk = 13.6")
    source.write_text(text, encoding="utf-8")
    second = load_sets(source, compiled)
    assert second != first
    assert json.loads(compiled.read_text())["sets"] == second


@pytest.mark.parametrize("damage", [b"", b"{", b"[]", b"null", b'{"mark": "x"}'])
def test_a_damaged_compiled_form_is_made_anew(tmp_path: Path, damage: bytes) -> None:
    compiled = tmp_path / "constants.json"
    whole = load_sets(SOURCE, compiled)
    compiled.write_bytes(damage)
    assert load_sets(SOURCE, compiled) == whole


def test_a_text_that_does_not_hold_is_refused_and_not_kept(tmp_path: Path) -> None:
    source, compiled = tmp_path / "constants.toml", tmp_path / "constants.json"
    text = SOURCE.read_text(encoding="utf-8").replace('tag = "SEEN"', 'tag = "sure"')
    source.write_text(text, encoding="utf-8")
    with pytest.raises(InputError):
        load_sets(source, compiled)
    assert not compiled.exists()


def test_where_nothing_can_be_kept_the_constants_still_come(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    assert load_sets(SOURCE, blocked / "constants.json") == load_sets()


def test_an_unknown_set_is_missing() -> None:
    with pytest.raises(MissingError, match="OBM74_dH"):
        load_constants("OBM74")


def test_calc_reads_the_compiled_form_without_a_parser_of_texts() -> None:
    load_constants()
    program = (
        "import sys; from lanewater.interfaces.cli.main import main;"
        "main(['calc', 'water', '{\"ph\": 7.4, \"temperature_c\": 28,"
        " \"total_alkalinity_mg_l\": 100}', '--json']);"
        "heavy = {'tomllib', 'numpy', 'scipy', 'numba', 'sqlalchemy', 'fastapi'};"
        "heavy &= set(sys.modules);"
        "sys.exit(str(heavy) if heavy else 0)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["hocl_mg_l"] == 0
