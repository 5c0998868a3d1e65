"""An earlier round of several readings: one that decides nothing is hidden by no good one."""

from __future__ import annotations

from typing import Any

import pytest
from tests.kernel.deciding.deciding_cases import AT, HOUR, case, reading

from lanewater.kernel.deciding.judging import judge
from lanewater.rules.pack import compile_pack
from lanewater.service.packs import FOLDER


@pytest.mark.parametrize(
    ("earlier", "verdict"),
    [
        (["0"], "meets"),
        (["3"], "does-not-meet"),
        (["0", "3"], "does-not-meet"),
        ([">1"], "not-judged"),
        (["0", ">1"], "not-judged"),
        ([">1", "0"], "not-judged"),
    ],
)
def test_a_reading_that_decides_nothing_is_not_hidden_by_a_good_one(
    earlier: list[str], verdict: str
) -> None:
    pack = compile_pack((FOLDER / "us-in.toml").read_text(encoding="utf-8"))
    before = [reading("coliforms", value, method="membrane") for value in earlier]
    history: list[dict[str, Any]] = [{"at": AT - 24 * HOUR, "readings": before}]
    now = reading("coliforms", "3", method="membrane")
    answer = judge(pack, case(now, purpose="sample", history=history))
    rows = {row["rule"]: row["verdict"] for row in answer["results"]}
    assert rows["coliforms-membrane-twice"] == verdict
