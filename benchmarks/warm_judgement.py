"""How long one judgement takes in a running process, for every pack.

.venv/bin/python benchmarks/warm_judgement.py
"""

import statistics
import time

from lanewater.rules.case import case_from
from lanewater.rules.judging import judge_case
from lanewater.service.packs import load_pack, pack_ids

ROUND = {
    "pool": {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"},
    "readings": {
        "free_chlorine": "1.52",
        "total_chlorine": "1.68",
        "ph": "7.43",
        "temperature_c": "28.4",
        "clarity": "visible",
    },
    "history": [
        {"at": f"2026-07-{day:02d}T{hour:02d}:00:00Z", "free_chlorine": "1.4", "ph": "7.4"}
        for day in range(1, 4)
        for hour in range(6, 22, 3)
    ],
    "at": "2026-07-04T06:00:00Z",
}
REPEATS = 300


def main() -> None:
    """Print the median CPU time of a judgement, the reading of the question included."""
    for identity in pack_ids():
        pack = load_pack(identity)
        spent = []
        for _ in range(REPEATS):
            start = time.process_time()
            judge_case(pack, case_from(ROUND))
            spent.append(time.process_time() - start)
        print(f"{identity:<16} {statistics.median(spent) * 1000:.3f} ms")


if __name__ == "__main__":
    main()
