"""What holds for every command: the two flags of every place, the exit codes, the streams."""

import json
import shlex
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.interfaces.cli.shell_case import Shell

from lanewater.interfaces.cli.main import GROUPS

WATER = '{"ph": 7.4, "temperature_c": 28, "total_alkalinity_mg_l": 100}'
PROGRAM = f"{shlex.quote(sys.executable)} -P -m lanewater"


def in_sh(line: str) -> subprocess.CompletedProcess[str]:
    """Run one line in a real shell; P stands for the program."""
    return subprocess.run(
        ["/bin/sh", "-c", line.replace("P ", f"{PROGRAM} ")],
        capture_output=True,
        check=False,
        text=True,
        timeout=60,
    )


@pytest.mark.parametrize(
    "words",
    [
        "--json rules list",
        "rules --json list",
        "rules list --json",
        "--data NONE rules list --json",
        "rules --data=NONE list --json",
        "rules list --json --data NONE",
    ],
)
def test_the_two_flags_of_every_command_may_stand_anywhere(empty_shell: Shell, words: str) -> None:
    said = empty_shell(*words.split())
    assert said.code == 0
    assert "ca-qc" in {row["id"] for row in said.answer}


@pytest.mark.parametrize("words", ["calc water --ph 7.4", "judge", "rules list", "record show"])
def test_a_data_flag_without_a_folder_is_wrong_use(empty_shell: Shell, words: str) -> None:
    said = empty_shell(*words.split(), "--data")
    assert (said.code, said.out) == (2, "")
    assert "--data" in said.err


def test_what_stands_after_two_dashes_is_no_flag(empty_shell: Shell, tmp_path: Path) -> None:
    where = str(tmp_path / "site")
    said = empty_shell(
        "--json", "site", "new", "--data", where, "--timezone", "UTC", "--", "--data=Baths"
    )
    assert said.code == 0
    assert empty_shell("site", "show", "--data", where, "--json").answer["site"]["name"] == (
        "--data=Baths"
    )


@pytest.mark.parametrize("group", GROUPS)
def test_every_help_names_the_flags_of_every_place(empty_shell: Shell, group: str) -> None:
    said = empty_shell(group, "--help")
    assert said.code == 0
    assert "--json" in said.out
    assert "--data" in said.out


@pytest.mark.parametrize(
    "words",
    [
        "ahead",
        "rules translate ca-qc",
        "calc ahead",
    ],
)
def test_what_is_not_there_yet_is_wrong_use_and_named(empty_shell: Shell, words: str) -> None:
    said = empty_shell(*words.split())
    assert (said.code, said.out) == (2, "")
    assert f"'{words.split()[words.startswith(('rules', 'calc'))]}'" in said.err


@pytest.mark.parametrize("words", ["judge --table=--", "round add --note=--", "serve --host=--"])
def test_two_dashes_are_no_value(empty_shell: Shell, words: str) -> None:
    said = empty_shell(*words.split())
    assert said.code == 2
    assert said.err.startswith(f"{words.rsplit(maxsplit=1)[-1][:-3]}: ")


def test_no_flag_is_guessed_from_its_beginning(empty_shell: Shell) -> None:
    assert empty_shell("calc", "water", "--total-alk", "100").code == 2


@pytest.mark.parametrize("words", ["judge", "calc water", "calc addition"])
def test_a_closed_input_is_an_empty_one(words: str) -> None:
    done = in_sh(f"P {words} <&-")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.parametrize("words", ["rules list", "judge"])
def test_a_closed_output_is_said_before_anything_is_done(words: str) -> None:
    done = in_sh(f"echo '{WATER}' | P {words} >&-")
    assert done.returncode == 3
    assert done.stderr == "standard output is closed: there is nowhere to answer\n"


def test_a_closed_output_saves_no_round(shell: Shell, tmp_path: Path) -> None:
    done = in_sh(f"P round add --pool main --ph 7.4 --data {tmp_path / 'shell'} >&-")
    assert done.returncode == 3
    lines = shell("record", "show", "--json").answer
    assert "round-recorded" not in {line["type"] for line in lines}


@pytest.mark.parametrize("words", ["rules list", "calc water", "judge"])
def test_a_full_disk_under_the_answers_is_one_clear_line(words: str) -> None:
    done = in_sh(f"echo '{WATER}' | P {words} >/dev/full")
    assert done.returncode == 3
    assert done.stderr == "stopped: No space left on device\n"


def test_a_reader_that_has_seen_enough_is_left_in_peace(tmp_path: Path) -> None:
    rows = tmp_path / "rows.csv"
    rows.write_text("ph\n" + "7.4\n" * 3000)
    lines = tmp_path / "lines.jsonl"
    lines.write_text((WATER + "\n") * 3000)
    for words in ("calc water", "judge", f"judge --rules ee --json --table {rows}"):
        done = in_sh(f"P {words} <{lines} | head -n 1")
        assert len(done.stdout.splitlines()) == 1
        assert done.stderr == ""


def test_answers_are_utf_8_whatever_the_terminal_speaks() -> None:
    line = '{"line": 1, "readings": {"pH\u00e9": "7"}}'
    done = in_sh(f"echo '{line}' | LC_ALL=C PYTHONIOENCODING=ascii P judge")
    assert json.loads(done.stdout)["line"] == 1
    assert done.stderr == ""


@pytest.fixture
def interruptible() -> Iterator[None]:
    """Let what is started be interrupted, also where the tests run in the background of a shell."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("interruptible")
def test_an_interrupted_command_says_so_in_a_word() -> None:
    with subprocess.Popen(
        [sys.executable, "-P", "-m", "lanewater", "calc", "water"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdin.write((WATER + "\n").encode() * 40)
        process.stdin.flush()
        process.stdout.read(1)
        process.send_signal(signal.SIGINT)
        code = process.wait(timeout=20)
        assert (code, process.stderr.read()) == (130, b"stopped\n")
