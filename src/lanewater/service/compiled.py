"""What is made at install, so that a cold start has nothing to compile."""

from __future__ import annotations

import compileall
from pathlib import Path

from lanewater.service.packs import load_pack, pack_ids


def compile_all() -> None:
    """Compile our own modules to bytecode and every rules pack to its flat form."""
    compileall.compile_dir(Path(__file__).parent.parent, quiet=2)
    for identity in pack_ids():
        load_pack(identity)


if __name__ == "__main__":
    compile_all()
