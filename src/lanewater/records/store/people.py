"""What may change and may be forgotten: names, phones, PIN hashes, devices and sessions."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, Table, delete, insert, select, update

from lanewater.records.store.schema import (
    contact,
    device,
    first_key,
    person,
    pin_before,
    pin_failure,
    session,
)


def put_person(connection: Connection, identity: str, known: Mapping[str, str]) -> None:
    """Add a person or change what is known of one; fields left out keep what they hold."""
    fresh = {"name": "", "initials": "", "phone": "", "pin_hash": ""} | dict(known)
    put(connection, person, fresh | {"id": identity}, dict(known))


def people(connection: Connection) -> dict[str, dict[str, str]]:
    """Give what is known of each person, without the PIN's hash."""
    rows = connection.execute(
        select(person.c.id, person.c.name, person.c.initials, person.c.phone).order_by(person.c.id)
    )
    return {
        row.id: {"name": row.name, "initials": row.initials, "phone": row.phone} for row in rows
    }


def forget_person(connection: Connection, identity: str, name: str) -> list[str]:
    """Delete all that is known of a person, sessions included.

    Lines of the phone list that hold the name go too; their ids are given.
    """
    for table, column in (
        (session, session.c.person),
        (pin_failure, pin_failure.c.person),
        (pin_before, pin_before.c.person),
        (person, person.c.id),
    ):
        connection.execute(delete(table).where(column == identity))
    held = [
        row["id"]
        for row in contacts(connection)
        if name and name.casefold() in f"{row['name']} {row['note']}".casefold()
    ]
    connection.execute(delete(contact).where(contact.c.id.in_(held)))
    return held


def pin_hash(connection: Connection, identity: str) -> str:
    """Give the hash of a person's PIN, "" where there is none."""
    found = connection.execute(select(person.c.pin_hash).where(person.c.id == identity)).scalar()
    return str(found or "")


def keep_pin_before(connection: Connection, person_id: str, tag: str, until_ms: int) -> None:
    """Keep the tag of a PIN that somebody had until an instant."""
    same = (pin_before.c.person == person_id, pin_before.c.tag == tag)
    connection.execute(delete(pin_before).where(*same))
    connection.execute(insert(pin_before).values(person=person_id, tag=tag, until_ms=until_ms))


def pin_before_until(connection: Connection, person_id: str, tag: str) -> int | None:
    """Give until when somebody had the PIN of a tag, None where they never had it before."""
    return connection.execute(
        select(pin_before.c.until_ms).where(
            pin_before.c.person == person_id, pin_before.c.tag == tag
        )
    ).scalar()


def failures(connection: Connection, device_id: str, person_id: str) -> int:
    """Give how often in a row a PIN was wrong for a person on a device."""
    found = connection.execute(
        select(pin_failure.c.count).where(
            pin_failure.c.device == device_id, pin_failure.c.person == person_id
        )
    ).scalar()
    return int(found or 0)


def set_failures(connection: Connection, device_id: str, person_id: str, count: int) -> None:
    """Keep how often in a row a PIN was wrong; 0 forgets it."""
    connection.execute(
        delete(pin_failure).where(
            pin_failure.c.device == device_id, pin_failure.c.person == person_id
        )
    )
    if count:
        connection.execute(
            insert(pin_failure).values(device=device_id, person=person_id, count=count)
        )


def put_contact(connection: Connection, known: Mapping[str, str]) -> None:
    """Add a line of the phone list, or change it."""
    changes = {key: value for key, value in known.items() if key != "id"}
    put(connection, contact, known, changes)


def put(
    connection: Connection, table: Table, fresh: Mapping[str, str], changes: Mapping[str, str]
) -> None:
    """Add a row, or change some of what the one of the same id holds; the caller alone writes."""
    same = table.c.id == fresh["id"]
    if connection.execute(select(table.c.id).where(same)).first() is None:
        connection.execute(insert(table).values(**fresh))
    elif changes:
        connection.execute(update(table).where(same).values(**changes))


def contacts(connection: Connection) -> list[dict[str, str]]:
    """Give the phone list: emergency numbers first, then by id."""
    rows = connection.execute(select(contact)).mappings()
    return sorted(
        ({str(key): str(value) for key, value in row.items()} for row in rows),
        key=lambda row: (row["kind"] != "emergency", row["id"]),
    )


def add_device(connection: Connection, values: Mapping[str, Any]) -> None:
    """Keep an enrolled browser: id, name, kind, token_hash, enrolled_ms."""
    connection.execute(insert(device).values(**values))


def device_by_token(connection: Connection, token_hash: str) -> dict[str, Any] | None:
    """Give the enrolled browser that holds a token."""
    row = connection.execute(select(device).where(device.c.token_hash == token_hash)).mappings()
    found = row.first()
    return None if found is None else dict(found)


def devices(connection: Connection) -> list[dict[str, Any]]:
    """Give the enrolled browsers, oldest first, without their tokens."""
    rows = connection.execute(
        select(device.c.id, device.c.name, device.c.kind, device.c.enrolled_ms).order_by(
            device.c.enrolled_ms
        )
    ).mappings()
    return [dict(row) for row in rows]


def remove_device(connection: Connection, identity: str) -> None:
    """Forget an enrolled browser and end its sessions."""
    connection.execute(delete(session).where(session.c.device == identity))
    connection.execute(delete(device).where(device.c.id == identity))


def end_sessions_on(connection: Connection, identity: str) -> None:
    """End every session on a browser."""
    connection.execute(delete(session).where(session.c.device == identity))


def add_session(connection: Connection, values: Mapping[str, Any]) -> None:
    """Keep a session: token_hash, device, person, started_ms, used_ms."""
    connection.execute(insert(session).values(**values))


def session_by_token(connection: Connection, token_hash: str) -> dict[str, Any] | None:
    """Give the session of a token."""
    row = connection.execute(select(session).where(session.c.token_hash == token_hash)).mappings()
    found = row.first()
    return None if found is None else dict(found)


def touch_session(connection: Connection, token_hash: str, used_ms: int) -> None:
    """Keep when a session was last used."""
    connection.execute(
        update(session).where(session.c.token_hash == token_hash).values(used_ms=used_ms)
    )


def end_session(connection: Connection, token_hash: str) -> None:
    """End one session."""
    connection.execute(delete(session).where(session.c.token_hash == token_hash))


def end_sessions_of(connection: Connection, person_id: str) -> None:
    """End every session of a person."""
    connection.execute(delete(session).where(session.c.person == person_id))


def add_first_key(connection: Connection, key_hash: str, made_ms: int) -> None:
    """Keep a first key that has not been used."""
    connection.execute(insert(first_key).values(key_hash=key_hash, made_ms=made_ms, used_ms=0))


def unused_first_key(connection: Connection, key_hash: str) -> int | None:
    """Give when an unused first key was made, None where there is no such key."""
    return connection.execute(
        select(first_key.c.made_ms).where(
            first_key.c.key_hash == key_hash, first_key.c.used_ms == 0
        )
    ).scalar()


def use_first_key(connection: Connection, key_hash: str, used_ms: int) -> None:
    """Mark a first key as used; it opens nothing again."""
    connection.execute(
        update(first_key).where(first_key.c.key_hash == key_hash).values(used_ms=used_ms)
    )
