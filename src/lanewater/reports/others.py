"""Lines of the record that are about the site and not about one pool's day."""

from __future__ import annotations

from lanewater.reports.pieces import Pieces
from lanewater.reports.sheet import Line, Row
from lanewater.reports.words import sentence

OTHERS = {
    "site-set-up": "site set up",
    "rules-chosen": "rules chosen",
    "rules-accepted": "newer rules accepted",
    "rules-overlay-added": "site's own rules added",
    "rules-overlay-ended": "site's own rules ended",
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
    "standing-authority-given": "standing permission to open given",
    "standing-authority-ended": "standing permission to open ended",
    "handover-acknowledged": "handover read and taken over",
    "matrix-set": "who decides changed",
    "duty-set-up": "duty set up",
    "closed-days-set": "closed days set",
}
ABOUT = (
    "name",
    "rules",
    "pool",
    "overlay",
    "kit",
    "reagent",
    "product",
    "person",
    "device",
    "size",
    "whom",
)
OF_AUTHORITY = ("authority", "from", "until")


def other_row(pieces: Pieces, line: Line) -> Row:
    """Say what was set up or changed, in a few words."""
    body = line.entry.body
    said = [f"{key} {body[key]}" for key in ABOUT if isinstance(body.get(key), str | int)]
    if line.entry.type.startswith("standing-authority"):
        said += [f"{key} {body[key]}" for key in OF_AUTHORITY if key in body]
        said += [f"pools {', '.join(body['pools'])}"] if "pools" in body else []
    if line.entry.type == "closed-days-set":
        said += [row["day"] for row in body["days"]] or ["none"]
    if line.entry.type == "matrix-set":
        said += ["{decision}, {role}: {answer}".format(**row) for row in body["rows"]]
    if "telephone_authority" in body:
        allowed = "allowed" if body["telephone_authority"] else "not allowed"
        said.append(f"opening by telephone {allowed}")
    if line.entry.rules:
        said.append(line.entry.rules["edition"])
    reason = f" ({line.entry.reason})" if line.entry.reason else ""
    return pieces.row(
        "other", line, text=f"{sentence(OTHERS[line.entry.type], ', '.join(said))}{reason}"
    )
