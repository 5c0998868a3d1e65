"""`lanewater verify`: 0 only where everything was checked and held."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.baths import Baths
from tests.interfaces.cli.shell_case import Shell
from tests.records.log_cases import Log, make_log, sealed

LOG = make_log(20)


def written(folder: Path, log: Log = LOG, **changes: bytes) -> Path:
    folder.mkdir(exist_ok=True)
    for name, content in (log.files() | changes).items():
        (folder / name).write_bytes(content)
    return folder


def stamp_file(folder: Path, text: str) -> str:
    path = folder / "stamp.txt"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_good_bundle_is_complete(shell: Shell, tmp_path: Path) -> None:
    said = shell("verify", str(written(tmp_path / "b")))
    assert said.code == 0
    assert said.out.startswith("complete: 20 lines\n")
    assert "no stamp from elsewhere was given" in said.out
    assert "no check can tell" in said.out


def test_an_older_stamp_is_held_to_it_and_counted(shell: Shell, tmp_path: Path) -> None:
    older = stamp_file(tmp_path, "Sent on Monday:\r\n" + LOG.note(12).replace("\n", "\r\n"))
    said = shell("verify", str(written(tmp_path / "b")), "--stamp", older)
    assert said.code == 0
    assert "and 1 from elsewhere" in said.out
    assert "no stamp from elsewhere" not in said.out


def test_a_record_that_was_put_back_is_not_complete(shell: Shell, tmp_path: Path) -> None:
    older = LOG.copy()
    del older.items[10:]
    older.stamps = older.stamps[:1]
    newer = stamp_file(tmp_path, LOG.note(15))
    said = shell("verify", str(written(tmp_path / "b", older)), "--stamp", newer, "--json")
    assert said.code == 4
    assert said.answer["outcome"] == "rolled-back"
    assert said.answer["findings"][0]["line"] == 10
    assert said.answer["findings"][0]["size"] == 15


def test_a_new_log_key_without_a_word_needs_somebody_who_answers_for_it(
    shell: Shell, tmp_path: Path
) -> None:
    log = LOG.copy()
    log.log_seeds.append("found-again")
    item = log.name_log_key()
    del item.content["body"]["word"]
    log.sign(item)
    log.stamp()
    folder = str(written(tmp_path / "b", log))
    said = shell("verify", folder)
    assert said.code == 4
    assert "not-checked" in said.out
    assert "without the word" in said.out
    key = item.content["body"]["public_key"]
    assert shell("verify", folder, "--accept-key", key).code == 0
    assert shell("verify", folder, "--accept-key", "00" * 32).code == 4


def test_what_is_no_part_of_the_bundle_is_named_beside_the_answer(
    shell: Shell, tmp_path: Path
) -> None:
    folder = written(tmp_path / "b")
    (folder / ".DS_Store").write_bytes(b"x")
    said = shell("verify", str(folder))
    assert said.code == 0
    assert ".DS_Store" in said.err


@pytest.mark.parametrize("gone", ["events.jsonl", "stamps.txt", "keys.json", "manifest.sha256"])
def test_a_bundle_without_one_of_its_files_is_not_complete(
    shell: Shell, tmp_path: Path, gone: str
) -> None:
    folder = written(tmp_path / "b")
    (folder / gone).unlink()
    said = shell("verify", str(folder))
    assert said.code == 4
    assert f"{gone} is missing" in said.out


def test_a_file_that_the_manifest_names_must_be_there(shell: Shell, tmp_path: Path) -> None:
    files = sealed(LOG.files() | {"names.json": b"{}\n"})
    folder = written(tmp_path / "b", **files)
    assert shell("verify", str(folder)).code == 0
    (folder / "names.json").unlink()
    assert shell("verify", str(folder)).code == 4


def test_an_empty_folder_says_that_nothing_was_checked(shell: Shell, tmp_path: Path) -> None:
    said = shell("verify", str(tmp_path))
    assert said.code == 4
    assert "nothing is on record" in said.out


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("{folder}/not-there",), 2),
        (("{folder}/b", "--stamp", "{folder}/not-there"), 3),
        (("{folder}/b", "--accept-key", "xyz"), 2),
    ],
)
def test_wrong_use_is_told_apart_from_a_record_that_fails(
    shell: Shell, tmp_path: Path, words: tuple[str, ...], code: int
) -> None:
    written(tmp_path / "b")
    assert shell("verify", *(word.format(folder=tmp_path) for word in words)).code == code


def test_a_stamp_file_that_is_no_text_is_wrong_use(shell: Shell, tmp_path: Path) -> None:
    path = tmp_path / "photo.jpg"
    path.write_bytes(b"\xff\xd8\xff")
    assert shell("verify", str(written(tmp_path / "b")), "--stamp", str(path)).code == 2


def test_without_a_bundle_the_sites_own_store_is_verified(shell: Shell, baths: Baths) -> None:
    baths.round()
    baths.book.close()
    said = shell("verify", "--data", str(baths.folder), "--json")
    assert said.code == 0, said.answer
    assert said.answer["lines"] > 10
    store = baths.config.store
    raw = store.read_bytes()
    store.write_bytes(raw.replace(b'"value":"7.43"', b'"value":"7.40"', 1))
    assert shell("verify", "--data", str(baths.folder)).code == 4
    store.write_bytes(raw)
    baths.reopened()


def test_a_store_that_is_not_there_is_missing(shell: Shell, tmp_path: Path) -> None:
    assert shell("verify", "--data", str(tmp_path)).code == 3
