"""The tables of the record as they are now, and the guards that keep the log append-only."""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, LargeBinary, MetaData, Table, Text

REVISION = "0003"

metadata = MetaData()

entry = Table(
    "entry",
    metadata,
    Column("seq", BigInteger, primary_key=True),
    Column("site", Text, nullable=False),
    Column("log_index", BigInteger, nullable=False),
    Column("id", Text, nullable=False, unique=True),
    Column("dev", Text, nullable=False),
    Column("dseq", BigInteger, nullable=False),
    Column("type", Text, nullable=False),
    Column("received_at", Text, nullable=False),
    Column("hash", Text, nullable=False),
    Column("bytes", LargeBinary, nullable=False),
    Column("sig", LargeBinary, nullable=False),
)
tree_node = Table(
    "tree_node",
    metadata,
    Column("site", Text, primary_key=True),
    Column("level", BigInteger, primary_key=True),
    Column("position", BigInteger, primary_key=True),
    Column("hash", LargeBinary, nullable=False),
)
# Where each line is found: by when it is claimed, by its pool, by what it adds something to. Worked
# out of the entries, so it may be made anew at any time.
claimed = Table(
    "claimed",
    metadata,
    Column("site", Text, primary_key=True),
    Column("at_ms", BigInteger, primary_key=True),
    Column("log_index", BigInteger, primary_key=True),
    Column("stands_ms", BigInteger, nullable=False),
    Column("type", Text, nullable=False),
    Column("pool", Text, nullable=False),
    Column("about", Text, nullable=False),
)
# The folded state without its rounds, so that a book need not read ten years to open. Nothing is
# proved by it: without it the whole record is folded again.
resting = Table(
    "resting",
    metadata,
    Column("site", Text, primary_key=True),
    Column("log_index", BigInteger, primary_key=True),
    Column("form", Text, nullable=False),
    Column("kept", LargeBinary, nullable=False),
    Column("dev", Text, nullable=False),
    Column("sig", LargeBinary, nullable=False),
)
stamp = Table(
    "stamp",
    metadata,
    Column("site", Text, primary_key=True),
    Column("size", BigInteger, primary_key=True),
    Column("root", LargeBinary, nullable=False),
    Column("text", Text, nullable=False),
    Column("made_at", Text, nullable=False),
)
# What was refused and may be needed as proof of why: another entry under a known id, and the like.
evidence = Table(
    "evidence",
    metadata,
    Column("seq", BigInteger, primary_key=True),
    Column("received_at", Text, nullable=False),
    Column("dev", Text, nullable=False),
    Column("why", Text, nullable=False),
    Column("bytes", LargeBinary, nullable=False),
    Column("sig", LargeBinary, nullable=False),
)
person = Table(
    "person",
    metadata,
    Column("id", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("initials", Text, nullable=False),
    Column("phone", Text, nullable=False),
    Column("pin_hash", Text, nullable=False),
)
pin_failure = Table(
    "pin_failure",
    metadata,
    Column("device", Text, primary_key=True),
    Column("person", Text, primary_key=True),
    Column("count", BigInteger, nullable=False),
)
pin_before = Table(
    "pin_before",
    metadata,
    Column("person", Text, primary_key=True),
    Column("tag", Text, primary_key=True),
    Column("until_ms", BigInteger, nullable=False),
)
contact = Table(
    "contact",
    metadata,
    Column("id", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("phone", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("note", Text, nullable=False),
)
device = Table(
    "device",
    metadata,
    Column("id", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("token_hash", Text, nullable=False, unique=True),
    Column("enrolled_ms", BigInteger, nullable=False),
)
session = Table(
    "session",
    metadata,
    Column("token_hash", Text, primary_key=True),
    Column("device", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("started_ms", BigInteger, nullable=False),
    Column("used_ms", BigInteger, nullable=False),
)
first_key = Table(
    "first_key",
    metadata,
    Column("key_hash", Text, primary_key=True),
    Column("made_ms", BigInteger, nullable=False),
    Column("used_ms", BigInteger, nullable=False),
)

inspection_link = Table(
    "inspection_link",
    metadata,
    Column("token_hash", Text, primary_key=True),
    Column("since", Text, nullable=False),
    Column("until", Text, nullable=False),
    Column("expires_ms", BigInteger, nullable=False),
    Column("made_by", Text, nullable=False),
    Column("made_ms", BigInteger, nullable=False),
    Column("ended_ms", BigInteger, nullable=False),
)

# Only grown, never changed: the entries and what is computed from them or kept beside as proof.
GROWN = {
    "entry": "the record",
    "tree_node": "the tree of the record",
    "stamp": "the list of stamps",
    "evidence": "what was refused",
}


def never(name: str, event: str, said: str) -> str:
    """Write the guard that refuses one kind of change to a table."""
    verb = {"UPDATE": "changed", "DELETE": "deleted"}[event]
    return (
        f"CREATE TRIGGER {name}_is_never_{verb} BEFORE {event} ON {name} "
        f"BEGIN SELECT RAISE(ABORT, '{said}'); END"
    )


def once(name: str, known: str) -> str:
    """Write the guard against INSERT OR REPLACE, which deletes without a word."""
    there = f"EXISTS (SELECT 1 FROM {name} WHERE {known})"  # noqa: S608 - names of our own
    return (
        f"CREATE TRIGGER {name}_is_written_once BEFORE INSERT ON {name} WHEN {there} "
        f"BEGIN SELECT RAISE(ABORT, '{GROWN[name]} is written once'); END"
    )


# Dropped in silence by a table rebuild, so every migration ends by making them again.
GUARDS = {
    f"{name}_is_never_{verb}": never(name, event, f"{said} refuses to {word}")
    for name, said in GROWN.items()
    for event, verb, word in (("UPDATE", "changed", "change"), ("DELETE", "deleted", "forget"))
} | {
    # A row may only go to the very end.
    "entry_goes_to_the_end": (
        "CREATE TRIGGER entry_goes_to_the_end BEFORE INSERT ON entry WHEN "
        "NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM entry) "
        "OR NEW.log_index IS NOT "
        "(SELECT coalesce(max(log_index) + 1, 0) FROM entry WHERE site = NEW.site) "
        "OR NEW.dseq IS NOT (SELECT coalesce(max(dseq), 0) + 1 FROM entry WHERE dev = NEW.dev) "
        "OR EXISTS (SELECT 1 FROM entry WHERE id = NEW.id) "
        "BEGIN SELECT RAISE(ABORT, 'an entry goes to the end of the record or nowhere'); END"
    ),
    "tree_node_is_written_once": once(
        "tree_node", "site = NEW.site AND level = NEW.level AND position = NEW.position"
    ),
    "stamp_is_written_once": once("stamp", "site = NEW.site AND size = NEW.size"),
    "evidence_is_written_once": once("evidence", "seq = NEW.seq"),
}
