"""Rounds, corrections and the record over the wire."""

from __future__ import annotations

import pytest
from tests.interfaces.api.baths import LOW_ROUND, ROUND, Baths

ROUND_ID = "01a20000-0000-7000-8000-000000000001"


def test_a_round_is_saved_judged_and_read_back(baths: Baths) -> None:
    answer = baths.post("/rounds", ROUND, role="tester").json()
    assert answer["judged"] is True
    assert answer["verdict"]["overall"] == "meets"
    assert answer["verdict"]["rules"] == "ca-qc"
    found = baths.get(f"/rounds/{answer['round']}").json()
    assert found["by"] == "tester"
    assert found["verified"] is True
    values = {row["parameter"]: row["value"] for row in found["readings"]}
    assert values["free_chlorine"] == "1.52"
    assert baths.get("/rounds?pool=main").json() == [found]


def test_anybody_at_an_enrolled_browser_may_record_marked_not_verified(baths: Baths) -> None:
    answer = baths.post("/rounds", ROUND).json()
    found = baths.get(f"/rounds/{answer['round']}").json()
    assert found["by"] == "unlisted"
    assert found["verified"] is False


def test_a_resend_stands_once(baths: Baths) -> None:
    sent = {**ROUND, "id": ROUND_ID}
    first = baths.post("/rounds", sent, role="tester").json()
    again = baths.post("/rounds", sent, role="tester").json()
    assert (first["round"], again["round"]) == (ROUND_ID, ROUND_ID)
    assert again["repeated"] is True
    assert len(baths.get("/rounds").json()) == 1


def test_the_same_id_cannot_say_something_else(baths: Baths) -> None:
    baths.post("/rounds", {**ROUND, "id": ROUND_ID}, role="tester")
    other = baths.post("/rounds", {**LOW_ROUND, "id": ROUND_ID}, role="tester")
    assert other.status_code == 409


def test_the_long_form_keeps_point_and_dilution(baths: Baths) -> None:
    readings = [
        {"parameter": "free_chlorine", "value": "1.90", "point": "deep", "dilution": 5},
        {"parameter": "ph", "value": ">8.4", "point": "deep"},
    ]
    answer = baths.post("/rounds", {"pool": "main", "readings": readings}).json()
    rows = baths.get(f"/rounds/{answer['round']}").json()["readings"]
    assert [row["value"] for row in rows] == ["1.90", ">8.4"]
    assert {row["point"] for row in rows} == {"deep"}


def test_a_correction_stands_beside_what_it_corrects(baths: Baths) -> None:
    made = baths.post("/rounds", LOW_ROUND, role="tester").json()
    sent = {"parameter": "free_chlorine", "value": "0.66", "reason": "Misread the display"}
    answer = baths.post(f"/rounds/{made['round']}/corrections", sent, role="tester")
    assert answer.status_code == 200
    rows = baths.get(f"/rounds/{made['round']}").json()["readings"]
    free = next(row for row in rows if row["parameter"] == "free_chlorine")
    assert free["value"] == "0.62"
    assert free["corrected"][0]["value"] == "0.66"


def test_a_tester_does_not_correct_anothers_round(baths: Baths) -> None:
    made = baths.post("/rounds", LOW_ROUND, role="duty-manager").json()
    sent = {"parameter": "free_chlorine", "value": "1.66", "reason": "It was fine"}
    answer = baths.post(f"/rounds/{made['round']}/corrections", sent, role="tester")
    assert answer.status_code == 403


def test_the_record_holds_every_line_in_order(baths: Baths) -> None:
    made = baths.post("/rounds", ROUND, role="tester").json()
    lines = baths.get("/record?pool=main&limit=2").json()
    assert [line["type"] for line in lines] == ["round-recorded", "round-judged"]
    assert lines[0]["id"] == made["round"]
    assert lines[0]["index"] + 1 == lines[1]["index"]


def test_the_record_is_cut_by_time(baths: Baths) -> None:
    baths.post("/rounds", ROUND)
    assert baths.get("/record?from=2099-01-01T00:00:00Z").json() == []
    assert baths.get("/rounds?to=2001-01-01T00:00:00%2B01:00").json() == []


@pytest.mark.parametrize(
    ("query", "field"),
    [("from=yesterday", "from"), ("to=2026", "to"), ("limit=0", "limit"), ("pool=A%20B", "pool")],
)
def test_a_question_that_cannot_be_read_names_its_field(
    baths: Baths, query: str, field: str
) -> None:
    answer = baths.get(f"/record?{query}")
    assert answer.status_code == 422
    assert answer.json()["error"]["field"] == field


def test_a_pool_that_is_not_set_up_is_refused_by_name_of_field(baths: Baths) -> None:
    answer = baths.post("/rounds", {**ROUND, "pool": "lagoon-of-secrets"})
    assert answer.status_code == 422
    assert answer.json()["error"]["field"] == "pool"
    assert "lagoon" not in answer.text


def test_a_change_after_the_result_is_kept_and_asks_for_a_repeat(baths: Baths) -> None:
    changed = [{"parameter": "free_chlorine", "value": "0.62"}]
    answer = baths.post("/rounds", {**ROUND, "changed_after_result": changed}).json()
    assert answer["changed_to_pass"] is True
    assert answer["repeat_asked"] is True
