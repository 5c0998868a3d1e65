"""Lines of the record that are about the site and not about one pool's day."""

from __future__ import annotations

from lanewater.reports.pieces import Pieces
from lanewater.reports.sheet import Line, Row
from lanewater.reports.words import sentence

OTHERS = {
    "site-set-up": "site set up",
    "rules-chosen": "rules chosen",
    "pool-set-up": "pool set up",
    "circuit-set-up": "filter set up",
    "kit-registered": "kit registered",
    "reagent-registered": "reagent registered",
    "product-registered": "product registered",
    "person-added": "person added",
    "person-changed": "person changed",
    "person-forgotten": "person's name erased",
    "device-enrolled": "device enrolled",
    "device-revoked": "device revoked",
    "log-key-named": "key of the record named",
    "record-restored": "record restored from an older state",
    "record-exported": "record exported",
    "backup-made": "backup made",
    "stamp-sent": "stamp sent",
    "inspection-link-made": "inspection link made",
}
ABOUT = ("name", "rules", "pool", "kit", "reagent", "product", "person", "device", "size", "whom")


def other_row(pieces: Pieces, line: Line) -> Row:
    """Say what was set up or changed, in a few words."""
    body = line.entry.body
    said = [f"{key} {body[key]}" for key in ABOUT if isinstance(body.get(key), str | int)]
    if line.entry.rules:
        said.append(line.entry.rules["edition"])
    reason = f" ({line.entry.reason})" if line.entry.reason else ""
    return pieces.row(
        "other", line, text=f"{sentence(OTHERS[line.entry.type], ', '.join(said))}{reason}"
    )
