"""Every text can be read on every ground, in every look: reckoned from the style sheets."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import lanewater.interfaces.web

STYLE = Path(lanewater.interfaces.web.__file__).parent / "static" / "style"
SHEETS = sorted(STYLE.glob("*.css"))
COLOURS = ("ink", "soft", "paper", "sheet", "faint", "rope")
# What is written in which colour on what; the ink is a ground too, for keys that are pressed.
TEXT = (
    ("ink", "paper"),
    ("ink", "sheet"),
    ("soft", "paper"),
    ("soft", "sheet"),
    ("paper", "ink"),
    ("sheet", "ink"),
)
# Lines and marks that say something by themselves: WCAG 2.2, 1.4.11.
DRAWN = (("faint", "paper"), ("faint", "sheet"), ("rope", "paper"), ("rope", "sheet"))
DRAWN_LEAST = 3.0
LOOKS = {
    "day": ("ink.css", r":root \{", 4.5),
    "sun": ("looks.css", r':root\[data-look="sun"\] \{', 7.0),
    "more contrast": (
        "looks.css",
        r"@media \(prefers-contrast: more\) \{\s*:root:not\(\[data-look\]\) \{",
        7.0,
    ),
    "dark": ("looks.css", r':root\[data-look="dark"\] \{', 7.0),
    "dark device": (
        "looks.css",
        r"@media \(prefers-color-scheme: dark\) \{\s*:root:not\(\[data-look\]\) \{",
        7.0,
    ),
    "dark, more contrast": (
        "looks.css",
        (
            r"@media \(prefers-color-scheme: dark\) and \(prefers-contrast: more\) \{"
            r"\s*:root:not\(\[data-look\]\) \{"
        ),
        7.0,
    ),
    "paper": ("looks.css", r"@media print \{\s*:root,\s*:root\[data-look\] \{", 7.0),
}


def tokens(look: str) -> dict[str, str]:
    """Give what a look sets, each token by its name."""
    name, start, _ = LOOKS[look]
    text = (STYLE / name).read_text(encoding="utf-8")
    found = re.search(start + r"([^}]*)\}", text)
    assert found is not None, look
    return dict(re.findall(r"--(\w+): ([^;]+);", found[1]))


def luminance(colour: str) -> float:
    """Give the relative luminance of #rgb or #rrggbb (WCAG 2.2)."""
    digits = colour.removeprefix("#")
    if len(digits) == 3:
        digits = "".join(digit * 2 for digit in digits)
    parts = [int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def ratio(one: str, other: str) -> float:
    """Give the contrast ratio of two colours, 1 to 21."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_ratio_is_that_of_the_standard() -> None:
    assert ratio("#fff", "#000000") == pytest.approx(21)
    assert ratio("#777777", "#ffffff") == pytest.approx(4.478, abs=0.001)


@pytest.mark.parametrize("look", LOOKS)
def test_every_text_has_enough_contrast_on_every_ground(look: str) -> None:
    found, least = tokens(look), LOOKS[look][2]
    assert {name for name in COLOURS if name not in found} == set()
    low = {pair: ratio(found[pair[0]], found[pair[1]]) for pair in TEXT}
    assert {pair: value for pair, value in low.items() if value < least} == {}
    drawn = {pair: ratio(found[pair[0]], found[pair[1]]) for pair in DRAWN}
    assert {pair: value for pair, value in drawn.items() if value < DRAWN_LEAST} == {}


@pytest.mark.parametrize(("chosen", "own"), [("sun", "more contrast"), ("dark", "dark device")])
def test_a_look_is_the_same_chosen_and_by_the_devices_setting(chosen: str, own: str) -> None:
    assert tokens(chosen) == tokens(own)


def test_lines_are_heavier_in_the_sun() -> None:
    for name in ("thin", "line", "bold", "heavy"):
        day, sun = tokens("day")[name], tokens("sun")[name]
        assert float(sun.removesuffix("px")) > float(day.removesuffix("px")), name


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.name)
def test_a_colour_is_a_token_so_that_every_look_changes_it(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    declared = re.sub(r"--\w+: [^;]+;", "", text)
    found = re.findall(r"#[0-9a-fA-F]{3,8}\b|\brgba?\(|\bhsla?\(", declared)
    # A camera needs black on white to find a stamp's code, whatever the look.
    assert found == (["#fff", "#000"] if path.name == "stamp.css" else [])


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.name)
def test_text_takes_no_colour_that_is_meant_for_lines(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert re.findall(r"(?<![\w-])color: var\(--(?:faint|rope)\)", text) == []
    assert "opacity" not in text
