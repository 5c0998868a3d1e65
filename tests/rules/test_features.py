"""A pack uses a feature where its text does."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.rules.features import FEATURES, features_of

RULE: dict[str, Any] = {
    "id": "a",
    "parameter": "free_chlorine",
    "at_least": "1",
    "level": "correct",
}


def pack(*rules: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"id": "xx", "coverage": {}, "rule": [{**RULE, **rule} for rule in rules], **more}


def test_the_features_are_numbered_as_the_survey_has_them() -> None:
    assert [feature.number for feature in FEATURES] == list(range(1, 46))


def test_a_plain_pack_uses_what_every_pack_does() -> None:
    assert features_of(pack({})) == [24, 43]


@pytest.mark.parametrize(
    ("raw", "number"),
    [
        (pack({"when": {"kind_not": ["spa"]}}), 1),
        (pack({"when": {"location": ["indoor"]}}), 2),
        (pack({"when_reading": [{"parameter": "temperature_c", "above": "26"}]}), 5),
        (pack({"when": {"risk_class": ["high"]}}), 10),
        (pack({}, extends="us-in"), 12),
        (pack({}, id="xx@2012"), 13),
        (pack({}, {"level": "close"}), 16),
        (pack({"relative_to_fact": "fill_nitrate"}), 19),
        (
            pack({"modify": [{"add": "1", "when_reading": [{"parameter": "ph", "above": "7.6"}]}]}),
            6,
        ),
        (pack({"modify": [{"add": "1"}]}), 20),
        (pack({"parameter": "orp_mv", "when_reading": [{"parameter": "free_chlorine"}]}), 21),
        (pack({"methods": ["membrane"]}), 23),
        (pack({"consecutive": 2}), 31),
        (pack({"window": {"fails": 7, "of": 14, "unit": "days"}}), 32),
        (pack({}, procedures=[{"id": "p", "routes": [{"ct_mg_min_l": "15300"}]}]), 34),
        (pack({"scope": "site"}), 36),
        (pack({"then": [{"to": "authority"}]}), 40),
        (pack({}, contradiction=[{"about": "x"}]), 45),
    ],
)
def test_a_feature_is_found_where_it_is_used_and_not_elsewhere(
    raw: dict[str, Any], number: int
) -> None:
    assert number in features_of(raw)
    assert number not in features_of(pack({}))
