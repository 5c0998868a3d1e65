"""Write docs/reference/rules-packs.md from the packs themselves.

python -m tests.docs.rules_reference
"""

from __future__ import annotations

from tests.contracts.house import ROOT

from lanewater.service.packs_table import table_markdown, table_of

PAGE = ROOT / "docs" / "reference" / "rules-packs.md"


def page() -> str:
    """Give the page as it should be."""
    return table_markdown(table_of())


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
