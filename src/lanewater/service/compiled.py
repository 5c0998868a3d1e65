"""What is made at install, so that a cold start has nothing to compile."""

from __future__ import annotations

import compileall
from pathlib import Path

from lanewater.service.constants import TABLES, load_sets, load_table
from lanewater.service.packs import load_pack, pack_ids
from lanewater.service.translation.generated import write_kernel


def compile_all() -> None:
    """Compile our modules to bytecode, packs and constants to flat forms, the kernel for pages."""
    compileall.compile_dir(Path(__file__).parent.parent, quiet=2)
    for identity in pack_ids():
        load_pack(identity)
    load_sets()
    for name in TABLES:
        load_table(name)
    write_kernel()


if __name__ == "__main__":
    compile_all()
