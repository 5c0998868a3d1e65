"""Make docs/reference/sbom.cdx.json, the list of what the program consists of, from the lock.

`python -m tests.docs.sbom` writes it anew. The tool's own list is CycloneDX; addresses are taken
out of it, since the lock names none.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

from tests.contracts.house import ROOT

LIST = ROOT / "docs" / "reference" / "sbom.cdx.json"
LOCK = "locks/runtime.txt"


def as_the_tool_writes_it() -> dict[str, Any]:
    """Let cyclonedx-py read the lock."""
    tool = Path(sys.executable).parent / "cyclonedx-py"
    done = subprocess.run(
        [
            tool,
            "requirements",
            LOCK,
            "--pyproject",
            "pyproject.toml",
            "--output-reproducible",
            "--no-validate",
        ],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def bill() -> dict[str, Any]:
    """Give the list without an address: each hash stands with the lock that holds it."""
    made = as_the_tool_writes_it()
    made.pop("$schema")
    for tool in made["metadata"]["tools"]["components"]:
        tool.pop("externalReferences", None)
    refs = {row["bom-ref"]: row["purl"] for row in made["components"]}
    for row in made["components"]:
        row["bom-ref"] = row["purl"]
        row.pop("description")
        row["externalReferences"] = [
            {
                "type": "distribution",
                "url": LOCK,
                "comment": "one hash for each file that is accepted",
                "hashes": row["externalReferences"][0]["hashes"],
            }
        ]
    root = made["metadata"]["component"]["bom-ref"]
    made["dependencies"] = [{"ref": root, "dependsOn": asked_for(refs.values())}]
    return made


def asked_for(purls: Any) -> list[str]:
    """Give what pyproject.toml itself asks for, of all that is locked."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    names = {re.split(r"[\[<>=~!]", one)[0].lower() for one in project["dependencies"]}
    return sorted(purl for purl in purls if purl.partition("/")[2].partition("@")[0] in names)


def written() -> str:
    """Give the file's text."""
    return json.dumps(bill(), indent=1, sort_keys=True, ensure_ascii=True) + "\n"


if __name__ == "__main__":
    LIST.write_text(written(), encoding="utf-8")
