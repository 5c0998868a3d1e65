"""The largest differences from PHREEQC on many random waters: same species, constants, activity.

    .venv/bin/python benchmarks/agree_with_phreeqc.py [--count 20000] [--seed 17] [--doses]

With --doses each water also gets a dose, the 18 products in turn, and uses chlorine afterwards.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.agreement.comparing import largest_differences, largest_dose_differences

from lanewater.service.constants import load_constants

CLOSE = 1e-6
HELD = ("ph", "index", "ph_used", "index_used")

if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=17)
    parser.add_argument("--doses", action="store_true")
    asked = parser.parse_args()
    compare = largest_dose_differences if asked.doses else largest_differences
    failed = False
    for name in ("OBM74_dH", "WA2019", "OBM74_25C"):
        worst = compare(load_constants(name), asked.count, asked.seed, batch=500)
        print(name, " ".join(f"{figure} {value:.1e}" for figure, value in worst.items()))
        failed = failed or max(worst.get(figure, 0.0) for figure in HELD) > CLOSE
    sys.exit(1 if failed else 0)
