"""Processor time of a cold `lanewater judge` beside that of `python -c pass`.

    .venv/bin/python benchmarks/cold_judge.py

The two are run in turn, so that a busy machine burdens both alike; the medians are compared.
Wanted: at most 5 times, and under 0.3 s.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage

ROUNDS = 40
ROOT = Path(__file__).resolve().parents[1]
QUESTION = {
    "rules": "ca-qc",
    "pool": {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"},
    "readings": {
        "free_chlorine": "0.62",
        "total_chlorine": "0.78",
        "ph": "7.43",
        "temperature_c": "28.4",
        "clarity": "visible",
    },
}


def processor_seconds(command: list[str], handed_in: bytes) -> float:
    """Run a command and give the processor time that it and its children took."""
    before = getrusage(RUSAGE_CHILDREN)
    subprocess.run(command, input=handed_in, check=True, stdout=subprocess.DEVNULL)
    after = getrusage(RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def main() -> int:
    """Print both medians, their ratio and the spread; 0 where both bounds hold."""
    question = json.dumps(QUESTION).encode() + b"\n"
    judge = [str(ROOT / ".venv" / "bin" / "lanewater"), "judge"]
    nothing = [sys.executable, "-c", "pass"]
    processor_seconds(judge, question)
    pairs = [
        (processor_seconds(nothing, b""), processor_seconds(judge, question)) for _ in range(ROUNDS)
    ]
    least, most = (statistics.median(column) for column in zip(*pairs, strict=True))
    worst = max(judged for _, judged in pairs)
    print(f"python -c pass    median {least * 1000:6.1f} ms of processor time, {ROUNDS} runs each")
    print(f"lanewater judge   median {most * 1000:6.1f} ms, worst {worst * 1000:.1f} ms")
    print(f"ratio             {most / least:6.2f}   (wanted: at most 5, and under 300 ms)")
    return 0 if most <= 5 * least and most < 0.3 else 4


if __name__ == "__main__":
    sys.exit(main())
