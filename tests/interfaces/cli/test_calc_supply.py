"""`calc air`, `calc strength` and `calc fresh-water` in the shell: by flags, by JSON, in words."""

from __future__ import annotations

import json

import pytest

from lanewater.interfaces.cli.main import main

WATER = {
    "ph": 7.4,
    "temperature_c": 28.0,
    "total_alkalinity_mg_l": 100.0,
    "calcium_hardness_mg_l": 250.0,
    "cyanuric_acid_mg_l": 120.0,
}
FLAGS = [
    word for name, value in WATER.items() for word in (f"--{name.replace('_', '-')}", str(value))
]
FRESH = {
    "ph": 7.9,
    "temperature_c": 15.0,
    "total_alkalinity_mg_l": 60.0,
    "cyanuric_acid_mg_l": 0.0,
}
AIR = {"temperature_c": 30.0, "relative_humidity_percent": 60.0}
NIGHT = {"ph_before": 7.4, "ph_after": 7.55, "hours": 10.0}
MEASURED = [
    {"at": "2026-10-01", "strength_g_l": 140.0},
    {"at": "2026-11-01", "strength_g_l": 120.0},
]


def words(given: dict[str, object]) -> str:
    return " ".join(f"{name}={value}" for name, value in given.items())


ASKED = {
    "air": (
        [*FLAGS, "--depth-m", "1.5", "--air-co2-ppm", "1000", "--night", words(NIGHT)],
        {**WATER, "depth_m": 1.5, "air_co2_ppm": 1000, "nights": [NIGHT]},
        ("Rate of exchange, cm/h, nights:", "after 24 h: pH", "this air leads to pH"),
    ),
    "strength": (
        [
            *("--product", "sodium-hypochlorite", "--strength-trade-percent", "12.5"),
            *("--specific-gravity", "1.193", "--temperature-c", "22"),
            *(word for one in MEASURED for word in ("--measured", words(one))),
        ],
        {
            "product": "sodium-hypochlorite",
            "strength_trade_percent": 12.5,
            "specific_gravity": 1.193,
            "temperature_c": 22,
            "measured": MEASURED,
        },
        (
            "from memory, not for dosing",
            "Measured in this tank",
            "percent by weight of sodium hypochlorite: 142 g/L",
        ),
    ),
    "fresh-water": (
        [
            *FLAGS,
            *("--volume-m3", "400", "--surface-m2", "270", "--fresh-water", words(FRESH)),
            *("--target", "cyanuric_acid_mg_l=40", "--air", words(AIR)),
            *("--per-day", "backwash_m3=3", "--days", "30"),
        ],
        {
            **WATER,
            "volume_m3": 400,
            "surface_m2": 270,
            "fresh_water": FRESH,
            "target": {"cyanuric_acid_mg_l": 40},
            "air": AIR,
            "per_day": {"backwash_m3": 3},
            "days": [30],
        },
        ("let out and refilled: 267 m3 (67 %)", "Evaporation:", "cyanuric_acid_mg_l: day 30"),
    ),
}


@pytest.mark.parametrize("kind", ASKED)
def test_flags_and_json_ask_the_same(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    flags, question, _ = ASKED[kind]
    assert main(["calc", kind, *flags, "--json"]) == 0
    by_flags = json.loads(capsys.readouterr().out)
    assert main(["calc", kind, json.dumps(question), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == by_flags


@pytest.mark.parametrize("kind", ASKED)
def test_a_person_is_told_in_words(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    flags, _, said = ASKED[kind]
    assert main(["calc", kind, *flags]) == 0
    shown = capsys.readouterr().out
    assert [one for one in said if one not in shown] == []
    assert "safe" not in shown.lower()


def test_fresh_water_by_flags_goes_into_an_addition(capsys: pytest.CaptureFixture[str]) -> None:
    command = ["calc", "addition", *FLAGS, "--volume-m3", "400"]
    command += ["--add", "product=fresh-water amount=30 unit=percent way=drain-and-refill"]
    assert main([*command, "--fresh-water", words(FRESH), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["after"]["cyanuric_acid_mg_l"] == pytest.approx(84)
    assert main([*command, "--fresh-water", words(FRESH)]) == 0
    assert "ground water" in capsys.readouterr().out


def test_thiosulfate_is_shown_by_its_other_route(capsys: pytest.CaptureFixture[str]) -> None:
    add = "product=sodium-thiosulfate amount=1 unit=kg strength_percent_w_w=99 form=pentahydrate"
    chlorine = ["--free-chlorine-mg-l", "8"]
    assert main(["calc", "addition", *FLAGS, *chlorine, "--volume-m3", "400", "--add", add]) == 0
    assert "other route" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("command", "said"),
    [
        (["air", *FLAGS, "--depth-m", "1", "--air-co2-ppm", "420"], "none is promised"),
        (["air", *FLAGS, "--depth-m", "1", "--rate-cm-h", "2"], "air_co2_ppm: is missing"),
        (["strength", "--product", "sodium-hypochlorite"], "state one strength"),
        (["fresh-water", *FLAGS, "--volume-m3", "9"], "fresh_water: is missing"),
    ],
)
def test_what_is_missing_is_named(
    command: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["calc", *command]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert said in captured.err


@pytest.mark.parametrize("kind", ["air", "fresh-water"])
def test_sea_water_is_not_taken_for_fresh(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    question = {**ASKED[kind][1], "salinity_g_kg": 35}
    assert main(["calc", kind, json.dumps(question)]) == 2
    assert "salinity_g_kg" in capsys.readouterr().err
