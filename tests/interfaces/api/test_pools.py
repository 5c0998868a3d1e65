"""Everyone out, opening and closing over the wire."""

from __future__ import annotations

import pytest
from tests.interfaces.api.baths import LOW_ROUND, PINS, ROUND, Baths
from tests.offline_tablet import OfflineTablet

NO_ONE = "00000000-0000-7000-8000-000000000000"


def open_main(baths: Baths, role: str, **more: str) -> int:
    """Try to open the main pool as somebody; give the status."""
    sent = {"pin": PINS[role], **more}
    return baths.post("/pools/main/open", sent, role=role).status_code


def status(baths: Baths) -> str:
    """Give how the main pool stands."""
    pools = baths.get("/now").json()["pools"]
    return str(next(pool["status"] for pool in pools if pool["pool"] == "main"))


def test_everyone_out_works_with_nobody_signed_in(baths: Baths) -> None:
    answer = baths.post("/pools/main/everyone-out", {"stop": "bottom-not-seen", "nobody_in": False})
    assert answer.status_code == 200
    assert answer.json()["also_look"] == ["teaching"]
    assert status(baths) == "everyone-out"


def test_a_duty_manager_opens_after_a_round_that_meets(baths: Baths) -> None:
    baths.post("/rounds", ROUND, role="tester")
    assert open_main(baths, "duty-manager") == 200
    assert status(baths) == "open"


def test_a_house_stop_closes_and_only_who_may_reopen_ends_it(baths: Baths) -> None:
    baths.post("/rounds", ROUND, role="tester")
    open_main(baths, "duty-manager")
    baths.post("/pools/main/everyone-out", {"stop": "glass"})
    assert open_main(baths, "duty-manager") == 409
    ended = {"reason": "Swept, looked twice"}
    refused = baths.post("/pools/main/end-stop", {**ended, "pin": PINS["tester"]}, role="tester")
    assert refused.status_code == 403
    sent = {**ended, "pin": PINS["duty-manager"]}
    answer = baths.post("/pools/main/end-stop", sent, role="duty-manager")
    assert answer.json()["ended"] == ["glass"]
    assert status(baths) == "closed"


def test_opening_on_a_failed_round_needs_a_reason_and_is_marked(baths: Baths) -> None:
    baths.post("/rounds", LOW_ROUND)
    refused = baths.post("/pools/main/open", {"pin": PINS["duty-manager"]}, role="duty-manager")
    assert refused.status_code == 422
    assert refused.json()["error"]["field"] == "reason"
    sent = {"pin": PINS["duty-manager"], "reason": "Feed raised, retest at nine"}
    answer = baths.post("/pools/main/open", sent, role="duty-manager").json()
    assert "does-not-meet" in answer["marked"]


def test_a_duty_manager_settles_where_two_devices_disagree(baths: Baths) -> None:
    tablet = OfflineTablet(baths.book, "Tablet 2").enrol()
    baths.post("/rounds", ROUND, role="tester")
    open_main(baths, "duty-manager")
    tablet.write("everyone-out", {"pool": "main", "stop": "glass"}, user="tester")
    action = next(
        row for row in baths.get("/now").json()["pools"][0]["open_actions"] if "sides" in row
    )
    sent = {"status": "closed", "entries": action["entries"], "reason": "Went to look"}
    wrong = baths.post("/pools/main/settle", {**sent, "pin": "000000"}, role="duty-manager")
    assert wrong.status_code == 403
    right = {**sent, "pin": PINS["duty-manager"]}
    assert baths.post("/pools/main/settle", right, role="duty-manager").status_code == 200
    actions = baths.get("/now").json()["pools"][0]["open_actions"]
    assert not any("sides" in row for row in actions)


def test_opening_takes_the_pin_again(baths: Baths) -> None:
    baths.post("/rounds", ROUND, role="tester")
    before = baths.entries()
    answer = baths.post("/pools/main/open", {"pin": "111222"}, role="duty-manager")
    assert answer.status_code == 403
    assert answer.json()["error"]["id"] == "pin"
    assert baths.entries() == before
    assert baths.post("/pools/main/open", {}, role="duty-manager").status_code == 422


def test_wrong_pins_when_opening_run_out_too(baths: Baths) -> None:
    baths.post("/rounds", ROUND, role="tester")
    sent = {"pin": "111222"}
    statuses = [
        baths.post("/pools/main/open", sent, role="duty-manager").status_code for _ in range(6)
    ]
    assert statuses == [403] * 5 + [429]


def test_a_plant_operator_closes_with_a_reason(baths: Baths) -> None:
    refused = baths.post("/pools/main/close", {"kind": "closed"}, role="plant-operator")
    assert refused.json()["error"]["field"] == "reason"
    sent = {"kind": "closed", "reason": "Filter open"}
    assert baths.post("/pools/main/close", sent, role="plant-operator").status_code == 200
    assert status(baths) == "closed"


def test_closing_with_a_wrong_pin_is_refused(baths: Baths) -> None:
    sent = {"kind": "shut", "pin": "111222"}
    assert baths.post("/pools/main/close", sent, role="duty-manager").status_code == 403


def test_telling_somebody_is_kept(baths: Baths) -> None:
    made = baths.post("/rounds", LOW_ROUND).json()
    sent = {"about": made["round"], "whom": "dm", "how": "phone"}
    assert "entry" in baths.post("/pools/main/told", sent).json()
    last = baths.get("/record?limit=1").json()[0]
    assert last["type"] == "told"


def test_the_page_gets_all_it_needs_to_judge_by_itself(baths: Baths) -> None:
    found = baths.get("/pools/main/context").json()
    assert found["rules"]["id"] == "ca-qc"
    assert found["case"]["readings"] == []
    assert found["pool"]["pool"] == "main"
    assert found["point"] in ("shallow", "deep")
    free = [row for row in found["limits"] if row["parameter"] == "free_chlorine"]
    assert {(row["comparison"], row["limit"], row["clause"]) for row in free} >= {
        ("at-least", "0.8", "s.5"),
        ("at-most", "2.0", "s.5"),
    }
    assert all(row["limit"] != "3.0" for row in free)  # the outdoor limit is not this pool's


@pytest.mark.parametrize("path", ["context", "everyone-out", "told", "close"])
def test_a_pool_that_is_not_there_is_missing(baths: Baths, path: str) -> None:
    bodies = {
        "everyone-out": {"stop": "glass"},
        "told": {"about": NO_ONE, "whom": "dm"},
        "close": {"kind": "shut"},
    }
    method = "POST" if path in bodies else "GET"
    more = {"body": bodies[path]} if path in bodies else {}
    answer = baths.ask(method, f"/api/v1/pools/lagoon/{path}", role="duty-manager", **more)
    assert answer.status_code == 404
    assert "lagoon" not in answer.text


def test_ending_a_house_stop_takes_the_pin_again(baths: Baths) -> None:
    baths.post("/pools/main/everyone-out", {"stop": "glass"})
    sent = {"reason": "Swept", "pin": "111222"}
    answer = baths.post("/pools/main/end-stop", sent, role="duty-manager")
    assert answer.json()["error"]["id"] == "pin"
    assert status(baths) == "everyone-out"
