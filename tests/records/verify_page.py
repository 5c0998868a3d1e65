"""The page that verifies a record: its own policy names its script and its style by their hashes.

After a change of the page: python -m tests.records.verify_page
"""

from __future__ import annotations

import base64
import hashlib
import re

from tests.contracts.house import ROOT

PAGE = ROOT / "docs" / "reference" / "verify.html"


def sealed(text: str) -> str:
    """Give the page with a policy that fits it."""
    for element in ("script", "style"):
        inner = re.search(rf"<{element}>(.*?)</{element}>", text, re.DOTALL)
        if inner is None:
            raise ValueError(f"no {element} in the page")
        digest = base64.b64encode(hashlib.sha256(inner[1].encode()).digest()).decode()
        text = re.sub(rf"({element}-src 'sha256-)[^']*'", rf"\g<1>{digest}'", text, count=1)
    return text


if __name__ == "__main__":
    PAGE.write_text(sealed(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
