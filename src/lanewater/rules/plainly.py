"""What is wrong with a pack, said to who wrote it: which table, which line, what belongs there."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from lanewater.terms.errors import InputError
from lanewater.terms.words import COVERAGE_ITEMS

TABLE_LINE = re.compile(r"\s*(\[\[?)\s*([A-Za-z_.]+)\s*\]\]?")
KEY_LINE = re.compile(r"\s*([A-Za-z_0-9]+)\s*=\s*(.*)")
TEXT = re.compile(r"\"([^\"]*)\"|'([^']*)'")
PLACE = re.compile(r" ?\(at (.*)\)")
CASE = re.compile(r"golden case (\d+): ")
NUMBERED = re.compile(r"([a-z_]+)\[(\d+)\](?:\.(.*))?")
BY_ID = re.compile(
    r"(rule|procedure|class|schedule|reopening|deadline|checklist) ([^.]+)(?:\.(.*))?"
)
TABLE_OF = {"procedure": "procedures"}
TABLE_WORDS = {
    "rule": "rule",
    "interval": "test interval",
    "golden": "golden case",
    "procedures": "procedure",
    "procedures.routes": "route",
    "coverage": "the table of coverage",
    "sources": "the table of sources",
}
HELP = {
    "id": "a short name of your own, in small letters with hyphens, used once",
    "title": "the name of the law, as its first page gives it",
    "authority": "whose law it is",
    "place": "the place by ISO 3166, such as US-TX",
    "edition": "which edition, or the date of the text",
    "status": "draft until a second person has compared every limit with the law",
    "law": "true where it is a law, false where it is only advice",
    "read_on": "the date on which you read it, such as 2026-11-25",
    "borrow_hours": "how many hours old a reading may be to choose a limit, such as 24",
    "clause": "the number of the section, as the law prints it",
    "source": "one of the names in the table [sources]",
    "evidence": "seen where you read it in the law yourself",
    "address": "where the text can be read",
    "parameter": "what is read, such as free_chlorine or ph",
    "level": "what breaking it asks for: correct, close or evacuate, for instance",
    "state": "limited, no-limit-set or not-read",
    "coverage": "it says of each of "
    + ", ".join(COVERAGE_ITEMS)
    + " whether the law limits it, sets no limit, or was not read. Without it nothing is judged",
    "sources": "it names what you read, and when",
    "rule": "a pack has at least one",
    "overall": "what the case must come out as, such as meets or does-not-meet",
    "words": "what the law asks, in a sentence",
    "at_least": "the number as the law prints it, between quotation marks",
    "at_most": "the number as the law prints it, between quotation marks",
    "every_hours": "how many hours there are between two tests",
    "note": "what this case shows",
}


NOT_READ = 'write { state = "not-read" } where you have not read it'


@dataclass(slots=True)
class Section:
    """One table of a text: its name, which of its kind it is (0 the first), its lines."""

    name: str
    number: int
    line: int
    id: str = ""
    keys: dict[str, int] = field(default_factory=dict)

    @property
    def words(self) -> str:
        """Give it in words, with its number and its own name."""
        name = TABLE_WORDS.get(self.name, self.name)
        if self.name in ("pack", "coverage", "sources"):
            return name if self.name != "pack" else "the head"
        named = f" ({self.id})" if self.id else ""
        return f"{name} {self.number + 1}{named}"


def sections_of(text: str) -> list[Section]:
    """Find the tables of a text with the lines of their keys; the head is the table "pack"."""
    found = [Section("pack", 0, 1)]
    counted: dict[str, int] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        table = TABLE_LINE.match(line)
        if table:
            name = table[2]
            found.append(Section(name, counted.get(name, 0), number))
            counted[name] = counted.get(name, 0) + 1
            continue
        key = KEY_LINE.match(line)
        if key:
            found[-1].keys.setdefault(key[1], number)
            value = TEXT.match(key[2])
            if key[1] == "id" and value:
                found[-1].id = value[1] or value[2] or ""
    return found


def said_plainly(error: InputError, text: str) -> str:
    """Say an error of a pack in words, with the table's number and the line.

    Parameters
    ----------
    error : InputError
        As `compile_pack` raises it.
    text : str
        The text that it is about.
    """
    message = str(error).removeprefix(f"{error.field}: ")
    if message.startswith("not readable as TOML"):
        where = PLACE.search(message)
        place = where[1].capitalize() if where else "Somewhere"
        return (
            f"{place}: this cannot be read. A line is a name, an equals sign and a value; texts and"
            f" limits stand between quotation marks. ({PLACE.sub('', message)})"
        )
    section, key = section_of(error.field, sections_of(text))
    last = key.rpartition(".")[2]
    if section is None:
        return str(error)
    first = key.partition(".")[0]
    line = section.keys.get(first) or section.keys.get(last) or section.line
    help_ = NOT_READ if section.name == "coverage" and key in COVERAGE_ITEMS else HELP.get(last, "")
    about = f": {help_}" if help_ and message == "is missing" else ""
    if section.name == "pack" and last in ("coverage", "sources", "rule") and about:
        return f"The table [{last}] is missing{about}."
    begun = f"{section.words[0].upper()}{section.words[1:]}, line {line}"
    return f"{begun}: {f'`{key}` ' if key else ''}{message}{about}."


def with_lines(troubles: list[str], text: str) -> list[str]:
    """Give what does not hold in a pack with the line of each golden case that is named.

    Parameters
    ----------
    troubles : list of str
        As `troubles_of` gives them.
    text : str
        The text of the pack.
    """
    cases = [section for section in sections_of(text) if section.name == "golden"]
    found = []
    for trouble in troubles:
        case = CASE.match(trouble)
        number = int(case[1]) if case else 0
        # A case that stands inline has no table, and so no line, of its own.
        if case and number <= len(cases):
            place = f"Golden case {number}, line {cases[number - 1].line}: "
            found.append(f"{place}{trouble[case.end() :]}")
        else:
            found.append(trouble)
    return found


def section_of(where: str, sections: list[Section]) -> tuple[Section | None, str]:
    """Find the table that an error names, and what of it."""
    numbered, by_id = NUMBERED.match(where), BY_ID.match(where)
    if numbered:
        fits = [one for one in sections if one.name == numbered[1]]
        number = int(numbered[2])
        return (fits[number] if number < len(fits) else None), numbered[3] or ""
    if by_id:
        name = TABLE_OF.get(by_id[1], by_id[1])
        for one in sections:
            if one.name == name and one.id == by_id[2]:
                return one, by_id[3] or ""
    table, _, rest = where.partition(".")
    for one in sections:
        if one.name == table:
            return one, rest
    return (sections[0], rest) if table in ("pack", "coverage") else (None, where)


def blanks_in(text: str) -> list[str]:
    """Give a sentence for every value that is still empty, and for what is not there at all.

    Parameters
    ----------
    text : str
        The text of a pack.

    Returns
    -------
    list of str
        Empty where nothing is, or where the text cannot be read as TOML.
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return []
    sections = sections_of(text)
    found = []
    for name, number, key in empties(raw):
        section = next((s for s in sections if (s.name, s.number) == (name, number)), sections[0])
        line = section.keys.get(key.partition(".")[0], section.line)
        about = HELP.get(key.rpartition(".")[2], "")
        begun = f"{section.words[0].upper()}{section.words[1:]}, line {line}"
        found.append(f"{begun}: `{key}` is still empty{': ' + about if about else ''}.")
    if "extends" not in raw:
        missing = [name for name in ("coverage", "sources", "rule") if name not in raw]
        found += [f"The table [{name}] is missing: {HELP[name]}." for name in missing]
    return found


def empties(raw: Mapping[str, Any]) -> Iterator[tuple[str, int, str]]:
    """Give the table, its number and the key of every value that is an empty text."""
    for key, value in raw.items():
        if value == "":
            yield "pack", 0, key
        elif isinstance(value, dict):
            yield from ((key, 0, name) for name in empty_keys(value))
        elif isinstance(value, list):
            for number, entry in enumerate(value):
                if isinstance(entry, dict):
                    yield from ((key, number, name) for name in empty_keys(entry))


def empty_keys(table: Mapping[str, Any]) -> Iterator[str]:
    """Give the keys of a table that are empty texts, those of its inner tables with them."""
    for key, value in table.items():
        if value == "":
            yield key
        elif isinstance(value, dict):
            yield from (f"{key}.{name}" for name in empty_keys(value))
