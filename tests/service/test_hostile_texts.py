"""Texts that are commands elsewhere: kept as they were typed, and nothing else changes."""

from __future__ import annotations

import sqlite3
from itertools import product

from tests.baths import GOOD, Baths

from lanewater.service.actor import SHELL
from lanewater.service.directory import contacts
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add

OPENINGS = ("", "'", '"', "')", "1;", "\\'", "%27", "`", "--", "/*")
REST = (
    " OR 1=1 --",
    " OR '1'='1",
    "; DROP TABLE entry; --",
    "; DELETE FROM person; --",
    " UNION SELECT name, phone, pin_hash FROM person --",
    "; UPDATE entry SET bytes = x'00'; --",
    "; ATTACH DATABASE '/tmp/x.db' AS x; --",
    " AND (SELECT count(*) FROM sqlite_master) > 0 --",
    "; PRAGMA writable_schema = 1; --",
    " || (SELECT pin_hash FROM person LIMIT 1) || ",
    "; SELECT pg_sleep(10); --",
    "${jndi:ldap://x}",
    "{{7*7}}",
    "$(id)",
    "|id",
    "%s%s%n",
    "<!--#exec cmd=id-->",
    "../../etc/passwd",
    "\u202egnp.exe",
    " LIKE '%' ESCAPE '\\",
)
TEXTS = [opening + rest for opening, rest in product(OPENINGS, REST)]


def tables(baths: Baths) -> dict[str, int]:
    """Count the rows of every table."""
    raw = sqlite3.connect(baths.config.store)
    names = [row[0] for row in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    found = {name: raw.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in names}  # noqa: S608 - the store's own names
    raw.close()
    return found


def test_two_hundred_of_them_are_kept_word_for_word(baths: Baths) -> None:
    assert len(set(TEXTS)) == 200
    before = tables(baths)
    with baths.book.writing():
        for number, text in enumerate(TEXTS):
            line = {"contact": f"c{number}", "name": text, "phone": text[:40], "kind": "emergency"}
            add(baths.book, SHELL, "contact", line | {"note": text})
            add(baths.book, SHELL, "kit", {"kit": f"k{number}", "name": text, "kind": "strips"})
    found = {row["id"]: row for row in contacts(baths.book)}
    assert [found[f"c{number}"]["name"] for number in range(200)] == TEXTS
    assert [found[f"c{number}"]["note"] for number in range(200)] == TEXTS
    kits = baths.reopened().state.kits
    assert [kits[f"k{number}"].body["name"] for number in range(200)] == TEXTS
    grown = {"entry": 200, "tree_node": None, "contact": 200, "claimed": 200, "stamp": None}
    for name, rows in tables(baths).items():
        if grown.get(name, 0) is not None and name != "resting":
            assert rows == before[name] + grown.get(name, 0), name


def test_in_a_round_they_are_words_too(baths: Baths) -> None:
    for text in TEXTS[::10]:
        made = record_round(
            baths.book, baths.who("tester"), {"pool": "main", "readings": GOOD, "note": text}
        )
        assert baths.book.state.round_by_id(made["round"]).note == text
