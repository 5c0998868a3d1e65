"""Every caution the kernel can name has words, a reason, a source and its evidence."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import lanewater.kernel.deciding.cautions as kernel_cautions
from lanewater.dosing.cautions import CAUTIONS, MEMORY, SECONDARY, SEEN, cautions_of


def ids_in_the_kernel() -> set[str]:
    """Give every id that the kernel's source can append, and those that always go along."""
    tree = ast.parse(Path(kernel_cautions.__file__).read_text(encoding="utf-8"))
    appended = {
        call.args[0].value
        for call in ast.walk(tree)
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Attribute)
        and call.func.attr == "append"
        and isinstance(call.args[0], ast.Constant)
    }
    return {*kernel_cautions.ALWAYS, *(str(identity) for identity in appended)}


def test_the_kernel_and_the_words_name_the_same_cautions() -> None:
    assert ids_in_the_kernel() == set(CAUTIONS)


@pytest.mark.parametrize("identity", sorted(CAUTIONS))
def test_each_caution_says_what_why_and_how_it_is_known(identity: str) -> None:
    caution = CAUTIONS[identity]
    assert caution.id == identity
    assert caution.text.endswith(".")
    assert caution.why.endswith(".")
    assert caution.source
    assert caution.evidence in {SEEN, SECONDARY, MEMORY}
    assert " safe" not in f" {caution.text} {caution.why}".lower()


def test_a_caution_without_words_is_an_error_and_never_dropped() -> None:
    with pytest.raises(KeyError):
        cautions_of(["label-first", "made-up"])
