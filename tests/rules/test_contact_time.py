"""Questions about a contact time as JSON: answered in the units asked for, refused by name."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.rules.contact_time import answer_contact
from lanewater.service.constants import load_table
from lanewater.service.packs import load_pack
from lanewater.terms.errors import InputError

K = load_table("contact_time")
NIGHT = (
    ("20:00", "20"),
    ("21:00", "19.5"),
    ("23:00", "18.8"),
)


def reading(clock: str, free: str, **more: Any) -> dict[str, Any]:
    """Give one reading of an evening in Quebec."""
    return {"at": f"2026-07-01T{clock}:00-04:00", "free_chlorine": free, **more}


def ask(**question: Any) -> dict[str, Any]:
    """Ask, with the evening's readings where none are given."""
    readings = [reading(*pair) for pair in NIGHT]
    return answer_contact(K, load_pack, {"readings": readings, **question})


def test_a_target_is_answered_in_mg_min_l_and_with_the_offset_of_the_readings() -> None:
    answer = ask(target_ct_mg_min_l=9600)
    assert answer["ct_conservative_mg_min_l"] == 60 * 19.5 + 120 * 18.8
    assert answer["ct_trapezoid_mg_min_l"] == 60 * 19.75 + 120 * 19.15
    assert answer["remaining_mg_min_l"] == 9600 - 3426
    assert answer["started_at"] == "2026-07-01T20:00:00-04:00"
    assert answer["not_before"].startswith("2026-07-02T0")
    assert answer["not_before"].endswith(":00-04:00")
    assert answer["reachable"] is True
    assert answer["assumed"]


def test_times_in_utc_are_told_with_z() -> None:
    readings = [{"at": "2026-07-01T20:00:00Z", "free_chlorine": "20"}]
    answer = answer_contact(K, load_pack, {"readings": readings, "target_ct_mg_min_l": "200"})
    assert answer["not_before"] == "2026-07-01T20:10:00Z"
    assert answer["reachable"] is None


def test_one_moment_in_two_offsets_is_one_time() -> None:
    readings = [
        {"at": "2026-07-01T20:00:00Z", "free_chlorine": "20", "point": "deep"},
        {"at": "2026-07-01T16:00:00-04:00", "free_chlorine": "18", "point": "far"},
        {"at": "2026-07-01T21:00:00Z", "free_chlorine": "20", "point": "deep"},
    ]
    answer = answer_contact(K, load_pack, {"readings": readings, "target_ct_mg_min_l": 9600})
    assert answer["ct_conservative_mg_min_l"] == 60 * 18


def test_a_procedure_lists_every_route_in_the_rules_order() -> None:
    answer = ask(rules="ca-qc", procedure="loose-stool")
    assert [one["route"] for one in answer["routes"]] == [
        "10-for-16-hours",
        "20-for-8-hours",
        "equal-product",
    ]
    assert answer["clause"] == "s.18(1)"
    assert answer["route"] == "equal-product"
    assert answer["target_ct_mg_min_l"] == 9600
    chosen = ask(rules="ca-qc", procedure="loose-stool", route="10-for-16-hours")
    assert chosen["least_minutes"] == 960
    assert chosen["not_before"] == "2026-07-02T12:00:00-04:00"
    assert chosen["routes"] == answer["routes"]


def test_a_procedure_is_also_found_by_what_happened() -> None:
    assert ask(rules="ca-qc", procedure="diarrhoea")["procedure"] == "loose-stool"
    assert ask(rules="ca-qc", procedure="vomit")["procedure"] == "solid-stool-or-vomit"


def test_the_golden_example_of_quebec_is_reached_in_10_h_40() -> None:
    readings = [reading("08:00", "15"), reading("18:40", "15")]
    answer = ask(rules="ca-qc", procedure="loose-stool", readings=readings)
    assert answer["remaining_mg_min_l"] == 0
    assert answer["reached_at"] == "2026-07-01T18:40:00-04:00"


def test_victoria_s_archived_page_gives_no_time() -> None:
    readings = [reading("08:00", "2.0", ph="7.4"), reading("08:25", "2.0", ph="7.4")]
    answer = ask(rules="au-vic", procedure="solid-faeces", readings=readings)
    assert (answer["not_before"], answer["reached_at"]) == (None, None)
    assert "archived" in {one["id"] for one in answer["findings"]}


def test_cryptosporidium_is_named_with_its_target() -> None:
    readings = [reading("08:00", "20", ph="7.4", temperature_c="26")]
    answer = ask(pathogen="cryptosporidium", cyanuric_acid="0", readings=readings)
    assert answer["target_ct_mg_min_l"] == 15_300
    assert answer["not_before"] == "2026-07-01T20:45:00-04:00"
    assert ask(pathogen="cryptosporidium", readings=readings)["not_before"] is None


def test_findings_tell_the_times_they_are_about() -> None:
    answer = ask(rules="ca-qc", procedure="loose-stool", route="20-for-8-hours")
    under = next(one for one in answer["findings"] if one["id"] == "free-under")
    assert under["at"] == ["2026-07-01T21:00:00-04:00", "2026-07-01T23:00:00-04:00"]


@pytest.mark.parametrize(
    ("question", "field"),
    [
        ({}, ""),
        ({"target_ct_mg_min_l": 60, "pathogen": "giardia"}, ""),
        ({"target_ct_mg_min_l": 0}, "target_ct_mg_min_l"),
        ({"target_ct_mg_min_l": -1}, "target_ct_mg_min_l"),
        ({"target_ct_mg_min_l": 1_000_001}, "target_ct_mg_min_l"),
        ({"target_ct_mg_min_l": ">60"}, "target_ct_mg_min_l"),
        ({"target_ct_mg_min_l": True}, "target_ct_mg_min_l"),
        ({"pathogen": "norovirus"}, "pathogen"),
        ({"pathogen": ["giardia"]}, "pathogen"),
        ({"pathogen": "giardia", "edition": "2008"}, "edition"),
        ({"pathogen": "cryptosporidium", "edition": "1999"}, "edition"),
        ({"pathogen": "cryptosporidium", "log_inactivation": 2}, "log_inactivation"),
        ({"pathogen": "giardia", "log_inactivation": 4}, "log_inactivation"),
        ({"pathogen": "virus", "log_inactivation": "2.5"}, "log_inactivation"),
        ({"pathogen": "giardia", "cyanuric_acid": ">100"}, "cyanuric_acid"),
        ({"procedure": "loose-stool"}, "rules"),
        ({"rules": "sg", "procedure": "loose-stool"}, "procedure"),
        ({"rules": "ca-qc", "procedure": "loose-stool", "route": "fast"}, "route"),
        ({"rules": "ca-qc", "procedure": {}}, "procedure"),
        ({"target_ct_mg_min_l": 60, "readings": []}, "readings"),
        ({"target_ct_mg_min_l": 60, "readings": {}}, "readings"),
        ({"target_ct_mg_min_l": 60, "readings": ["20"]}, "readings[0]"),
        ({"target_ct_mg_min_l": 60, "readings": [{"free_chlorine": "2"}]}, "readings[0].at"),
        ({"target_ct_mg_min_l": 60, "readings": [reading("08:00", "x")]}, "readings[0].free"),
        ({"target_ct_mg_min_l": 60, "readings": [reading("08:00", "-1")]}, "readings[0].free"),
        ({"target_ct_mg_min_l": 60, "readings": [reading("08:00", "99999")]}, "readings[0].free"),
        ({"target_ct_mg_min_l": 60, "readings": [reading("25:00", "1")]}, "readings[0].at"),
        (
            {"target_ct_mg_min_l": 60, "readings": [{"at": "2026-07-01T08:00", "ph": "7"}]},
            "readings[0].at",
        ),
        ({"target_ct_mg_min_l": 60, "readings": [{"at": "2026-07-01T08:00Z"}]}, "readings[0]"),
        ({"target_ct_mg_min_l": 60, "readings": [reading("08:00", "1", orp=1)]}, "readings[0].orp"),
        (
            {"target_ct_mg_min_l": 60, "readings": [reading("08:00", "1", dilution=0)]},
            "readings[0].dilution",
        ),
        ({"target_ct_mg_min_l": 60, "speed": "fast"}, "speed"),
    ],
)
def test_what_cannot_be_read_is_refused_by_name(question: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as caught:
        ask(**question)
    assert caught.value.field.startswith(field)


def test_a_question_that_is_no_object_is_refused() -> None:
    with pytest.raises(InputError):
        answer_contact(K, load_pack, [])
