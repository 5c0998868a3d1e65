"""`lanewater calc plan`: ordered additions from a water to the site's targets."""

from __future__ import annotations

import argparse
from typing import Any

from lanewater.interfaces.cli.calc_question import add_question, answer_question
from lanewater.service.constants import load_constants

EXAMPLE = (
    '{"ph": 7.8, "temperature_c": 28, "total_alkalinity_mg_l": 100, "free_chlorine_mg_l": 0.6,'
    ' "volume_m3": 400, "targets": {"ph": [7.2, 7.6], "free_chlorine_mg_l": [1, 2]}, "products":'
    ' [{"product": "sodium-hypochlorite", "strength_g_l": 120}]}'
)


def add_plan(parser: argparse.ArgumentParser) -> None:
    """Describe the argument that holds a question."""
    add_question(parser, EXAMPLE, flags=False)


def run_plan(arguments: argparse.Namespace) -> int:
    """Answer what to add, in which order, and what the water will be then."""
    # Every calc builds this kind's arguments too: the planner is fetched only where it is asked.
    from lanewater.dosing.plan_answer import stateless_plan  # noqa: PLC0415

    k = load_constants()

    def answer(given: Any) -> dict[str, Any]:
        return stateless_plan(k, given)

    return answer_question(arguments, {}, (), answer, told_plan)


def told_plan(_given: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Tell a plan to a person, in lines."""
    lines = [answer["words"], answer["competence"]]
    if answer["steps"]:
        lines += [
            "Before each step: " + " ".join(row["ask"] for row in answer["ask_before_each_step"])
        ]
    lines += [row["words"] for row in answer["why"]]
    for step in answer["steps"]:
        lines += [step["words"], f"   Then about {figures(step['predicted'])}."]
    lines += [
        f"In all: {row['product']} {row['amount']:g} {row['unit']}"
        f" (between {row['low']:g} and {row['high']:g})."
        for row in answer["totals"]
    ]
    lines += [row["words"] for row in answer["unreached"]]
    if answer["binding"]:
        lines.append(answer["binding"]["words"])
    lines += [f"Refused ({row['id']}): {row['why']} {row['do']}" for row in answer["refusals"]]
    lines += [
        f"Left out ({row['product']}): {row['why']} {row['do']}" for row in answer["left_out"]
    ]
    lines += [row["text"] for row in answer["assumed"]]
    lines += [
        f"Caution: {text}"
        for text in dict.fromkeys(
            row["text"] for step in answer["steps"] for row in step["cautions"]
        )
    ]
    return lines


def figures(water: dict[str, float]) -> str:
    """Tell a foreseen water in one line."""
    return ", ".join(
        f"{name.removesuffix('_mg_l').replace('_', ' ')} {value:g}" for name, value in water.items()
    )
