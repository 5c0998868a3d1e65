"""What a PostgreSQL store must be before a word is written to it, and what keeps it so."""

from __future__ import annotations

import re
from typing import Any

import psycopg

from lanewater.records.errors import BrokenPromiseError
from lanewater.records.store.dialect import UNGUARDED
from lanewater.records.store.schema import GROWN, metadata
from lanewater.terms.errors import InputError, MissingError

Raw = psycopg.Connection[tuple[Any, ...]]

# Name, what must be read back, how to get there.
IN_CONFIGURATION = "set it so in the server's configuration and reload it"
PROMISES: tuple[tuple[str, str, str], ...] = (
    ("fsync", "on", IN_CONFIGURATION),
    ("full_page_writes", "on", IN_CONFIGURATION),
    ("synchronous_commit", "on", "leave it as the program sets it"),
    ("data_sync_retry", "off", IN_CONFIGURATION),
    ("data_checksums", "on", "stop the server and run `pg_checksums --enable` on its data"),
    ("server_encoding", "UTF8", "make the database with ENCODING 'UTF8'"),
    ("transaction_read_only", "off", "name the server that takes writes, not its copy"),
    ("zero_damaged_pages", "off", IN_CONFIGURATION),
    ("ignore_checksum_failure", "off", IN_CONFIGURATION),
    ("session_replication_role", "origin", "take the setting away from the role"),
)
# What is promised and not asked for here is not found, and refused.
SETTINGS = (
    "SELECT name, current_setting(name, true) FROM unnest(ARRAY['fsync', 'full_page_writes', "
    "'synchronous_commit', 'data_sync_retry', 'data_checksums', 'server_encoding', "
    "'transaction_read_only', 'zero_damaged_pages', 'ignore_checksum_failure', "
    "'session_replication_role']) AS name"
)
SCHEMA = re.compile(r"[a-z_][a-z0-9_]{0,62}")

# What may be done to what a role could become counts as its own, inherited or not. Owners and
# those who may give out roles could take the guards away.
MAY_CHANGE = """
SELECT r.rolname, CASE
    WHEN r.rolsuper THEN 'a superuser'
    WHEN r.rolcreaterole THEN 'allowed to make roles'
    WHEN r.rolname = ANY(%(files)s) THEN 'allowed to reach the server''s files'
    WHEN pg_has_role(r.oid, c.relowner, 'MEMBER') THEN 'the owner of ' || c.relname
    WHEN pg_has_role(r.oid, n.nspowner, 'MEMBER') THEN 'the owner of the schema'
    WHEN pg_has_role(r.oid, d.datdba, 'MEMBER') THEN 'the owner of the database'
    ELSE 'allowed to change or delete ' || c.relname END
FROM pg_class c
JOIN pg_namespace n ON n.oid = c.relnamespace
JOIN pg_database d ON d.datname = current_database()
JOIN pg_roles r ON pg_has_role(session_user, r.oid, 'MEMBER')
    OR pg_has_role(current_user, r.oid, 'MEMBER')
WHERE n.nspname = current_schema() AND c.relkind = 'r' AND c.relname = ANY(%(grown)s) AND (
    r.rolsuper OR r.rolcreaterole OR r.rolname = ANY(%(files)s)
    OR pg_has_role(r.oid, c.relowner, 'MEMBER')
    OR pg_has_role(r.oid, n.nspowner, 'MEMBER')
    OR pg_has_role(r.oid, d.datdba, 'MEMBER')
    OR has_table_privilege(r.oid, c.oid, 'UPDATE, DELETE, TRUNCATE, TRIGGER')
    OR has_any_column_privilege(r.oid, c.oid, 'UPDATE'))
ORDER BY c.relname, r.rolname LIMIT 1
"""
FILES = ("pg_write_server_files", "pg_execute_server_program")
FOUND_GUARDS = """
SELECT t.tgname, c.relname, t.tgtype, t.tgenabled::text, p.prosrc, l.lanname,
    p.prosecdef, p.proconfig, t.tgqual IS NULL AND t.tgattr::text = ''
FROM pg_trigger t
JOIN pg_class c ON c.oid = t.tgrelid
JOIN pg_proc p ON p.oid = t.tgfoid
JOIN pg_language l ON l.oid = p.prolang
WHERE c.relnamespace = current_schema()::regnamespace AND NOT t.tgisinternal
"""
# An unlogged table is empty after a crash; a rule or a row policy makes an INSERT do nothing.
FOUND_TABLES = """
SELECT c.relname, c.relkind::text, c.relpersistence::text, c.relhasrules, c.relrowsecurity
FROM pg_class c
WHERE c.relnamespace = current_schema()::regnamespace AND c.relname = ANY(%s)
"""
UNIQUE_KEYS = """
SELECT count(*) FROM pg_index
WHERE indrelid = to_regclass('entry') AND indisunique AND indisvalid AND indpred IS NULL
"""

BEFORE_CHANGE, BEFORE_ROW = 2 + 8 + 16 + 32, 1 + 2 + 4  # bits of pg_trigger.tgtype


def refusal(said: str) -> str:
    """Write the body of the function that refuses every change to a table."""
    return (
        f"BEGIN RAISE EXCEPTION USING MESSAGE = '{said} refuses to ' || "
        "CASE TG_OP WHEN 'UPDATE' THEN 'change' ELSE 'forget' END; END"
    )


GOES_TO_THE_END = (
    "BEGIN IF NEW.seq IS DISTINCT FROM (SELECT coalesce(max(seq), 0) + 1 FROM entry) "
    "OR NEW.log_index IS DISTINCT FROM "
    "(SELECT coalesce(max(log_index) + 1, 0) FROM entry WHERE site = NEW.site) "
    "OR NEW.dseq IS DISTINCT FROM "
    "(SELECT coalesce(max(dseq), 0) + 1 FROM entry WHERE dev = NEW.dev) "
    "OR EXISTS (SELECT 1 FROM entry WHERE id = NEW.id) "
    "THEN RAISE EXCEPTION 'an entry goes to the end of the record or nowhere'; END IF; "
    "RETURN NEW; END"
)
# Trigger, and function, to (table, kind, body). Not SQLite's "written once": there is no INSERT
# here that replaces.
GUARDS = {
    f"{name}_is_never_changed": (name, BEFORE_CHANGE, refusal(said)) for name, said in GROWN.items()
} | {"entry_goes_to_the_end": ("entry", BEFORE_ROW, GOES_TO_THE_END)}
WHEN = {
    BEFORE_CHANGE: ("BEFORE UPDATE OR DELETE OR TRUNCATE", "STATEMENT"),
    BEFORE_ROW: ("BEFORE INSERT", "ROW"),
}


def guard_statements(schema: str) -> list[str]:
    """Write the statements that make the guards anew.

    They fire in every session ("always"), and look in their own schema only, so that a temporary
    table of the same name deceives none of them.
    """
    made: list[str] = []
    for guard, (table, kind, body) in GUARDS.items():
        moment, each = WHEN[kind]
        made += [
            f"DROP TRIGGER IF EXISTS {guard} ON {table}",
            (
                f"CREATE OR REPLACE FUNCTION {guard}() RETURNS trigger LANGUAGE plpgsql "
                f"SET search_path = {schema}, pg_temp AS $guard${body}$guard$"
            ),
            (
                f"CREATE TRIGGER {guard} {moment} ON {table} FOR EACH {each} "
                f"EXECUTE FUNCTION {guard}()"
            ),
            f"ALTER TABLE {table} ENABLE ALWAYS TRIGGER {guard}",
        ]
    return made


def hold_to_promises(answered: psycopg.Cursor[tuple[Any, ...]]) -> None:
    """Hold what the server answered to SETTINGS; refuse to write where something does not hold."""
    known: dict[str, str] = dict(answered.fetchall())
    for name, promised, how in PROMISES:
        found = known.get(name)
        if found != promised:
            raise BrokenPromiseError(
                f"the store: {name} is {found or 'nothing'}, not {promised}; nothing is recorded "
                f"there. To use this server, {how}."
            )


def schema_of(raw: Raw) -> str:
    """Give the one schema that the address names.

    Raises
    ------
    InputError
        Where it names none, or several, or one whose name would need quoting.
    MissingError
        Where there is none of that name, or the role may not look into it.
    """
    schema = wanted_schema(raw)
    if raw.execute("SELECT current_schema()").fetchone() != (schema,):
        raise MissingError(
            f"there is no schema {schema}, or its role may not look: "
            "prepare it with `lanewater store prepare`"
        )
    return schema


def wanted_schema(raw: Raw) -> str:
    """Give the schema that the address names, whether it is there or not."""
    row = raw.execute("SELECT current_setting('search_path')").fetchone()
    named = str(row[0]) if row else ""
    if not SCHEMA.fullmatch(named):
        raise InputError(
            "store",
            f"must name the site's one schema: options=-csearch_path%3DNAME (it says {named!r})",
        )
    return named


def hold_to_role(raw: Raw) -> None:
    """Refuse to run as a role that could change what is on record."""
    found = raw.execute(MAY_CHANGE, {"grown": list(GROWN), "files": list(FILES)}).fetchone()
    if found is not None:
        raise BrokenPromiseError(
            f"the store: the program is signed in as a role that could change the record "
            f"({found[0]} is {found[1]}). Use a role of its own and prepare the store for it with "
            "`lanewater store prepare`."
        )


def hold_to_guards(raw: Raw) -> None:
    """See that the triggers are there, always on, with the functions word for word."""
    schema = schema_of(raw)
    promised = {
        (guard, table, kind, "A", body, "plpgsql", False, f"search_path={schema}, pg_temp", True)
        for guard, (table, kind, body) in GUARDS.items()
    }
    found = {
        (*row[:7], ";".join(row[7] or ()), row[8]) for row in raw.execute(FOUND_GUARDS).fetchall()
    }
    if found != promised:
        raise BrokenPromiseError(UNGUARDED)


def hold_to_tables(raw: Raw) -> None:
    """See that every table is a plain one that survives a crash, with its keys."""
    found = {row[0]: row[1:] for row in raw.execute(FOUND_TABLES, (list(metadata.tables),))}
    for name in metadata.tables:
        if found.get(name) != ("r", "p", False, False):
            raise BrokenPromiseError(
                f"the store: the table {name} is not there as it must be "
                "(a plain, logged one without rules or row policies)"
            )
    if raw.execute(UNIQUE_KEYS).fetchone() != (4,):
        raise BrokenPromiseError("the store: the table entry lacks one of its unique keys")
