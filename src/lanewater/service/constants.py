"""The constants on disk: their text compiled once to JSON, and noticed when it has changed."""

from __future__ import annotations

import json
import zlib
from functools import cache
from pathlib import Path

from lanewater.terms.errors import MissingError

CHEMISTRY = Path(__file__).parent.parent / "chemistry"
SOURCE = Path(__file__).parent.parent / "chemistry" / "constants.toml"
CODE = (
    Path(__file__).parent.parent / "chemistry" / "constants.py",
    Path(__file__).parent.parent / "kernel" / "water" / "slots.py",
)
COMPILED = Path(__file__).parent.parent / "chemistry" / "compiled" / "constants.json"
DEFAULT_SET = "OBM74_dH"
# Tables beside the equilibrium's constants: text `chemistry/<name>.toml`, and the module of
# chemistry that holds its SLOTS.
TABLES: dict[str, str] = {
    "contact_time": "contact_time",
    "chloramine": "chloramine",
    "sea": "sea",
    "plant": "plant",
}


def text_mark(text: bytes) -> str:
    """Give a cheap mark of the constants' text and of what compiles it."""
    marks = [f"{zlib.crc32(part):08x}" for part in (text, *(path.read_bytes() for path in CODE))]
    return f"{len(text)}:{':'.join(marks)}"


@cache
def load_constants(cyanurate_set: str = DEFAULT_SET) -> tuple[float, ...]:
    """Give the flat tuple of one cyanurate set, compiling the text anew where it has changed.

    Parameters
    ----------
    cyanurate_set : str, optional
        OBM74_dH, WA2019 or OBM74_25C.

    Raises
    ------
    MissingError
        Where the set is not known.
    """
    sets = load_sets()
    if cyanurate_set not in sets:
        raise MissingError(f"constants: {cyanurate_set!r} is none of {', '.join(sets)}")
    return tuple(sets[cyanurate_set])


def load_sets(source: Path = SOURCE, compiled: Path = COMPILED) -> dict[str, list[float]]:
    """Give all sets, from the compiled form where it is that of the text."""
    text = source.read_bytes()
    mark = text_mark(text)
    try:
        stored = json.loads(compiled.read_bytes())
        if stored["mark"] == mark:
            return {name: [float(x) for x in row] for name, row in stored["sets"].items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        pass  # absent or damaged: compiled anew
    return compile_sets(text, mark, compiled)


def compile_sets(text: bytes, mark: str, compiled: Path) -> dict[str, list[float]]:
    """Compile the text; where the result cannot be kept, it is still good."""
    # Only wanted where the text is new: `calc` starts without them.
    import tomllib  # noqa: PLC0415

    from lanewater.chemistry.constants import SETS, flat_tuple, read_constants  # noqa: PLC0415

    constants = read_constants(tomllib.loads(text.decode("utf-8")))
    sets = {name: list(flat_tuple(constants, name)) for name in SETS}
    keep({"mark": mark, "sets": sets}, compiled)
    return sets


@cache
def load_table(name: str) -> tuple[float, ...]:
    """Give the flat tuple of one of the TABLES, compiling its text anew where it has changed.

    Raises
    ------
    MissingError
        Where there is no such table.
    """
    if name not in TABLES:
        raise MissingError(f"constants: {name!r} is none of {', '.join(sorted(TABLES))}")
    text = (CHEMISTRY / f"{name}.toml").read_bytes()
    code = (CHEMISTRY / "tables.py", CHEMISTRY / f"{TABLES[name]}.py")
    mark = ":".join(f"{zlib.crc32(part):08x}" for part in (text, *map(Path.read_bytes, code)))
    compiled = COMPILED.with_name(f"{name}.json")
    try:
        stored = json.loads(compiled.read_bytes())
        if stored["mark"] == mark:
            return tuple(float(number) for number in stored["numbers"])
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        pass  # absent or damaged: compiled anew
    return compile_table(name, text, mark, compiled)


def compile_table(name: str, text: bytes, mark: str, compiled: Path) -> tuple[float, ...]:
    """Compile a table's text; where the result cannot be kept, it is still good."""
    # Only wanted where the text is new: commands start without them.
    import tomllib  # noqa: PLC0415
    from importlib import import_module  # noqa: PLC0415

    from lanewater.chemistry.tables import flat_entries, read_entries  # noqa: PLC0415

    slots = import_module(f"lanewater.chemistry.{TABLES[name]}").SLOTS
    numbers = flat_entries(read_entries(tomllib.loads(text.decode("utf-8"))), slots)
    keep({"mark": mark, "numbers": list(numbers)}, compiled)
    return numbers


def keep(stored: dict[str, object], compiled: Path) -> None:
    """Keep a compiled form on disk, where that can be."""
    try:
        compiled.parent.mkdir(exist_ok=True)
        fresh = compiled.with_suffix(".new")
        fresh.write_text(json.dumps(stored), encoding="utf-8")
        fresh.replace(compiled)
    except OSError:
        return
