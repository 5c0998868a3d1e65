"""One sentence about a pack: what it says, its clause, and where that was read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

EVIDENCE_WORDS = {
    "seen": "read at",
    "secondary": "read in another's account at",
    "memory": "FROM MEMORY; said to be at",
    "common-practice": "common practice, no law; see",
}


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence; clause, address, evidence and the id it is of are "" where there is none."""

    text: str
    clause: str = ""
    address: str = ""
    evidence: str = ""
    read_on: str = ""
    of: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """Sentences on one subject."""

    id: str
    title: str
    sentences: list[Sentence]

    def told(self) -> dict[str, Any]:
        """Give it ready for JSON."""
        return {
            "id": self.id,
            "title": self.title,
            "sentences": [asdict(sentence) for sentence in self.sentences],
        }


def sentence(text: str, entry: Mapping[str, Any], raw: Mapping[str, Any]) -> Sentence:
    """Write a sentence about an entry of a pack, with the source that the entry names."""
    source = raw.get("sources", {}).get(entry.get("source", ""), {})
    return Sentence(
        text=text,
        clause=str(entry.get("clause", "")),
        address=str(source.get("address", "")),
        evidence=str(entry.get("evidence", "")),
        read_on=str(source.get("read_on", "")),
        of=str(entry.get("id", "")),
    )


def evidence_words(row: Mapping[str, str]) -> str:
    """Say where and how a sentence was read."""
    where = row["address"] or "a source that is not named"
    on = f", {row['read_on']}" if row["read_on"] else ""
    return f"{EVIDENCE_WORDS.get(row['evidence'], row['evidence'])} {where}{on}"
