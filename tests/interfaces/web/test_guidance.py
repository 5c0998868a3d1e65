"""Guidance is whole: every step and every doubtful finding has its drawing and its plain words."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from lanewater.interfaces.web.files import FOLDER
from lanewater.kernel.deciding import handover as handover_module
from lanewater.measurement.kits import KINDS

WORDS: dict[str, str] = json.loads((FOLDER / "words" / "en.json").read_text(encoding="utf-8"))
STEPS = (FOLDER / "guide" / "steps.js").read_text(encoding="utf-8")
DOUBTS = (FOLDER / "guide" / "doubts.js").read_text(encoding="utf-8")
SCENES = (FOLDER / "drawing" / "scenes.js").read_text(encoding="utf-8")
DECIDING = Path(handover_module.__file__).parent

STEP = re.compile(r'step\("(\w+)", "([\w-]+)", "(\w+)"')
HELP = re.compile(r'^  "?([\w-]+)"?: \{ draw: "(\w+)", act: "(\w+)"', re.MULTILINE)
SCENE = re.compile(r"^  (\w+): \(\) =>", re.MULTILINE)
FOUND = re.compile(r'(?:"id": |slip_finding\(\s*)"([a-z-]+)"')
FINDERS = ("plausibility", "bleaching", "slips", "kitlimits")
# What asks for nothing to be done.
NO_STEP = {"combined-about-zero"}
ASKS = {"possible-bleaching", "forgotten-dilution"}
LONGEST_SENTENCE = 20
LONGEST_STEP = 45
# No reagent has a colour here, no instrument a maker, and nothing is promised.
NEVER = re.compile(
    r"\b(pink|red|magenta|yellow|orange|blue|green|purple|violet|safe|verdict|DPD)\b", re.IGNORECASE
)


def findings() -> set[str]:
    """Name every finding that the kernel can raise about a round."""
    texts = [(DECIDING / f"{name}.py").read_text(encoding="utf-8") for name in FINDERS]
    return {name for text in texts for name in FOUND.findall(text)} | {"surprising"}


def said() -> dict[str, str]:
    """Give the words of all guidance."""
    return {key: text for key, text in WORDS.items() if key.startswith(("guide.", "help."))}


def test_every_kind_of_kit_has_steps() -> None:
    """A kit that the site may set up is never without."""
    for kind in KINDS:
        assert f"  {kind}: [" in STEPS


@pytest.mark.parametrize(("part", "name", "drawing"), sorted(set(STEP.findall(STEPS))))
def test_a_step_has_its_words_and_its_drawing(part: str, name: str, drawing: str) -> None:
    """Nothing stands there without either."""
    assert f"guide.{name}" in WORDS
    assert f"draw.{drawing}" in WORDS
    assert drawing in SCENE.findall(SCENES)
    assert part == "free" or f"guide.part.{part}" in WORDS


def test_every_drawing_is_used_and_said() -> None:
    """A drawing without words is nothing to who cannot see it."""
    used = {drawing for _part, _name, drawing in STEP.findall(STEPS)}
    used |= {drawing for _name, drawing, _act in HELP.findall(DOUBTS)}
    scenes = set(SCENE.findall(SCENES))
    assert scenes == used
    assert {f"draw.{name}" for name in scenes} == {key for key in WORDS if key.startswith("draw.")}


def test_every_doubtful_finding_offers_a_next_physical_step() -> None:
    """Whatever the kernel doubts, the page says what to do with one's hands."""
    helps = {name: (drawing, act) for name, drawing, act in HELP.findall(DOUBTS)}
    assert findings() - NO_STEP == set(helps)
    for name, (drawing, act) in helps.items():
        assert f"help.{name}" in WORDS
        assert drawing in SCENE.findall(SCENES)
        assert act == "none" or f"help.key.{act}" in WORDS
        assert (f"help.{name}.ask" in WORDS) == (name in ASKS)


@pytest.mark.parametrize("name", sorted(said()))
def test_words_are_short_and_plain(name: str) -> None:
    """A ten-year-old reads them: short sentences, no colours, no promises."""
    text = said()[name]
    sentences = [part for part in re.split(r"[.?!:]\s", text) if part]
    assert max(len(part.split()) for part in sentences) <= LONGEST_SENTENCE
    assert len(text.split()) <= LONGEST_STEP
    assert NEVER.search(text) is None
