"""A pack's incident procedures: read as printed, refused where they are not whole."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.rules.checking import golden_count, troubles_of
from lanewater.rules.pack import compile_pack
from lanewater.service.packs import FOLDER, load_pack, pack_ids
from lanewater.terms.errors import InputError

QUEBEC = (FOLDER / "ca-qc.toml").read_text(encoding="utf-8")
VICTORIA = (FOLDER / "au-vic.toml").read_text(encoding="utf-8")


def procedure(pack: str, identity: str) -> dict[str, Any]:
    """Give one procedure of a pack."""
    found: dict[str, Any] = next(
        one for one in load_pack(pack)["procedures"] if one["id"] == identity
    )
    return found


def test_quebec_s_routes_are_those_of_section_18_in_its_order() -> None:
    loose = procedure("ca-qc", "loose-stool")
    assert loose["for"] == ["diarrhoea"]
    assert [
        (one["id"], one["free_least"], one["seconds"], one["ct"]) for one in loose["routes"]
    ] == [
        ("10-for-16-hours", 10_000, 16 * 3600, 0),
        ("20-for-8-hours", 20_000, 8 * 3600, 0),
        ("equal-product", None, 0, 9_600_000),
    ]
    solid = procedure("ca-qc", "solid-stool-or-vomit")
    assert [(one["free_least"], one["seconds"], one["ct"]) for one in solid["routes"]] == [
        (2000, 1800, 0),
        (None, 0, 60_000),
    ]
    assert not loose["archived"]
    assert loose["broken"] == ""


def test_victoria_s_page_is_archived_and_asks_for_ph() -> None:
    solid = procedure("au-vic", "solid-faeces")
    assert solid["archived"]
    assert (solid["ph_most"], solid["scope"]) == (7500, "circuit")
    assert [(one["free_least"], one["seconds"], one["ct"]) for one in solid["routes"]] == [
        (2000, 1500, 0),
        (None, 0, 50_000),
    ]


def test_every_route_of_every_pack_has_golden_cases_on_both_sides() -> None:
    held = [one for identity in pack_ids() for one in load_pack(identity)["procedures"]]
    assert len(held) >= 3
    for one in held:
        complete = [golden["complete"] for golden in one["golden"]]
        assert [] in complete
        for route in one["routes"]:
            assert any(route["id"] in names for names in complete)


def test_no_procedure_stands_in_a_pack_from_memory() -> None:
    held = [one for identity in pack_ids() for one in load_pack(identity)["procedures"]]
    assert {one["evidence"] for one in held} == {"seen"}


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ('for = ["diarrhoea"]', 'for = ["sand"]', "procedure loose-stool.for"),
        ('clause = "s.18(1)"\n', "", "procedures[0].clause"),
        ('source = "s18"', 'source = "s99"', "procedure loose-stool.source"),
        (
            'source = "s18"\nevidence = "seen"',
            'source = "s18"\nevidence = "memory"',
            "procedure loose-stool.evidence",
        ),
        ("hours = 16", 'hours = "16"', "procedure loose-stool.routes[0].hours"),
        ("hours = 16", "hours = 16\nminutes = 960", "procedure loose-stool.routes[0]"),
        ("hours = 16\n", "", "procedure loose-stool.routes[0]"),
        (
            'free_chlorine_at_least = "10.0"\n',
            "",
            "procedure loose-stool.routes[0]",
        ),
        (
            'free_chlorine_at_least = "10.0"',
            "free_chlorine_at_least = 10.0",
            "procedure loose-stool.routes[0].free_chlorine_at_least",
        ),
        ('ct_mg_min_l = "9600"', 'ct_mg_min_l = "0"', "procedure loose-stool.routes[2]"),
        ('id = "20-for-8-hours"', 'id = "10-for-16-hours"', "procedure loose-stool.routes"),
        ('id = "solid-stool-or-vomit"', 'id = "loose-stool"', "procedures[1].id"),
        (
            'complete = ["equal-product"]',
            'complete = ["no-such"]',
            "procedure loose-stool.golden[0].complete",
        ),
        ("minute = 640, ", "", "procedure loose-stool.golden[0].readings[1].minute"),
        (
            'id = "loose-stool"\n',
            'id = "loose-stool"\nwhen_broken = "forget"\n',
            "procedure loose-stool.when_broken",
        ),
        (
            'id = "loose-stool"\n',
            'id = "loose-stool"\narchived = "yes"\n',
            "procedure loose-stool.archived",
        ),
        (
            'id = "loose-stool"\n',
            'id = "loose-stool"\nph_at_most = 7.5\n',
            "procedure loose-stool.ph_at_most",
        ),
        (
            'id = "loose-stool"\n',
            'id = "loose-stool"\nscope = "town"\n',
            "procedure loose-stool.scope",
        ),
    ],
)
def test_a_fault_in_a_procedure_is_named_with_its_place(old: str, new: str, place: str) -> None:
    planted = QUEBEC.replace(old, new, 1)
    assert planted != QUEBEC
    with pytest.raises(InputError) as caught:
        compile_pack(planted)
    assert caught.value.field.startswith(place)


def test_limits_and_what_a_short_reading_does_are_compiled() -> None:
    text = QUEBEC.replace(
        'id = "loose-stool"\n',
        'id = "loose-stool"\nph_at_most = "7.5"\ntemperature_c_at_least = "25"\n'
        'cyanuric_acid_at_most = "15"\nunstabilised_only = true\nwhen_broken = "hold"\n',
        1,
    )
    found = compile_pack(text)["procedures"][0]
    assert (found["ph_most"], found["temperature_least"], found["cyanuric_most"]) == (
        7500,
        25_000,
        15_000,
    )
    assert found["unstabilised_only"]
    assert found["broken"] == "hold"


@pytest.mark.parametrize(
    ("text", "old", "new", "words"),
    [
        (QUEBEC, "minute = 639,", "minute = 640,", "procedure loose-stool, golden case 2"),
        (QUEBEC, 'ct_mg_min_l = "9600"', 'ct_mg_min_l = "9700"', "golden case 1"),
        (QUEBEC, "hours = 8", "hours = 9", "golden case 5"),
        (VICTORIA, 'ph_at_most = "7.5"', 'ph_at_most = "7.7"', "golden case 3"),
        (VICTORIA, "minutes = 25", "minutes = 24", "golden case 2"),
    ],
)
def test_a_golden_case_that_does_not_come_out_is_a_trouble(
    text: str, old: str, new: str, words: str
) -> None:
    planted = text.replace(old, new, 1)
    assert planted != text
    assert any(words in trouble for trouble in troubles_of(compile_pack(planted)))


def test_a_route_that_no_golden_case_completes_is_a_trouble() -> None:
    planted = QUEBEC.replace(
        'minute = 480, free_chlorine = "20.0" }]\ncomplete = ["20-for-8-hours", "equal-product"]',
        'minute = 479, free_chlorine = "20.0" }]\ncomplete = []',
    )
    assert planted != QUEBEC
    troubles = troubles_of(compile_pack(planted))
    assert troubles == ["procedure loose-stool: no golden case in which 20-for-8-hours is complete"]


def test_the_golden_cases_of_procedures_are_counted() -> None:
    pack = load_pack("ca-qc")
    assert golden_count(pack) == len(pack["golden"]) + 10
