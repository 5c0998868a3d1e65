"""Text for a cell of a table that others open: nothing in it is taken for a formula."""

from __future__ import annotations

import re
import unicodedata

# What begins a formula somewhere; full-width and superscript forms fold to these.
STARTS = "=+-@−"
# Where a cell may be split again: the list separator differs from country to country.
PARTS = re.compile(r"([,;|\t\r\n])")
# A measured number. Only a minus: no reading is written with a plus, a telephone number is.
NUMBER = re.compile(r"[-−]\d{1,9}([.,]\d{1,9})?", re.ASCII)
GUARD = "'"


def guarded(text: str) -> str:
    """Give a text that no spreadsheet takes for a formula.

    Parameters
    ----------
    text : str
        What a cell should show. Numbers that a programme writes as numbers need none of this.

    Returns
    -------
    str
        The text; where it, or what follows a separator in it, begins with = + - @ (behind spaces,
        invisible signs or in another width) or it begins with a tab or a line end, an apostrophe
        stands before that. A cell that is a number, such as "-1.2", stays as it is. Guarding twice
        changes nothing.
    """
    parts = PARTS.split(text)
    if NUMBER.fullmatch(text.strip(" ")):
        return text
    if len(parts) == 1:
        return guarded_part(text)
    before = GUARD if parts[0] == "" and parts[1] in "\t\r\n" else ""
    return before + "".join(guarded_part(part) for part in parts)


def guarded_part(part: str) -> str:
    """Put an apostrophe before what begins like a formula.

    A number within a longer text too: split again, a quote that follows would stand behind it.
    """
    for sign in part:
        # A quote too: split at another separator it may open a cell of its own.
        if sign == '"' or sign.isspace() or unicodedata.category(sign) in ("Cc", "Cf"):
            continue
        dangerous = unicodedata.normalize("NFKC", sign)[0] in STARTS
        return GUARD + part if dangerous else part
    return part
