"""Lines a second and memory of `lanewater calc water` on 100,000 JSON lines in one process.

    .venv/bin/python benchmarks/calc_lines.py [how many]

Memory is read from the process itself while it works; it is flat where the second half of the
lines takes no more than the first half did.
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

COMMAND = (sys.executable, "-m", "lanewater", "calc", "water", "--json")
FLAT_KB = 512


def write_lines(path: Path, count: int) -> None:
    """Write seeded waters, a JSON object a line."""
    draw = random.Random(11)  # noqa: S311 - waters, not secrets
    with path.open("w", encoding="utf-8") as file:
        for _ in range(count):
            water = {
                "ph": round(draw.uniform(6.8, 8.2), 2),
                "temperature_c": round(draw.uniform(10, 38), 1),
                "total_alkalinity_mg_l": draw.randint(80, 200),
                "calcium_hardness_mg_l": draw.randint(50, 600),
                "cyanuric_acid_mg_l": draw.choice((0, 30, 60)),
                "boron_mg_l": draw.choice((0, 50)),
                "salt_mg_l": draw.randint(200, 5000),
                "sulfate_mg_l": draw.randint(0, 400),
                "free_chlorine_mg_l": round(draw.uniform(0.2, 5), 2),
            }
            file.write(json.dumps(water) + "\n")


def resident_kb(process_id: int) -> int:
    """Read how much memory a process holds."""
    for line in Path(f"/proc/{process_id}/status").read_text().splitlines():
        if line.startswith("VmRSS"):
            return int(line.split()[1])
    return 0


def measure(count: int) -> dict[str, float]:
    """Run the command over many lines and watch it."""
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / "in.jsonl", Path(folder) / "out.jsonl"
        write_lines(source, count)
        start = time.perf_counter()
        samples = []
        with source.open("rb") as given, target.open("wb") as taken:
            process = subprocess.Popen(COMMAND, stdin=given, stdout=taken)
            while process.poll() is None:
                time.sleep(0.2)
                try:
                    samples.append((target.stat().st_size, resident_kb(process.pid)))
                except OSError:
                    break
        process.wait()
        seconds = time.perf_counter() - start
        written = target.read_bytes().count(b"\n")
        whole = target.stat().st_size
    held = [(size, kb) for size, kb in samples if kb]
    early = max(kb for size, kb in held if size <= whole / 2)
    late = max(kb for size, kb in held if size > whole / 4)
    return {
        "lines": written,
        "lines_a_second": written / seconds,
        "memory_first_half_mb": early / 1024,
        "memory_at_most_mb": late / 1024,
        "flat": float(late - early <= FLAT_KB),
    }


if __name__ == "__main__":
    asked = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    result = measure(asked)
    for name, value in result.items():
        print(f"{name:<24}{value:12.1f}")
    sys.exit(0 if result["lines"] == asked and result["flat"] else 1)
