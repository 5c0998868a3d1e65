"""The water over the wire: for everybody signed in, with no amount, as it is described."""

from __future__ import annotations

import pytest
from tests.interfaces.api.baths import HYPOCHLORITE, ROLES, ROUND, Baths

from lanewater.interfaces.api.schemas.water import TrendsAnswer, WaterAnswer

WHOLE = {
    "pool": "main",
    "readings": ROUND["readings"] | {"total_alkalinity": "95", "calcium_hardness": "180"},
}
POURED = {"pool": "main", "product": "hypo", "amount": "1.234", "unit": "L", "answer": "added"}


@pytest.mark.parametrize("role", ROLES)
def test_everybody_signed_in_sees_the_same_water_and_no_amount(baths: Baths, role: str) -> None:
    baths.post("/rounds", WHOLE, role="tester")
    baths.post("/additions/answer", POURED, role="competent")
    water = baths.get("/water", role=role)
    trends = baths.get("/pools/main/trends", role=role)
    told = WaterAnswer.model_validate(water.json()).pools[0]
    assert told.state == "known"
    assert told.index is not None
    series = TrendsAnswer.model_validate(trends.json())
    assert [row["kind"] for row in series.events] == ["addition"]
    for text in (water.text, trends.text):
        assert "1.234" not in text
        assert HYPOCHLORITE["name"] not in text
        assert "hypo" not in text


@pytest.mark.parametrize("path", ["/water", "/pools/main/trends"])
@pytest.mark.parametrize("role", ["nobody", "enrolled", "owner"])
def test_who_is_not_signed_in_is_asked_to(baths: Baths, path: str, role: str) -> None:
    assert baths.get(path, role=role).status_code == 401


@pytest.mark.parametrize("days", ["0", "401", "-1", "many"])
def test_how_far_back_has_its_bounds(baths: Baths, days: str) -> None:
    assert baths.get(f"/pools/main/trends?days={days}", role="tester").status_code == 422


def test_a_pool_that_is_not_there_is_named(baths: Baths) -> None:
    answer = baths.get("/pools/lagoon/trends", role="tester")
    assert (answer.status_code, answer.json()["error"]["id"]) == (404, "missing")
