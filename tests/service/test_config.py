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


def test_the_record_is_a_file_unless_a_server_is_named(tmp_path: Path) -> None:
    address = "postgresql://lanewater:horse@h/d?options=-csearch_path%3Dbaths"
    environ = {"LANEWATER_DATA": str(tmp_path), "LANEWATER_STORE": address}
    assert load_config(None, environ).place == address
    assert load_config(None, environ, store="postgres://a@b/c").place == "postgres://a@b/c"
    for found in (load_config(None, environ, store=""), load_config(str(tmp_path), {})):
        assert found.place == tmp_path / "lanewater.db"
    assert load_config(None, environ).store == tmp_path / "lanewater.db"
    assert "horse" not in load_config(None, environ).where


@pytest.mark.parametrize("address", ["mysql://a@b/c", "host=h dbname=d", "postgresql://a\0b"])
def test_what_is_no_servers_address_is_refused_and_not_repeated(address: str) -> None:
    with pytest.raises(InputError, match=r"^LANEWATER_STORE: ") as caught:
        load_config(None, {"LANEWATER_STORE": address})
    assert address not in str(caught.value)
    with pytest.raises(InputError, match=r"^--store: "):
        load_config(None, {}, store=address)
