"""Every golden case of every pack comes out in Chromium as it is printed."""

from __future__ import annotations

import json
from typing import Any

from playwright.sync_api import Browser
from tests.parity.sides import Sides, kernel_sides

from lanewater.rules.case import case_from
from lanewater.rules.checking import answer_troubles, golden_readings
from lanewater.service.packs import load_pack, pack_ids

ASKED = ("purpose", "pool", "readings", "history", "at")


def in_browser(sides: Sides, name: str, rows: list[list[Any]]) -> list[dict[str, Any]]:
    """Run a kernel function in the browser; what is shared is sent once."""
    held: dict[int, Any] = {id(argument): argument for row in rows for argument in row}
    places = {key: place for place, key in enumerate(held)}
    batch = {
        "held": [json.dumps(argument) for argument in held.values()],
        "rows": [([places[id(argument)] for argument in row], None) for row in rows],
    }
    call = "([path, name, batch]) => parity.run(path, name, batch)"
    answer = json.loads(sides.page.evaluate(call, [sides.script, name, json.dumps(batch)]))
    outcomes: list[dict[str, Any]] = answer["outcomes"]
    assert [outcome for outcome in outcomes if "value" not in outcome] == []
    return [plain(outcome["value"]) for outcome in outcomes]


def plain(shown: Any) -> Any:
    """Give what the harness shows of a value as Python holds it."""
    if isinstance(shown, list):
        return [plain(item) for item in shown]
    if isinstance(shown, dict) and "dict" in shown:
        return {key: plain(item) for key, item in shown["dict"]}
    return shown


def test_every_golden_case_comes_out_in_the_browser_as_printed(chromium: Browser) -> None:
    sides = kernel_sides(chromium)
    faults, count = [], 0
    for identity in pack_ids():
        pack = load_pack(identity)
        cases = [
            case_from({key: golden[key] for key in ASKED if key in golden})
            for golden in pack["golden"]
        ]
        answers = in_browser(sides, "judge", [[pack, case] for case in cases])
        for golden, answer in zip(pack["golden"], answers, strict=True):
            faults += [
                f"{identity}, {golden['note']}: {t}" for t in answer_troubles(golden, answer)
            ]
        count += len(cases)
        timed = [(one, golden) for one in pack["procedures"] for golden in one["golden"]]
        rows = [[golden_readings(golden), None, one] for one, golden in timed]
        for (one, golden), states in zip(
            timed, in_browser(sides, "contact_for_procedure", rows), strict=True
        ):
            complete = [state["route"] for state in states if state["remaining"] == 0]
            if complete != golden["complete"]:
                faults.append(f"{identity}, {one['id']}: {complete} complete in the browser")
        count += len(timed)
    assert faults == []
    assert count > 300
    # A printed answer that is wrong is named: the comparison is no formality.
    wrong = {**load_pack("sg")["golden"][0], "overall": "meets", "fails": []}
    pack = load_pack("sg")
    case = case_from({key: wrong[key] for key in ASKED if key in wrong})
    assert answer_troubles(wrong, in_browser(sides, "judge", [[pack, case]])[0]) != []
