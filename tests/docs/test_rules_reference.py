"""The table of rules packs is that of the packs."""

from __future__ import annotations

from tests.docs.rules_reference import PAGE, page

from lanewater.rules.features import FEATURES
from lanewater.service.packs import pack_ids
from lanewater.service.packs_table import table_of


def test_the_page_is_what_the_packs_say() -> None:
    """`python -m tests.docs.rules_reference` writes it anew."""
    assert PAGE.read_text(encoding="utf-8") == page()


def test_every_pack_and_every_feature_has_its_line() -> None:
    text = PAGE.read_text(encoding="utf-8")
    for identity in pack_ids():
        assert text.count(f"\n| `{identity}` | ") == 2
    for feature in FEATURES:
        assert f"\n| {feature.number} | {feature.name} | " in text


def test_a_pack_uses_what_its_line_says() -> None:
    rows = {row["id"]: row["features"] for row in table_of()}
    assert {3, 14, 24, 43} <= set(rows["au-sa"])
    assert 30 in rows["ca-qc"]
