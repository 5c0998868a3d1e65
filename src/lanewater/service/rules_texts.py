"""The texts of rules that a site judges by, kept by their hash beside its record.

A text is kept as it was when somebody chose or accepted it: what this program holds later cannot
change what a site is judged by. Rules in layers are kept as their texts and a list of their hashes.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from lanewater.rules.layering import SITE_LAYER, overlaid, site_rule_ids
from lanewater.rules.pack import compile_raw
from lanewater.service.flushed import keep_file, make_folder
from lanewater.service.packs_whole import Part, parsed, whole_law
from lanewater.terms.errors import InputError, LanewaterError, MissingError

HASH = re.compile(r"[0-9a-f]{64}")
FOLDER = "rules"


def text_hash(text: bytes) -> str:
    """Give the SHA-256 of a text."""
    return hashlib.sha256(text).hexdigest()


def list_of(parts: Sequence[Part]) -> bytes:
    """Write the list by which layers are kept: whose each is, and its hash."""
    rows = [{"id": part.identity, "sha256": text_hash(part.text)} for part in parts]
    return json.dumps({"layers": rows}, sort_keys=True).encode()


def law_hash(parts: Sequence[Part]) -> str:
    """Give the hash of a pack: of its text, or of the list of its layers."""
    return text_hash(parts[0].text if len(parts) == 1 else list_of(parts))


class Texts:
    """The folder of a site's kept texts."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.known: dict[str, dict[str, Any]] = {}
        self.kept: set[str] = set()

    def put(self, text: bytes) -> str:
        """Keep a text and give its hash; a text that is kept already stays as it is."""
        name = text_hash(text)
        path = self.folder / name
        if not path.is_file() or text_hash(path.read_bytes()) != name:
            make_folder(self.folder)
            with suppress(FileNotFoundError):
                path.unlink()
            keep_file(path, text)
        return name

    def put_law(self, parts: Sequence[Part]) -> str:
        """Keep every text of a pack, and give the pack's hash."""
        for part in parts:
            self.put(part.text)
        if len(parts) > 1:
            self.put(list_of(parts))
        return law_hash(parts)

    def get(self, name: str) -> bytes:
        """Give a kept text.

        Raises
        ------
        MissingError
            Where it is not kept here, or not as it was.
        """
        if not HASH.fullmatch(name):
            raise MissingError("rules: there is no text by that hash")
        try:
            text = (self.folder / name).read_bytes()
        except OSError:
            raise MissingError(
                f"rules: the accepted text {name[:12]} is not in {self.folder}; put it back "
                "from a backup, or accept the rules held here (`lanewater site rules accept`)"
            ) from None
        if text_hash(text) != name:
            raise MissingError(f"rules: {self.folder / name} is not as it was kept")
        return text

    def law(self, name: str) -> dict[str, Any]:
        """Give the parsed text, whole, of kept rules.

        Raises
        ------
        MissingError
            Where a text is not kept here.
        InputError
            Where this version of the program cannot read it.
        """
        text = self.get(name)
        rows = layers_in(text)
        if rows is None:
            return parsed(Part("", text))
        return whole_law([Part(row["id"], self.get(row["sha256"])) for row in rows])

    def compiled(self, name: str) -> dict[str, Any]:
        """Give kept rules in compiled form, with their hash."""
        if name not in self.known:
            law = self.law(name)
            with readable(name):
                self.known[name] = {**compile_raw(law), "hash": name}
        return self.known[name]

    def with_overlays(
        self, base: dict[str, Any], overlays: Sequence[tuple[str, bool]]
    ) -> dict[str, Any]:
        """Put a site's own rules upon compiled rules.

        Parameters
        ----------
        base : dict
            Compiled, of a kept text.
        overlays : sequence of (str, bool)
            The hash of each, and whether a document of the authority stands behind it.
        """
        name = text_hash(json.dumps([base["hash"], *map(list, overlays)]).encode())
        if name not in self.known:
            law, owns = self.law(base["hash"]), self.owns(overlays)
            with readable(name):
                self.known[name] = {**compile_overlaid(law, owns, accepted=len(owns)), "hash": name}
        return self.known[name]

    def owns(self, overlays: Sequence[tuple[str, bool]]) -> list[tuple[dict[str, Any], bool]]:
        """Give the parsed texts of a site's own rules."""
        return [(parsed(Part("", self.get(name))), document) for name, document in overlays]


@contextmanager
def readable(name: str) -> Iterator[None]:
    """Say of an accepted text that this version of the program cannot read it.

    Raises
    ------
    MissingError
        Where it cannot; then nothing is judged by it.
    """
    try:
        yield
    except LanewaterError as error:
        raise MissingError(
            f"rules: the accepted text {name[:12]} cannot be read by this version ({error}); "
            "accept the rules held here (`lanewater site rules accept`)"
        ) from None


def layers_in(text: bytes) -> list[dict[str, str]] | None:
    """Give the layers of a list, None where a text is no list."""
    if not text.startswith(b'{"layers": '):
        return None
    try:
        rows: list[dict[str, str]] = json.loads(text)["layers"]
    except (ValueError, KeyError):
        return None
    return rows


def compile_overlaid(
    base: Mapping[str, Any],
    owns: Sequence[tuple[Mapping[str, Any], bool]],
    *,
    accepted: int = 0,
) -> dict[str, Any]:
    """Compile a law with a site's own rules on it; those without a document serve no coverage.

    Parameters
    ----------
    base : mapping
        The parsed text of the law's pack, whole.
    owns : sequence of (mapping, bool)
        The parsed text of each, and whether a document of the authority stands behind it.
    accepted : int, optional
        How many of them, the first, a named person accepted earlier; see `rules.layering.overlaid`.

    Raises
    ------
    LanewaterError
        Where they do not fit together.
    """
    whole: Mapping[str, Any] = base
    own_ids: set[str] = set()
    for place, (own, document) in enumerate(owns):
        text = {**own, "extends": own.get("extends", "")}
        whole = overlaid(whole, text, document=document, accepted=place < accepted)
        if not document:
            own_ids |= site_rule_ids(own)
    pack = compile_raw(dict(whole))
    for rule in pack["rules"]:
        if rule["id"] in own_ids:
            rule["layer"] = SITE_LAYER
    return pack


def fits(
    base: Mapping[str, Any], owns: Sequence[tuple[Mapping[str, Any], bool]], *, accepted: int
) -> str:
    """Tell why a site's own rules do not fit on a law, "" where they do; see `compile_overlaid`."""
    try:
        compile_overlaid(base, owns, accepted=accepted)
    except (InputError, LanewaterError) as error:
        return str(error)
    return ""
