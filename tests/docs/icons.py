"""Draw our mark as the PNGs that a tablet's home screen wants.

python -m tests.docs.icons
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable

from tests.contracts.house import SOURCE

FOLDER = SOURCE / "interfaces" / "web" / "static" / "icon"
PAPER, INK, RED = (0xF6, 0xF3, 0xEA), (0x15, 0x18, 0x1B), (0xA5, 0x28, 0x1B)
BOX = 64.0
# Each pixel is the mean of so many points by so many.
POINTS = 3
# Name: size in pixels, and which part of it the mark takes.
ICONS = {"mark-192.png": (192, 1.0), "mark-512.png": (512, 1.0), "mask-512.png": (512, 0.62)} | {
    "apple-180.png": (180, 0.86)
}

Colour = tuple[int, int, int]
Inside = Callable[[float, float], bool]


def bar(x: float, y: float, width: float, height: float, round_by: float = 0.0) -> Inside:
    """Give a bar with rounded corners."""

    def inside(px: float, py: float) -> bool:
        dx = max(x + round_by - px, px - (x + width - round_by), 0.0)
        dy = max(y + round_by - py, py - (y + height - round_by), 0.0)
        if round_by == 0.0:
            return dx == dy == 0.0
        return dx * dx + dy * dy <= round_by * round_by

    return inside


# The numbers of mark.svg; the cord runs on to the edge of the picture.
SHAPES: tuple[tuple[Inside, Colour], ...] = (
    (bar(2, 10, 6, 44), INK),
    (bar(5, 30, 200, 4), INK),
    (bar(15, 16, 9, 32, 4), INK),
    (bar(28, 15, 11, 34, 5), INK),
    (bar(30, 17, 7, 30, 3), RED),
    (bar(43, 16, 9, 32, 4), INK),
)


def colour_at(x: float, y: float) -> Colour:
    """Give the colour of one point of the box."""
    found = PAPER
    for inside, colour in SHAPES:
        if inside(x, y):
            found = colour
    return found


def rows_of(size: int, share: float) -> list[bytes]:
    """Draw the mark, row by row, three bytes a pixel."""
    scale = BOX / (size * share)
    margin = size * (1 - share) / 2
    steps = [(step + 0.5) / POINTS for step in range(POINTS)]
    rows = []
    for row in range(size):
        line = bytearray()
        for column in range(size):
            points = [
                colour_at((column + dx - margin) * scale, (row + dy - margin) * scale)
                for dy in steps
                for dx in steps
            ]
            line += bytes(
                round(sum(channel) / len(points)) for channel in zip(*points, strict=True)
            )
        rows.append(bytes(line))
    return rows


def chunk(kind: bytes, content: bytes) -> bytes:
    """Write one part of a PNG."""
    body = kind + content
    return struct.pack(">I", len(content)) + body + struct.pack(">I", zlib.crc32(body))


def png(rows: list[bytes]) -> bytes:
    """Write rows of pixels as a PNG."""
    head = struct.pack(">IIBBBBB", len(rows[0]) // 3, len(rows), 8, 2, 0, 0, 0)
    packed = zlib.compress(b"".join(b"\0" + row for row in rows), 9)
    mark = b"\x89PNG\r\n\x1a\n"
    return mark + chunk(b"IHDR", head) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, (size, share) in ICONS.items():
        (FOLDER / name).write_bytes(png(rows_of(size, share)))
