"""A tank of hypochlorite that ages: by its own measurements, or by what is published of such."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from lanewater.chemistry.fields import number_field, object_field
from lanewater.chemistry.products import Product
from lanewater.chemistry.strengths import (
    BY_WEIGHT,
    IN_A_LITRE,
    LABEL_KEYS,
    LIME,
    density_of,
    strength_of,
)
from lanewater.chemistry.water import Finding, finding
from lanewater.kernel.water.ageing import (
    hypochlorite_ionic_strength,
    hypochlorite_mol_l,
    published_rates,
    rate_between,
    seconds_to_half,
    strength_after,
)
from lanewater.kernel.water.units import SECONDS_A_DAY
from lanewater.terms.errors import InputError, shown
from lanewater.terms.shapes import below

CAUSTIC_KEY = "excess_caustic_mol_per_mol"
AGEING_KEYS = ("measured", "measured_error_percent", "temperature_c", "days", CAUSTIC_KEY)
MEASURED_KEYS = ("at", *(key for key in LABEL_KEYS if key != LIME))
DAYS = (7.0, 14.0, 30.0, 60.0)
MOST_DAYS = 400.0
MOST_ENTRIES = 50
ERROR_PERCENT = 3.0  # of one measurement, JUDG
CAUSTIC = 0.05
PUBLISHED_C = (15.0, 55.0)
PUBLISHED_MOL_L = (0.7, 3.0)
LEAST_G_L = 1.0
NOT_FOR_DOSING = "from memory, not for dosing"


@dataclass(frozen=True, slots=True)
class Tank:
    """What is known of a tank's ageing.

    Attributes
    ----------
    grams_l : float or None
        As labelled. [g/L]
    measured : tuple of (float, float)
        Seconds since the first measurement, and g/L; oldest first.
    error_percent : float
        Of one measurement, at 95 %.
    temperature_c : float or None
        Of the tank. [deg C]
    days : tuple of float
        After which the strength is told.
    caustic : float
        [mol NaOH/mol NaOCl]
    assumed : tuple of str
        What was not given.
    """

    grams_l: float | None
    measured: tuple[tuple[float, float], ...]
    error_percent: float
    temperature_c: float | None
    days: tuple[float, ...]
    caustic: float
    assumed: tuple[str, ...]


def tank_from(table: Mapping[str, Any], product: Product, grams_l: float | None) -> Tank | None:
    """Read what a question tells of ageing; None where it tells nothing.

    Parameters
    ----------
    table : mapping
        The question, with any of AGEING_KEYS.
    product : Product
        Sodium hypochlorite.
    grams_l : float or None
        As labelled. [g/L]
    """
    if "measured" not in table and "temperature_c" not in table:
        for name in AGEING_KEYS:
            if name in table:
                raise InputError(name, "goes with measured or temperature_c")
        return None
    said = []
    measured = measured_from(table.get("measured", ()), product)
    error = ERROR_PERCENT
    if "measured_error_percent" in table:
        error = number_field(table["measured_error_percent"], "measured_error_percent", 0, 50)
    elif len(measured) > 1:
        said.append(f"One measured strength is taken as right within {ERROR_PERCENT:g} %.")
    celsius = None
    if "temperature_c" in table:
        celsius = number_field(table["temperature_c"], "temperature_c", 0, 60)
    caustic = number_field(table.get(CAUSTIC_KEY, CAUSTIC), CAUSTIC_KEY, 0, 0.5)
    return Tank(
        grams_l, measured, error, celsius, days_from(table.get("days", DAYS)), caustic, tuple(said)
    )


def days_from(given: Any) -> tuple[float, ...]:
    """Read the days after which the strength is told; they rise."""
    if not isinstance(given, list | tuple) or not 1 <= len(given) <= MOST_ENTRIES:
        raise InputError("days", f"must be a list of 1 to {MOST_ENTRIES} numbers")
    days = [number_field(one, f"days[{place}]", 0, MOST_DAYS) for place, one in enumerate(given)]
    return tuple(sorted(days))


def measured_from(given: Any, product: Product) -> tuple[tuple[float, float], ...]:
    """Read dated measurements, oldest first."""
    if not isinstance(given, list | tuple) or len(given) > MOST_ENTRIES:
        raise InputError("measured", f"must be a list of at most {MOST_ENTRIES} measurements")
    found = []
    for place, one in enumerate(given):
        where = f"measured[{place}]"
        table = object_field(one, where, MEASURED_KEYS)
        if "at" not in table:
            raise InputError(below(where, "at"), "is missing")
        name, number, counted = strength_of(product, table, where)
        grams_l = number * counted
        if name == BY_WEIGHT:
            density = density_of(table, where)
            if density is None:
                raise InputError(below(where, "density_kg_l"), "is missing: % w/w needs it")
            grams_l = grams_l * 10 * density
        else:
            grams_l = grams_l * IN_A_LITRE[name]
        if grams_l < LEAST_G_L:
            raise InputError(below(where, name), f"comes to less than {LEAST_G_L:g} g/L")
        found.append((moment_of(table["at"], below(where, "at")), grams_l))
    found.sort()
    if len({moment for moment, _ in found}) < len(found):
        raise InputError("measured", "holds two strengths of one moment")
    return tuple((moment - found[0][0], grams_l) for moment, grams_l in found)


def moment_of(text: Any, where: str) -> float:
    """Read a date, or an instant with its offset, as seconds."""
    try:
        if isinstance(text, str) and len(text) == 10:
            day = date.fromisoformat(text)
            return datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp()
        moment = datetime.fromisoformat(text)
    except (TypeError, ValueError):
        raise InputError(where, f"must be a date such as 2026-11-25, not {shown(text)}") from None
    if moment.tzinfo is None:
        raise InputError(where, "must have an offset, such as 2026-11-25T06:00:00+01:00")
    return moment.timestamp()


def describe_tank(
    plant: tuple[float, ...], tank: Tank
) -> tuple[dict[str, Any], list[str], list[Finding]]:
    """Tell how a tank ages: by its own measurements, and what is published of such.

    Parameters
    ----------
    plant : tuple of float
        The flat tuple of the plant's table.
    tank : Tank
        As read.
    """
    own = own_ageing(tank)
    published = published_ageing(plant, tank)
    said = list(tank.assumed)
    if own is not None:
        said.append(
            "The tank's own loss is taken as of the second order, at the temperature it had, from"
            " its first and last measurement; nothing was filled up between."
        )
    return {"own": own, "published": published}, said, ageing_findings(tank, own, published)


def own_ageing(tank: Tank) -> dict[str, Any] | None:
    """Give a tank's loss by its own first and last measurement; None with fewer than two."""
    if len(tank.measured) < 2:
        return None
    (start, first), (end, last) = tank.measured[0], tank.measured[-1]
    error = tank.error_percent / 100
    rates = [
        rate_between(first * (1 + way * error), last * (1 - way * error), end - start)
        for way in (-1, 0, 1)
    ]
    slow, middle, fast = (max(rate, 0.0) for rate in rates)
    return {
        "measured_g_l": last,
        "days_between": (end - start) / SECONDS_A_DAY,
        "half_life_days": half_days(last, middle),
        "half_life_short_days": half_days(last, fast),
        "half_life_long_days": half_days(last, slow),
        "course": course(last, tank.days, (middle, fast, slow)),
        "note": "measured; days count from the last measurement",
    }


def published_ageing(plant: tuple[float, ...], tank: Tank) -> dict[str, Any] | None:
    """Give the published loss at the tank's temperature; None without it or a strength in g/L."""
    start = tank.measured[-1][1] if tank.measured else tank.grams_l
    if tank.temperature_c is None or start is None or start < LEAST_G_L:
        return None
    made = tank.measured[0][1] if tank.measured else start
    ionic = hypochlorite_ionic_strength(hypochlorite_mol_l(max(made, start)), tank.caustic)
    slow, fast = published_rates(plant, tank.temperature_c, ionic)
    return {
        "half_life_short_days": half_days(start, fast),
        "half_life_long_days": half_days(start, slow),
        "course": [
            {"days": row["days"], "low_g_l": row["low_g_l"], "high_g_l": row["high_g_l"]}
            for row in course(start, tank.days, (slow, fast, slow))
        ],
        "source": "Adam and Gordon (1999), doi 10.1021/ic980020q",
        "note": NOT_FOR_DOSING,
    }


def half_days(grams_l: float, rate: float) -> float | None:
    """Give the days in which a strength halves; None where nothing is lost."""
    return None if rate <= 0 else seconds_to_half(grams_l, rate) / SECONDS_A_DAY


def course(
    grams_l: float, days: tuple[float, ...], rates: tuple[float, float, float]
) -> list[dict[str, float]]:
    """Give the strength after each of some days at three rates: middle, fast and slow."""
    names = ("g_l", "low_g_l", "high_g_l")
    return [
        {
            "days": day,
            **{
                name: strength_after(grams_l, rate, day * SECONDS_A_DAY)
                for name, rate in zip(names, rates, strict=True)
            },
        }
        for day in days
    ]


def ageing_findings(
    tank: Tank, own: dict[str, Any] | None, published: dict[str, Any] | None
) -> list[Finding]:
    """Say what the ageing does not tell."""
    found = []
    if own is not None and own["half_life_long_days"] is None:
        found.append(
            finding(
                "loss-within-error",
                "measured",
                "The measurements lie no further apart than their errors: the tank may have lost"
                " hardly anything.",
                "Measure again later.",
            )
        )
    if own is None and len(tank.measured) == 1:
        found.append(
            finding(
                "one-measurement",
                "measured",
                "One measurement gives no loss.",
                "Measure a second time, a week or more later, without filling up between.",
            )
        )
    if published is not None:
        found.append(
            finding(
                "published-loss-is-a-range",
                "temperature_c",
                "The published rate is for clean solutions; what exactly its constant counts is"
                " from memory, and metals or light hasten the loss by an unknown factor.",
                "Not for dosing: dose by a measured and dated strength.",
            )
        )
        found += beyond_published(tank)
    return found


def beyond_published(tank: Tank) -> list[Finding]:
    """Say where a tank lies outside what was published."""
    start = tank.measured[-1][1] if tank.measured else tank.grams_l
    mol_l = hypochlorite_mol_l(start or 0.0)
    celsius = tank.temperature_c or 0.0
    inside = PUBLISHED_C[0] <= celsius <= PUBLISHED_C[1]
    if inside and PUBLISHED_MOL_L[0] <= mol_l <= PUBLISHED_MOL_L[1]:
        return []
    return [
        finding(
            "published-loss-extrapolated",
            "temperature_c",
            "The published rate was measured from 15 to 55 C and from 50 to 213 g/L.",
            "Take it as rough here.",
        )
    ]
