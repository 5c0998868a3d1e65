"""Names, phones and devices: what is kept apart from the record and may be forgotten."""

from __future__ import annotations

import hashlib
from typing import Any

from lanewater.records.store import people as store
from lanewater.service.book import Book

# Who decides about a pool, in the order they are told.
TOLD_FIRST = ("duty-manager", "", "plant-operator", "area-manager")


def names(book: Book) -> dict[str, dict[str, str]]:
    """Give {"name", "initials", "phone"} by person id; who was forgotten has an opaque word."""
    with book.reading() as connection:
        known = store.people(connection)
    for identity in book.state.people:
        if identity not in known:
            word = shown_as(identity)
            known[identity] = {"name": word, "initials": word.split()[1], "phone": ""}
    return known


def shown_as(person: str) -> str:
    """Give the word for somebody whose name is not known here, always the same one."""
    return f"person {hashlib.sha256(person.encode()).hexdigest()[:4]}"


def people(book: Book) -> list[dict[str, Any]]:
    """Give the people who work here, with their roles and competences, in order of name."""
    known = names(book)
    rows = [
        {
            "id": person.id,
            **known.get(person.id, {"name": "", "initials": "", "phone": ""}),
            "roles": list(person.roles),
            "delegated": list(person.delegated),
            "competences": [dict(row) for row in person.competences],
        }
        for person in book.state.people.values()
        if not person.gone
    ]
    return sorted(rows, key=lambda row: (row["name"].casefold(), row["id"]))


def people_here(book: Book) -> list[dict[str, Any]]:
    """Give what a sign-in page needs: id, name, initials and roles."""
    return [{key: row[key] for key in ("id", "name", "initials", "roles")} for row in people(book)]


def contacts(book: Book) -> list[dict[str, str]]:
    """Give the phone list, emergency numbers first."""
    with book.reading() as connection:
        return store.contacts(connection)


def tell_list(book: Book, speaker: str = "") -> list[dict[str, Any]]:
    """Give whom to tell of a round or a stop: duty managers first, never who speaks.

    Parameters
    ----------
    book : Book
        The site's book.
    speaker : str
        The id of the person who tells, "" where it is not known.

    Returns
    -------
    list of dict
        {"id", "name", "phone", "roles"}: those who may decide, and the phone list's managers.
    """
    listed = people(book)
    managers = [row for row in contacts(book) if row["kind"] == "manager"]
    on_the_phone_list = {row["phone"] for row in managers}
    known_phones = {row["phone"] for row in listed}
    rows = [
        {key: row[key] for key in ("id", "name", "phone", "roles")}
        for row in listed
        if set(row["roles"]) & {"duty-manager", "area-manager"} or row["phone"] in on_the_phone_list
    ]
    rows += [
        {"id": row["id"], "name": row["name"], "phone": row["phone"], "roles": []}
        for row in managers
        if row["phone"] not in known_phones
    ]
    return sorted((row for row in rows if row["id"] != speaker), key=told_rank)


def told_rank(row: dict[str, Any]) -> int:
    """Give the place of somebody in the order of telling; several roles count by the first."""
    places = [TOLD_FIRST.index(role) for role in row["roles"] if role in TOLD_FIRST]
    return min(places, default=TOLD_FIRST.index(""))


def devices(book: Book) -> list[dict[str, Any]]:
    """Give the enrolled browsers, without those that were revoked."""
    with book.reading() as connection:
        rows = store.devices(connection)
    known = book.state.devices
    ended = {device.id for device in known.values() if device.revoked_ms is not None}
    return [row for row in rows if row["id"] not in ended]
