"""What is measured: each parameter once, with its name, its unit and its usual decimals."""

from __future__ import annotations

from typing import NamedTuple


class Parameter(NamedTuple):
    """One thing that is read or told.

    Attributes
    ----------
    id : str
        The word used in code, on the wire and in rules packs.
    name : str
        The trade's word, for people.
    unit : str
        Unit of the stored number; "" for pH and for what is told in words.
    words : tuple of str
        The allowed answers where it is told in words; empty for a number.
    """

    id: str
    name: str
    unit: str
    words: tuple[str, ...] = ()


PARAMETERS: dict[str, Parameter] = {
    parameter.id: parameter
    for parameter in (
        Parameter("free_chlorine", "free chlorine", "mg/L"),
        Parameter("total_chlorine", "total chlorine", "mg/L"),
        Parameter("combined_chlorine", "combined chlorine", "mg/L"),
        Parameter("total_bromine", "total bromine", "mg/L"),
        Parameter("ph", "pH", ""),
        Parameter("temperature_c", "temperature", "C"),
        Parameter("cyanuric_acid", "cyanuric acid", "mg/L"),
        Parameter("total_alkalinity", "total alkalinity", "mg/L as CaCO3"),
        Parameter("calcium_hardness", "calcium hardness", "mg/L as CaCO3"),
        Parameter("salt", "salt", "mg/L as NaCl"),
        Parameter("sulfate", "sulfate", "mg/L as SO4"),
        Parameter("boron", "boron", "mg/L as B"),
        Parameter("ozone", "ozone", "mg/L"),
        Parameter("orp_mv", "ORP", "mV"),
        Parameter("turbidity_ntu", "turbidity", "NTU"),
        Parameter("e_coli", "E. coli", "per 100 mL"),
        Parameter("coliforms", "coliforms", "per 100 mL"),
        Parameter("faecal_coliforms", "faecal coliforms", "per 100 mL"),
        Parameter("enterococci", "enterococci", "per 100 mL"),
        Parameter("pseudomonas_aeruginosa", "Pseudomonas aeruginosa", "per 100 mL"),
        Parameter("staphylococci", "staphylococci", "per 100 mL"),
        Parameter("legionella", "Legionella", "per L"),
        Parameter("colony_count", "colony count", "per mL"),
        Parameter("nitrate", "nitrate", "mg/L"),
        Parameter("ammonium", "ammonium", "mg/L"),
        Parameter("oxidisability", "oxidisability", "mg/L as O2"),
        Parameter("colour", "colour", "mg/L as Pt"),
        Parameter("total_dissolved_solids", "total dissolved solids", "mg/L"),
        Parameter("uv_dose_mj_cm2", "UV dose", "mJ/cm2"),
        Parameter("controller_free", "free chlorine by the controller", "mg/L"),
        Parameter("controller_ph", "pH by the controller", ""),
        Parameter("clarity", "clarity", "", ("visible", "not-visible", "cannot-tell")),
        Parameter("circulation", "circulation", "", ("running", "stopped", "unknown")),
    )
}

# Other units that a reading may be typed in; the kernel turns them into the parameter's own.
ALSO_TYPED: dict[str, tuple[str, ...]] = {
    "temperature_c": ("°C", "F", "°F"),
    "salt": ("g/L",),
    "ph": ("pH",),
    "controller_ph": ("pH",),
}


def units_of(identity: str) -> tuple[str, ...]:
    """Give the units that a parameter may be typed in; "" stands for its own."""
    own = PARAMETERS[identity].unit
    plain = own.partition(" as ")[0]
    alike = ("mg/l", "ppm") if plain == "mg/L" else ()
    named = (own, plain) if own != plain else (own,) if own else ()
    return ("", *named, *alike, *ALSO_TYPED.get(identity, ()))
