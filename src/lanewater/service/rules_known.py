"""Which rules a site chose or accepted, when, and its own rules upon them: frozen facts."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ChosenRules:
    """Rules that were chosen or accepted, from an instant on.

    Attributes
    ----------
    pool : str
        The pool for which, "" for the site.
    from_ms : int
        UTC milliseconds.
    index : int
        The line of the record.
    follows_site : bool
        Whether the pool goes by the site's rules.
    id, edition, hash : str
        The pack, "" for none.
    """

    pool: str
    from_ms: int
    index: int
    follows_site: bool = False
    id: str = ""
    edition: str = ""
    hash: str = ""


@dataclass(frozen=True, slots=True)
class Overlay:
    """A site's own rules upon the law: their text by its hash, the authority's document if any."""

    id: str
    entry: str
    extends: str
    hash: str
    pool: str
    from_ms: int
    by: str
    until_ms: int | None = None
    document_name: str = ""
    document_sha256: str = ""

    def holds(self, pool: str, rules: str, at_ms: int) -> bool:
        """Tell whether it holds for a pool that goes by some rules, at an instant."""
        for_it = self.pool in ("", pool) and self.extends == rules
        return for_it and self.from_ms <= at_ms and (self.until_ms is None or at_ms < self.until_ms)


def chosen_at(rows: tuple[ChosenRules, ...], pool: str, at_ms: int) -> ChosenRules | None:
    """Give what a pool went by at an instant; before the first choice, the first.

    Parameters
    ----------
    rows : tuple of ChosenRules
        In the order of the record.
    pool : str
        The pool.
    at_ms : int
        UTC milliseconds.
    """
    own = latest([row for row in rows if row.pool == pool], at_ms)
    if own is not None and not own.follows_site:
        return own
    return latest([row for row in rows if row.pool == ""], at_ms)


def latest(rows: list[ChosenRules], at_ms: int) -> ChosenRules | None:
    """Give the last row that held at an instant, else the first, None where there is none."""
    held = [row for row in rows if row.from_ms <= at_ms]
    return held[-1] if held else rows[0] if rows else None
