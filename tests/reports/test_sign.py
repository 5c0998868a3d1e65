"""The sign for the public: closed, why, since when; in the page's own words, and nobody's name."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime
from io import BytesIO

import pytest
from pypdf import PdfReader
from tests.baths import Baths

from lanewater.interfaces.web.files import FOLDER
from lanewater.records.kinds import HOUSE_STOPS
from lanewater.reports.sign import Sign, sign_pdf
from lanewater.reports.sign_words import LANGUAGES, OF_STOP, REASONS, SIGN, since_words
from lanewater.service.actor import ANYBODY
from lanewater.service.opening import close_pool, everyone_out, open_pool
from lanewater.service.sign_sheets import sign_of
from lanewater.terms.errors import InputError, RefusedError

SINCE = datetime(2026, 11, 25, 5, 51, tzinfo=UTC)
PLAIN = Sign("Harbour Baths", "Main", "sight", True, SINCE, LANGUAGES, False, False, (2026, 11, 26))


def text_of(made: bytes) -> str:
    """Give the text of a sign, which is one page."""
    (page,) = PdfReader(BytesIO(made)).pages
    return re.sub(r"\s+", " ", page.extract_text())


def test_a_sign_says_it_in_every_language_on_one_page() -> None:
    said = text_of(sign_pdf(PLAIN))
    for language in LANGUAGES:
        assert SIGN[language]["closed"] in said
        assert REASONS["sight"][language] in said
        assert SIGN[language]["order"] in said
    assert "Since 25 November 2026, 05:51" in said
    assert "Seit 25. November 2026, 05:51" in said


@pytest.mark.parametrize("reason", sorted(REASONS))
@pytest.mark.parametrize("languages", [("en",), ("de", "fr"), LANGUAGES])
def test_every_sign_fits_on_one_page(reason: str, languages: tuple[str, ...]) -> None:
    long = replace(PLAIN, pool="The old open-air swimmers' pool", languages=languages)
    text_of(sign_pdf(replace(long, reason=reason, demo=True, us_paper=True)))


def test_a_sign_is_tagged_and_archival_and_the_same_each_time() -> None:
    made = sign_pdf(PLAIN)
    assert made == sign_pdf(PLAIN)
    assert PdfReader(BytesIO(made)).trailer["/Root"]["/MarkInfo"]["/Marked"]


def test_its_words_are_those_of_the_page() -> None:
    for language in LANGUAGES:
        page = json.loads((FOLDER / "words" / f"{language}.json").read_text(encoding="utf-8"))
        assert SIGN[language] == {key: page[f"sign.{key}"] for key in SIGN[language]}
        for reason, words in REASONS.items():
            assert words[language] == page[f"sign.reason.{reason}"]


def test_every_house_stop_that_is_no_call_by_hand_has_words_for_the_public() -> None:
    script = (FOLDER / "page" / "sign.js").read_text(encoding="utf-8")
    of_page = dict(re.findall(r'^  "?([a-z-]+)"?: "(\w+)",$', script, re.MULTILINE))
    assert of_page == OF_STOP
    assert set(HOUSE_STOPS) - set(OF_STOP) <= {"other"}


def test_the_time_is_said_as_each_language_does() -> None:
    assert since_words(SINCE, "es") == "Desde 25 de noviembre de 2026, 05:51"
    assert since_words(SINCE, "fr") == "Depuis 25 novembre 2026, 05:51"


def test_a_sign_of_a_site_names_nobody_and_nothing_that_was_typed(baths: Baths) -> None:
    given = {
        "pool": "main",
        "kind": "closed",
        "reason": "Dagny says the pump of Olaf leaks",
        "by_order": True,
        "authority": "Health office, Ida Inspekt",
        "reference": "HO-17",
    }
    close_pool(baths.book, baths.who("manager"), given)
    said = text_of(sign_pdf(sign_of(baths.book, "main")))
    assert "By order of the authority." in said
    for word in ("Dagny", "Dutyvik", "Olaf", "pump", "Ida", "HO-17"):
        assert word not in said
    assert "Since 1 July 2026, 05:51" in said


def test_the_reason_is_the_house_stop_s_and_may_be_chosen(baths: Baths) -> None:
    everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "stool", "words": "by Tove"})
    assert sign_of(baths.book, "main").reason == "dirt"
    assert sign_of(baths.book, "main", ["fr"], "plant").languages == ("fr",)
    with pytest.raises(InputError, match="reason"):
        sign_of(baths.book, "main", (), "because")
    with pytest.raises(InputError, match="language"):
        sign_of(baths.book, "main", ["xx"])


def test_there_is_no_sign_for_an_open_pool(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    with pytest.raises(RefusedError, match="open"):
        sign_of(baths.book, "main")
