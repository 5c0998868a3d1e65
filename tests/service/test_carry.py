"""What a browser carries: all in one answer, the same whenever it is asked for."""

from __future__ import annotations

import json

from tests.baths import MINUTE_MS, Baths

from lanewater.service.actor import SHELL
from lanewater.service.additions import answer_addition, start_addition
from lanewater.service.carry import carry
from lanewater.service.clock import instant_text
from lanewater.service.context import pool_context
from lanewater.service.set_up import add

DEVICE = {"id": "d", "name": "Tablet", "kind": "shared"}


def test_what_is_unchanged_is_answered_by_its_tag_alone(baths: Baths) -> None:
    baths.round()
    first = carry(baths.book, DEVICE, baths.now_ms)
    baths.wait(60)
    again = carry(baths.book, DEVICE, baths.now_ms, first["tag"])
    assert again == {"unchanged": True, "tag": first["tag"], "now": instant_text(baths.now_ms)}
    whole = carry(baths.book, DEVICE, baths.now_ms)
    assert {**whole, "now": ""} == {**first, "now": ""}


def test_a_line_a_name_or_another_browser_changes_the_tag(baths: Baths) -> None:
    tags = [carry(baths.book, DEVICE, baths.now_ms)["tag"]]
    baths.round()
    tags.append(carry(baths.book, DEVICE, baths.now_ms)["tag"])
    add(baths.book, SHELL, "contact", {"name": "Ward", "phone": "555-0100", "kind": "emergency"})
    tags.append(carry(baths.book, DEVICE, baths.now_ms)["tag"])
    tags.append(carry(baths.book, {**DEVICE, "name": "Other"}, baths.now_ms)["tag"])
    assert len(set(tags)) == len(tags)


def test_what_is_known_of_additions_names_no_product_and_no_amount(baths: Baths) -> None:
    given = {"pool": "main", "product": "hypo", "amount": "7654", "unit": "mL"}
    started = start_addition(baths.book, baths.who("operator"), given)["addition"]
    said = {"addition": started, "answer": "added"}
    answer_addition(baths.book, baths.who("operator"), said)
    found = next(row for row in carry(baths.book, DEVICE, baths.now_ms)["pools"])
    additions = found["facts"]["additions"]
    assert [row["id"] for row in additions] == [started]
    assert "7654" not in json.dumps(found)
    assert "hypo" not in json.dumps(additions)


def test_the_limits_carried_are_those_of_the_pools_context(baths: Baths) -> None:
    baths.round()
    baths.now_ms += MINUTE_MS
    book, now = baths.book, baths.now_ms
    for row in carry(book, DEVICE, now)["pools"]:
        assert (
            row["context"]["limits"]
            == pool_context(baths.book, row["pool"], baths.now_ms)["limits"]
        )
