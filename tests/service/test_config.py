"""Where the data lie and where pages are served."""

from __future__ import annotations

from pathlib import Path

import pytest

from lanewater.service.config import CHECKOUT, load_config
from lanewater.terms.errors import InputError


def test_without_a_word_data_lie_beside_the_checkout() -> None:
    assert load_config(None, {}).data == CHECKOUT / ".lanewater"
    assert (CHECKOUT / "src" / "lanewater").is_dir()


def test_a_flag_goes_before_the_environment(tmp_path: Path) -> None:
    environ = {"LANEWATER_DATA": str(tmp_path / "b"), "LANEWATER_PORT": "1"}
    found = load_config(str(tmp_path / "a"), environ, port=2)
    assert (found.data, found.port) == (tmp_path / "a", 2)
    assert load_config(None, environ).data == tmp_path / "b"
    assert load_config(None, environ).port == 1


@pytest.mark.parametrize("port", ["", "x", "-1", "65536", "8 0", "٨٠", "1e3"])
def test_what_is_no_port_is_refused_by_name(port: str) -> None:
    with pytest.raises(InputError, match=r"^LANEWATER_PORT: "):
        load_config(None, {"LANEWATER_PORT": port})
    with pytest.raises(InputError, match=r"^--port: "):
        load_config(None, {}, port=port)


@pytest.mark.parametrize("folder", ["", "  ", "a\0b", "x" * 5000])
def test_what_is_no_folder_is_refused_by_name(folder: str) -> None:
    with pytest.raises(InputError, match=r"^--data: "):
        load_config(folder, {})


def test_a_file_is_no_folder(tmp_path: Path) -> None:
    (tmp_path / "f").write_text("x")
    with pytest.raises(InputError, match="not a folder"):
        load_config(str(tmp_path / "f"), {})
