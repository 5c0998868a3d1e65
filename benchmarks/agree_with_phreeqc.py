"""The largest differences from PHREEQC on many random waters: same species, constants, activity.

.venv/bin/python benchmarks/agree_with_phreeqc.py [waters] [seed]
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.agreement.comparing import largest_differences

from lanewater.service.constants import load_constants

CLOSE = 1e-6

if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 17
    worst: dict[str, float] = {}
    for name in ("OBM74_dH", "WA2019", "OBM74_25C"):
        worst = largest_differences(load_constants(name), count, seed, batch=500)
        print(name, " ".join(f"{figure} {value:.1e}" for figure, value in worst.items()))
        if max(worst["ph"], worst["index"]) > CLOSE:
            sys.exit(1)
