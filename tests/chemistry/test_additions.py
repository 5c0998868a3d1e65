"""`calc addition`: the water at once and after use, and what must not meet."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.chemistry.additions import READ_AGAIN, additions_from, describe_additions
from lanewater.chemistry.water import describe, water_from
from lanewater.service.constants import load_constants
from lanewater.terms.errors import InputError

BASE_E = {
    "ph": 7.4,
    "temperature_c": 28,
    "total_alkalinity_mg_l": 80,
    "calcium_hardness_mg_l": 200,
    "cyanuric_acid_mg_l": 30,
    "salt_mg_l": 500,
    "free_chlorine_mg_l": 0.5,
    "volume_m3": 100,
}
HYPO = {"product": "sodium-hypochlorite", "amount": 4, "unit": "L", "strength_g_l": 125}
ACID = {
    "product": "hydrochloric-acid",
    "amount": 1,
    "unit": "L",
    "strength_percent_w_w": 31.45,
    "density_kg_l": 1.157,
}


def told(*added: dict[str, Any], **water: float) -> dict[str, Any]:
    k, k_low = load_constants(), load_constants("WA2019")
    return describe_additions(
        k, k_low, *additions_from({**BASE_E, **water, "additions": list(added)})
    )


def ids(answer: dict[str, Any]) -> list[str]:
    return [found["id"] for found in answer["findings"]]


def test_five_mg_l_as_hypochlorite_end_where_phreeqc_ends() -> None:
    # D16 and D33 of the reference, with 0.08 mol of caustic: 7.654 at once, 7.418 after use.
    answer = told({**HYPO, "excess_caustic_mol_per_mol": 0.08})
    assert answer["after"]["ph"] == pytest.approx(7.654, abs=0.01)
    assert answer["after"]["free_chlorine_mg_l"] == pytest.approx(5.5)
    assert answer["after"]["total_alkalinity_mg_l"] == pytest.approx(83.8, abs=0.05)
    assert answer["after_use"]["ph"] == pytest.approx(7.418, abs=0.01)
    assert answer["after_use"]["free_chlorine_mg_l"] == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("product", "strength", "grams", "at_once", "used"),
    [
        ("calcium-hypochlorite", 65, 500 / 0.65, 7.626, 7.400),
        ("chlorine", 100, 500, 7.170, 7.066),
        ("sodium-dichloroisocyanurate", 55.4, 500 / 0.554, 7.380, 7.233),
        ("trichloroisocyanuric-acid", 90, 500 / 0.9, 7.304, 7.174),
    ],
)
def test_every_chlorine_ends_where_phreeqc_ends(
    product: str, strength: float, grams: float, at_once: float, used: float
) -> None:
    answer = told(
        {"product": product, "amount": grams, "unit": "g", "strength_percent_w_w": strength}
    )
    assert answer["after"]["free_chlorine_mg_l"] == pytest.approx(5.5)
    assert answer["after"]["ph"] == pytest.approx(at_once, abs=0.01)
    assert answer["after_use"]["ph"] == pytest.approx(used, abs=0.01)


def test_the_assumed_caustic_is_said() -> None:
    assert any("0.05 mol of excess caustic" in text for text in told(HYPO)["assumed"])


def test_the_readings_afterwards_have_the_keys_of_calc_water() -> None:
    answer = told(ACID)
    for water in (answer["after"], answer["after_use"]):
        assert water["total_alkalinity_mg_l"] < 80
        for key in ("ph", "saturation_index", "hocl_mg_l", "hocl_low_mg_l", "findings"):
            assert key in water
    # No chlorine was added: both are one.
    assert answer["after"]["ph"] == answer["after_use"]["ph"]


@pytest.mark.parametrize(
    "pair",
    [
        (HYPO, ACID),
        (ACID, HYPO),
        (
            HYPO,
            {
                "product": "trichloroisocyanuric-acid",
                "amount": 1,
                "unit": "kg",
                "strength_percent_w_w": 90,
            },
        ),
        (
            {
                "product": "calcium-chloride",
                "amount": 1,
                "unit": "kg",
                "strength_percent_w_w": 75,
            },
            {
                "product": "sodium-bicarbonate",
                "amount": 1,
                "unit": "kg",
                "strength_percent_w_w": 100,
            },
        ),
    ],
)
def test_products_that_must_not_meet_are_never_silent(pair: tuple[dict[str, Any], ...]) -> None:
    answer = told(*pair)
    assert ids(answer) == ["must_not_meet"]
    assert "One product at a time" in answer["findings"][0]["do"]
    assert answer["after"]["ph"] is not None


def test_one_product_twice_meets_itself() -> None:
    assert ids(told(HYPO, HYPO)) == []
    assert told(HYPO, HYPO)["after"]["free_chlorine_mg_l"] == pytest.approx(10.5)


def test_more_neutraliser_than_chlorine_is_said() -> None:
    thiosulfate = {
        "product": "sodium-thiosulfate",
        "amount": 1,
        "unit": "kg",
        "strength_percent_w_w": 63.7,
    }
    answer = told(thiosulfate)
    assert "more-neutraliser-than-chlorine" in ids(answer)
    assert answer["after"]["free_chlorine_mg_l"] == pytest.approx(0.0, abs=1e-9)
    assert answer["after"]["hocl_mg_l"] == pytest.approx(0.0, abs=1e-9)
    small = {**thiosulfate, "amount": 1, "unit": "g"}
    assert ids(told(small)) == []


def test_a_water_that_cannot_be_has_no_afterwards() -> None:
    answer = told(HYPO, total_alkalinity_mg_l=2, cyanuric_acid_mg_l=100)
    assert answer["after"]["ph"] is None
    assert answer["after_use"]["hocl_mg_l"] is None
    found = [found["id"] for found in answer["after"]["findings"]]
    assert found == ["readings-cannot-all-be-right"]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"volume_m3": 0}, "volume_m3"),
        ({"volume_m3": -5}, "volume_m3"),
        ({"volume_m3": "100"}, "volume_m3"),
        ({"volume_m3": None}, "volume_m3"),
        ({"additions": []}, "additions"),
        ({"additions": {}}, "additions"),
        ({"additions": [HYPO] * 21}, "additions"),
        ({"additions": [HYPO, 3]}, "additions[1]"),
        ({"additions": [{**HYPO, "product": "bleach"}]}, "additions[0].product"),
        ({"additions": [{**HYPO, "product": None}]}, "additions[0].product"),
        ({"additions": [{"product": "other:alum", "unit": "gal"}]}, "additions[0].unit"),
        ({"additions": [{"product": "other:"}]}, "additions[0].product"),
        ({"additions": [{**HYPO, "unit": "gal"}]}, "additions[0].unit"),
        ({"additions": [{**HYPO, "strength": 12}]}, "additions[0].strength"),
        ({"additions": [{**HYPO, "amount": 1e6}]}, "additions[0].amount"),
        (
            {"additions": [{**ACID, "excess_caustic_mol_per_mol": 0.1}]},
            "additions[0].excess_caustic_mol_per_mol",
        ),
        (
            {"additions": [{**HYPO, "excess_caustic_mol_per_mol": 3}]},
            "additions[0].excess_caustic_mol_per_mol",
        ),
    ],
)
def test_what_cannot_be_added_is_refused_by_its_field(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as raised:
        additions_from({**BASE_E, "additions": [HYPO], **changes})
    assert raised.value.field == field


def test_coagulant_and_hypochlorite_must_not_meet_and_no_figure_is_made_up() -> None:
    answer = told({"product": "other:polyaluminium-chloride"}, HYPO)
    assert ids(answer) == ["must_not_meet", "not-computed"]
    for water in (answer["after"], answer["after_use"]):
        assert {value for key, value in water.items() if key in READ_AGAIN} == {None}
        assert [found["id"] for found in water["findings"]] == ["not-computed"]
    assert answer["before"]["dic_mmol_l"] > 0


def test_of_an_unknown_product_it_is_said_that_nothing_is_known() -> None:
    answer = told({"product": "other:mystery", "amount": 1, "unit": "kg"}, HYPO)
    assert ids(answer) == ["not-computed"]
    assert "not known" in answer["findings"][0]["why"]


def test_the_water_after_has_every_key_that_calc_water_answers() -> None:
    k, k_low = load_constants(), load_constants("WA2019")
    water = {key: value for key, value in BASE_E.items() if key != "volume_m3"}
    wanted = {"ph", *describe(k, k_low, water_from(water))}
    for added in (HYPO, {"product": "other:descaler"}):
        answer = told(added)
        for name in ("before", "after", "after_use"):
            assert wanted <= set(answer[name])


@pytest.mark.parametrize("name", ["volume_m3", "additions"])
def test_what_is_missing_is_named(name: str) -> None:
    given = {**BASE_E, "additions": [HYPO]}
    del given[name]
    with pytest.raises(InputError, match=f"{name}: is missing"):
        additions_from(given)


BASE_F = {
    "ph": 7.5,
    "total_alkalinity_mg_l": 100,
    "calcium_hardness_mg_l": 250,
    "cyanuric_acid_mg_l": 0,
    "free_chlorine_mg_l": 10,
}


def test_thiosulfate_is_told_by_both_of_its_roads() -> None:
    # D26 of the reference takes 9 of 10 mg/L out by the road to sulfate and ends at 7.169.
    grams = 0.0317e-3 * 158.10 * 100000
    answer = told(
        {
            "product": "sodium-thiosulfate",
            "amount": grams,
            "unit": "g",
            "strength_percent_w_w": 100,
        },
        **BASE_F,
    )
    assert answer["after"]["ph"] == pytest.approx(7.169, abs=0.01)
    assert answer["after"]["free_chlorine_mg_l"] == pytest.approx(1.0, abs=0.02)
    other = answer["after_other_route"]
    assert other["ph"] > 7.5
    assert other["free_chlorine_mg_l"] == pytest.approx(10 - 9 / 8, abs=0.01)
    assert other["total_alkalinity_mg_l"] > 100 > answer["after"]["total_alkalinity_mg_l"]


def test_only_thiosulfate_has_another_road() -> None:
    sulfite = {
        "product": "sodium-sulfite",
        "amount": 100,
        "unit": "g",
        "strength_percent_w_w": 100,
    }
    assert told(sulfite, **BASE_F)["after_other_route"] is None
    assert told(HYPO)["after_other_route"] is None


@pytest.mark.parametrize(("grams", "told_so"), [(138, False), (142, True)])
def test_more_than_a_quarter_of_what_the_smaller_road_wants_is_told(
    grams: float, told_so: bool
) -> None:
    # 1 kg of chlorine in 100 m3 wants 557 g of thiosulfate by the road to sulfate.
    entry = {
        "product": "sodium-thiosulfate",
        "amount": grams,
        "unit": "g",
        "strength_percent_w_w": 100,
    }
    assert ("more-than-a-first-portion" in ids(told(entry, **BASE_F))) is told_so


def test_crystal_water_is_no_thiosulfate() -> None:
    def left(grams: float, **more: Any) -> float:
        entry = {"product": "sodium-thiosulfate", "amount": grams, "unit": "g", **more}
        free: float = told(entry, **BASE_F)["after"]["free_chlorine_mg_l"]
        return free

    hydrate = left(248.17, strength_percent_w_w=100, form="pentahydrate")
    assert hydrate == pytest.approx(left(158.10, strength_percent_w_w=100))
    assert hydrate == pytest.approx(left(248.17, strength_percent_w_w=63.7), abs=0.002)


def test_lime_in_calcium_hypochlorite_stays_when_the_chlorine_is_used() -> None:
    plain = {
        "product": "calcium-hypochlorite",
        "amount": 1,
        "unit": "kg",
        "strength_percent_w_w": 65,
    }
    bare = told(plain)["after_use"]
    limed = told({**plain, "lime_percent_w_w": 5})["after_use"]
    # 50 g of Ca(OH)2 in 100 m3: 1.35 meq and 0.67 mmol of calcium in each m3.
    more = limed["total_alkalinity_mg_l"] - bare["total_alkalinity_mg_l"]
    assert more == pytest.approx(50 / 74.093 * 100.087 / 100, abs=1e-6)
    assert limed["calcium_hardness_mg_l"] - bare["calcium_hardness_mg_l"] == pytest.approx(more)
    assert limed["ph"] > bare["ph"]
    with pytest.raises(InputError, match="alone"):
        told({**HYPO, "lime_percent_w_w": 5})
