"""`lanewater sheet`."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.baths import Baths
from tests.interfaces.cli.shell_case import Shell


@pytest.fixture
def folder(baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Record three rounds on two days, and stand in an empty folder."""
    baths.round("main")
    baths.round("plunge")
    baths.wait(24 * 60)
    baths.round("main", free_chlorine="0.62", total_chlorine="0.78")
    empty = tmp_path / "empty"
    empty.mkdir()
    monkeypatch.chdir(empty)
    return empty


def test_a_day_is_printed_under_a_name_made_from_it(
    shell: Shell, baths: Baths, folder: Path
) -> None:
    words = ("sheet", "day", "--date", "2026-07-01", "--json", "--data", str(baths.folder))
    said = shell(*words)
    assert said.code == 0, said.err
    assert said.answer["file"] == "lanewater-day-2026-07-01.pdf"
    assert (said.answer["rounds"], said.answer["failures"]) == (2, 0)
    assert said.answer["stamped"]
    content = (folder / said.answer["file"]).read_bytes()
    assert content.startswith(b"%PDF-")
    assert len(content) == said.answer["bytes"]
    assert [path.name for path in folder.iterdir()] == [said.answer["file"]]


@pytest.mark.parametrize(
    ("words", "rounds"),
    [
        (("month", "--month", "2026-07"), 3),
        (("month", "--month", "2026-06"), 0),
        (("period", "--from", "2026-07-01", "--to", "2026-07-02"), 3),
        (("period", "--from", "2026-07-02", "--to", "2026-07-02"), 1),
        (("period", "--from", "2026-07-01", "--to", "2026-07-02", "--pool", "plunge"), 1),
        (("day", "--date", "2026-07-02", "--pool", "main", "--pool", "plunge"), 1),
    ],
)
@pytest.mark.usefixtures("folder")
def test_a_sheet_holds_the_days_and_pools_that_were_asked_for(
    shell: Shell, baths: Baths, words: tuple[str, ...], rounds: int
) -> None:
    said = shell("sheet", *words, "--out", "x.csv", "--json", "--data", str(baths.folder))
    assert said.code == 0, said.err
    assert (said.answer["format"], said.answer["rounds"]) == ("csv", rounds)


@pytest.mark.usefixtures("folder")
def test_people_read_what_was_written(shell: Shell, baths: Baths) -> None:
    words = ("sheet", "day", "--date", "2026-07-02", "--format", "xlsx")
    out = shell(*words, "--data", str(baths.folder)).out
    assert "lanewater-day-2026-07-02.xlsx: Thu 2 Jul 2026" in out
    assert "1 not met or not judged" in out
    assert "verdict" not in out.lower()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("day", "--date", "2026-02-31"), "--date: "),
        (("day", "--date", "tomorrow"), "--date: "),
        (("month", "--month", "2026-13"), "--month: "),
        (("month", "--month", "2026-7"), "--month: "),
        (("period", "--from", "2026-07-02", "--to", "2026-07-01"), "to: "),
        (("period", "--from", "1990-01-01", "--to", "2026-07-01"), "eleven years"),
        (("day", "--pool", "lake"), "pool: 'lake' is not set up here"),
        (("day", "--out", "sheet.doc"), "--out: must end in"),
        (("day", "--out", "no/such/folder.pdf"), "--out: "),
    ],
)
def test_what_does_not_fit_is_refused_and_leaves_no_file(
    shell: Shell, baths: Baths, folder: Path, words: tuple[str, ...], said: str
) -> None:
    found = shell("sheet", *words, "--data", str(baths.folder))
    assert found.code in (2, 3)
    assert said in found.err
    assert list(folder.iterdir()) == []


def test_without_its_key_a_sheet_is_printed_without_a_stamp_and_says_so(
    shell: Shell, baths: Baths, folder: Path
) -> None:
    baths.book.close()
    (baths.folder / "keys" / "log.key").unlink()
    said = shell("sheet", "day", "--date", "2026-07-01", "--json", "--data", str(baths.folder))
    assert said.code == 0, said.err
    assert not said.answer["stamped"]
    assert "Without a stamp: " in said.err
    assert (folder / said.answer["file"]).is_file()
