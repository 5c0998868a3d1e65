"""verify.py stands alone: nothing of the project, with or without the package for signatures."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from tests.contracts.house import ROOT
from tests.records.log_cases import Log, make_log
from tests.records.twins import ALONE, by_project, plain, random_case, standing_alone

LOG = make_log(8, "alone", every=4)
WITHOUT_PACKAGES = ("-I", "-S")


def written(folder: Path, log: Log = LOG) -> Path:
    folder.mkdir(exist_ok=True)
    for name, content in log.files().items():
        (folder / name).write_bytes(content)
    return folder


def run(*words: str, path: str | None = None, flags: tuple[str, ...] = ("-I",)) -> Any:
    """Run the file as an inspector would; `path` is all the commands there are."""
    return subprocess.run(
        [sys.executable, *flags, str(ALONE), *words],
        capture_output=True,
        text=True,
        env={} if path is None else {"PATH": path},
        check=False,
    )


def answer(*words: str, **how: Any) -> tuple[int, dict[str, Any]]:
    done = run(*words, "--json", **how)
    assert done.stderr == ""
    return done.returncode, json.loads(done.stdout)


def openssl_alone(folder: Path, script: str | None = None) -> str:
    """Give a PATH on which there is the real openssl and nothing else, or a script in its name."""
    folder.mkdir()
    link = folder / "openssl"
    if script is None:
        link.symlink_to("/usr/bin/openssl")
    else:
        link.write_text(f"#!/bin/sh\n{script}\n")
        link.chmod(0o755)
    return str(folder)


def test_it_imports_the_standard_library_and_one_package_that_may_be_missing() -> None:
    tree = ast.parse(ALONE.read_text(encoding="utf-8"))
    names = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add((node.module or "").split(".")[0])
    assert names - set(sys.stdlib_module_names) == {"cryptography"}
    ast.parse(ALONE.read_text(encoding="utf-8"), feature_version=(3, 8))


def test_with_the_package_a_good_record_is_complete(tmp_path: Path) -> None:
    code, told = answer(str(written(tmp_path / "b")))
    assert (code, told["outcome"], told["lines"]) == (0, "complete", 8)


def test_with_openssl_alone_a_good_record_is_complete(tmp_path: Path) -> None:
    path = openssl_alone(tmp_path / "bin")
    folder = str(written(tmp_path / "b"))
    code, told = answer(folder, path=path, flags=WITHOUT_PACKAGES)
    assert (code, told["outcome"]) == (0, "complete")


def test_with_openssl_alone_each_broken_signature_is_found(tmp_path: Path) -> None:
    """One by an Ed25519 key, one by a P-256 key; both in the right place."""
    path = openssl_alone(tmp_path / "bin")
    for at in (4, 5):
        log = LOG.copy()
        sig = bytearray.fromhex(log.items[at].sig)
        sig[5] ^= 1
        log.items[at].sig = sig.hex()
        folder = str(written(tmp_path / "b", log))
        code, told = answer(folder, path=path, flags=WITHOUT_PACKAGES)
        assert code == 4
        found = [(f["what"], f["by"], f["line"]) for f in told["findings"]]
        assert ("changed", "signature", at + 1) in found


def test_with_openssl_alone_it_agrees_on_random_records(tmp_path: Path) -> None:
    alone = standing_alone()
    for seed in range(0, 44, 4):
        case = random_case(seed)
        signatures = alone.Signatures(alone.by_openssl(str(tmp_path)))
        signatures.gathering = True
        told = alone.verify(case.files, case.outside, (), signatures)
        assert plain(told) == by_project(case), seed


def test_without_either_it_says_so_and_fails(tmp_path: Path) -> None:
    folder = str(written(tmp_path / "b"))
    code, told = answer(folder, path=str(tmp_path), flags=WITHOUT_PACKAGES)
    assert (code, told["outcome"]) == (4, "not-checked")
    assert "neither cryptography nor a fitting openssl" in told["findings"][0]["says"]


@pytest.mark.parametrize(
    "script",
    [
        "exit 0",
        "echo 'Signature Verification Failure'; exit 1",
        "echo 'unknown option -rawin'; exit 1",
        "kill -9 $$",
    ],
)
def test_an_openssl_that_cannot_or_will_not_check_is_never_believed(
    tmp_path: Path, script: str
) -> None:
    """The planted fault: a command that calls everything good, or everything bad."""
    path = openssl_alone(tmp_path / "bin", script)
    folder = str(written(tmp_path / "b"))
    code, told = answer(folder, path=path, flags=WITHOUT_PACKAGES)
    assert (code, told["outcome"]) == (4, "not-checked")


def test_what_it_says_in_words_begins_with_the_outcome(tmp_path: Path) -> None:
    folder = written(tmp_path / "b")
    done = run(str(folder))
    assert done.returncode == 0
    assert done.stdout.startswith("complete: 8 lines\n")
    assert "no stamp from elsewhere was given" in done.stdout
    stamp = tmp_path / "stamp.txt"
    stamp.write_text(LOG.note(6), encoding="utf-8")
    done = run(str(folder), "--stamp", str(stamp))
    assert "no stamp from elsewhere was given" not in done.stdout
    events = folder / "events.jsonl"
    events.write_bytes(events.read_bytes()[:-700])
    done = run(str(folder))
    assert done.returncode == 4
    assert done.stdout.startswith("changed: ")


def test_an_accepted_key_needs_no_word(tmp_path: Path) -> None:
    log = LOG.copy()
    log.log_seeds.append("found-again")
    item = log.name_log_key()
    del item.content["body"]["word"]
    log.sign(item)
    log.stamp()
    folder = str(written(tmp_path / "b", log))
    assert answer(folder)[0] == 4
    assert answer(folder, "--accept-key", item.content["body"]["public_key"])[0] == 0


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("{folder}/not-there",),
        ("{folder}", "--stamp", "{folder}/none"),
        ("{folder}", "--accept-key", "x"),
    ],
)
def test_wrong_use_is_exit_code_2(tmp_path: Path, words: tuple[str, ...]) -> None:
    assert run(*(word.format(folder=tmp_path) for word in words)).returncode == 2


def test_no_file_of_it_stays_behind(tmp_path: Path) -> None:
    path = openssl_alone(tmp_path / "bin")
    folder = written(tmp_path / "b")
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    subprocess.run(
        [sys.executable, *WITHOUT_PACKAGES, str(ALONE), str(folder)],
        env={"PATH": path, "TMPDIR": str(temporary)},
        check=True,
        capture_output=True,
        cwd=ROOT,
    )
    assert list(temporary.iterdir()) == []
