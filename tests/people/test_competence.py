"""An amount takes a competence that is recorded, has begun and has not run out."""

from __future__ import annotations

import pytest

from lanewater.people.competence import why_not_dose

HYPO = {"covers": "hand-dosing", "product": "sodium-hypochlorite", "from": "2026-03-01"}
ACID = {"covers": "hand-dosing", "product": "hydrochloric-acid", "from": "2026-03-01"}


@pytest.mark.parametrize(
    ("competences", "why"),
    [
        ([], "no-competence-on-record"),
        ([ACID], "no-competence-on-record"),
        ([HYPO], ""),
        ([HYPO | {"product": "*"}], ""),
        ([HYPO | {"from": "2026-07-02"}], "competence-not-yet"),
        ([HYPO | {"from": "2026-07-01"}], ""),
        ([HYPO | {"until": "2026-06-30"}], "competence-expired"),
        ([HYPO | {"until": "2026-07-01"}], ""),
        ([HYPO | {"until": "2026-06-30"}, HYPO], ""),
        ([HYPO | {"covers": "something-else"}], "no-competence-on-record"),
    ],
)
def test_a_competence_covers_a_product_on_a_day(
    competences: list[dict[str, str]], why: str
) -> None:
    assert why_not_dose(competences, "sodium-hypochlorite", "2026-07-01") == why
