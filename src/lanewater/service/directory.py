"""Names, phones and devices: what is kept apart from the record and may be forgotten."""

from __future__ import annotations

from typing import Any

from lanewater.records.store import people as store
from lanewater.service.book import Book


def names(book: Book) -> dict[str, dict[str, str]]:
    """Give {"name", "initials", "phone"} by person id."""
    with book.reading() as connection:
        return store.people(connection)


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


def devices(book: Book) -> list[dict[str, Any]]:
    """Give the enrolled browsers."""
    with book.reading() as connection:
        return store.devices(connection)
