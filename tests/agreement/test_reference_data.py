"""The copies that later work is held to are whole."""

from __future__ import annotations

import csv
from collections import Counter
from pathlib import Path

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_contact_time_table_is_whole() -> None:
    cells = rows("epa_ct3log_giardia_free_chlorine.csv")
    places = {(row["temp_C"], row["free_chlorine_mg_L"], row["pH"]) for row in cells}
    assert len(cells) == len(places) == 588
    assert all(float(row["CT_3log_mg_min_L"]) > 0 for row in cells)
    assert {row["temp_C"] for row in cells} == {"0.5", "5", "10", "15", "20", "25"}
    assert next(row for row in cells if row["pH"] == "7.0")["CT_3log_mg_min_L"] == "195"


def test_the_chloramine_courses_are_whole() -> None:
    vectors = rows("chloramine_reference_vectors.csv")
    origins = Counter(row["origin"].split()[0] for row in vectors)
    assert len(vectors) == 17
    assert origins["EPA-script"] == 4
    for row in vectors:
        assert float(row["T_C"]) > 0
        assert 6 <= float(row["pH"]) <= 9
        assert row["free_mol_L"] or row["free_mg_L_Cl2"]
