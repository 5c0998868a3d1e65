"""The list of what codes ask is honest: its keys are in the schema, its examples in the packs."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from tests.docs.pages import PAGES
from tests.docs.rules_schema import FILE

from lanewater.rules.features import FEATURES
from lanewater.service.packs_table import table_of
from lanewater.terms.parameters import PARAMETERS
from lanewater.terms.words import POOL_FACTS

PAGE = PAGES["docs/reference/rules-format.md"]
ROW = re.compile(r"^\| (\d+) \| (.+?) \| (\w+) \| (.+?) \| (.+?) \| (.*?) ?\|$", re.MULTILINE)
CODE = re.compile(r"`([^`]+)`")
ROWS = {int(row[0]): row for row in ROW.findall(PAGE)}
USED = {row["id"]: row["features"] for row in table_of()}
BY_SITE, EVERY = "site", "every pack"
# A unit is no key: it comes with the parameter.
UNITS = 24


def keys_in(schema: Any) -> Iterator[str]:
    """Give every key that the schema of a pack knows."""
    if isinstance(schema, dict):
        for key, value in schema.items():
            if key == "properties":
                yield from value
            yield from keys_in(value)
    elif isinstance(schema, list):
        for part in schema:
            yield from keys_in(part)


KEYS = {
    *keys_in(json.loads(FILE.read_text(encoding="utf-8"))),
    *POOL_FACTS,
    *PARAMETERS,
    "risk_class",
}
WRITTEN = {"facts.NAME", "ID@YEAR.toml"}


def test_every_feature_has_its_row_in_order() -> None:
    assert list(ROWS) == [feature.number for feature in FEATURES]
    assert {row[2] for row in ROWS.values()} == {"yes", "part", "printed"}


@pytest.mark.parametrize("number", list(ROWS))
def test_the_keys_of_a_row_are_keys_of_the_format(number: int) -> None:
    named = CODE.findall(ROWS[number][3])
    commands = [name for name in named if name.startswith("lanewater ")]
    keys = set(named) - set(commands) - WRITTEN
    assert keys <= KEYS
    assert named or number == UNITS
    for command in commands:
        assert re.search(rf"^#+ {command}$", PAGES["docs/reference/cli.md"], re.MULTILINE)


@pytest.mark.parametrize("number", list(ROWS))
def test_the_example_of_a_row_is_a_pack_that_uses_it(number: int) -> None:
    example = ROWS[number][4]
    users = [identity for identity, features in USED.items() if number in features]
    if example == BY_SITE:
        assert users == []
    elif example == EVERY:
        assert users == list(USED)
    else:
        assert CODE.findall(example) == [example.strip("`")]
        assert example.strip("`") in users


@pytest.mark.parametrize("number", list(ROWS))
def test_what_is_left_out_is_said_where_something_is(number: int) -> None:
    written, left_out = ROWS[number][2], ROWS[number][5]
    assert bool(left_out) == (written == "part") or written == "printed"
