"""The pack format refuses what it does not know, naming the place."""

import pytest

from lanewater.rules.pack import compile_pack
from lanewater.service.packs import FOLDER
from lanewater.terms.errors import InputError

GOOD = (FOLDER / "sg.toml").read_text(encoding="utf-8")
RULE = '[[rule]]\nid = "ph-minimum"'


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ('id = "sg"', "", "pack.id"),
        ('status = "reviewed"', 'status = "final"', "pack.status"),
        ("borrow_hours = 24", "borrow_hours = -1", "pack.borrow_hours"),
        (RULE, RULE + '\ncolour = "red"', "rule[0].colour"),
        ('at_least = "7.2"', "at_least = 7.2", "rule ph-minimum.at_least"),
        ('at_least = "7.2"', 'at_least = "high"', "rule ph-minimum.at_least"),
        ('at_least = "7.2"', 'at_least = "7.2"\nat_most = "8"', "rule ph-minimum"),
        ('parameter = "ph"', 'parameter = "acidity"', "rule ph-minimum.parameter"),
        ('level = "notify"', 'level = "panic"', "rule ph-minimum.level"),
        ('evidence = "seen"', 'evidence = "memory"', "rule ph-minimum.evidence"),
        ('source = "schedule"', 'source = "nowhere"', "rule ph-minimum.source"),
        ('"chlorine", "bromine"]', '"chlorine", "salt"]', "rule ph-minimum.when.disinfectant"),
        ('clarity = { state = "not-read" }', "", "coverage.clarity"),
        ('clarity = { state = "not-read" }', 'clarity = { state = "maybe" }', "coverage.clarity"),
        (
            'clarity = { state = "not-read" }',
            'clarity = { state = "no-limit-set" }',
            "coverage.clarity.clause",
        ),
        ('id = "ph-maximum-chlorine"', 'id = "ph-minimum"', "rule[1].id"),
        ('fails = ["spa-free', 'fails = ["no-such-free', "golden[0].fails"),
        ("[coverage]", "[coverage", "pack"),
    ],
)
def test_a_fault_in_a_pack_is_named_with_its_place(old: str, new: str, place: str) -> None:
    planted = GOOD.replace(old, new, 1)
    assert planted != GOOD
    with pytest.raises(InputError) as caught:
        compile_pack(planted)
    assert caught.value.field.startswith(place)


def test_conditions_keep_the_side_of_their_boundary() -> None:
    pack = compile_pack((FOLDER / "au-sa.toml").read_text(encoding="utf-8"))
    sides = [
        (condition["comparison"], condition["limit_thousandths"])
        for rule in pack["rules"][:4]
        for condition in rule["when"]
        if condition["of"] == "reading"
    ]
    assert sides == [("at-most", 26_000), ("at-most", 26_000), ("above", 26_000), ("above", 26_000)]
