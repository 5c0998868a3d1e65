"""`lanewater calc superchlorination`: what more chlorine can take away, and what it cannot."""

from __future__ import annotations

import argparse
from typing import Any

from lanewater.interfaces.cli.calc_question import add_question, answer_question
from lanewater.terms.errors import InputError

EXAMPLE = (
    '{"pool": {"disinfectant": "chlorine", "location": "indoor"}, "monopersulfate": "no",'
    ' "readings": {"free_chlorine": "0.80", "total_chlorine": "2.10"}}'
)
COMPETENCE = "For a person whose competence to dose chlorine by hand is on record at the site."


def add_superchlorination(parser: argparse.ArgumentParser) -> None:
    """Describe the argument that holds a pool, its readings and what was asked."""
    add_question(parser, EXAMPLE, flags=False)


def run_superchlorination(arguments: argparse.Namespace) -> int:
    """Answer what more chlorine can take away, and what it cannot."""
    return answer_question(arguments, {}, (), answer_of, told)


def answer_of(given: Any) -> dict[str, Any]:
    """Answer one question: a `judge` question with what is asked beside it."""
    # Other kinds of calc start without all this.
    from lanewater.dosing.superchlorination import asked_from  # noqa: PLC0415
    from lanewater.kernel.deciding.superchlorination import (  # noqa: PLC0415
        superchlorination_of,
    )
    from lanewater.rules.case import CASE_KEYS, case_from  # noqa: PLC0415 - other kinds start without it

    if not isinstance(given, dict):
        raise InputError("", "an object is wanted, such as " + EXAMPLE)
    case = case_from({name: value for name, value in given.items() if name in CASE_KEYS})
    asked = asked_from({name: value for name, value in given.items() if name not in CASE_KEYS})
    return {**superchlorination_of({**asked, "case": case}), "competence": COMPETENCE}


def told(_given: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Tell an answer to a person, in lines."""
    from lanewater.dosing.superchlorination import words_of  # noqa: PLC0415 - only where a person is told

    return [*words_of(answer), answer["competence"]]
