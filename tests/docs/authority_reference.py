"""Make docs/reference/authority.md from the table that the tests hold every route to.

`python -m tests.docs.authority_reference` writes the page anew.
"""

from __future__ import annotations

from tests.contracts.house import ROOT
from tests.interfaces.api.authority_rows import EVERYBODY, expected, names_of_routes

PAGE = ROOT / "docs" / "reference" / "authority.md"
HEAD = """# Who may use which address

Generated: `python -m tests.docs.authority_reference` writes this page anew, and a test holds it to
the table. Each cell is a request that the tests make and the status they hold it to
(`tests/interfaces/api/test_authority.py`); a route without a line fails the build, and a route that
does not stand in the program's own table is open to nobody.

- **yes**: the caller passes, and the service answers (with 200; or with 404, 409 or 422 where the
  test's example is of something that is not there).
- **401**: this browser is not enrolled, or nobody is signed in on it. **403**: somebody else may.
- *enrolled*: an enrolled browser on which nobody is signed in. *first-key*: a session opened with a
  first key; it sets the site up and nothing else. *other-site*: the area manager of another site,
  with that site's cookies. *other-device*: the area manager's session on another enrolled browser.
- What a role may decide once it has passed stands in the site's matrix (`people/authority.py`).
  Whether an *amount* is shown is decided by competence, and the answer says so with status 200.
"""


def cell(status: int) -> str:
    """Write one cell."""
    return str(status) if status in (401, 403) else "yes"


def page() -> str:
    """Give the whole page."""
    rows = [
        f"| `{name}` | {' | '.join(cell(expected(name, role)) for role in EVERYBODY)} |"
        for name in names_of_routes()
    ]
    head = f"| address | {' | '.join(EVERYBODY)} |"
    return "\n".join([HEAD, head, "| --- |" + " --- |" * len(EVERYBODY), *rows]) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
