"""Random records, good and attacked, and the three programs that must say the same of each."""

from __future__ import annotations

import base64
import importlib.util
import random
from collections.abc import Callable
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

from tests.contracts.house import ROOT
from tests.records.attacks import TABLE, Found
from tests.records.log_cases import Log, curved, edwards, make_log, sealed, told

from lanewater.records import bundle
from lanewater.records.signing import key_from, make_key
from lanewater.records.stamps import Head, make_stamp
from lanewater.records.verifying import answer_over_bundle

PAGE = ROOT / "docs" / "reference" / "verify.html"
ALONE = ROOT / "docs" / "reference" / "verify.py"


def standing_alone(path: Path = ALONE) -> ModuleType:
    """Load verify.py, which is no part of the package."""
    spec = importlib.util.spec_from_file_location("verify_alone", path)
    if spec is None or spec.loader is None:
        raise ImportError(str(path))
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def plain(answer: dict[str, Any]) -> dict[str, Any]:
    """Give an answer without its sentences, in which each program may use its own words."""
    findings = [
        {name: value for name, value in finding.items() if name != "says"}
        for finding in answer["findings"]
    ]
    return answer | {"findings": findings}


def by_project(found: Found, accepted: tuple[str, ...] = ()) -> dict[str, Any]:
    return plain(answer_over_bundle(found.files, found.outside, frozenset(accepted)).fields())


def for_page(found: Found) -> dict[str, Any]:
    """Give a case in a form that goes into a page."""
    files = {name: base64.b64encode(content).decode() for name, content in found.files.items()}
    return {"files": files, "outside": list(found.outside)}


IN_PAGE = """
async (cases) => {
  const bytes = (text) => Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const answers = [];
  for (const { files, outside, accepted } of cases) {
    const map = new Map(Object.entries(files).map(([name, text]) => [name, bytes(text)]));
    answers.push(await verifyBundle(map, outside, accepted ?? []));
  }
  return answers;
}
"""


def honest(draw: random.Random, seed: str) -> Log:
    """Make a record with, by chance, a lost tablet, a new log key, a restore and odd text."""
    second = edwards if draw.random() < 0.5 else curved
    log = make_log(draw.randrange(5, 24), seed, every=draw.randrange(3, 9), second=second)
    tablets = [dev for dev in log.signers if dev != log.server]
    for step in (add_device, revoke, rotate, restore, tell_heads, odd_words):
        if draw.random() < 0.4:
            step(draw, log, tablets)
        if draw.random() < 0.3:
            log.stamp()
    log.stamp()
    return log


def add_device(_draw: random.Random, log: Log, _tablets: list[str]) -> None:
    log.add(
        log.server,
        "device-enrolled",
        {"device": "tab-7", "name": "desk", "kind": "shared", "algorithm": "none"},
    )
    shell = log.signer("shell", edwards)
    log.enrol(shell, "shell", by=shell)


def revoke(draw: random.Random, log: Log, tablets: list[str]) -> None:
    gone = tablets.pop(draw.randrange(len(tablets)))
    log.add(log.server, "device-revoked", {"device": gone})


def rotate(draw: random.Random, log: Log, _tablets: list[str]) -> None:
    log.log_seeds.append(f"{log.seed}/log-key/{draw.randrange(10**6)}")
    log.name_log_key()


def restore(draw: random.Random, log: Log, _tablets: list[str]) -> None:
    """Lose the newest lines, say so, and let a tablet send what it wrote over the lost ones."""
    kept = len(log.items)
    lost = make_key()
    body = {
        "size": kept,
        "root": log.tree().root(kept).hex(),
        "held_size": kept + draw.randrange(1, 5),
        "held_root": lost.public_hex,
    }
    log.add(log.server, "record-restored", body)
    log.epoch += 1
    seen = {"size": max(1, kept + draw.randrange(-2, 2)), "root": lost.public_hex}
    log.add(log.server, "told", told(0), seen=seen)


def tell_heads(draw: random.Random, log: Log, _tablets: list[str]) -> None:
    size = draw.randrange(0, len(log.items) + 1)
    root = log.tree().root(size).hex()
    log.add(log.server, "record-exported", {"size": size, "root": root})


def odd_words(_draw: random.Random, log: Log, tablets: list[str]) -> None:
    for note in ("Größe ≥ 7,2 \u2028 \U0001f3ca", 'quote " slash / back \\ tab\t\n', "\x7f é"):
        dev = tablets[0] if tablets else log.server
        log.add(dev, "told", told(1) | {"note": note}, reason=note)


# ---------------------------------------------------------------- what is done to them


def nothing(_draw: random.Random, log: Log) -> dict[str, bytes]:
    return log.files()


def from_the_table(draw: random.Random, log: Log) -> dict[str, bytes]:
    """Do one of the fourteen, where the record is long enough for it."""
    attack, _ = TABLE[draw.choice(list(TABLE))]
    try:
        return attack(log)
    except IndexError:
        return log.files()


def flip_somewhere(draw: random.Random, log: Log) -> dict[str, bytes]:
    """Flip a bit; half of the time the manifest is made to fit again."""
    files = log.files()
    name = draw.choice(sorted(files))
    raw = bytearray(files[name])
    at = draw.randrange(len(raw) * 8)
    raw[at // 8] ^= 1 << at % 8
    files[name] = bytes(raw)
    return sealed(files) if draw.random() < 0.5 else files


def lines_moved(draw: random.Random, log: Log) -> dict[str, bytes]:
    """Drop, repeat, turn round or cut lines of events.jsonl as they stand."""
    files = log.files()
    lines = files[bundle.EVENTS].splitlines(keepends=True)
    at = draw.randrange(len(lines))
    move = draw.randrange(5)
    if move == 0:
        del lines[at]
    elif move == 1:
        lines.insert(at, lines[draw.randrange(len(lines))])
    elif move == 2:
        lines.reverse()
    elif move == 3:
        lines[-1] = lines[-1][:-1]
    else:
        lines[at] = b"\n"
    return sealed(files | {bundle.EVENTS: b"".join(lines)})


def file_gone(draw: random.Random, log: Log) -> dict[str, bytes]:
    files = log.files() | {"names.json": b"{}\n"}
    if draw.random() < 0.5:
        files = sealed(files)
    del files[draw.choice(sorted(files))]
    return sealed(files) if draw.random() < 0.3 else files


def field_changed(draw: random.Random, log: Log) -> dict[str, bytes]:
    """Change a field of an entry to something odd and sign it again, as a bad device could."""
    item = log.items[draw.randrange(len(log.items))]
    name = draw.choice(sorted(item.content))
    item.content[name] = draw.choice(
        ["", "x", 0, -1, True, [], {}, {"size": 1, "root": ""}, "A" * 70, 2**53 - 1, "told", "é"]
    )
    if draw.random() < 0.3:
        item.content["more"] = 1
    if item.content.get("dev") in log.signers:
        log.sign(item)
    if draw.random() < 0.5:
        log.restamp()
    return log.files()


def body_changed(draw: random.Random, log: Log) -> dict[str, bytes]:
    """Change what a line says of keys and heads, signed as if it were honest."""
    chosen = [item for item in log.items if item.content["type"] != "told"]
    item = draw.choice(chosen)
    body = item.content["body"]
    name = draw.choice(sorted(body))
    body[name] = draw.choice(["", "none", "ed25519", "ecdsa-p256", 1, "00" * 32, [], "tab-7", "é"])
    if draw.random() < 0.3:
        del body[name]
    log.sign(item)
    if draw.random() < 0.5:
        log.rechain(resign=True)
        log.restamp()
    return log.files()


def raw_text(draw: random.Random, log: Log) -> dict[str, bytes]:
    """Write an entry in another spelling than its canonical one."""
    item = log.items[draw.randrange(len(log.items))]
    text = item.raw.decode()
    text = draw.choice(
        [
            text.replace('"v":1', '"v":1.0'),
            text.replace('"v":1', '"v":1,"v":1'),
            text.replace(":", ": ", 1),
            text.replace('"off":0', '"off":null'),
            text.replace('"off":0', '"off":-0'),
            text.replace('"off":0', '"off":1e400'),
            text.replace('"off":0', '"off":9007199254740993'),
            text.replace('"off":0', '"off":NaN'),
            text.replace('"tz":"Eu', '"tz":"\\u0045u'),
            text.replace('"tz":"Eu', '"tz":"\\ud800'),
            text.replace('"tz":"Eu', '"tz":"e\u0301'),
            text.replace('"clk":{', '"clk":{"a":' + "[" * 7 + "]" * 7 + ","),
            text.replace('"clk":{', '"clk":{"\u00e9":1,'),
            text.replace('"clk":{', '"clk":{"__proto__":1,'),
            "[" * 5000,
            text + " ",
            "\ufeff" + text,
            text.replace('"tz":"', '"tz":"' + "x" * 17000),
        ]
    )
    return sealed(log.files() | {bundle.EVENTS: with_entry_text(log, log.items.index(item), text)})


def with_entry_text(log: Log, at: int, text: str) -> bytes:
    lines = []
    for line in log.lines():
        raw = text.encode("utf-8") if line.index == at else line.raw
        lines.append(bundle.events_line(line.index, line.received_at, raw, bytes.fromhex(line.sig)))
    return b"".join(lines)


def older_state(draw: random.Random, log: Log) -> dict[str, bytes]:
    """Put back an older state whole, with a stamp that fits it."""
    kept = draw.randrange(3, len(log.items))
    log.stamps = [log.note(kept)]
    del log.items[kept:]
    return log.files()


def one_kept_back(draw: random.Random, log: Log) -> dict[str, bytes]:
    """Leave out one line and stamp the rest, as whoever holds the log's key can."""
    del log.items[draw.randrange(2, len(log.items))]
    log.stamps = [log.note()]
    return log.files()


def log_key_lost(draw: random.Random, log: Log) -> dict[str, bytes]:
    """Name a new log key without the word of the one before, or with a wrong one."""
    log.log_seeds.append(f"{log.seed}/found/{draw.randrange(10)}")
    item = log.name_log_key()
    if draw.random() < 0.5:
        del item.content["body"]["word"]
    else:
        item.content["body"]["word"] = "ab" * 64
    log.sign(item)
    log.stamp()
    return log.files()


CHANGES: tuple[Callable[[random.Random, Log], dict[str, bytes]], ...] = (
    nothing,
    from_the_table,
    flip_somewhere,
    lines_moved,
    file_gone,
    field_changed,
    body_changed,
    raw_text,
    older_state,
    one_kept_back,
    log_key_lost,
)


def stamps_from_elsewhere(draw: random.Random, log: Log) -> tuple[str, ...]:
    """Give honest, foreign, forged and broken stamps, made before anything was done."""
    found: list[str] = []
    for _ in range(draw.randrange(3)):
        note = log.note(draw.randrange(2, len(log.items) + 1))
        kind = draw.randrange(6)
        if kind == 0:
            note = f"From: somebody\r\n\r\n{note}\n".replace("\n", "\r\n")
        elif kind == 1:
            head = Head(f"lanewater/other/{'0' * 16}/1", 3, bytes(32))
            note = make_stamp(head, key_from(bytes(range(32))))
        elif kind == 2:
            note = note.replace("\n", "\n\n", 1)
        elif kind == 3:
            note = log.note(len(log.items), epoch=draw.randrange(1, 4))
        found.append(note)
    return tuple(found)


@cache
def honest_of(seed: int) -> Log:
    """Give one of the honest records."""
    return honest(random.Random(seed), f"twins-{seed}")  # noqa: S311 - repeatable, no secret


def random_case(seed: int, records: int = 40) -> Found:
    """Give the record of a seed, with what was done to it."""
    draw = random.Random(seed)  # noqa: S311 - repeatable, no secret
    log = honest_of(draw.randrange(records)).copy()
    outside = stamps_from_elsewhere(draw, log)
    change = CHANGES[seed % len(CHANGES)]
    return Found(change(draw, log), outside)
