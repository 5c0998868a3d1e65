"""Packs on disk: compiled once, and a stale one is noticed."""

import shutil
from pathlib import Path

import pytest

from lanewater.service.packs import FOLDER, load_pack
from lanewater.terms.errors import LanewaterError, MissingError


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    packs = tmp_path / "packs"
    packs.mkdir()
    shutil.copy(FOLDER / "sg.toml", packs)
    return packs


def test_a_changed_text_is_compiled_anew(folder: Path, tmp_path: Path) -> None:
    compiled = tmp_path / "compiled"
    before = load_pack("sg", folder, compiled)
    text = (folder / "sg.toml").read_text()
    (folder / "sg.toml").write_text(text.replace('at_least = "7.2"', 'at_least = "7.3"'))
    after = load_pack("sg", folder, compiled)
    assert before["hash"] != after["hash"]
    assert after["rules"][0]["limit"] == "7.3"


def test_a_damaged_compiled_form_is_compiled_anew(folder: Path, tmp_path: Path) -> None:
    compiled = tmp_path / "compiled"
    good = load_pack("sg", folder, compiled)
    (compiled / "sg.json").write_text("{")
    assert load_pack("sg", folder, compiled) == good


def test_a_pack_is_good_where_the_compiled_form_cannot_be_kept(folder: Path) -> None:
    assert load_pack("sg", folder, folder / "sg.toml")["id"] == "sg"


@pytest.mark.parametrize("identity", ["", "..", "../sg", "sg.toml", "SG", "atlantis", "a" * 300])
def test_a_name_that_is_no_pack_is_missing(identity: str, folder: Path, tmp_path: Path) -> None:
    with pytest.raises(MissingError):
        load_pack(identity, folder, tmp_path)


def test_a_pack_whose_id_is_not_its_file_is_refused(folder: Path, tmp_path: Path) -> None:
    (folder / "sg.toml").rename(folder / "my.toml")
    with pytest.raises(LanewaterError):
        load_pack("my", folder, tmp_path)
