"""Readings and cases in normal form, for tests of the deciding kernel."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

AT = 1_790_000_000
HOUR = 3600

KIT = {
    "kind": "photometer",
    "ph_free_chlorine_limit": "5",
    "ranges": {
        "free_chlorine": {"low": "0.00", "high": "5.00", "step": "0.01"},
        "ph": {"low": "6.5", "high": "8.4", "step": "0.01"},
    },
}


def reading(parameter: str, value: str, **more: Any) -> dict[str, Any]:
    """Give one reading in normal form."""
    return {
        "parameter": parameter,
        "value": value,
        "dilution": 1,
        "point": "",
        "at": None,
        "uncertainty": None,
        "kit": "",
        **more,
    }


def case(*readings: dict[str, Any], **more: Any) -> dict[str, Any]:
    """Give a round of a chlorine pool."""
    return {
        "purpose": "round",
        "pool": {"kind": "pool", "disinfectant": "chlorine"},
        "readings": list(readings),
        "history": [],
        "at": AT,
        **more,
    }


def before(*readings: dict[str, Any], hours: int = 3) -> dict[str, Any]:
    """Give an earlier round."""
    return {"at": AT - hours * HOUR, "readings": list(readings)}


TEXTS = st.one_of(
    st.from_regex(r"[<>]?-?[0-9]{1,9}([.,][0-9]{1,4})?", fullmatch=True),
    st.text(alphabet="0123456789.,<>- xE", max_size=8),
)
PARAMETERS = st.sampled_from(
    [
        "free_chlorine",
        "total_chlorine",
        "combined_chlorine",
        "total_bromine",
        "ph",
        "temperature_c",
        "orp_mv",
        "total_alkalinity",
        "cyanuric_acid",
        "e_coli",
    ]
)
READINGS = st.builds(
    lambda parameter, value, dilution, point, uncertainty, kit: reading(
        parameter, value, dilution=dilution, point=point, uncertainty=uncertainty, kit=kit
    ),
    PARAMETERS,
    TEXTS,
    st.sampled_from([1, 2, 5, 10, 100]),
    st.sampled_from(["", "deep"]),
    st.one_of(st.none(), TEXTS),
    st.sampled_from(["", "k", "unknown"]),
)
WORDS = st.sampled_from(
    [reading("clarity", "visible"), reading("clarity", "junk"), reading("circulation", "stopped")]
)
ROUNDS = st.lists(st.one_of(READINGS, WORDS), max_size=8)
CASES = st.builds(
    lambda readings, history, at, kind: case(
        *readings,
        history=[{"at": AT - n, "readings": entry} for n, entry in enumerate(history)],
        at=at,
        pool={} if kind is None else {"kind": kind},
        kits={"k": KIT},
    ),
    ROUNDS,
    st.lists(ROUNDS, max_size=3),
    st.sampled_from([None, AT]),
    st.sampled_from([None, "pool", "spa", "cold-plunge", "spray"]),
)
