"""`lanewater site`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from tests.baths import Baths
from tests.interfaces.cli.shell_case import Shell

from lanewater.interfaces.cli.site_items import FLAGS
from lanewater.service.set_up import ADD

POOL = ("--name", "Lido", "--kind", "pool", "--location", "outdoor", "--disinfectant", "chlorine")


def test_a_small_site_is_set_up_from_the_shell(empty_shell: Shell) -> None:
    made = empty_shell(
        "site", "new", "Town Lido", "--rules", "ca-qc", "--timezone", "UTC", "--json"
    )
    assert made.code == 0
    assert set(made.answer) == {"site", "first_key"}
    for words in (
        ("circuit", "--name", "Hall", "--volume", "100000", "--volume-unit", "us-gal",
         "--volume-known", "meter", "--balance-tank", "none", "--feeder", "sodium-hypochlorite"),
        ("pool", *POOL, "--circuit", "hall", "--target", "free_chlorine=1.0..1.5",
         "--hours", "mon-fri=06:30-22:00", "--hours", "sat=08:00-20:00", "--interval", "120",
         "--before-opening", "60", "--point", "shallow", "--point", "deep", "--fact", "slide=yes"),
        ("kit", "--name", "Bench", "--kind", "photometer", "--accepted", "yes",
         "--range", "free_chlorine=0.02..6.00/0.01", "--ph-limit", "6.0", "--total-stand", "120"),
        ("reagent", "--parameter", "ph", "--lot", "B2", "--expires-on", "2027-01-31"),
        ("product", "--name", "Hypo", "--substance", "sodium-hypochlorite", "--method", "by-hand",
         "--strength", "12.5", "--strength-unit", "percent-w-v", "--strength-on", "2026-06-01",
         "--approve", "lido=raise-chlorine", "--jug", "blue",
         "--scoop", "0.5L", "--stock", "200L@2026-06-02", "--price", "0.42/L", "--lot", "T-204"),
        ("person", "--name", "Ana Bo", "--initials", "AB", "--role", "tester", "--new-pin",
         "--may-dose", "sodium-hypochlorite=2026-01-01..2027-01-01"),
        ("contact", "--name", "Ambulance", "--phone", "112", "--kind", "emergency"),
        ("rules", "--id", "au-vic", "--pool", "lido"),
    ):  # fmt: skip
        said = empty_shell("site", "add", *words, "--json")
        assert said.code == 0, said.err
        assert said.answer["id"]
    found = empty_shell("site", "show", "--json").answer
    pool = found["pools"][0]
    assert pool["facts"]["facts"] == {"slide": True}
    assert [row["day"] for row in pool["hours"]] == [0, 1, 2, 3, 4, 5]
    assert pool["targets"] == [{"parameter": "free_chlorine", "low": "1.0", "high": "1.5"}]
    assert pool["rules"] == "au-vic"
    assert found["circuits"][0]["volume_m3"] == "378.541178"
    product = found["products"][0]
    assert product["scoop"] == {"amount": "0.5", "unit": "L"}
    assert product["stock"] == {"amount": "200", "unit": "L", "on": "2026-06-02"}
    assert (product["price"], product["lot"]) == ({"amount": "0.42", "per": "L"}, "T-204")
    assert found["kits"][0]["ranges"][0]["step"] == "0.01"
    assert found["people"][0]["competences"][0]["until"] == "2027-01-01"
    assert "Lido" in empty_shell("site", "show").out


@pytest.mark.parametrize("scoop", ["0.5", "L", "half L", "0.5gal"])
def test_a_scoop_without_a_known_unit_is_refused(shell: Shell, scoop: str) -> None:
    words = ("--name", "H", "--substance", "sodium-hypochlorite", "--method", "by-hand")
    assert shell("site", "add", "product", *words, "--scoop", scoop).code != 0


def test_every_kind_of_thing_has_flags() -> None:
    # Duties and closed days have verbs of their own.
    assert set(FLAGS) == set(ADD) - {"duty", "closed-days"}


def test_a_pin_and_a_first_key_are_shown_once(empty_shell: Shell) -> None:
    said = empty_shell("site", "new", "A", "--timezone", "UTC")
    assert "shown this once" in said.out
    assert "No local rules chosen" in said.out
    said = empty_shell(
        "site", "add", "person", "--name", "B", "--initials", "B", "--role", "tester", "--new-pin"
    )
    pin = said.out.split("PIN, shown this once: ")[1].strip()
    assert pin.isdigit()
    assert pin not in empty_shell("site", "export").out


def test_a_set_up_is_exported_and_imported(shell: Shell, tmp_path: Path) -> None:
    text = shell("site", "export").out
    other = tmp_path / "other"
    assert shell("site", "new", "Other", "--timezone", "UTC", "--data", str(other)).code == 0
    said = shell("site", "import", "-", "--data", str(other), "--json", stdin=text)
    assert said.answer == {"added": 11}
    again = json.loads(shell("site", "export", "--data", str(other)).out)
    assert again["pools"] == json.loads(text)["pools"]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("pool", *POOL, "--volume", "3", "--volume-unit", "gal"), 2, "which gallon"),
        (("pool", *POOL, "--volume", "three", "--volume-unit", "m3"), 2, "volume.value"),
        (("pool", *POOL, "--volume", "3"), 2, "--volume-unit: is missing"),
        (("circuit", "--name", "C", "--volume-unit", "gal"), 2, "--volume: is missing"),
        (("pool", *POOL, "--interval", "soon"), 2, "--interval"),
        (("pool", *POOL, "--target", "ph"), 2, "--target"),
        (("pool", *POOL, "--hours", "always"), 2, "--hours"),
        (("pool", *POOL, "--hours", "mon-zzz=06:00-07:00"), 2, "--hours"),
        (("pool", *POOL, "--kind", "lake"), 2, "facts.kind"),
        (("kit", "--name", "K", "--kind", "strips", "--accepted", "maybe"), 2, "--accepted"),
        (("person", "--name", "A", "--initials", "A", "--role", "king"), 2, "roles[0]"),
        (("person", "--name", "A", "--initials", "A", "--may-dose", "x"), 2, "--may-dose"),
        (("pool", "--from", "/nowhere/file"), 3, "cannot be read"),
        (("rules", "--id", "zz-none"), 3, "not a rules pack"),
        (("throne",), 2, "invalid choice"),
    ],
)  # fmt: skip
def test_what_does_not_fit_names_the_flag_and_saves_nothing(
    shell: Shell, words: tuple[str, ...], code: int, said: str
) -> None:
    before = shell("record", "show", "--json").answer
    answer = shell("site", "add", *words)
    assert (answer.code, answer.out) == (code, "")
    assert said in answer.err
    assert shell("record", "show", "--json").answer == before


@pytest.mark.parametrize(
    "text", [b"", b"{", b"[]", b"\xff\xfe", b'{"a":1,"a":2}', b'{"name":NaN}', b"5", b"[" * 5000]
)
def test_a_file_that_is_no_item_is_refused(shell: Shell, text: bytes) -> None:
    said = shell("site", "add", "pool", "--from", "-", stdin=text)
    assert (said.code, said.out) == (2, "")
    assert said.err


def test_a_site_is_not_made_twice(shell: Shell) -> None:
    said = shell("site", "new", "Again", "--timezone", "UTC")
    assert said.code == 2
    assert "holds a site already" in said.err


def test_without_a_site_it_says_how_to_make_one(empty_shell: Shell) -> None:
    said = empty_shell("site", "show")
    assert (said.code, said.out) == (3, "")
    assert "site new" in said.err


def test_a_word_by_telephone_opens_a_pool_only_where_the_site_says_so(
    shell: Shell, baths: Baths
) -> None:
    assert baths.book.state.site.telephone_authority is False
    said = shell("site", "telephone", "yes", "--data", str(baths.folder))
    assert said.out == "A word by telephone opens a pool here.\n"
    assert baths.reopened().state.site.telephone_authority is True
    said = shell("site", "telephone", "no", "--json", "--data", str(baths.folder))
    assert said.answer == {"allowed": False}
    assert baths.reopened().state.site.telephone_authority is False
