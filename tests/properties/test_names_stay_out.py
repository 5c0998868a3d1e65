"""Names, initials, phones and PINs never enter the record's bytes."""

from __future__ import annotations

import pytest
from tests.baths import LOW, PEOPLE, PINS, Baths

from lanewater.records.kinds import KINDS
from lanewater.records.store import log
from lanewater.service.access import enrol, make_first_key, sign_in
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.additions import answer_addition, start_addition
from lanewater.service.opening import close_pool, end_house_stop, everyone_out, open_pool, told
from lanewater.service.rounds import correct_reading
from lanewater.service.set_up import add
from lanewater.service.transfer import export_set_up, import_set_up
from lanewater.terms.errors import InputError

NAME = "Zsófia Quillfeather"


def a_whole_day(baths: Baths) -> str:
    """Do everything that is put on record; gives the id of somebody added and changed."""
    book = baths.book
    item = {"name": NAME, "initials": "ZQ", "phone": "+1 555 0100", "roles": ["duty-manager"]}
    identity = add(book, SHELL, "person", item | {"pin": "918274"})["id"]
    add(book, SHELL, "person", item | {"person": identity, "roles": ["tester"]})
    contact = {"name": NAME, "phone": "+1 555 0199", "kind": "manager", "note": "after ZQ's shift"}
    add(book, SHELL, "contact", contact)
    made = enrol(book, make_first_key(book), "Tablet 2")
    sign_in(book, made["token"], identity, "918274")
    first = baths.round(**LOW)["round"]
    told(book, ANYBODY, {"pool": "main", "about": first, "whom": identity})
    change = {"round": first, "parameter": "ph", "value": "7.5", "reason": "misread"}
    correct_reading(book, baths.who("tester"), change)
    started = start_addition(book, baths.who("operator"), {"pool": "main", "product": "hypo"})
    answer_addition(book, ANYBODY, {"addition": started["addition"], "answer": "not-added"})
    everyone_out(book, ANYBODY, {"pool": "main", "stop": "glass"})
    end_house_stop(book, baths.who("manager"), {"pool": "main", "reason": "swept"})
    open_pool(book, baths.who("manager"), {"pool": "main", "reason": "agreed"})
    close_pool(book, baths.who("manager"), {"pool": "main", "kind": "shut"})
    import_set_up(book, SHELL, export_set_up(book))
    return identity


def test_nothing_that_names_a_person_is_in_any_entry(baths: Baths) -> None:
    identity = a_whole_day(baths)
    content = b"\n".join(
        row.raw for row in log.rows_from(baths.book.connection, baths.book.site, 0)
    )
    assert identity.encode() in content
    secrets = [NAME, "Quillfeather", "ZQ", "555 01", "555-p-", "918274", "argon2", *PINS.values()]
    secrets += [word for person in PEOPLE.values() for word in (*person[1].split(), person[2])]
    for secret in secrets:
        assert secret.encode() not in content, secret


@pytest.mark.parametrize("field", ["name", "initials", "phone", "pin", "pin_hash"])
def test_a_person_entry_has_no_place_for_it(field: str) -> None:
    body = {"person": "p-1", "roles": ["tester"], field: "x"}
    with pytest.raises(InputError, match=rf"^body\.{field}: "):
        KINDS["person-added"](body, "body")
