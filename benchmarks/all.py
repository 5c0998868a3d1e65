"""Run every benchmark, one after the other; faults_*.py are campaigns, run by themselves.

.venv/bin/python benchmarks/all.py
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def main() -> int:
    """Run them by name; end as the first that does not hold, after all have run."""
    code = 0
    for path in sorted(Path(__file__).parent.glob("*.py")):
        if path.name != Path(__file__).name and not path.name.startswith("faults_"):
            print(f"== {path.name}", flush=True)
            code = code or subprocess.run([sys.executable, path], check=False).returncode
    return code


if __name__ == "__main__":
    sys.exit(main())
