"""What is made at install: rules packs in compiled form, and the kernel for the browser."""

from __future__ import annotations

from lanewater.service.packs import load_pack, pack_ids


def compile_all() -> None:
    """Compile every pack whose text has changed since it was last compiled."""
    for identity in pack_ids():
        load_pack(identity)


if __name__ == "__main__":
    compile_all()
