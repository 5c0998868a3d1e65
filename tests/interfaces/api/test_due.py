"""What is due, over the wire."""

from __future__ import annotations

from typing import Any

from tests.interfaces.api.baths import Baths

DUTY = {"name": "Backwash", "kind": "backwash", "pool": "main", "every": {"weeks": 1}}


def due(baths: Baths, part: str, role: str) -> list[dict[str, Any]]:
    """Give a part of the list of somebody."""
    found: list[dict[str, Any]] = baths.get("/due", role=role).json()[part]
    return found


def test_a_duty_stands_in_the_list_of_its_role_until_anybody_says_that_it_is_done(
    baths: Baths,
) -> None:
    item = {"what": "duty", "item": DUTY | {"role": "plant-operator"}}
    assert baths.post("/site/items", item, role="tester").status_code == 403
    assert baths.post("/site/items", item, role="area-manager").json()["id"] == "backwash"
    row = next(row for row in due(baths, "mine", "plant-operator") if row["kind"] == "backwash")
    assert (row["pool"], row["words"], row["state"]) == ("main", "Backwash", "due")
    assert row["due"].endswith("Z")
    assert "site:backwash" in [row["id"] for row in due(baths, "others", "tester")]
    said = {"duty": "site:backwash", "answer": "done", "pool": "main"}
    assert baths.post("/duties/done", said).status_code == 200
    assert "site:backwash" in [row["id"] for row in due(baths, "later", "tester")]


def test_what_is_no_answer_and_no_event_is_refused_by_its_field(baths: Baths) -> None:
    for path, sent in (
        ("/duties/done", {"duty": "site:backwash", "answer": "perhaps"}),
        ("/duties/done", {"duty": "site:nothing", "answer": "done"}),
        ("/events", {"what": "snow"}),
        ("/events", {"what": "rain", "pool": "lagoon"}),
        ("/site/items", {"what": "closed-days", "item": {"days": [{"day": "soon"}]}}),
    ):
        assert baths.post(path, sent, role="area-manager").status_code == 422
    assert baths.post("/events", {"what": "rain"}).status_code == 200
