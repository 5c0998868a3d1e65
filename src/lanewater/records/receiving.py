"""What is taken from a device that signs for itself, and what is refused: rules without a store.

Nothing is dropped in silence. A refusal names its cause by a word of `CAUSES`, says whether sending
the same bytes again can help, and whether what was sent is kept as evidence.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from lanewater.records.entries import MOST_BYTES, Entry, digest, parse
from lanewater.records.signing import SIGNATURE_BYTES, SignatureError, check_signature
from lanewater.terms.errors import InputError

MOST_AT_ONCE = 200

# What a device may say by itself: facts, whoever says them; and what takes the PIN of somebody on
# the list, checked by the device. Whatever else there is, or comes to be, it may not.
FACTS = (
    "round-recorded",
    "reading-corrected",
    "everyone-out",
    "told",
    "addition-answered",
    "incident-started",
    "incident-step-done",
    "incident-noted",
    "authority-notified",
    "notice-posted",
    "deadline-met",
    "duty-done",
    "event-noted",
)
BY_PIN = (
    "pool-opened",
    "pool-closed",
    "house-stop-ended",
    "opening-settled",
    "opening-confirmed",
    "closure-lifted",
    "incident-route-chosen",
    "incident-ended",
    "addition-started",
    "advice-given",
    "handover-acknowledged",
)
SENDABLE = FACTS + BY_PIN
PIN = "pin"
METHODS = ("pin", "none", "device")
UNLISTED = "unlisted"


@dataclass(frozen=True, slots=True)
class Cause:
    """Why an entry is refused.

    Attributes
    ----------
    words : str
        For people.
    again : bool
        Whether the same bytes may be taken later; else they never will be.
    kept : bool
        Whether what was sent is kept as evidence.
    """

    words: str
    again: bool = False
    kept: bool = True


CAUSES: dict[str, Cause] = {
    "not-an-entry": Cause("is not an entry in its one canonical form", kept=False),
    "no-key": Cause("this device has no key on record; enrol it again with one", kept=False),
    "other-device": Cause("names another device than the one that sends it"),
    "other-site": Cause("names another site"),
    "signature": Cause("does not carry the signature of its device"),
    "revoked": Cause("this device was revoked; what it sends is kept as evidence, not recorded"),
    "id-reused": Cause("its id is on record with other content; both are kept"),
    "kind": Cause("a device may not say this by itself"),
    "claims-proof": Cause("claims a proof of who acts that does not hold"),
    "number-taken": Cause("its number in the device's sequence is taken by another entry"),
    "does-not-follow": Cause("does not name the device's previous entry on record"),
    "gap": Cause("earlier entries of this device are missing; send from there", True, False),
    "ahead": Cause("its device saw more of this record than there is: ROLLED BACK", True),
    "other-history": Cause("its device saw another history of this record", True),
    "not-yet": Cause("names what is not set up here", True, False),
    "does-not-fit": Cause("says what cannot be"),
}


class Objection(Exception):  # noqa: N818 - an answer that travels up, not a fault
    """What stands against an entry: a word of CAUSES, and what in it."""

    def __init__(self, why: str, about: str = "") -> None:
        super().__init__(why)
        self.why = why
        self.about = about


@dataclass(frozen=True, slots=True)
class Sealed:
    """An entry as it was sent: its canonical text, and its signature in hexadecimal."""

    text: str
    sig: str


@dataclass(frozen=True, slots=True)
class Sender:
    """The device that was authenticated as the sender; algorithm "none" has no key."""

    device: str
    algorithm: str
    public_key: str
    revoked: bool = False


@dataclass(frozen=True, slots=True)
class Restored:
    """One restoring of the record: how many entries were left, and what head was held before."""

    size: int
    held_size: int
    held_root: str


@dataclass(frozen=True, slots=True)
class Ground:
    """What an entry is held against, as the record stands just before it.

    Attributes
    ----------
    site : str
        The site's id.
    size : int
        How many entries the log has.
    root_at : callable
        Gives the root of the first so many entries, hexadecimal; asked only within size.
    restored : tuple of Restored
        Every restoring on record.
    head : tuple
        The device's last number and the hash of that entry; (0, "") before its first.
    bytes_of : callable
        Gives the bytes on record under an id, None where there are none.
    object_to : callable
        Raises an Objection where the site's state stands against what is said.
    proves : callable
        Tells whether a grant that was sent shows that the user's PIN was once proved for this
        device; asked where an entry says that the device checked it.
    """

    site: str
    size: int
    root_at: Callable[[int], str]
    restored: tuple[Restored, ...]
    head: tuple[int, str]
    bytes_of: Callable[[str], bytes | None]
    object_to: Callable[[Entry], None]
    proves: Callable[[Entry], bool]


@dataclass(frozen=True, slots=True)
class Weighed:
    """What is to be done with an entry.

    Attributes
    ----------
    outcome : str
        "record" it, it is "known", or "refused".
    raw, sig : bytes
        What was sent, as far as it could be read.
    sha256 : str
        Which bytes this is about: the same fact may have been signed twice.
    entry : Entry or None
        What was read.
    why, about : str
        A word of CAUSES, and what in the entry; "" where it is not refused.
    send_from : int
        The number from which the device is to send; 0 where that is not the trouble.
    """

    outcome: str
    raw: bytes
    sig: bytes
    sha256: str
    entry: Entry | None = None
    why: str = ""
    about: str = ""
    send_from: int = 0

    @property
    def id(self) -> str:
        """Give the entry's id, "" where none could be read."""
        return self.entry.id if self.entry else ""

    @property
    def cause(self) -> Cause:
        """Give why it is refused."""
        return CAUSES[self.why]


def weigh(sealed: Sealed, sender: Sender, ground: Ground) -> Weighed:
    """Decide what is to be done with one entry that a device sent.

    Never raises on what a device can send.
    """
    raw, sig = sealed.text.encode("utf-8", "replace"), signature_bytes(sealed.sig)
    found = Weighed("refused", raw[: MOST_BYTES + 1], sig, digest(raw))
    try:
        found = replace(found, entry=read_sent(raw))
        return replace(found, outcome=outcome_of(found, sender, ground))
    except Objection as objection:
        send_from = ground.head[0] + 1 if objection.why == "gap" else 0
        return replace(found, why=objection.why, about=objection.about, send_from=send_from)


def outcome_of(found: Weighed, sender: Sender, ground: Ground) -> str:
    """Give "record" or "known" for an entry that could be read; raise what stands against it."""
    entry = found.entry
    if entry is None:
        raise Objection("not-an-entry")
    hold_to_sender(entry, found.raw, found.sig, sender, ground.site)
    known = is_known(entry, found.raw, ground)
    if sender.revoked:
        raise Objection("revoked")
    if known:
        return "known"
    hold_to_kind(entry, sender, ground.proves)
    hold_to_sequence(entry, ground.head)
    hold_to_seen(entry.seen["size"], entry.seen["root"], ground)
    ground.object_to(entry)
    return "record"


def signature_bytes(text: str) -> bytes:
    """Read a signature's 64 bytes, b"" where it is none."""
    try:
        raw = bytes.fromhex(text)
    except ValueError:
        return b""
    return raw if len(raw) == SIGNATURE_BYTES and raw.hex() == text else b""


def read_sent(raw: bytes) -> Entry:
    """Read an entry under the restricted profile."""
    try:
        return parse(raw)
    except InputError as error:
        raise Objection("not-an-entry", error.field) from None


def hold_to_sender(entry: Entry, raw: bytes, sig: bytes, sender: Sender, site: str) -> None:
    """Hold an entry to the device that sends it, to its key and to this site."""
    if entry.dev != sender.device:
        raise Objection("other-device", "dev")
    if sender.algorithm == "none":
        raise Objection("no-key", "dev")
    if entry.site != site:
        raise Objection("other-site", "site")
    try:
        check_signature(sender.algorithm, sender.public_key, raw, sig)
    except SignatureError:
        raise Objection("signature", "sig") from None


def is_known(entry: Entry, raw: bytes, ground: Ground) -> bool:
    """Tell whether these very bytes are on record under the entry's id."""
    known = ground.bytes_of(entry.id)
    if known is not None and known != raw:
        raise Objection("id-reused", "id")
    return known is not None


def hold_to_kind(entry: Entry, sender: Sender, proves: Callable[[Entry], bool]) -> None:
    """Refuse whatever a device may not say by itself: deny by default."""
    if entry.type not in SENDABLE:
        raise Objection("kind", "type")
    auth = entry.auth
    if entry.type in BY_PIN and (auth["method"] != PIN or entry.user == UNLISTED):
        raise Objection("kind", "auth.method" if auth["method"] != PIN else "user")
    if auth["verified"] or auth["method"] not in METHODS:
        raise Objection("claims-proof", "auth")
    if auth.get("through", sender.device) != sender.device:
        raise Objection("claims-proof", "auth.through")
    if auth["method"] == PIN and not proves(entry):
        raise Objection("claims-proof", "auth.method")


def hold_to_sequence(entry: Entry, head: tuple[int, str]) -> None:
    """Hold an entry to its place right after the device's last one on record."""
    last, previous = head
    if entry.dseq > last + 1:
        raise Objection("gap", "dseq")
    if entry.dseq <= last:
        raise Objection("number-taken", "dseq")
    if entry.dprev != previous:
        raise Objection("does-not-follow", "dprev")


def hold_to_seen(size: int, root: str, ground: Ground) -> None:
    """Hold a head that a device saw to this log, or to a part of it that a restoring lost."""
    if size == 0:
        if root:
            raise Objection("other-history", "seen")
        return
    if size <= ground.size and ground.root_at(size) == root:
        return
    if not any(was_lost(size, root, known) for known in ground.restored):
        raise Objection("ahead" if size > ground.size else "other-history", "seen")


def was_lost(size: int, root: str, known: Restored) -> bool:
    """Tell whether a head that is none of this log may lie in what a restoring lost.

    Only the head that was held then can be compared. There is no lower bound: a record may have
    gone on from an older copy for a while before anybody could see that it was one.
    """
    return root == known.held_root if size == known.held_size else size < known.held_size
