"""Make a PostgreSQL server ready to hold a site's record."""

from __future__ import annotations

from lanewater.records.store.connection import prepare_store
from lanewater.service.config import SCHEMES, SERVER_SETTING, Config
from lanewater.terms.errors import InputError, MissingError


def prepare(config: Config, owner: str) -> dict[str, str]:
    """Make the schema, its tables and guards, and give the program's role what it needs.

    Parameters
    ----------
    config : Config
        Says how the program signs in.
    owner : str
        The address of the same database as the role that owns the tables.

    Returns
    -------
    dict
        {"schema", "role", "form"}.

    Raises
    ------
    MissingError
        Where no server is named.
    BrokenPromiseError
        Where the server is not durable, or the program's role could change the record.
    """
    if not config.server:
        raise MissingError(f"no server: name it with --store or {SERVER_SETTING}")
    if not owner.startswith(SCHEMES):
        raise InputError("--owner", "must be an address like postgresql://OWNER@HOST/DATABASE")
    return prepare_store(config.server, owner)
