"""The published examples are what the code makes, and both programs read them as they say."""

from __future__ import annotations

import json
from typing import Any

import pytest
from tests.records.proof_cases import Consistency, Inclusion
from tests.records.twins import plain, standing_alone
from tests.records.vectors import FOLDER, VECTORS, written

from lanewater.records.signing import SignatureError, check_signature, device_of
from lanewater.records.stamps import (
    handover_holds,
    read_stamp,
    receipt_holds,
    stamp_holds,
)
from lanewater.records.tree import leaf_hash
from lanewater.records.verify_lines import entry_of
from lanewater.records.verifying import answer_over_bundle
from lanewater.terms.errors import InputError

ALONE = standing_alone()


def vectors(name: str) -> Any:
    return json.loads((FOLDER / name).read_text(encoding="utf-8"))


TREE, ENTRIES, SIGNATURES, BUNDLES = map(vectors, VECTORS)


@pytest.mark.parametrize("name", VECTORS)
def test_the_file_is_what_the_script_makes(name: str) -> None:
    made = written(VECTORS[name]())
    assert (FOLDER / name).read_text(encoding="utf-8") == made, "python -m tests.records.vectors"


def test_no_other_file_lies_beside_them() -> None:
    assert sorted(path.name for path in FOLDER.iterdir()) == sorted(VECTORS)


def proof(kind: Any, told: dict[str, Any]) -> Any:
    fields = {
        name: tuple(bytes.fromhex(part) for part in value)
        if isinstance(value, list)
        else bytes.fromhex(value)
        if isinstance(value, str)
        else value
        for name, value in told.items()
    }
    return kind(**fields)


def test_the_tree_is_the_one_of_both_programs() -> None:
    tree = ALONE.Tree()
    heads = [tree.head(0)]
    for data, leaf in zip(TREE["leaf_data"], TREE["leaf_hashes"], strict=True):
        assert leaf_hash(data.encode()).hex() == leaf
        tree.add(data.encode())
        heads.append(tree.head(tree.size))
    assert heads == TREE["heads"]


@pytest.mark.parametrize(("kind", "made"), [("inclusion", Inclusion), ("consistency", Consistency)])
def test_good_proofs_hold_and_bad_ones_do_not(kind: str, made: Any) -> None:
    for told in TREE[kind]:
        assert proof(made, told).holds()
    for name, told in TREE[f"bad_{kind}"].items():
        assert not proof(made, told).holds(), name
        assert not proof(made, told).by_definition(), name


def test_good_texts_are_entries_and_bad_ones_are_not() -> None:
    for text in ENTRIES["good"]:
        assert entry_of(text.encode()) is not None
        assert ALONE.read_entry(text.encode()) is not None
    for name, text in ENTRIES["bad"].items():
        assert entry_of(text.encode()) is None, name
        assert ALONE.read_entry(text.encode()) is None, name


def test_every_bad_text_differs_from_the_good_one_it_was_made_of() -> None:
    assert ENTRIES["good"][5] not in ENTRIES["bad"].values()
    assert len(set(ENTRIES["bad"].values())) == len(ENTRIES["bad"])


@pytest.mark.parametrize("told", SIGNATURES["entries"], ids=lambda told: told["algorithm"])
def test_good_signatures_fit_and_bad_ones_do_not(told: dict[str, Any]) -> None:
    raw = told["entry"].encode()
    assert device_of(told["public_key"]) == told["device"]
    check_signature(told["algorithm"], told["public_key"], raw, bytes.fromhex(told["sig"]))
    for bad in told["bad"].values():
        with pytest.raises(SignatureError):
            check_signature(told["algorithm"], told["public_key"], raw, bytes.fromhex(bad))


def test_the_stamp_the_receipt_and_the_handover_hold_and_bad_ones_do_not() -> None:
    key = SIGNATURES["log_key"]
    stamp = read_stamp(SIGNATURES["stamp"])
    assert stamp_holds(stamp, key, stamp.head.name)
    for name, text in SIGNATURES["bad_stamps"].items():
        try:
            read = read_stamp(text)
        except InputError:
            continue
        assert not stamp_holds(read, key, read.head.name), name
    assert receipt_holds(SIGNATURES["receipt"], key)
    assert not any(receipt_holds(bad, key) for bad in SIGNATURES["bad_receipts"].values())
    handover = SIGNATURES["handover"]
    assert handover_holds(handover["word"], handover["replaces"], handover["public_key"])
    assert not handover_holds(handover["bad_word"], handover["replaces"], handover["public_key"])


@pytest.mark.parametrize("told", BUNDLES, ids=lambda told: told["name"])
def test_both_programs_answer_for_each_bundle_as_it_says(told: dict[str, Any]) -> None:
    files = {name: text.encode() for name, text in told["files"].items()}
    assert plain(answer_over_bundle(files, told["outside"]).fields()) == told["answer"]
    assert plain(ALONE.verify(files, told["outside"])) == told["answer"]


def test_the_bundles_show_every_outcome_but_two() -> None:
    outcomes = {told["answer"]["outcome"] for told in BUNDLES}
    assert outcomes == {
        "complete",
        "changed",
        "missing",
        "rolled-back",
        "device-gap",
        "not-checked",
    }
