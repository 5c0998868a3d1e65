"""Examples for whoever writes a reader of the record: made here, kept in docs/reference/vectors.

python -m tests.records.vectors writes them anew.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from tests.contracts.house import ROOT
from tests.records.attacks import Found, edit
from tests.records.log_cases import (
    Log,
    Signer,
    curved,
    edwards,
    leaf_of,
    make_log,
    secret,
    told,
)
from tests.records.proof_cases import Consistency, Inclusion, substituted
from tests.records.tree_cases import Stored
from tests.records.twins import plain as twins_plain

from lanewater.records.signing import key_from, signed_message
from lanewater.records.stamps import handover_word, make_receipt
from lanewater.records.tree import leaf_data, leaf_hash
from lanewater.records.verifying import answer_over_bundle

FOLDER = ROOT / "docs" / "reference" / "vectors"
MOST = 17
BUNDLE_LINES = 12
OUTSIDE_AT = 9


# ---------------------------------------------------------------- the tree


def data_of(index: int) -> bytes:
    return leaf_data(index, f"2026-07-01T08:{index:02}:00.000Z", f"{index:064x}", f"{index:0128x}")


TREE = Stored(leaf_hash(data_of(index)) for index in range(MOST))


def inclusion(index: int, size: int) -> Inclusion:
    path = tuple(TREE.inclusion(index, size))
    return Inclusion(TREE.leaves[index], index, size, path, TREE.root(size))


def consistency(old: int, new: int) -> Consistency:
    path = tuple(TREE.consistency(old, new))
    return Consistency(old, TREE.root(old), new, TREE.root(new), path)


def plain(proof: Inclusion | Consistency) -> dict[str, Any]:
    """Give a proof with its hashes in hexadecimal."""
    fields = {name: getattr(proof, name) for name in proof.__dataclass_fields__}
    return {
        name: [part.hex() for part in value]
        if isinstance(value, tuple)
        else value.hex()
        if isinstance(value, bytes)
        else value
        for name, value in fields.items()
    }


def bad_inclusions() -> dict[str, Inclusion]:
    good = inclusion(4, 7)
    flipped = bytes([good.path[1][0] ^ 1]) + good.path[1][1:]
    return {
        "the index is one more": replace(good, index=5),
        "the index is one less": replace(good, index=3),
        "the index is the size": replace(good, index=7),
        "another leaf": replace(good, leaf=TREE.leaves[5]),
        "a branch for a leaf": replace(
            inclusion(2, 4), leaf=TREE.nodes[1, 1], path=inclusion(2, 4).path[1:]
        ),
        "another head": replace(good, root=TREE.root(6)),
        "a hash is missing": replace(good, path=good.path[:-1]),
        "a hash too many": replace(good, path=(*good.path, TREE.leaves[0])),
        "two hashes are swapped": replace(good, path=(good.path[1], good.path[0], *good.path[2:])),
        "a bit is flipped": replace(good, path=(good.path[0], flipped, *good.path[2:])),
        "a hash is cut short": replace(good, path=(good.path[0][:31], *good.path[1:])),
        "the tree is empty": Inclusion(TREE.leaves[0], 0, 0, (), TREE.root(0)),
    }


def bad_consistencies() -> dict[str, Consistency]:
    good = consistency(5, 7)
    return {
        "a line in the middle is another": substituted(2, 5, 7),
        "the old head is another": replace(good, old_root=TREE.root(4)),
        "the new head is another": replace(good, new_root=TREE.root(6)),
        "the old size is another": replace(good, old=6),
        "a hash is missing": replace(good, path=good.path[1:]),
        "a hash too many": replace(good, path=(*good.path, TREE.leaves[0])),
        "the new one is smaller": replace(good, old=7, new=5),
        "equal sizes, other heads": Consistency(5, TREE.root(5), 5, TREE.root(4), ()),
        "equal sizes and a hash": Consistency(5, TREE.root(5), 5, TREE.root(5), (TREE.leaves[0],)),
        "the empty tree and a hash": Consistency(0, TREE.root(0), 5, TREE.root(5), (TREE.root(5),)),
        "nothing proves anything": replace(good, path=()),
    }


def tree_vectors() -> dict[str, Any]:
    return {
        "leaf_data": [data_of(index).decode() for index in range(MOST)],
        "leaf_hashes": [leaf.hex() for leaf in TREE.leaves],
        "heads": [TREE.root(size).hex() for size in range(MOST + 1)],
        "inclusion": [
            plain(inclusion(index, size)) for size in (1, 2, 3, 7, 8, 17) for index in range(size)
        ],
        "consistency": [
            plain(consistency(old, new)) for new in (1, 4, 7, 8, 17) for old in range(new + 1)
        ],
        "bad_inclusion": {name: plain(proof) for name, proof in bad_inclusions().items()},
        "bad_consistency": {name: plain(proof) for name, proof in bad_consistencies().items()},
    }


# ---------------------------------------------------------------- entries and signatures


def small() -> Log:
    return make_log(6, "vectors", every=3)


def bad_texts(text: str) -> dict[str, str]:
    """Give texts that say nearly the same as an entry and are none."""
    changes: dict[str, Callable[[str], str]] = {
        "a blank": lambda text: text.replace(":", ": ", 1),
        "a blank behind": lambda text: text + " ",
        "a name twice": lambda text: text.replace('"v":1', '"v":1,"v":1'),
        "another order": lambda text: '{"v":1,' + text[1:].replace(',"v":1', ""),
        "a fraction": lambda text: text.replace('"off":0', '"off":0.5'),
        "a whole number as a fraction": lambda text: text.replace('"off":0', '"off":0.0'),
        "minus nothing": lambda text: text.replace('"off":0', '"off":-0'),
        "beyond 2^53 - 1": lambda text: text.replace('"off":0', '"off":9007199254740992'),
        "null": lambda text: text.replace('"off":0', '"off":null'),
        "not in normal form C": lambda text: text.replace('"tz":"', '"tz":"e\u0301'),
        "half a character": lambda text: text.replace('"tz":"', '"tz":"\\ud800'),
        "an escape that is none": lambda text: text.replace('"tz":"E', '"tz":"\\u0045'),
        "nested seven deep": lambda text: text.replace('"clk":{', '"clk":{"a":[[[[[]]]]],'),
        "a name that is not ASCII": lambda text: text.replace('"clk":{', '"clk":{"\u00e9":1,'),
        "a field more": lambda text: text.replace('"v":1', '"v":1,"w":1'),
        "a field less": lambda text: text.replace('"off":0,', ""),
        "another version": lambda text: text.replace('"v":1', '"v":2'),
        "no time": lambda text: text.replace('"at":"2026-07', '"at":"2026-13'),
        "a size below nothing": lambda text: text.replace('"size":', '"size":-'),
        "no object": lambda _text: "[]",
        "nothing": lambda _text: "",
    }
    return {name: change(text) for name, change in changes.items()}


def entry_vectors() -> dict[str, Any]:
    log = small()
    odd = told(1) | {"note": 'é ≥ "quoted" \\ \u2028 \U0001f3ca\n\t\x7f'}
    log.add(log.server, "told", odd, reason="for its letters")
    log.add(log.server, "a-type-of-tomorrow", {"anything": [1, True, "x"]})
    return {
        "good": [item.raw.decode() for item in log.items],
        "bad": bad_texts(log.items[5].raw.decode()),
    }


def signed(signer: Signer, raw: bytes) -> dict[str, Any]:
    good = signer.sign(signed_message(raw))
    flipped = good[:10] + bytes([good[10] ^ 4]) + good[11:]
    return {
        "algorithm": signer.algorithm,
        "public_key": signer.public_key,
        "device": signer.device,
        "entry": raw.decode(),
        "sig": good.hex(),
        "bad": {
            "a bit is flipped": flipped.hex(),
            "without the prefix": signer.sign(raw).hex(),
            "cut short": good[:63].hex(),
            "nothing but zeros": bytes(64).hex(),
        },
    }


def signature_vectors() -> dict[str, Any]:
    log = small()
    raw = log.items[5].raw
    key, after = key_from(secret("vectors/log-key/1")), key_from(secret("vectors/log-key/2"))
    item = log.items[4]
    receipt = make_receipt(
        key,
        {
            "origin": log.note().split("\n")[0],
            "index": 4,
            "leaf": leaf_of(4, item.received_at, item.raw, item.sig).hex(),
            "id": item.content["id"],
            "received_at": item.received_at,
        },
    )
    note = log.note()
    return {
        "entries": [signed(edwards("vectors/a"), raw), signed(curved("vectors/b"), raw)],
        "log_key": key.public_hex,
        "stamp": note,
        "bad_stamps": {
            "another size": note.replace("\n6\n", "\n7\n"),
            "a leading zero": note.replace("\n6\n", "\n06\n"),
            "another epoch": note.replace("/1\n", "/2\n"),
            "no last line feed": note[:-1],
            "a hyphen for the dash": note.replace("— ", "- "),
            "carriage returns": note.replace("\n", "\r\n"),
        },
        "receipt": receipt,
        "bad_receipts": {
            "another place": receipt | {"index": 5},
            "another time": receipt | {"received_at": "2026-07-01T08:04:31.000Z"},
        },
        "handover": {
            "public_key": after.public_hex,
            "replaces": key.public_hex,
            "word": handover_word(key, after.public_hex),
            "bad_word": handover_word(after, after.public_hex),
        },
    }


# ---------------------------------------------------------------- whole bundles


def rotated_and_restored() -> Log:
    """Give a record with a revoked tablet, a new log key and a restore."""
    log = make_log(BUNDLE_LINES, "vectors", every=4)
    gone = next(dev for dev in log.signers if dev != log.server)
    log.add(log.server, "device-revoked", {"device": gone})
    log.log_seeds.append("vectors/log-key/2")
    log.name_log_key()
    log.stamp()
    size = len(log.items)
    root = log.tree().root(size).hex()
    body = {"size": size, "root": root, "held_size": size + 3, "held_root": "ab" * 32}
    log.add(log.server, "record-restored", body)
    log.epoch += 1
    log.stamp()
    return log


def bundle_cases() -> dict[str, Found]:
    """Give whole records, good and attacked; a stamp of line 9 was held elsewhere."""
    honest = make_log(BUNDLE_LINES, "vectors", every=4)
    outside = (honest.note(OUTSIDE_AT),)
    cases = {
        "good": Found(honest.files(), outside),
        "good, without a stamp from elsewhere": Found(honest.files(), ()),
        "revoked, rotated and restored": Found(rotated_and_restored().files(), ()),
        "a stamp from elsewhere that cannot be read": Found(honest.files(), (outside[0][:-20],)),
    }
    for name, attack in ATTACKS.items():
        log = honest.copy()
        attack(log)
        cases[name] = Found(log.files(), outside)
    return cases


def edited(log: Log) -> None:
    edit(log, 5)


def edited_and_chained(log: Log) -> None:
    edit(log, 5)
    log.rechain(resign=False)


def deleted_and_chained(log: Log) -> None:
    del log.items[5]
    log.rechain(resign=False)


def swapped(log: Log) -> None:
    log.items[5], log.items[6] = log.items[6], log.items[5]


def last_dropped(log: Log) -> None:
    del log.items[-2:]


def put_back(log: Log) -> None:
    del log.items[8:]
    del log.stamps[1:]


def rebuilt(log: Log) -> None:
    edit(log, 5)
    log.rechain(resign=True)
    log.restamp()


def kept_back(log: Log) -> None:
    del log.items[9]
    log.stamps = [log.note()]


def uncovered(log: Log) -> None:
    log.stamps.pop()


ATTACKS: dict[str, Callable[[Log], None]] = {
    "line 6 edited": edited,
    "line 6 edited and all hashes made to fit": edited_and_chained,
    "line 6 deleted and all hashes made to fit": deleted_and_chained,
    "lines 6 and 7 swapped": swapped,
    "the last two lines dropped": last_dropped,
    "put back to line 8 with its own stamps": put_back,
    "line 6 edited with every key": rebuilt,
    "line 10 kept back and the rest stamped": kept_back,
    "four lines under no stamp": uncovered,
}


def bundle_vectors() -> list[dict[str, Any]]:
    return [
        {
            "name": name,
            "files": {file: content.decode() for file, content in sorted(found.files.items())},
            "outside": list(found.outside),
            "answer": twins_plain(answer_over_bundle(found.files, found.outside).fields()),
        }
        for name, found in bundle_cases().items()
    ]


VECTORS: dict[str, Callable[[], Any]] = {
    "tree.json": tree_vectors,
    "entries.json": entry_vectors,
    "signatures.json": signature_vectors,
    "bundles.json": bundle_vectors,
}


def written(made: Any) -> str:
    return json.dumps(made, ensure_ascii=True, indent=1) + "\n"


def write_all(folder: Path = FOLDER) -> None:
    folder.mkdir(exist_ok=True)
    for name, make in VECTORS.items():
        (folder / name).write_text(written(make()), encoding="utf-8")


if __name__ == "__main__":
    write_all()
