"""Where compiled code is kept: a folder a hash of everything that it was made of.

Numba compiles anew where the file of a function changes, and does not notice where a constant or a
function in another file does. Here all of them are one file, and its folder is named by its hash.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import platform
import sys
from importlib.metadata import version
from pathlib import Path
from types import ModuleType

from lanewater.terms.errors import MissingError

WRITTEN = "water.py"
# Compiled code is run as it is found, so nobody else may write it.
PRIVATE = 0o700


def user_cache() -> Path:
    """Give the user's own folder for what can be made again."""
    base = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    return (Path(base) if base else Path.home() / ".cache") / "lanewater" / "fleet"


def mark_of(text: str) -> str:
    """Give the hash of a module's text and of what compiles it."""
    with_what = f"{version('numba')} {platform.python_version()} {platform.machine()}"
    return hashlib.sha256(f"{with_what}\n{text}".encode()).hexdigest()[:24]


def kept_module(text: str, cache: Path | None) -> ModuleType:
    """Give a module of this text, out of its folder in the cache.

    Parameters
    ----------
    text : str
        The whole module.
    cache : Path or None
        The folder of folders; the user's own where None.

    Raises
    ------
    MissingError
        Where Numba is not installed, or nothing can be written.
    """
    if importlib.util.find_spec("numba") is None:
        raise MissingError('numba is not installed; `pip install "lanewater[fleet]"` brings it')
    mark = mark_of(text)
    name = f"lanewater_fleet_{mark}"
    if name in sys.modules:
        return sys.modules[name]
    path = written(text, (cache or user_cache()) / mark)
    spec = importlib.util.spec_from_file_location(name, path)
    if spec is None or spec.loader is None:
        raise MissingError(f"{path} cannot be loaded")
    module = importlib.util.module_from_spec(spec)
    # Numba finds a kept function's globals again by the module's name.
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


def written(text: str, folder: Path) -> Path:
    """Write a module's text into its folder where it does not stand there already."""
    path = folder / WRITTEN
    try:
        folder.mkdir(mode=PRIVATE, parents=True, exist_ok=True)
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            fresh = path.with_suffix(f".{os.getpid()}.new")
            fresh.write_text(text, encoding="utf-8")
            fresh.replace(path)
    except OSError as error:
        raise MissingError(f"{path} cannot be written: {error.strerror}") from None
    return path
