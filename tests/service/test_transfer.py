"""A set-up goes to another site whole, or not at all, and takes no secret with it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from tests.baths import PINS, Baths

from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.matrix import set_matrix
from lanewater.service.permission import NotAllowedError
from lanewater.service.set_up import new_site
from lanewater.service.transfer import export_set_up, import_set_up
from lanewater.terms.errors import InputError


def test_a_set_up_comes_out_as_it_went_in(baths: Baths, tmp_path: Path) -> None:
    given = json.loads(json.dumps(export_set_up(baths.book)))
    config = Config(tmp_path / "other")
    new_site(config, {"name": "Harbour Baths", "timezone": "America/Toronto", "rules": "ca-qc"})
    other = open_book(config)
    assert import_set_up(other, SHELL, given) == {"added": 11}
    assert export_set_up(other) == given
    assert other.state.pools == baths.book.state.pools
    assert import_set_up(other, SHELL, given) == {"added": 11}
    assert export_set_up(other) == given
    other.close()


def test_no_pin_leaves_with_it(baths: Baths) -> None:
    text = json.dumps(export_set_up(baths.book))
    assert "argon2" not in text
    assert not any(pin in text for pin in PINS.values())


def test_one_bad_thing_keeps_all_of_it_out_and_is_named(baths: Baths) -> None:
    given = export_set_up(baths.book)
    given["pools"].append({"name": "New", "facts": {}})
    given["people"][1]["roles"] = ["king"]
    before = baths.book.state.index
    with pytest.raises(InputError) as caught:
        import_set_up(baths.book, SHELL, given)
    assert caught.value.field == "people[1].roles[0]"
    assert baths.book.state.index == before
    assert "new" not in baths.book.state.pools


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({}, "lanewater_set_up"),
        ({"lanewater_set_up": 2}, "lanewater_set_up"),
        ({"lanewater_set_up": 1, "dragons": []}, "dragons"),
        ({"lanewater_set_up": 1, "pools": 5}, "pools"),
        ({"lanewater_set_up": 1, "pools": [5]}, "pools[0].pool"),
        ([], ""),
    ],
)
def test_what_is_no_set_up_is_refused_by_field(baths: Baths, given: object, field: str) -> None:
    with pytest.raises(InputError) as caught:
        import_set_up(baths.book, SHELL, given)  # type: ignore[arg-type]  # what is no set-up
    assert caught.value.field == field


def test_importing_takes_somebody_who_may_set_up(baths: Baths) -> None:
    with pytest.raises(NotAllowedError):
        import_set_up(baths.book, ANYBODY, export_set_up(baths.book))


CLOSES = {"decision": "close", "role": "tester", "answer": "yes"}


def test_who_decides_what_goes_with_it(baths: Baths, tmp_path: Path) -> None:
    assert export_set_up(baths.book)["matrix"] == []
    set_matrix(baths.book, SHELL, {"rows": [CLOSES]})
    given = json.loads(json.dumps(export_set_up(baths.book)))
    assert given["matrix"] == [CLOSES]
    config = Config(tmp_path / "other")
    new_site(config, {"name": "Harbour Baths", "timezone": "America/Toronto", "rules": "ca-qc"})
    other = open_book(config)
    for _ in range(2):
        assert import_set_up(other, SHELL, given) == {"added": 12}
        assert other.state.matrix == baths.book.state.matrix
        assert export_set_up(other) == given
    other.close()


@pytest.mark.parametrize(
    ("row", "field"),
    [
        (CLOSES | {"role": "king"}, "matrix[0].role"),
        ({"decision": "record", "role": "tester", "answer": "no"}, "matrix.record"),
    ],
)
def test_nobody_is_kept_from_what_everybody_may_by_a_file(
    baths: Baths, row: dict[str, str], field: str
) -> None:
    given = export_set_up(baths.book) | {"matrix": [row]}
    before = baths.book.state.index
    with pytest.raises(InputError) as caught:
        import_set_up(baths.book, SHELL, given)
    assert caught.value.field == field
    assert baths.book.state.index == before
