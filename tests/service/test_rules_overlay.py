"""A site's own rules hold from when they are added until they end, and only tighten."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from tests.baths import Baths
from tests.service.newer_rules import hold_newer

from lanewater.rules import layering
from lanewater.service.clock import instant_text
from lanewater.service.permission import NotAllowedError
from lanewater.service.rounds import correct_reading
from lanewater.service.rules_accept import accept_rules, rules_waiting
from lanewater.service.rules_held import rules_missing
from lanewater.service.rules_overlay import add_overlay, end_overlay, overlays
from lanewater.terms.errors import InputError, MissingError, RefusedError

OWN = """
id = "house"
title = "House rules"
extends = "ca-qc"

[[rule]]
id = "house-ph"
parameter = "ph"
at_most = "7.4"
level = "correct"
"""
LOOSER = """
id = "order"
title = "Order of 1 June"
extends = "ca-qc"
replaces = ["free-chlorine-minimum"]

[[rule]]
id = "order-free"
clause = "order"
parameter = "free_chlorine"
at_least = "0.5"
level = "correct"
"""
WITHOUT_EFFECT = OWN.replace('"7.4"', '"8.4"') + 'when = { supply_not = ["fill-and-draw"] }\n'
DOCUMENT = {"name": "Order of 1 June", "sha256": "a" * 64}


def lay(baths: Baths, text: str = OWN, who: str = "area", **more: Any) -> dict[str, Any]:
    return add_overlay(baths.book, baths.who(who), {"text": text, **more})


def verdict(found: dict[str, Any]) -> str:
    return str(found["verdict"]["overall"])


def test_own_rules_hold_while_they_stand_and_older_rounds_keep_them(baths: Baths) -> None:
    assert verdict(baths.round()) == "meets"
    baths.wait(5)
    lay(baths)
    baths.wait(5)
    held = baths.round()
    assert verdict(held) == "does-not-meet"
    assert held["verdict"]["edition"].endswith("; with House rules")
    baths.wait(5)
    end_overlay(baths.book, baths.who("area"), {"overlay": "house"})
    baths.wait(5)
    assert verdict(baths.round()) == "meets"
    baths.reopened()
    given = {"round": held["round"], "parameter": "ph", "value": "7.5", "reason": "Misread"}
    assert verdict(correct_reading(baths.book, baths.who("tester"), given)) == "does-not-meet"


def test_own_rules_of_one_pool_hold_there_alone(baths: Baths) -> None:
    lay(baths, pool="teaching")
    baths.wait(5)
    assert verdict(baths.round("main")) == "meets"
    assert verdict(baths.round("teaching")) == "does-not-meet"


def test_own_rules_may_begin_later_and_never_before_now(baths: Baths) -> None:
    with pytest.raises(InputError, match="past"):
        lay(baths, **{"from": instant_text(baths.now_ms - 1)})
    lay(baths, **{"from": instant_text(baths.now_ms + 60 * 60_000)})
    baths.wait(5)
    assert verdict(baths.round()) == "meets"
    baths.wait(60)
    assert verdict(baths.round()) == "does-not-meet"


def test_what_could_loosen_takes_the_authoritys_document(baths: Baths) -> None:
    with pytest.raises(RefusedError, match="takes a document of the authority"):
        lay(baths, LOOSER)
    lay(baths, LOOSER, document=DOCUMENT)
    baths.wait(5)
    found = baths.round(free_chlorine="0.62", total_chlorine="0.70")
    assert verdict(found) == "meets"
    assert overlays(baths.book)[0]["document"] == "Order of 1 June"


@pytest.mark.parametrize("who", ["tester", "manager", "operator"])
def test_own_rules_take_who_may_accept_rules(baths: Baths, who: str) -> None:
    with pytest.raises(NotAllowedError):
        lay(baths, who=who)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (OWN.replace('"ca-qc"', '"us-ca"'), "ca-qc is wanted"),
        (OWN.replace('"house-ph"', '"ph-maximum"'), "has one by that id"),
        (WITHOUT_EFFECT, "looser"),
        (OWN + "status = 1\n", "status"),
    ],
)
def test_own_rules_that_do_not_fit_are_refused_and_not_on_record(
    baths: Baths, text: str, says: str
) -> None:
    with pytest.raises((InputError, RefusedError), match=says):
        lay(baths, text)
    assert overlays(baths.book) == []


def test_only_what_stands_can_be_ended(baths: Baths) -> None:
    with pytest.raises(MissingError):
        end_overlay(baths.book, baths.who("area"), {"overlay": "house"})


def tighter_ph(text: str) -> str:
    """Lower the law's highest pH under what the site's own rules ask."""
    head, rule, rest = text.partition('id = "ph-maximum"\n')
    return head + rule + rest.replace('at_most = "7.8"', 'at_most = "7.3"', 1)


def test_what_an_earlier_program_let_in_is_judged_by_and_told_and_refused_anew(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as earlier:
        earlier.setattr(layering, "refuse_without_effect", lambda _base, _own: None)
        lay(baths, WITHOUT_EFFECT)
    baths.reopened()
    assert rules_missing(baths.book) == {}
    assert verdict(baths.round()) == "meets"
    baths.wait(5)
    assert verdict(baths.round(ph="7.9")) == "does-not-meet"
    (row,) = overlays(baths.book)
    assert [text for text in row["remarks"] if text.startswith("Rule house-ph is looser than ph")]
    with pytest.raises(RefusedError, match="looser than ph-maximum"):
        lay(baths, WITHOUT_EFFECT)
    beside = OWN.replace('"house', '"other').replace('"7.4"', '"7.3"')
    assert lay(baths, beside)["overlay"] == "other"


def test_own_rules_that_a_newer_law_overtakes_do_not_keep_it_from_being_accepted(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lay(baths, OWN + 'when = { supply_not = ["fill-and-draw"] }\n')
    newer = hold_newer(baths, tmp_path, monkeypatch, tighter_ph)
    assert rules_waiting(baths.book)[0]["may_be_accepted"]
    baths.wait(1)
    accept_rules(baths.book, baths.who("area"), {"rules": "ca-qc", "hash": newer})
    baths.wait(5)
    assert verdict(baths.round(ph="7.35")) == "does-not-meet"
    assert "looser than ph-maximum" in overlays(baths.book)[0]["remarks"][0]


def test_own_rules_that_tighten_are_told_without_remark_and_ended_ones_too(baths: Baths) -> None:
    lay(baths)
    assert overlays(baths.book)[0]["remarks"] == []
    baths.wait(1)
    end_overlay(baths.book, baths.who("area"), {"overlay": "house"})
    assert overlays(baths.book)[0]["remarks"] == []
