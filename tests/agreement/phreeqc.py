"""PHREEQC with our own species, constants and activity model: an independent solver of one model.

The text below is written from the compiled constants, so that a difference is the solver's and
not a constant's. Hypochlorite and cyanurate are elements of their own (Chl, Cya): they share no
electrons with chloride and carbon, or the first reaction step would let them react away.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import phreeqpython

from lanewater.kernel.water import slots

LN_10 = math.log(10)
CLOSEST = 1e-12

MASTERS = """\
SOLUTION_MASTER_SPECIES
  H H+ -1 H 1.008
  H(0) H2 0 H
  H(1) H+ -1 0
  E e- 0 0 0
  O H2O 0 O 16
  O(0) O2 0 O
  O(-2) H2O 0 0
  Ca Ca+2 0 Ca 40.078
  Mg Mg+2 0 Mg 24.305
  Na Na+ 0 Na 22.99
  Cl Cl- 0 Cl 35.453
  C CO3-2 2 HCO3 12.011
  C(+4) CO3-2 2 HCO3
  S SO4-2 0 SO4 32.06
  S(6) SO4-2 0 SO4
  B H3BO3 0 B 10.81
  Alkalinity CO3-2 1 Ca0.5(CO3)0.5 50.05
  Chl ChlO- 1 Chl 35.453
  Cya Cya-3 3 Cya 126.05
SOLUTION_SPECIES
H+ = H+
e- = e-
H2O = H2O
Ca+2 = Ca+2
Mg+2 = Mg+2
Na+ = Na+
Cl- = Cl-
CO3-2 = CO3-2
SO4-2 = SO4-2
H3BO3 = H3BO3
ChlO- = ChlO-
Cya-3 = Cya-3
2 H2O = O2 + 4 H+ + 4 e-
  -log_k -86.08
2 H+ + 2 e- = H2
  -log_k -3.15
"""

PUNCH = f"""\
KNOBS
  -convergence_tolerance {CLOSEST}
SELECTED_OUTPUT
  -reset false
  -high_precision true
USER_PUNCH
  -headings ph ionic calcite hocl carbon water
  -start
  10 PUNCH -LA("H+"), MU, SI("Calcite"), MOL("HChlO"), TOT("C"), TOT("water")
  -end
"""

Terms = tuple[float, ...]


def decimal_terms(k: Sequence[float], slot: int) -> Terms:
    """Give a constant's six coefficients as PHREEQC takes them: of log10 K, log10 T third."""
    one, t, inverse, log_t, inverse_2, t_2 = k[slot : slot + 6]
    return (one / LN_10, t / LN_10, inverse / LN_10, log_t, inverse_2 / LN_10, t_2 / LN_10)


def plus(*terms: Terms) -> Terms:
    """Add coefficients."""
    return tuple(map(sum, zip(*terms, strict=True)))


def minus(terms: Terms) -> Terms:
    """Turn coefficients round."""
    return tuple(-term for term in terms)


def reactions(k: Sequence[float]) -> list[tuple[str, Terms]]:
    """Write every species of the kernel from PHREEQC's master species."""
    second = decimal_terms(k, slots.K_CARBONIC_2)
    hocl = minus(decimal_terms(k, slots.K_HYPOCHLOROUS))
    one = minus(decimal_terms(k, slots.K_CYANURIC_3))
    two = plus(one, minus(decimal_terms(k, slots.K_CYANURIC_2)))
    three = plus(two, minus(decimal_terms(k, slots.K_CYANURIC_1)))
    mono = plus(two, hocl, minus(decimal_terms(k, slots.K_MONOCHLORINATED_9A)))
    di = plus(mono, hocl, minus(decimal_terms(k, slots.K_DICHLORINATED_7A)))
    di_acid = plus(di, minus(decimal_terms(k, slots.K_DICHLORINATED_2)))
    tri = plus(di_acid, hocl, minus(decimal_terms(k, slots.K_TRICHLORINATED_1A)))

    def of(slot: int) -> Terms:
        return decimal_terms(k, slot)

    return [
        ("H2O = OH- + H+", of(slots.K_WATER)),
        ("CO3-2 + H+ = HCO3-", minus(second)),
        ("CO3-2 + 2H+ = CO2 + H2O", minus(plus(of(slots.K_CARBONIC_1), second))),
        ("Ca+2 + CO3-2 + H+ = CaHCO3+", plus(of(slots.K_CALCIUM_BICARBONATE), minus(second))),
        ("Ca+2 + CO3-2 = CaCO3", of(slots.K_CALCIUM_CARBONATE)),
        ("Na+ + CO3-2 + H+ = NaHCO3", plus(of(slots.K_SODIUM_BICARBONATE), minus(second))),
        ("Na+ + CO3-2 = NaCO3-", of(slots.K_SODIUM_CARBONATE)),
        ("Ca+2 + SO4-2 = CaSO4", of(slots.K_CALCIUM_SULFATE)),
        ("Na+ + SO4-2 = NaSO4-", of(slots.K_SODIUM_SULFATE)),
        ("Mg+2 + CO3-2 + H+ = MgHCO3+", plus(of(slots.K_MAGNESIUM_BICARBONATE), minus(second))),
        ("Mg+2 + CO3-2 = MgCO3", of(slots.K_MAGNESIUM_CARBONATE)),
        ("Mg+2 + SO4-2 = MgSO4", of(slots.K_MAGNESIUM_SULFATE)),
        ("SO4-2 + H+ = HSO4-", of(slots.K_BISULFATE)),
        ("H3BO3 = H2BO3- + H+", of(slots.K_BORIC)),
        ("ChlO- + H+ = HChlO", hocl),
        ("Cya-3 + H+ = HCya-2", one),
        ("Cya-3 + 2H+ = H2Cya-", two),
        ("Cya-3 + 3H+ = H3Cya", three),
        ("Cya-3 + ChlO- + 3H+ = HChlCya- + H2O", mono),
        (
            "Cya-3 + ChlO- + 2H+ = ChlCya-2 + H2O",
            plus(mono, of(slots.K_MONOCHLORINATED_8)),
        ),
        (
            "Cya-3 + ChlO- + 4H+ = H2ChlCya + H2O",
            plus(mono, minus(of(slots.K_MONOCHLORINATED_4))),
        ),
        ("Cya-3 + 2ChlO- + 4H+ = Chl2Cya- + 2H2O", di),
        ("Cya-3 + 2ChlO- + 5H+ = HChl2Cya + 2H2O", di_acid),
        ("Cya-3 + 3ChlO- + 6H+ = Chl3Cya + 3H2O", tri),
    ]


def database(k: Sequence[float]) -> str:
    """Write the whole database of one cyanurate set."""
    lines = [MASTERS]
    for reaction, terms in reactions(k):
        lines.append(f"{reaction}\n  -analytic {' '.join(map(repr, terms))}")
    calcite = " ".join(map(repr, decimal_terms(k, slots.K_CALCITE)))
    lines.append(f"PHASES\nCalcite\n  CaCO3 = Ca+2 + CO3-2\n  -analytic {calcite}\n")
    return "\n".join(lines)


class Phreeqc:
    """PHREEQC holding one database, answering for many waters at once."""

    def __init__(self, k: Sequence[float]) -> None:
        self.engine: Any = phreeqpython.PhreeqPython().ip
        self.engine.load_database_string(database(k))
        self.engine.run_string(PUNCH)

    def solve(self, waters: Iterable[str], rows: int = 1) -> list[tuple[float, ...]]:
        """Solve waters; give pH, ionic strength, calcite's index, HOCl, carbon and kg of water.

        Parameters
        ----------
        waters : iterable of str
            Each as `water_text` writes it.
        rows : int, optional
            How many answers each of them gives.
        """
        texts = list(waters)
        self.engine.run_string("".join(texts) + "END\n")
        count = rows * len(texts)
        return [tuple(row) for row in self.engine.get_selected_output_array()[-count:]]


def water_text(number: int, temperature_c: float, totals: Sequence[float], ph: float | None) -> str:
    """Write one water: from pH and alkalinity, or from alkalinity and carbon where pH is None."""
    given = [("Alkalinity", slots.T_ALKALINITY)]
    if ph is None:
        given.append(("C(+4)", slots.T_CARBON))
    given += [
        ("Ca", slots.T_CALCIUM),
        ("Mg", slots.T_MAGNESIUM),
        ("Cya", slots.T_CYANURATE),
        ("B", slots.T_BORATE),
        ("Chl", slots.T_HYPOCHLORITE),
        ("Cl", slots.T_CHLORIDE),
        ("S(6)", slots.T_SULFATE),
    ]
    lines = [f"SOLUTION {number}", "  units mol/kgw", f"  temp {temperature_c!r}", "  pe 4"]
    lines.append(f"  pH {7.0 if ph is None else ph!r}")
    lines += [f"  {name} {totals[index]!r}" for name, index in given if totals[index] > 0]
    lines.append(f"  Na {totals[slots.T_SODIUM]!r} charge")
    return "\n".join(lines) + "\n"
