"""What exists is in the reference, and nothing else is: settings, errors, words, figures."""

from __future__ import annotations

import ast
import re
from importlib import import_module

from tests.contracts.house import ROOT, SOURCE, modules
from tests.docs.pages import PAGES

from lanewater.chemistry.products import PRODUCTS
from lanewater.chemistry.water import describe, water_from
from lanewater.rules.case import case_from
from lanewater.rules.judging import judge_case
from lanewater.service.constants import load_constants
from lanewater.terms.errors import LanewaterError
from lanewater.terms.parameters import PARAMETERS
from lanewater.terms.words import POOL_FACTS

SETTINGS = PAGES["docs/reference/settings.md"]
ERRORS = PAGES["docs/reference/errors.md"]
EXIT_CODES = PAGES["docs/reference/exit-codes.md"]
QUESTIONS = PAGES["docs/reference/questions.md"]
PARAMETER_TABLE = PAGES["docs/reference/parameters.md"]

SETTING = re.compile(r"LANEWATER_[A-Z_]*[A-Z]")


def settings_read() -> set[str]:
    """Give every environment variable of ours that the program or ./run reads."""
    texts = [path.read_text(encoding="utf-8") for path in SOURCE.rglob("*.py")]
    texts.append((ROOT / "run").read_text(encoding="utf-8"))
    return {name for text in texts for name in SETTING.findall(text)}


def test_every_setting_is_documented_and_no_other() -> None:
    assert set(SETTING.findall(SETTINGS)) == settings_read()


def error_kinds() -> dict[str, int]:
    """Give every error that is written for a person, with the exit code it ends in."""
    names = [
        (".".join(("lanewater", *path.relative_to(SOURCE).with_suffix("").parts)), node.name)
        for path, tree in modules(SOURCE)
        for node in tree.body
        if isinstance(node, ast.ClassDef) and node.name.endswith("Error")
    ]
    kinds = [getattr(import_module(module), name) for module, name in names]
    return {
        kind.__name__: kind.exit_code
        for kind in kinds
        if issubclass(kind, LanewaterError) and kind is not LanewaterError
    }


def test_every_error_is_documented_with_what_it_ends_with() -> None:
    rows = re.findall(r"^\| `(\w+)` \| (\d) \|", ERRORS, re.MULTILINE)
    assert {name: int(code) for name, code in rows} == error_kinds()


def test_every_exit_code_is_documented() -> None:
    assert re.findall(r"^\| (\d) \|", EXIT_CODES, re.MULTILINE) == ["0", "1", "2", "3", "4"]


def test_every_parameter_is_documented_with_its_unit_or_words() -> None:
    rows = re.findall(r"^\| `(\w+)` \| ([^|]+) \| (.+) \|$", PARAMETER_TABLE, re.MULTILINE)
    wanted = [
        (each.id, each.name, ", ".join(f"`{word}`" for word in each.words) or each.unit or "(none)")
        for each in PARAMETERS.values()
    ]
    assert rows == wanted


def test_every_product_is_documented_with_how_it_may_be_given() -> None:
    rows = re.findall(r"^\| `([\w-]+)` \| ([\w-]+) \|$", QUESTIONS, re.MULTILINE)
    assert rows == [(product.id, product.method) for product in PRODUCTS.values()]


def test_every_pool_fact_is_documented_with_its_words() -> None:
    rows = dict(re.findall(r"^\| `(\w+)` \| (`.*`) \|$", QUESTIONS, re.MULTILINE))
    for fact, words in POOL_FACTS.items():
        assert rows[fact] == ", ".join(f"`{word}`" for word in words)


def test_every_figure_of_an_answer_is_documented() -> None:
    water = water_from({"ph": 7.4, "temperature_c": 28, "total_alkalinity_mg_l": 100})
    figures = describe(load_constants(), load_constants("WA2019"), water)
    answer = judge_case(None, case_from({"readings": {"ph": "7.4"}}))
    assert [key for key in (*figures, *answer) if f"`{key}`" not in QUESTIONS] == []
