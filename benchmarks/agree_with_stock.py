"""How far the model is from stock phreeqc.dat on random pools below 6 g/L of salt and their doses.

    .venv/bin/python benchmarks/agree_with_stock.py [--count 10000] [--seed 3]

A difference between models (activity, ion pairs, boric acid), stated and not held: how many are
further apart than 0.01 in pH, 0.03 in the index and 2 % of HOCl, and what marks them.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.agreement.stock import WITHIN, compare_with_stock, summary

from lanewater.service.constants import load_constants

if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=3)
    asked = parser.parse_args()
    waters = compare_with_stock(load_constants(), asked.count, asked.seed, batch=250)
    for stage, name in enumerate(("as read", "after the dose", "after the use of chlorine")):
        print(name)
        for figure in WITHIN:
            print(summary([seen for seen in waters if seen.stage == stage], figure))
