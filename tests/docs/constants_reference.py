"""Write docs/reference/constants.md from chemistry/constants.toml.

python -m tests.docs.constants_reference
"""

from __future__ import annotations

import tomllib

from tests.contracts.house import ROOT, SOURCE

from lanewater.chemistry.constants import SETS, SLOTS, Constant, read_constants
from lanewater.chemistry.tables import Entry, read_entries
from lanewater.service.constants import TABLES

PAGE = ROOT / "docs" / "reference" / "constants.md"
TEXT = SOURCE / "chemistry" / "constants.toml"

MOST_NUMBERS = 16

HEAD = """\
# Constants

Written from `chemistry/constants.toml` by `python -m tests.docs.constants_reference`; a test
compares it. What they are used for: [the water](../explanation/water.md).

T is the temperature in kelvin, t in degrees Celsius. All are activity constants at zero ionic
strength. Outside a range the value still comes, and is extrapolated.

| mark | means |
|---|---|
| SEEN | read in the named source |
| DB | read in a named open database or source file |
| MEM | from memory, not yet compared with the source |
| CALC | computed here |
| JUDG | judgement |

"""

TERMS = {
    "one": "",
    "T": " T",
    "inverse_T": " / T",
    "log_T": " log10 T",
    "inverse_T2": " / T^2",
    "T2": " T^2",
}


def equation(constant: Constant) -> str:
    """Write a constant's equation as its source gives it."""
    numbers = constant.numbers
    if constant.form == "number":
        return f"{numbers['number']:g}"
    if constant.form == "log-k-25":
        return f"log K(25) = {numbers['log_k']:g}, heat {numbers['heat_kj']:g} kJ/mol"
    if constant.form == "pk-25":
        slope = f", slope {numbers['slope']:g} K" if numbers["slope"] else ", no slope known"
        return f"pK(25) = {numbers['pk']:g}{slope}"
    if constant.form == "celsius":
        powers = ("", " t", *(f" t^{power}" for power in range(2, 6)))
        return signed(list(zip(numbers["celsius"], powers, strict=True)))
    left = "pK" if constant.form == "pk" else "log K"
    terms = [(numbers[name], text) for name, text in TERMS.items() if name in numbers]
    return f"{left} = {signed(terms)}"


def signed(terms: list[tuple[float, str]]) -> str:
    """Write a sum with its signs."""
    parts = [f"{value:.10g}{text}" for value, text in terms]
    return " + ".join(parts).replace("+ -", "- ")


def row(constant: Constant) -> str:
    """Write one constant as a line of the table."""
    low, high = constant.range_c
    at_25 = "" if constant.at_25 is None else f"{constant.at_25:g}"
    sets = "all" if constant.sets == SETS else ", ".join(constant.sets)
    said = f"{constant.source}. {constant.note}".strip() if constant.note else constant.source
    cells = (
        constant.name,
        equation(constant),
        at_25,
        f"{low:g} to {high:g}" if low < high else f"{low:g}",
        sets,
        constant.tag,
        said,
    )
    return "| " + " | ".join(cells) + " |"


def page() -> str:
    """Give the whole page."""
    constants = read_constants(tomllib.loads(TEXT.read_text(encoding="utf-8")))
    ordered = sorted(constants, key=lambda each: (SLOTS[each.id], SETS.index(each.sets[0])))
    lines = [
        "| what | equation | at 25 C | range, C | sets | mark | source |",
        "|---|---|---|---|---|---|---|",
        *map(row, ordered),
    ]
    memory = [each.name for each in constants if each.tag in {"MEM", "JUDG"}]
    tail = (
        f"\nFrom memory or by judgement, to be compared by a second person: {'; '.join(memory)}.\n"
    )
    return HEAD + "\n".join(lines) + "\n" + tail + "".join(map(table_section, sorted(TABLES)))


def table_section(name: str) -> str:
    """Write one further table as a section of the page."""
    path = SOURCE / "chemistry" / f"{name}.toml"
    entries = read_entries(tomllib.loads(path.read_text(encoding="utf-8")))
    lines = [
        f"\n## {name.replace('_', ' ').capitalize()}\n",
        f"From `chemistry/{name}.toml`.\n",
        "| what | numbers | unit | where | mark | source |",
        "|---|---|---|---|---|---|",
        *map(entry_row, entries),
    ]
    memory = [each.name for each in entries if each.tag in {"MEM", "JUDG"}]
    if memory:
        lines += [f"\nFrom memory or by judgement: {'; '.join(memory)}."]
    return "\n".join(lines) + "\n"


def entry_row(entry: Entry) -> str:
    """Write one entry as a line; a long list of numbers by its length and ends."""
    numbers = [f"{number:.10g}" for number in entry.numbers]
    if len(numbers) > MOST_NUMBERS:
        numbers = [f"{len(numbers)} numbers, {numbers[0]} to {numbers[-1]}"]
    said = f"{entry.source}. {entry.note}".strip() if entry.note else entry.source
    cells = (entry.name, ", ".join(numbers), entry.unit, entry.valid, entry.tag, said)
    return "| " + " | ".join(cells) + " |"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
