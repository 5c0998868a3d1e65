"""The forms a store has had: which one it has, and the steps to the present one."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, inspect, text

from lanewater.records.store.schema import REVISION
from lanewater.terms.errors import RefusedError


def found_form(connection: Connection) -> str:
    """Give the store's form, "" for an empty one."""
    if not inspect(connection).has_table("alembic_version"):
        return ""
    found = connection.execute(text("SELECT max(version_num) FROM alembic_version")).scalar()
    return str(found or "")


def hold_to_known(found: str) -> None:
    """Refuse a form that is newer than this program."""
    if found > REVISION:
        raise RefusedError(
            f"the store has form {found}; this program knows {REVISION}: use the newer program"
        )


def take_steps(connection: Connection, form: str = "head") -> None:
    """Run the steps that are missing, inside the caller's transaction.

    Every trigger that guards a table may be gone afterwards: the caller makes them again.
    """
    # Alembic takes a third of a second to load and is needed once in a store's life.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415

    configuration = Config()
    configuration.set_main_option(
        "script_location", str(Path(__file__).parent / "migrations").replace("%", "%%")
    )
    configuration.set_main_option("path_separator", "os")
    configuration.attributes["connection"] = connection
    command.upgrade(configuration, form)
