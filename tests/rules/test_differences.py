"""What changes between two packs is said with both numbers, and which way it goes."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from lanewater.rules.differences import differences
from lanewater.service.packs import pack_ids
from lanewater.service.packs_read import whole_raw


def pair() -> tuple[dict[str, Any], dict[str, Any]]:
    raw = whole_raw("au-sa")
    return raw, deepcopy(raw)


def rule(raw: dict[str, Any], identity: str) -> dict[str, Any]:
    return next(row for row in raw["rule"] if row["id"] == identity)


@pytest.mark.parametrize("identity", pack_ids())
def test_a_pack_beside_itself_changes_nothing(identity: str) -> None:
    assert differences(whole_raw(identity), whole_raw(identity)) == []


@pytest.mark.parametrize(
    ("identity", "key", "number", "change"),
    [
        ("free-chlorine-cool", "at_least", "1.5", "tighter"),
        ("free-chlorine-cool", "at_least", "0.5", "looser"),
        ("total-chlorine-closing", "at_most", "8", "tighter"),
        ("total-chlorine-closing", "at_most", "12", "looser"),
    ],
)
def test_a_limit_that_moves_is_tighter_or_looser_with_both_numbers(
    identity: str, key: str, number: str, change: str
) -> None:
    one, other = pair()
    was = rule(one, identity)[key]
    rule(other, identity)[key] = number
    (row,) = differences(one, other)
    assert (row["change"], row["rule"]) == (change, identity)
    assert f" {was} mg/L" in row["was"]
    assert f" {number} mg/L" in row["now"]
    assert row["was"] in row["text"]
    assert row["now"] in row["text"]


def test_the_limit_itself_taken_out_is_tighter() -> None:
    one, other = pair()
    moved = rule(other, "total-chlorine-closing")
    moved["below"] = moved.pop("at_most")
    assert [row["change"] for row in differences(one, other)] == ["tighter"]


def test_rules_that_come_and_go_are_named() -> None:
    one, other = pair()
    other["rule"] = [row for row in other["rule"] if row["id"] != "ph-maximum"]
    other["rule"].append({**rule(one, "ph-minimum"), "id": "fresh", "parameter": "turbidity_ntu"})
    assert [(row["change"], row["rule"]) for row in differences(one, other)] == [
        ("added", "fresh"),
        ("taken-away", "ph-maximum"),
    ]


def test_a_rule_under_another_id_is_the_same_rule() -> None:
    one, other = pair()
    rule(other, "ph-maximum")["id"] = "the-upper-end"
    assert differences(one, other) == []


def test_a_level_a_condition_and_coverage_are_said() -> None:
    one, other = pair()
    rule(other, "ph-minimum")["level"] = "close"
    rule(other, "ph-maximum")["when"] = {"kind": ["pool"]}
    other["coverage"]["clarity"] = {"state": "limited", "clause": "9"}
    other["status"] = "reviewed"
    assert [(row["change"], row["table"], row["rule"]) for row in differences(one, other)] == [
        ("changed", "head", "status"),
        ("changed", "coverage", "clarity"),
        ("tighter", "rule", "ph-minimum"),
        ("changed", "rule", "ph-maximum"),
    ]


def test_where_a_text_was_read_is_no_change() -> None:
    one, other = pair()
    rule(other, "ph-minimum")["note"] = "Read again."
    assert differences(one, other) == []
