"""Every language says the same: the same ids and placeholders, none of the words that mislead."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

import lanewater.interfaces.web

WORDS = Path(lanewater.interfaces.web.__file__).parent / "static" / "words"
CHOICES = WORDS.parent / "ground" / "choices.js"
SOURCE: dict[str, str] = json.loads((WORDS / "en.json").read_text(encoding="utf-8"))
LANGUAGES = sorted(path.stem for path in WORDS.glob("*.json"))
OTHERS = [language for language in LANGUAGES if language != "en"]

# Forms that Intl.PluralRules knows in each language; the text without a form is for all the rest.
FORMS = {"en": {"one"}, "es": {"one", "many"}, "fr": {"one", "many"}, "de": {"one"}}
# "Safe" and "verdict" and what they are called elsewhere; one sentence says that it is no verdict.
MISLEADING = {
    "en": r"\b(safe|safely|safety|unsafe|verdicts?)\b",
    "es": r"\b(segur[oa]s?|seguridad|inseguro|veredictos?|sin peligro|apt[oa]s? para el baño)\b",
    "fr": r"\b(sûre?s?|sûreté|sécurité|sans danger|sans risque|verdicts?|potable)\b",
    "de": r"\b(sicher(e[rnms]?|heit)?|unsicher|gefahrlos|unbedenklich|urteil|verdikt)\b",
}
NO_VERDICT = {"out.not-law", "told.keep-everyone-out-house", "status.everyone-out"}
PLACEHOLDER = re.compile(r"\{(\w+)\}")


def words_of(language: str) -> dict[str, str]:
    """Read a language's words; a key that stands twice is an error."""

    def once(pairs: list[tuple[str, str]]) -> dict[str, str]:
        keys = [key for key, _ in pairs]
        assert sorted(set(keys)) == sorted(keys), {key for key in keys if keys.count(key) > 1}
        return dict(pairs)

    text = (WORDS / f"{language}.json").read_text(encoding="utf-8")
    found: dict[str, str] = json.loads(text, object_pairs_hook=once)
    return found


def base_of(key: str) -> str:
    """Give a text's key without the form for a number."""
    return key.partition("~")[0]


def test_the_languages_that_are_offered_are_those_that_have_words() -> None:
    offered = re.search(r"LANGUAGES = \{([^}]*)\}", CHOICES.read_text(encoding="utf-8"))
    assert offered is not None
    assert sorted(re.findall(r"(\w+):", offered[1])) == LANGUAGES


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_language_has_every_text_and_no_other(language: str) -> None:
    keys = {base_of(key) for key in words_of(language)}
    wanted = {base_of(key) for key in SOURCE}
    assert {"missing": sorted(wanted - keys), "unknown": sorted(keys - wanted)} == {
        "missing": [],
        "unknown": [],
    }


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_text_in_another_language_has_the_placeholders_of_the_english_one(language: str) -> None:
    wrong = {
        key: text
        for key, text in words_of(language).items()
        if not fits(
            PLACEHOLDER.findall(text), PLACEHOLDER.findall(SOURCE.get(base_of(key), "")), key
        )
    }
    assert wrong == {}


def fits(given: list[str], wanted: list[str], key: str) -> bool:
    """Tell whether placeholders fit; the form for one may leave the number out."""
    if "~" in key:
        return set(given) <= set(wanted)
    return sorted(set(given)) == sorted(set(wanted))


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_text_is_empty_only_where_the_english_one_is_and_braces_are_placeholders(
    language: str,
) -> None:
    for key, text in words_of(language).items():
        assert (text.strip() == "") == (SOURCE.get(base_of(key), "x").strip() == ""), key
        assert text == text.strip(), key
        assert not set("{}") & set(PLACEHOLDER.sub("", text)), key


@pytest.mark.parametrize("language", LANGUAGES)
def test_forms_for_a_number_are_forms_of_that_language_and_of_a_text_that_counts(
    language: str,
) -> None:
    words = words_of(language)
    for key in words:
        base, mark, form = key.partition("~")
        if mark:
            assert form in FORMS[language], key
            assert base in words, key
            assert PLACEHOLDER.search(words[base]), key


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_language_says_what_misleads(language: str) -> None:
    pattern = re.compile(MISLEADING[language], re.IGNORECASE)
    said = {key: text for key, text in words_of(language).items() if key not in NO_VERDICT}
    assert {key: text for key, text in said.items() if pattern.search(text)} == {}


@pytest.mark.parametrize("language", OTHERS)
def test_a_language_is_more_than_english_under_another_name(language: str) -> None:
    words = words_of(language)
    sentences = [key for key, text in SOURCE.items() if text.count(" ") >= 3]
    same = [key for key in sentences if words.get(key) == SOURCE[key]]
    assert same == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_numbers_and_units_in_a_text_are_those_of_the_english_one(language: str) -> None:
    """A digit lost in translation is a wrong amount."""
    for key, text in words_of(language).items():
        if "~" not in key and base_of(key) in SOURCE:
            assert digits_in(text) == digits_in(SOURCE[key]), key


def digits_in(text: str) -> list[str]:
    """Give the numbers of a text without marks: 1,000 and 1.000 and 1 000 are one number."""
    plain = re.sub(r"(?<=\d)[.,\u00a0\u202f ](?=\d)", "", PLACEHOLDER.sub("", text))
    return sorted(re.findall(r"\d+", plain))
