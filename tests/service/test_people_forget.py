"""Forgetting a person: no byte of the name is left, and what they did stays on record."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from tests.baths import PINS, Baths

from lanewater.service import people_forget
from lanewater.service.access import SignInError, actor_of, enrol, make_first_key, sign_in
from lanewater.service.actor import SHELL
from lanewater.service.directory import names, people, shown_as
from lanewater.service.now import now_page
from lanewater.service.people_forget import forget_person
from lanewater.service.permission import NotAllowedError
from lanewater.service.set_up import add
from lanewater.terms.errors import MissingError, RefusedError

PERSON, NAME = "p-manager", "Zdenka Quillfeather-Ødegård"
PHONE = "555 019 7788"
KNOWN = {"person": PERSON, "name": NAME, "initials": "ZqØ", "phone": PHONE}


def named(baths: Baths) -> None:
    """Give the duty manager a name that is nobody else's, several times over."""
    add(baths.book, SHELL, "person", KNOWN | {"roles": ["duty-manager"], "pin": PINS[PERSON]})
    line = {"contact": "zq", "name": f"{NAME}, at night", "phone": PHONE, "kind": "manager"}
    add(baths.book, SHELL, "contact", line)
    for number in range(30):
        changed = KNOWN | {"name": NAME + "!" * (number % 5), "roles": ["duty-manager"]}
        add(baths.book, SHELL, "person", changed)
    add(baths.book, SHELL, "person", KNOWN | {"roles": ["duty-manager"]})


def places(folder: Path, *texts: str) -> list[str]:
    """Name each file below a folder, the write-ahead log included, that holds one of some texts."""
    files = [path for path in folder.rglob("*") if path.is_file()]
    assert any(path.name.endswith("-wal") for path in files)
    return [
        f"{path.name}: {text}"
        for path in files
        for text in texts
        for encoding in ("utf-8", "utf-16-le")
        if text.encode(encoding) in path.read_bytes()
    ]


def test_before_it_the_name_lies_in_the_folder(baths: Baths) -> None:
    named(baths)
    assert places(baths.folder, NAME) != []


def test_no_byte_of_the_name_the_phone_or_the_pins_hash_is_left(baths: Baths) -> None:
    named(baths)
    raw = sqlite3.connect(baths.config.store)
    pin_hash = raw.execute("SELECT pin_hash FROM person WHERE id = ?", (PERSON,)).fetchone()[0]
    raw.close()
    assert pin_hash.startswith("$argon2id$")
    told = forget_person(baths.book, baths.who("area"), PERSON)
    assert told == {
        "person": PERSON,
        "shown_as": shown_as(PERSON),
        "contacts": ["zq"],
        "traces": "none",
        "stands_in": [],
    }
    gone = (NAME, "Quillfeather", "ZqØ", PHONE, pin_hash[30:])
    assert places(baths.folder, *gone) == []
    baths.reopened()
    assert places(baths.folder, *gone) == []


def test_deleting_the_rows_alone_would_leave_the_name(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(people_forget, "scrub", lambda _connection: False)
    named(baths)
    assert forget_person(baths.book, SHELL, PERSON)["traces"] == "left"
    assert places(baths.folder, NAME) != []
    monkeypatch.undo()
    assert forget_person(baths.book, SHELL, PERSON)["traces"] == "none"
    assert places(baths.folder, NAME) == []


def test_the_store_is_cleaned_while_another_program_has_it_open(baths: Baths) -> None:
    named(baths)
    other = sqlite3.connect(baths.config.store)
    other.execute("SELECT count(*) FROM person").fetchone()
    assert forget_person(baths.book, SHELL, PERSON)["traces"] == "none"
    assert places(baths.folder, NAME) == []
    other.close()


def test_what_was_done_stays_under_an_opaque_word(baths: Baths) -> None:
    named(baths)
    baths.round()
    add(baths.book, SHELL, "person", {**KNOWN, "roles": ["tester"]})
    before = baths.book.state.index
    forget_person(baths.book, SHELL, PERSON)
    assert baths.book.state.index == before + 1
    word = shown_as(PERSON)
    assert word.startswith("person ")
    assert names(baths.book)[PERSON] == {"name": word, "initials": word[7:], "phone": ""}
    shown = now_page(baths.book, baths.now_ms)
    assert shown["people"][PERSON]["name"] == word
    assert NAME not in str(shown)
    assert PERSON not in {row["id"] for row in people(baths.book)}
    assert names(baths.reopened())[PERSON]["name"] == word


def test_sessions_and_the_pin_end_at_once(baths: Baths) -> None:
    named(baths)
    made = enrol(baths.book, make_first_key(baths.book), "Tablet 2")
    session = sign_in(baths.book, made["token"], PERSON, PINS[PERSON])["session"]
    forget_person(baths.book, SHELL, PERSON)
    assert not actor_of(baths.book, made["token"], session).listed
    with pytest.raises(SignInError):
        sign_in(baths.book, made["token"], PERSON, PINS[PERSON])


def test_a_name_in_free_text_is_found_and_told(baths: Baths) -> None:
    named(baths)
    baths.round()
    last = baths.book.state.last_round("main")
    assert last is not None
    add(baths.book, SHELL, "kit", {"kit": "k", "name": f"Kit of {NAME}", "kind": "photometer"})
    told = forget_person(baths.book, SHELL, PERSON)
    assert len(told["stands_in"]) == 1
    assert places(baths.folder, NAME) != []


def test_the_area_manager_decides_it_and_nobody_below(baths: Baths) -> None:
    for who in ("tester", "manager", "operator"):
        with pytest.raises(NotAllowedError):
            forget_person(baths.book, baths.who(who), PERSON)
    with pytest.raises(MissingError):
        forget_person(baths.book, baths.who("area"), "p-nobody")


def test_who_was_forgotten_does_not_come_back_under_the_same_id(baths: Baths) -> None:
    forget_person(baths.book, SHELL, PERSON)
    with pytest.raises(RefusedError, match="forgotten"):
        add(baths.book, SHELL, "person", KNOWN | {"roles": ["tester"]})
