"""What this program never decides by itself: the fifteen points of the trade, each held here.

The number of each test is that of the point. Where a point is about words, what is looked through
is every text that a person can be shown: the catalogues, the sheets, the kernel's own sentences.
"""

from __future__ import annotations

import ast
import json
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy.exc import DBAPIError
from tests.baths import Baths
from tests.contracts.house import SOURCE
from tests.kernel.deciding.advice_cases import change, full
from tests.kernel.deciding.incident_cases import begun, did, now, pack_of
from tests.properties.carried_story import Story, based_on
from tests.properties.test_carried_facts import DEEDS, say_how
from tests.service.closing_cases import CHAIN, with_rows

import lanewater.service
from lanewater.interfaces.web.files import FOLDER
from lanewater.kernel.deciding.advice import advise
from lanewater.kernel.deciding.decimals import thousandths
from lanewater.kernel.deciding.judging import judge
from lanewater.people.authority import MATRIX, answer_for, hold_to_house
from lanewater.records.kinds import KINDS
from lanewater.records.receiving import SENDABLE
from lanewater.rules.explaining import explain_pack, explained_text
from lanewater.service.actor import ANYBODY, SHELL, Actor
from lanewater.service.closures import lift_closure
from lanewater.service.constants import load_constants
from lanewater.service.opening import close_pool, end_house_stop, everyone_out, open_pool
from lanewater.service.packs import FOLDER as PACKS
from lanewater.service.packs import load_pack, pack_ids
from lanewater.service.permission import NotAllowedError, may
from lanewater.service.record import lines
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add
from lanewater.terms.errors import InputError, RefusedError
from lanewater.terms.words import ROLES

K = load_constants()
SEVERAL = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
OPENS = ("pool-opened", "opening-settled")
LANGUAGES = ("en", "es", "fr", "de")
NO_AMOUNT = ("amount", "low", "high")


@cache
def catalogue(language: str) -> dict[str, str]:
    """Give every text of the pages in a language."""
    found: dict[str, str] = json.loads(
        (FOLDER / "words" / f"{language}.json").read_text(encoding="utf-8")
    )
    return found


def strings_in(path: Path) -> Iterator[str]:
    """Give every text in a module that is no docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    own = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in own:
            yield node.value


@cache
def shown() -> tuple[str, ...]:
    """Give every English text that somebody can be shown."""
    modules = [path for path in SOURCE.rglob("*.py") if "packs" not in path.parts]
    return (*catalogue("en").values(), *(text for path in modules for text in strings_in(path)))


def said(pattern: str) -> list[str]:
    """Give the texts in which something is said."""
    wanted = re.compile(pattern, re.IGNORECASE)
    return sorted({text for text in shown() if wanted.search(text)})


def status(baths: Baths, pool: str = "main") -> str:
    """Give the last word on a pool."""
    word = baths.book.state.openings.get(pool)
    return word.status if word else ""


# --- 1. Open, close, reopen -------------------------------------------------------------------


def test_1_only_two_places_write_an_opening_and_each_asks_who_may() -> None:
    found = {}
    for path in sorted(Path(lanewater.service.__path__[0]).rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef) and appends(node) & set(OPENS):
                found[f"{path.name}:{node.name}"] = names_called(node)
    assert set(found) == {
        "opening.py:open_pool",
        "opening.py:settle_opening",
        "authority.py:opened",
    }
    for name, called in found.items():
        assert "require" in called or "person_of" in called, name
        assert "opening_answer" in called, name


def appends(tree: ast.FunctionDef) -> set[str]:
    """Name the kinds of entries that a function writes by itself."""
    return {
        str(node.args[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr == "append"
        and node.args
        and isinstance(node.args[0], ast.Constant)
    }


def names_called(tree: ast.FunctionDef) -> set[str]:
    """Name what a function calls."""
    return {
        node.func.id
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }


@SEVERAL
@given(data=st.data())
def test_1_no_history_without_a_persons_opening_leaves_a_pool_open(
    baths: Baths, data: st.DataObject
) -> None:
    story = Story(baths, based_on(baths))
    deeds = [deed for deed in DEEDS if deed is not say_how]
    for deed in data.draw(st.lists(st.sampled_from(deeds), min_size=4, max_size=14)):
        deed(story, data.draw)
        story.now_ms += 60_000
    words = [word.status for word in story.state.openings.values()]
    assert "open" not in words
    assert all(facts["opening"] is None or facts["opening"]["status"] != "open"
               for facts in story.facts.values())  # fmt: skip


def test_1_what_the_rules_say_closes_nothing_by_itself(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(5)
    baths.round(free_chlorine="0.20", total_chlorine="0.30")
    assert status(baths) == "open"
    close_pool(
        baths.book, baths.who("manager"), {"pool": "main", "kind": "closed", "reason": "s. 17"}
    )
    assert status(baths) == "closed"


@pytest.mark.parametrize("actor", [ANYBODY, SHELL, Actor("p-manager", "none")])
def test_1_an_opening_takes_a_named_person_who_was_proved(baths: Baths, actor: Actor) -> None:
    baths.round()
    with pytest.raises(NotAllowedError):
        open_pool(baths.book, actor, {"pool": "main"})
    assert status(baths) == ""


# --- 2. Declare water "safe" ------------------------------------------------------------------


def test_2_nothing_that_is_shown_says_safe() -> None:
    # The chemist's word for a rounding that errs to one side, and a word of computing.
    allowed = {"fork-safe"}
    assert [text for text in said(r"\b(un)?safe(ly)?\b") if text not in allowed] == []


def test_2_no_answer_of_judging_says_safe() -> None:
    for identity in pack_ids():
        pack = load_pack(identity)
        for row in pack["golden"][:3]:
            answer = json.dumps(judge(pack, {**CASE, "pool": row["pool"]}))
            assert not re.search(r"\bsafe\b", answer, re.IGNORECASE)


# --- 3. Shorten an incident clock, choose between routes --------------------------------------


def test_3_routes_stand_in_the_rules_own_order_and_none_is_chosen() -> None:
    checked = 0
    for identity in pack_ids():
        pack = pack_of(identity)
        for kind in ("diarrhoea", "formed-stool", "vomit"):
            for told in now(begun(kind), 5, identity)["procedures"]:
                named = next(row for row in pack["procedures"] if row["id"] == told["id"])
                order = [row["id"] for row in named["routes"]]
                assert [row["id"] for row in told["routes"]] == order
                assert not any(row.get("chosen") for row in told["routes"])
                checked += len(order) > 1
    assert checked > 2


def test_3_no_answer_ranks_routes_or_calls_one_the_quickest() -> None:
    assert said(r"\b(quickest|fastest|shortest|best) (route|way|procedure)\b") == []


# --- 4. Enter a gas area, restart a pump with people in, bypass an interlock ------------------


def test_4_nothing_tells_anybody_to_bypass_or_to_go_into_gas() -> None:
    assert said(r"\b(bypass|override|jumper)\w* (the )?(interlock|flow switch)") == []
    assert said(r"\b(enter|go into) (the )?(gas|chlorine) (room|area|store)\b") == []


def test_4_a_restart_is_never_told_without_people_out() -> None:
    told = said(r"\brestart(ed)?\b(?! of)(?=.*[.])")
    assert all(re.search(r"people out|nobody in|reached bathers", text.lower()) for text in told)
    assert told


def test_4_with_the_flow_stopped_no_amount_is_shown() -> None:
    assert no_amount(advise(K, full(circulation="stopped")))
    for word in ("no", "unknown"):
        assert no_amount(advise(K, change(full(), "questions.pump_running", word)))


def no_amount(answer: dict[str, Any]) -> bool:
    """Tell whether an answer holds no amount."""
    return not any(answer.get(key) for key in NO_AMOUNT)


# --- 5. Which tank, which filling point -------------------------------------------------------


def test_5_nothing_says_which_tank_or_filling_point() -> None:
    assert (
        said(r"\b(fill|pour|connect)\w* .{0,30}\b(tank [A-Z0-9]|bulk tank|filling point)\b") == []
    )
    answer = advise(K, full())
    assert answer["amount"] > 0
    assert "tank" not in json.dumps(answer)


# --- 6. Gas cylinders, confined spaces, electrical isolation ----------------------------------


@pytest.mark.parametrize("substance", ["chlorine-gas", "carbon-dioxide"])
def test_6_no_amount_of_gas_is_ever_given_by_hand(substance: str) -> None:
    request = change(full(), "products.0.substance", substance)
    assert no_amount(advise(K, request | {"feeder": substance}))


def test_6_nothing_tells_how_to_change_a_cylinder_or_to_isolate() -> None:
    assert said(r"\b(change|swap|connect|open) (the |a )?(gas )?(cylinder|bottle valve)\b") == []
    assert said(r"\b(isolate|switch off) the (mains|electric)") == []
    assert said(r"\bconfined space\b") == []


# --- 7. What symptoms mean, whether it is an outbreak, whether to notify ----------------------


def test_7_a_deadline_is_told_and_nothing_is_notified_by_itself(baths: Baths) -> None:
    with_rows(baths, deadlines=CHAIN)
    given = {"pool": "main", "kind": "closed", "reason": "Low"}
    close_pool(baths.book, baths.who("manager"), given)
    baths.wait(60 * 24 * 9)
    baths.round()
    kinds = {row["type"] for row in lines(baths.book, limit=100)}
    assert "authority-notified" not in kinds
    assert "told" not in kinds


def test_7_nothing_says_what_symptoms_mean() -> None:
    found = said(r"\b(outbreak|infected|poisoned|diagnos\w+|cryptosporidiosis)\b")
    assert [text for text in found if "Make no diagnosis." not in text] == []


# --- 8. Whether staff falsified ---------------------------------------------------------------


def test_8_nothing_says_that_somebody_made_numbers_up() -> None:
    assert (
        said(r"\b(falsif|fabricat|fraud|cheat|forge[dr]|lied|lying|dishonest|made up number)") == []
    )


# --- 9. Commands to dosing equipment ----------------------------------------------------------


def test_9_nothing_speaks_to_a_controller() -> None:
    field = {"serial", "pymodbus", "minimalmodbus", "umodbus", "paho", "opcua", "asyncua", "can"}
    found = {
        (node.module or "").split(".")[0] if isinstance(node, ast.ImportFrom) else name.name
        for path in SOURCE.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in node.names
    }
    assert found & field == set()
    assert "typst" in found
    assert not any(re.search(r"command|set-point|actuat", kind) for kind in KINDS)


# --- 10. More than label or site allow, or a product that is not listed -----------------------


@settings(max_examples=40, deadline=None)
@given(high=st.integers(11, 95), limit=st.integers(9, 95), free=st.integers(0, 9))
def test_10_no_amount_goes_beyond_the_site_or_the_rules(high: int, limit: int, free: int) -> None:
    request = change(full(free_chlorine=f"0.{free}0"), "targets.free_chlorine.high", f"{high / 10}")
    request = change(request, "limits.free_chlorine.high", f"{limit / 10}")
    answer = advise(K, request)
    if no_amount(answer):
        return
    reached = thousandths(answer["predicted"]["free_chlorine"])
    assert reached <= min(high, limit) * 100


def test_10_no_amount_of_what_is_not_on_the_pools_list() -> None:
    assert no_amount(advise(K, change(full(), "products.0.approved", [])))
    assert no_amount(advise(K, full() | {"products": []}))
    assert no_amount(advise(K, full() | {"choice": "borax"}))
    assert not no_amount(advise(K, full()))


# --- 11. A class of pool that was not set up for dosing ---------------------------------------


@pytest.mark.parametrize("kind", ["spa", "hydrotherapy", "spray", "cold-plunge", "plunge", ""])
def test_11_no_amount_for_a_class_that_is_not_set_up(kind: str) -> None:
    assert no_amount(advise(K, change(full(), "case.pool.kind", kind)))


# --- 12. A limit that is not in the chosen rules; where rules disagree ------------------------

CASE: dict[str, Any] = {
    "purpose": "round",
    "pool": full()["case"]["pool"],
    "readings": full()["case"]["readings"],
    "history": [],
    "at": full()["at"],
    "between": [],
    "events": [],
    "expired": [],
    "kits": {},
}


@pytest.mark.parametrize("identity", pack_ids())
def test_12_every_limit_of_an_answer_is_one_of_the_chosen_rules(identity: str) -> None:
    pack = load_pack(identity)
    known = {(rule["id"], rule["clause"]) for rule in pack["rules"]}
    for row in judge(pack, CASE)["results"]:
        assert (row["rule"], row["clause"]) in known


def test_12_where_a_source_speaks_against_itself_both_are_shown_and_which_was_chosen() -> None:
    shown_both = 0
    for identity in pack_ids():
        raw = tomllib_of(identity)
        # A sentence begins with a capital letter, whatever the pack's own does.
        text = "".join(explained_text(explain_pack(raw)).split()).casefold()
        for row in raw.get("contradiction", []):
            for key in ("one", "other", "chosen", "why"):
                assert "".join(str(row[key]).split()).casefold() in text, (identity, key)
            shown_both += 1
    assert shown_both > 5


def tomllib_of(identity: str) -> dict[str, Any]:
    """Read the text of a pack."""
    return tomllib.loads((PACKS / f"{identity}.toml").read_text(encoding="utf-8"))


def test_12_two_rules_over_one_number_are_both_rows() -> None:
    pack = load_pack("ca-qc")
    rule = next(row for row in pack["rules"] if row["parameter"] == "ph")
    other = rule | {
        "id": "local-ph",
        "clause": "local 4",
        "limit": "7.3",
        "limit_thousandths": 7300,
    }
    rows = judge(pack | {"rules": [*pack["rules"], other]}, CASE)["results"]
    found = {row["rule"]: row["limit"] for row in rows if row["parameter"] == "ph"}
    assert found["local-ph"] == "7.3"
    assert found[rule["id"]] == rule["limit"]


# --- 13. Deleting, back-dating ----------------------------------------------------------------


@pytest.mark.parametrize("command", ["DELETE FROM entry", "UPDATE entry SET received_at = '2020'"])
def test_13_no_line_is_deleted_or_changed(baths: Baths, command: str) -> None:
    baths.round()
    before = len(lines(baths.book, limit=100))
    with baths.book.writing() as writing, pytest.raises(DBAPIError):
        writing.connection.exec_driver_sql(command)
    assert len(lines(baths.book, limit=100)) == before


def test_13_nothing_in_the_program_deletes_a_line() -> None:
    texts = [text for path in (SOURCE / "records").rglob("*.py") for text in strings_in(path)]
    assert [text for text in texts if re.search(r"DELETE FROM entry\b", text)] == []


def test_13_what_is_said_of_yesterday_stands_as_written_today(baths: Baths) -> None:
    yesterday = "2026-06-30T06:00:00-04:00"
    readings = {"free_chlorine": "1.52", "ph": "7.43", "clarity": "visible"}
    record_round(
        baths.book, baths.who("tester"), {"pool": "main", "at": yesterday, "readings": readings}
    )
    (row,) = [row for row in lines(baths.book, limit=9) if row["type"] == "round-recorded"]
    assert row["timing"] != "on-time"
    assert row["window"]["to"].startswith("2026-07-01")


# --- 14. That a person is competent -----------------------------------------------------------


def test_14_no_role_makes_anybody_competent_and_no_site_can_say_so() -> None:
    assert {answer_for("hand-dose", [role]) for role in ROLES} == {"no", "competent"}
    for role in ROLES:
        with pytest.raises(InputError, match="hand-dose"):
            hold_to_house(MATRIX, [{"decision": "hand-dose", "role": role, "answer": "yes"}])


def test_14_nobody_writes_their_own_competence(baths: Baths) -> None:
    row = {"covers": "hand-dosing", "product": "*", "from": "2026-01-01"}
    item = {"person": "p-manager", "roles": ["duty-manager"], "competences": [row]}
    with pytest.raises(NotAllowedError):
        add(baths.book, baths.who("manager"), "person", item)
    assert "person-changed" not in SENDABLE
    assert may(baths.book.state, baths.who("manager"), "hand-dose") == "competent"
    assert baths.book.state.people["p-manager"].competences == ()


# --- 15. Anything while the local rules are missing, expired or superseded --------------------


def test_15_without_rules_there_is_no_verdict() -> None:
    answer = judge(None, CASE)
    assert (answer["overall"], answer["results"]) == ("not-judged", [])
    assert "no local rules chosen" in json.dumps(answer["not_judged"])


@pytest.mark.parametrize("key", ["effective_from", "effective_to"])
def test_15_rules_that_were_not_in_force_judge_nothing(key: str) -> None:
    pack = load_pack("ca-qc") | {"effective_from": None, "effective_to": None}
    assert judge(pack, CASE)["results"]
    late = {"effective_from": CASE["at"] + 1, "effective_to": CASE["at"]}[key]
    answer = judge(pack | {key: late}, CASE)
    assert (answer["overall"], answer["results"]) == ("not-judged", [])


def test_15_superseded_rules_cannot_be_chosen_for_a_pool(baths: Baths) -> None:
    old = [row for row in pack_ids() if load_pack(row)["status"] == "historic"]
    assert old
    for identity in old:
        with pytest.raises((RefusedError, InputError), match=r"historic|must be an id"):
            add(baths.book, SHELL, "rules", {"rules": identity})
    assert baths.book.state.site.rules.id == "ca-qc"


def test_15_a_house_stop_stands_with_no_rules_at_all(baths: Baths) -> None:
    add(baths.book, SHELL, "rules", {"rules": "none"})
    everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "bottom-not-seen"})
    baths.round()
    with pytest.raises(RefusedError, match="house-stop:bottom-not-seen"):
        open_pool(baths.book, baths.who("manager"), {"pool": "main", "reason": "I say so"})
    end_house_stop(baths.book, baths.who("manager"), {"pool": "main", "reason": "Seen again"})
    with pytest.raises(InputError, match="not-judged"):
        open_pool(baths.book, baths.who("manager"), {"pool": "main"})


def test_an_incident_ends_by_nobody_while_a_step_is_open() -> None:
    told = now(did(begun("formed-stool"), "people-out", 1), 600)
    assert told["may_end"] is False
    assert told["why_not"]


def test_an_order_is_lifted_by_the_word_of_somebody_who_may_and_by_no_clock(baths: Baths) -> None:
    given = {"pool": "main", "kind": "closed", "reason": "Order", "by_order": True}
    made = close_pool(baths.book, baths.who("manager"), given | {"authority": "Health office"})
    baths.wait(60 * 24 * 400)
    baths.round()
    with pytest.raises(RefusedError, match="closed-by-order"):
        open_pool(baths.book, baths.who("manager"), {"pool": "main", "reason": "So long ago"})
    lift = {"pool": "main", "closure": made["entry"], "authority": "Ida"}
    with pytest.raises(NotAllowedError):
        lift_closure(baths.book, baths.who("tester"), lift)
