"""The rules packs on disk: found, compiled once, and noticed when their text has changed."""

from __future__ import annotations

import json
import re
import zlib
from pathlib import Path
from typing import Any

from lanewater.terms.errors import MissingError

FOLDER = Path(__file__).parent.parent / "rules" / "packs"
COMPILED = Path(__file__).parent.parent / "rules" / "compiled"
IDENTITY = re.compile(r"[a-z]{2}(-[a-z0-9]+)*(@\d{4})?|common-practice")
CODE = tuple(
    Path(__file__).parent.parent / "rules" / name
    for name in (
        "pack.py",
        "packconditions.py",
        "packgolden.py",
        "packkeys.py",
        "packparts.py",
        "packrules.py",
        "packtimes.py",
        "procedures.py",
        "layering.py",
    )
)


def pack_ids(folder: Path = FOLDER) -> list[str]:
    """List the ids of all packs, in order."""
    return sorted(path.stem for path in folder.glob("*.toml"))


def text_mark(*texts: bytes) -> str:
    """Give a cheap mark of a pack's texts and of the compiler's, by which staleness is noticed."""
    marks = [f"{zlib.crc32(part):08x}" for part in (*texts, *map(Path.read_bytes, CODE))]
    return f"{len(texts[0])}:{':'.join(marks)}"


def load_pack(identity: str, folder: Path = FOLDER, compiled: Path = COMPILED) -> dict[str, Any]:
    """Load one pack in compiled form, compiling it anew where its text has changed.

    Parameters
    ----------
    identity : str
        Such as "ca-qc" or "common-practice".
    folder, compiled : Path, optional
        Where the texts and the compiled forms lie.

    Returns
    -------
    dict
        Compiled pack with "hash", the SHA-256 of its text.

    Raises
    ------
    MissingError
        Where there is no such pack.
    """
    source = folder / f"{identity}.toml"
    if not IDENTITY.fullmatch(identity) or not source.is_file():
        known = ", ".join(pack_ids(folder))
        raise MissingError(f"rules: {identity!r} is not a rules pack held here; held are {known}")
    text = source.read_bytes()
    found = read_compiled(compiled / f"{identity}.json", text, folder)
    return found if found is not None else compile_source(source, text, compiled)


def read_compiled(path: Path, text: bytes, folder: Path) -> dict[str, Any] | None:
    """Read a compiled pack, or None where it is absent, damaged or of another text."""
    try:
        stored = json.loads(path.read_bytes())
        pack, under = stored["pack"], stored["under"]
        texts = [text, *((folder / f"{identity}.toml").read_bytes() for identity in under)]
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return pack if isinstance(pack, dict) and stored.get("mark") == text_mark(*texts) else None


def compile_source(source: Path, text: bytes, compiled: Path) -> dict[str, Any]:
    """Compile one pack and keep the result; where it cannot be kept, it is still good."""
    # They are needed only where a pack's text is new: the judging path stays light without them.
    from lanewater.rules.pack import compile_raw  # noqa: PLC0415
    from lanewater.service.packs_whole import law_texts, whole_law  # noqa: PLC0415
    from lanewater.service.rules_texts import law_hash  # noqa: PLC0415

    texts = law_texts(source.stem, text, source.parent)
    pack = compile_raw(whole_law(texts))
    if pack["id"] != source.stem:
        raise MissingError(f"rules: {source.name} says that its id is {pack['id']!r}")
    pack["hash"] = law_hash(texts)
    try:
        compiled.mkdir(exist_ok=True)
        fresh = compiled / f".{source.stem}.new"
        under = [part.identity for part in texts[1:]]
        mark = text_mark(*(part.text for part in texts))
        stored = {"mark": mark, "under": under, "pack": pack}
        fresh.write_text(json.dumps(stored), encoding="utf-8")
        fresh.replace(compiled / f"{source.stem}.json")
    except OSError:
        return pack
    return pack
