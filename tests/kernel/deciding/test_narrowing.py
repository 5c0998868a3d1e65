"""A pack narrowed to a pool answers every round of it as the whole pack does."""

from __future__ import annotations

from typing import Any

import pytest
from tests.parity.drawing import drawer
from tests.parity.suites_rules import draw_case
from tests.rules.feature_pack import all_of_it

from lanewater.kernel.deciding.judging import judge
from lanewater.kernel.deciding.narrowing import pack_for_pool
from lanewater.rules.case import case_from
from lanewater.service.packs import load_pack, pack_ids

ASKED = ("purpose", "pool", "readings", "history", "at")


@pytest.mark.parametrize("identity", pack_ids())
def test_every_golden_case_is_answered_alike(identity: str) -> None:
    pack = load_pack(identity)
    for golden in pack["golden"]:
        case = case_from({key: golden[key] for key in ASKED if key in golden})
        assert judge(pack_for_pool(pack, case["pool"]), case) == judge(pack, case)


def test_cases_at_random_are_answered_alike_and_most_rules_are_left_out() -> None:
    draw = drawer(81)
    pack = all_of_it()
    kept = 0
    for _ in range(300):
        case = draw_case(draw)
        narrowed = pack_for_pool(pack, case["pool"])
        kept += len(narrowed["rules"])
        assert judge(narrowed, case) == judge(pack, case)
    assert kept < 300 * len(pack["rules"])
    assert len(pack_for_pool(load_pack("us-ia"), {"kind": "pool", "disinfectant": "chlorine"})) > 0


def test_a_pack_narrowed_to_another_pool_answers_otherwise() -> None:
    # Planted: were the pool ignored, a spa judged by a pool's narrowed pack would still be right.
    pack = load_pack("us-ca")
    spa: dict[str, Any] = {"kind": "spa", "disinfectant": "chlorine", "stabiliser": "not-used"}
    case = case_from({"pool": spa, "readings": {"free_chlorine": "2.5"}})
    assert judge(pack, case)["overall"] == "does-not-meet"
    assert judge(pack_for_pool(pack, {**spa, "kind": "pool"}), case) != judge(pack, case)
