"""A pack in sentences says every rule with its clause and its number."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from lanewater.rules.explaining import explain_pack, explained_text
from lanewater.rules.phrases import condition_words, limit_words
from lanewater.service.packs import FOLDER, pack_ids
from lanewater.service.packs_read import whole_raw

HEAD = (FOLDER / "au-sa.toml").read_text(encoding="utf-8").partition("[[rule]]")[0]


def raw_with(tables: str) -> dict[str, Any]:
    return tomllib.loads(HEAD + tables)


def said_of(tables: str) -> str:
    return " ".join(explained_text(explain_pack(raw_with(tables))).split())


@pytest.mark.parametrize("identity", pack_ids())
def test_every_rule_and_procedure_of_every_pack_is_said_with_clause_and_number(
    identity: str,
) -> None:
    raw = whole_raw(identity)
    rows = [row for part in explain_pack(raw)["parts"] for row in part["sentences"]]
    said = {(row["of"], row["clause"]): row["text"] for row in rows}
    for rule in raw["rule"]:
        text = said[rule["id"], rule["clause"]]
        numbers = [rule[key] for key in ("at_least", "at_most", "above", "below") if key in rule]
        assert all(number in text for number in numbers if number != "0"), text
    for procedure in raw.get("procedures", []):
        text = said[procedure["id"], procedure["clause"]]
        places = [text.index(route["words"].rstrip(".")) for route in procedure["routes"]]
        assert places == sorted(places)


@pytest.mark.parametrize("identity", pack_ids())
def test_what_was_not_read_is_said_to_be_so(identity: str) -> None:
    raw = whole_raw(identity)
    parts = {part["id"]: part["sentences"] for part in explain_pack(raw)["parts"]}
    unread = [row for row in raw["coverage"].values() if row["state"] == "not-read"]
    assert sum("NOT READ" in row["text"] for row in parts["coverage"]) == len(unread)


def test_a_draft_says_so_before_anything_else() -> None:
    assert said_of("").startswith("au-sa DRAFT")


RULE = """
[[rule]]
id = "free"
clause = "4(2)"
source = "reg8"
evidence = "seen"
parameter = "free_chlorine"
at_least = "3.0"
level = "correct"
when = { stabiliser = ["used"] }
"""


def test_a_rule_with_everything_is_one_sentence_after_another() -> None:
    text = said_of(
        RULE
        + 'modify = [{ add = "1.0", when_reading = [{ parameter = "ph", above = "7.6" }], words'
        ' = "pH above 7.6" }]\nconsecutive = 2\nscope = "circuit"\nmethods = ["membrane"]\nthen = ['
        '{ level = "notify", do = "Tell the authority.", within_hours = 24, to = "authority" }]\n'
        'when_number = [{ fact = "surface_m2", above = "130" }]\n'
    )
    for part in (
        "4(2): Free chlorine is at least 3.0 mg/L, where stabiliser is used and the surface is",
        "It is 1.0 more where pH is above 7.6.",
        "It holds for readings made by membrane.",
        "It counts as broken only by 2 readings in a row, this one the last.",
        "It closes every pool on the same filter.",
        "Tell the authority. Within 24 h. To be told: the authority.",
        "free: read at http://classic.austlii.edu.au",
    ):
        assert part in text


def test_tests_reopening_deadlines_records_and_contradictions_are_said() -> None:
    text = said_of(
        RULE
        + """
[[schedule]]
id = "s"
clause = "9"
source = "reg8"
evidence = "seen"
words = "tested by hand"
test = ["free_chlorine", "ph"]
before_opening_minutes = 30
by = "hand"

[[reopening]]
id = "r"
clause = "10"
source = "reg8"
evidence = "seen"
words = "In writing."
for = ["ordered-closure"]
approval = "authority"

[[deadline]]
id = "d"
on = "rule:free"
clause = "11"
source = "reg8"
evidence = "seen"
words = "in writing"
within_hours = 24
to = "authority"

[records]
keep_months = 12
clause = "12"
source = "reg8"

[[contradiction]]
about = "the maximum of stabiliser"
one = "the table says 100"
other = "the text says 50"
chosen = "50"
why = "it is the stricter"
"""
    )
    for part in (
        "9: Free chlorine and pH: before opening, within 30 minutes of it. By hand, whatever a",
        "10: After a closure by order of the authority: the authority gives its approval.",
        "11: Within 24 h after the breaking of rule free; to the authority: In writing.",
        "12: Kept for 12 months.",
        "On the maximum of stabiliser: the table says 100; and also: the text says 50. Chosen: 50",
    ):
        assert part in text


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        ({"parameter": "cyanuric_acid", "equals": "0"}, "no cyanuric acid is found at all"),
        ({"parameter": "clarity", "equals": "visible"}, 'clarity is "visible"'),
        ({"parameter": "ph", "below": "7.8"}, "pH is below 7.8"),
        (
            {
                "parameter": "combined_chlorine",
                "at_most": "0",
                "relative_to": "total_chlorine",
                "times": [1, 3],
            },
            "combined chlorine is at most 1/3 of total chlorine",
        ),
    ],
)
def test_a_limit_in_words(rule: dict[str, Any], words: str) -> None:
    assert limit_words(rule) == words


def test_conditions_in_words() -> None:
    entry = {
        "when": {"kind_not": ["spa", "wading"], "location": ["indoor"]},
        "when_reading": [{"parameter": "temperature_c", "above": "26"}],
    }
    assert condition_words(entry) == [
        "the pool is not a spa or a wading pool",
        "the pool is indoors",
        "temperature is above 26 C",
    ]


@pytest.mark.parametrize(
    ("rule", "says"),
    [
        (
            "for_more_than_hours = 24",
            "only where it has been so for more than 24 h; between two readings the earlier holds.",
        ),
        (
            'window = { fails = 7, of = 14, unit = "days" }',
            "only where it is so on 7 of the last 14 days, today included.",
        ),
        (
            'window = { fails = 2, of = 3, unit = "samples" }',
            "only where it is so on 2 of the last 3 samples, this one included.",
        ),
        (
            "share = { above_percent = 15, days = 30 }",
            "only where more than 15 % of the samples of the last 30 days break it, this one",
        ),
        (
            'then = [{ level = "close", do = "Shut it.", within_hours = 72, to = "site" }]',
            "Shut it. Within 3 days (72 h). It is for the site itself. The rules close the pool.",
        ),
    ],
)
def test_what_makes_a_rule_broken_and_what_follows_is_said_exactly(rule: str, says: str) -> None:
    assert says in said_of(f"{RULE}{rule}\n")


def test_a_clause_that_cannot_be_worked_out_is_not_said_to_be_broken() -> None:
    rule = RULE.replace('at_least = "3.0"', 'not_computable = "the number was not read"')
    text = said_of(rule)
    assert "cannot be worked out here: the number was not read. It is shown, and no round" in text
    assert "Where it is broken, the water is to be corrected" not in text


def test_the_parts_of_a_day_are_said_as_they_are_counted() -> None:
    text = said_of(
        """
[[schedule]]
id = "s"
clause = "9"
source = "reg8"
evidence = "seen"
words = "three times"
test = ["ph"]
at = ["start", "middle", "end"]
"""
    )
    assert (
        "pH: in the hour before opening, in the middle third of the opening hours and between an "
        "hour before and half an hour after closing. Three times."
    ) in text


def test_a_route_is_said_with_the_figures_that_are_counted() -> None:
    text = " ".join(explained_text(explain_pack(whole_raw("au-nsw"))).split())
    assert "(counted: free chlorine at least 20 mg/L for 28 h and 31500 mg min/L in all)" in text
    assert "(done only once cyanuric acid is at most 15 mg/L)" in text
