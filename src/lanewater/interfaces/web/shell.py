"""What a tablet keeps to work without a network: every file with its hash, under one version."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass

LIST = "shell.json"
WORKER = "sw.js"


@dataclass(frozen=True, slots=True)
class Shell:
    """One version of the pages.

    Attributes
    ----------
    version : str
        SHA-256 over what follows, in hex: who knows it can check the list, and by it every file.
    under : str
        A hash of what the files are served under, their policy.
    pages : tuple of str
        The first step of every address that the one page draws, "" for the root.
    files : tuple of (str, str)
        The address and the SHA-256 in hex of every file, by address.
    """

    version: str
    under: str
    pages: tuple[str, ...]
    files: tuple[tuple[str, str], ...]

    def text(self) -> bytes:
        """Write the list for the worker."""
        answer = {
            "version": self.version,
            "under": self.under,
            "pages": self.pages,
            "files": [{"path": path, "sha256": digest} for path, digest in self.files],
        }
        return json.dumps(answer, separators=(",", ":")).encode()


def shell_of(files: Iterable[tuple[str, str]], pages: Iterable[str], policy: str) -> Shell:
    """Put a version together.

    Parameters
    ----------
    files : iterable of (str, str)
        Address and SHA-256 in hex of each file.
    pages : iterable of str
        The first steps of the pages' addresses.
    policy : str
        What the files are served under: a page kept with an old policy is an old page.
    """
    under = hashlib.sha256(policy.encode()).hexdigest()
    listed, drawn = tuple(sorted(files)), tuple(sorted(pages))
    lines = [under, " ".join(drawn), *(f"{digest} {path}" for path, digest in listed)]
    version = hashlib.sha256("".join(f"{line}\n" for line in lines).encode()).hexdigest()
    return Shell(version, under, drawn, listed)


def worker_of(script: bytes, version: str) -> bytes:
    """Write the worker of a version: another version is another script, so browsers notice it."""
    return f'const VERSION = "{version}";\n'.encode() + script
