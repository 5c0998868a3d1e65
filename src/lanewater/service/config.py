"""Where this site's data lie and where its pages are served: defaults, environment, flags."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from lanewater.terms.errors import InputError, MissingError

CHECKOUT = Path(__file__).resolve().parents[3]
FOLDER = ".lanewater"
HOST = "127.0.0.1"
PORT = 8321
SERVER_SETTING = "LANEWATER_STORE"
SCHEMES = ("postgresql://", "postgres://")
SCHEMA_NAMED = f"the schema that --store or {SERVER_SETTING} names"


@dataclass(frozen=True, slots=True)
class Config:
    """The settings of one run.

    Attributes
    ----------
    data : Path
        The folder of one site: its record, its keys. Created by `site new`.
    host : str
        The address the pages are served at.
    port : int
        1 to 65535, or 0 for any free one.
    server : str
        The address of the PostgreSQL schema that holds the record; "" where it is a file.
    """

    data: Path
    host: str = HOST
    port: int = PORT
    server: str = ""

    @property
    def store(self) -> Path:
        """Give the file of the record."""
        return self.data / "lanewater.db"

    @property
    def place(self) -> Path | str:
        """Give where the record is: its file, or the address of its schema."""
        return self.server or self.store

    @property
    def where(self) -> str:
        """Give where the record is, for people: an address may hold a password."""
        return SCHEMA_NAMED if self.server else str(self.data)

    @property
    def seen(self) -> Path:
        """Give the file of the newest stamp that this machine saw; it lies beside the record."""
        return self.data / "seen.txt"

    def key_file(self, device: str) -> Path:
        """Give the file of a device's signing key."""
        return self.data / "keys" / f"{device}.key"


def load_config(
    data: str | None,
    environ: Mapping[str, str],
    *,
    host: str | None = None,
    port: int | str | None = None,
    store: str | None = None,
) -> Config:
    """Put the settings together: flags before environment before defaults.

    Parameters
    ----------
    data, host, port, store : optional
        What flags say; None where they say nothing.
    environ : mapping
        The environment: LANEWATER_DATA, LANEWATER_HOST, LANEWATER_PORT, LANEWATER_STORE.

    Raises
    ------
    InputError
        Naming the setting that cannot be read.
    MissingError
        Where no folder is named and the program does not stand in a checkout.
    """
    where = data if data is not None else environ.get("LANEWATER_DATA")
    port_text = port if port is not None else environ.get("LANEWATER_PORT", PORT)
    return Config(
        data=data_folder(where, "--data" if data is not None else "LANEWATER_DATA"),
        host=host if host is not None else environ.get("LANEWATER_HOST", HOST),
        port=port_number(port_text, "--port" if port is not None else "LANEWATER_PORT"),
        server=server_address(
            store if store is not None else environ.get(SERVER_SETTING, ""),
            "--store" if store is not None else SERVER_SETTING,
        ),
    )


def data_folder(where: str | None, name: str) -> Path:
    """Give the data folder, that beside the checkout where none is named."""
    if where is None:
        if not (CHECKOUT / "pyproject.toml").is_file():
            raise MissingError("no data folder: name one with --data or LANEWATER_DATA")
        return CHECKOUT / FOLDER
    if not where.strip() or "\0" in where:
        raise InputError(name, "must name a folder")
    folder = Path(where).expanduser().absolute()
    try:
        taken = folder.exists() and not folder.is_dir()
    except OSError as error:
        raise InputError(name, f"cannot be used: {error.strerror}") from None
    if taken:
        raise InputError(name, f"{folder} is not a folder")
    return folder


def port_number(value: int | str, name: str) -> int:
    """Read a port."""
    text = str(value)
    if not text.isascii() or not text.isdigit() or len(text) > 5 or int(text) > 65535:
        raise InputError(name, f"must be a port from 0 to 65535, not {text[:20]!r}")
    return int(text)


def server_address(text: str, name: str) -> str:
    """Read the address of a store on a server, "" for the file in the data folder."""
    if text and (not text.startswith(SCHEMES) or "\0" in text):
        raise InputError(name, "must be an address like postgresql://ROLE@HOST/DATABASE")
    return text
