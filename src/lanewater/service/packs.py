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
    for name in ("pack.py", "packkeys.py", "procedures.py")
)


def pack_ids(folder: Path = FOLDER) -> list[str]:
    """List the ids of all packs, in order."""
    return sorted(path.stem for path in folder.glob("*.toml"))


def text_mark(text: bytes) -> str:
    """Give a cheap mark of a pack's text and of the compiler's, by which staleness is noticed."""
    marks = [f"{zlib.crc32(part):08x}" for part in (text, *map(Path.read_bytes, CODE))]
    return f"{len(text)}:{':'.join(marks)}"


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
    found = read_compiled(compiled / f"{identity}.json", text_mark(text))
    return found if found is not None else compile_source(source, text, compiled)


def read_compiled(path: Path, mark: str) -> dict[str, Any] | None:
    """Read a compiled pack, or None where it is absent, damaged or of another text."""
    try:
        stored = json.loads(path.read_bytes())
    except (OSError, ValueError):
        return None
    if not isinstance(stored, dict) or stored.get("mark") != mark:
        return None
    pack = stored.get("pack")
    return pack if isinstance(pack, dict) else None


def compile_source(source: Path, text: bytes, compiled: Path) -> dict[str, Any]:
    """Compile one pack and keep the result; where it cannot be kept, it is still good."""
    # Both are needed only where a pack's text is new: the judging path stays light without them.
    import hashlib  # noqa: PLC0415

    from lanewater.rules.pack import compile_pack  # noqa: PLC0415

    pack = compile_pack(text.decode("utf-8"))
    if pack["id"] != source.stem:
        raise MissingError(f"rules: {source.name} says that its id is {pack['id']!r}")
    pack["hash"] = hashlib.sha256(text).hexdigest()
    try:
        compiled.mkdir(exist_ok=True)
        fresh = compiled / f".{source.stem}.new"
        fresh.write_text(json.dumps({"mark": text_mark(text), "pack": pack}), encoding="utf-8")
        fresh.replace(compiled / f"{source.stem}.json")
    except OSError:
        return pack
    return pack
