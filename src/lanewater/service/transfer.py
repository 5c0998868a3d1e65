"""A whole set-up as one JSON text, so that forty sites are not typed forty times."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from lanewater.service.actor import Actor
from lanewater.service.book import Book
from lanewater.service.directory import contacts, names
from lanewater.service.duties import closed_days_told, duties_told
from lanewater.service.matrix import matrix_changed, set_matrix
from lanewater.service.set_up import add
from lanewater.service.state import Hours, Pool
from lanewater.terms.errors import InputError
from lanewater.terms.shapes import Shape, anything, list_of, whole

FORM = 1
PARTS = (
    "circuit",
    "pool",
    "kit",
    "reagent",
    "product",
    "person",
    "contact",
    "duty",
    "closed-days",
)
LISTS = {"circuit": "circuits", "pool": "pools", "kit": "kits", "reagent": "reagents"} | {
    "product": "products",
    "person": "people",
    "contact": "contacts",
    "duty": "duties",
    "closed-days": "closed_days",
}
MATRIX = "matrix"
FILE = Shape(
    {"lanewater_set_up": whole(FORM, FORM)},
    {"site": anything, MATRIX: list_of(anything, 2000)}
    | {key: list_of(anything, 2000) for key in LISTS.values()},
)


def export_set_up(book: Book) -> dict[str, Any]:
    """Give the set-up of a site: pools, registers, people and phone list, without any PIN."""
    state, known = book.state, names(book)
    site = state.site
    return {
        "lanewater_set_up": FORM,
        "site": {
            "name": site.name,
            "timezone": site.timezone,
            "rules": site.rules.id or "none",
            "units": dict(site.units),
        },
        "circuits": [dict(circuit.body) for circuit in state.circuits.values()],
        "pools": [pool_item(pool) for pool in state.pools.values()],
        "kits": [dict(kit.body) for kit in state.kits.values()],
        "reagents": [dict(reagent.body) for reagent in state.reagents.values()],
        "products": [dict(product.body) for product in state.products.values()],
        "people": [
            {
                "person": person.id,
                **known.get(person.id, {"name": "?", "initials": "?", "phone": ""}),
                "roles": list(person.roles),
                "delegated": list(person.delegated),
                "competences": [dict(row) for row in person.competences],
            }
            for person in state.people.values()
            if not person.gone
        ],
        "contacts": [
            {"contact" if key == "id" else key: value for key, value in row.items() if value}
            for row in contacts(book)
        ],
        "duties": duties_told(state),
        "closed_days": closed_days_told(state),
        MATRIX: matrix_changed(state.matrix),
    }


def pool_item(pool: Pool) -> dict[str, Any]:
    """Give a pool as it is typed at set-up; a field that was not stated is left out."""
    item: dict[str, Any] = {"pool": pool.id, "name": pool.name, "facts": dict(pool.facts)}
    if pool.own_rules is not None:
        item["rules"] = pool.own_rules.id or "none"
    stated: dict[str, Any] = {
        "circuit": pool.circuit,
        "volume_m3": pool.volume_m3,
        "volume_known": pool.volume_known,
        "surface_m2": pool.surface_m2,
        "interval_minutes": pool.interval_minutes,
        "before_opening_minutes": pool.before_opening_minutes,
        "points": list(pool.points),
        "targets": [
            {"parameter": parameter, "low": low, "high": high}
            for parameter, (low, high) in pool.targets.items()
        ],
    }
    item |= {key: value for key, value in stated.items() if value}
    if pool.hours is not None:
        item["hours"] = [hours_item(hours) for hours in pool.hours]
    return item


def hours_item(hours: Hours) -> dict[str, Any]:
    """Give one opening as it is typed."""
    return {"day": hours.day, "opens": clock_text(hours.opens), "closes": clock_text(hours.closes)}


def clock_text(minutes: int) -> str:
    """Write minutes of the day as 06:30."""
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def import_set_up(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, int]:
    """Add everything of an exported set-up, or nothing of it.

    The site's own name, time zone and rules are not touched. Of who decides what, the answers come
    with it that are not those of a new site; others that were changed here stay.

    Returns
    -------
    dict
        {"added": how many things}.

    Raises
    ------
    InputError
        Naming the field, such as "pools[2].facts.kind".
    """
    FILE(given, "")
    added = 0
    with book.writing():
        for part in PARTS:
            for index, item in enumerate(given.get(LISTS[part], ())):
                add_one(book, actor, part, item, f"{LISTS[part]}[{index}]")
                added += 1
        if given.get(MATRIX):
            with at_place(MATRIX, "rows"):
                set_matrix(book, actor, {"rows": given[MATRIX]})
            added += 1
    return {"added": added}


def add_one(book: Book, actor: Actor, part: str, item: Any, where: str) -> None:
    """Add one thing; an error names its place in the file."""
    with at_place(where):
        add(book, actor, part, item)


@contextmanager
def at_place(where: str, inner: str = "") -> Iterator[None]:
    """Let an error name its place in the file, where a list is called otherwise than inside."""
    try:
        yield
    except InputError as error:
        told = error.field.removeprefix(inner)
        field = f"{where}.{told}" if told and not told.startswith("[") else f"{where}{told}"
        raise InputError(field, str(error).partition(": ")[2] or str(error)) from None
