"""A sign for the public: a pool is closed, why in plain words, since when, in several languages.

No name of anybody stands on it, and nothing that somebody typed: a reason may hold names.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from importlib.resources import files

import typst

from lanewater.reports.glyphs import all_seen, doubtful, texts_in, undrawn
from lanewater.reports.pdf import FONTS, STANDARDS, draws
from lanewater.reports.sign_words import REASONS, SIGN, since_words


@dataclass(frozen=True, slots=True)
class Sign:
    """What a sign is made of.

    Attributes
    ----------
    site, pool : str
        Their names.
    reason : str
        A word of `REASONS`.
    since : datetime or None
        On the site's clock; None where nobody said since when.
    languages : sequence of str
        Side by side, in this order.
    day : tuple of int
        Of the printing. [year, month, day]
    """

    site: str
    pool: str
    reason: str
    by_order: bool
    since: datetime | None
    languages: Sequence[str]
    us_paper: bool
    demo: bool
    day: tuple[int, int, int]


def column(sign: Sign, language: str) -> dict[str, object]:
    """Give what stands on a sign in one language."""
    words = SIGN[language]
    return {
        "lang": language,
        "closed": words["closed"],
        "out": words["out"],
        "reason": REASONS[sign.reason][language],
        "order": words["order"] if sign.by_order else "",
        "since": "" if sign.since is None else since_words(sign.since, language),
        "ask": words["ask"],
    }


def sign_pdf(sign: Sign) -> bytes:
    """Print a sign on one page.

    Returns
    -------
    bytes
        PDF/A-3a and PDF/UA-1.
    """
    pages = {
        "title": f"{SIGN[sign.languages[0]]['closed']}: {sign.pool}, {sign.site}",
        "site": sign.site,
        "pool": sign.pool,
        "demo": "DEMO, not your pool" if sign.demo else "",
        "columns": [column(sign, language) for language in sign.languages],
        "paper": "us-letter" if sign.us_paper else "a4",
        "date": list(sign.day),
        "fonts": list(FONTS),
    }
    seen = all_seen(pages, undrawn(doubtful(texts_in(pages)), draws)) | {"fonts": list(FONTS)}
    source = files("lanewater.reports").joinpath("sign.typ").read_bytes()
    given = {"data": json.dumps(seen, ensure_ascii=False)}
    return bytes(typst.compile(source, sys_inputs=given, pdf_standards=STANDARDS))
