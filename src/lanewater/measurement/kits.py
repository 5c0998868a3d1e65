"""Test kits: what each can read, in what steps, how well, and where its pH test ends."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lanewater.kernel.deciding.decimals import thousandths
from lanewater.kernel.deciding.tries import legible_text
from lanewater.terms.errors import InputError
from lanewater.terms.parameters import PARAMETERS

KINDS = ("photometer", "comparator", "titration", "strips")
STEPPED = ("comparator", "strips")
KIT_KEYS = frozenset(
    {
        "kit",
        "id",
        "name",
        "kind",
        "ranges",
        "total_stand_s",
        "ph_free_chlorine_limit",
        "accepted",
        "verified_on",
    }
)
SPAN_KEYS = frozenset(
    {"parameter", "low", "high", "step", "uncertainty", "error_absolute", "error_percent"}
)


@dataclass(frozen=True, slots=True)
class DeclaredError:
    """What a kit's sheet or certificate says of its error, as one standard uncertainty.

    Attributes
    ----------
    absolute : str
        The part that does not depend on the reading. [unit of the parameter]
    percent : str
        The part that grows with it. [% of the reading]
    """

    absolute: str
    percent: str


@dataclass(frozen=True, slots=True)
class Span:
    """One parameter's range on a kit; "" where the kit's papers do not say."""

    parameter: str
    low: str = ""
    high: str = ""
    step: str = ""
    error: DeclaredError | None = None

    def for_kernel(self) -> dict[str, str]:
        """Give it in the shape of a case's kits; "" where nothing is stated."""
        absolute = "" if self.error is None else self.error.absolute
        percent = "" if self.error is None else self.error.percent
        return {
            "low": self.low,
            "high": self.high,
            "step": self.step,
            "error_absolute": absolute,
            "error_percent": percent,
        }


@dataclass(frozen=True, slots=True)
class Kit:
    """One test kit of a site.

    Attributes
    ----------
    id, kind : str
        Own id; photometer, comparator, titration or strips.
    spans : tuple of Span
        What it reads.
    total_stand_s : int or None
        How long total chlorine stands before it is read, from the kit's own card. [s]
        None where the card asks for no wait, as with titration.
    ph_free_chlorine_limit : str or None
        Free chlorine above which its pH test is not to be believed. [mg/L] None: not stated.
    accepted : bool
        Whether the rules accept it as proof; a strip usually is not.
    """

    id: str
    kind: str
    spans: tuple[Span, ...] = ()
    total_stand_s: int | None = None
    ph_free_chlorine_limit: str | None = None
    accepted: bool = True

    def span(self, parameter: str) -> Span | None:
        """Give the kit's range for a parameter, or None where it does not read it."""
        return next((span for span in self.spans if span.parameter == parameter), None)

    def for_kernel(self) -> dict[str, Any]:
        """Give what findings need of this kit, in the shape of a case's "kits"."""
        facts: dict[str, Any] = {
            "kind": self.kind,
            "accepted": self.accepted,
            "ranges": {span.parameter: span.for_kernel() for span in self.spans},
        }
        if self.ph_free_chlorine_limit is not None:
            facts["ph_free_chlorine_limit"] = self.ph_free_chlorine_limit
        return facts


def kit_from(given: Any, where: str = "kit") -> Kit:
    """Read a kit as a site's set-up writes it.

    Parameters
    ----------
    given : object
        {kit, kind, ranges: [{parameter, low, high, step, uncertainty | error_absolute,
        error_percent}], total_stand_s, ph_free_chlorine_limit, accepted}. "uncertainty" is a
        half width at 95 %; the error parts are one standard uncertainty. Strips are taken as
        not accepted unless the set-up says that the rules accept them.
    where : str, optional
        Its name, for errors.

    Raises
    ------
    InputError
        Naming the field.
    """
    if not isinstance(given, Mapping):
        raise InputError(where, "an object is wanted")
    for key in given:
        if key not in KIT_KEYS:
            raise InputError(f"{where}.{key}", f"is not one of {', '.join(sorted(KIT_KEYS))}")
    identity = given.get("kit", given.get("id"))
    if not isinstance(identity, str) or not identity:
        raise InputError(f"{where}.kit", "an id is wanted")
    kind = given.get("kind")
    if kind not in KINDS:
        raise InputError(f"{where}.kind", f"one of {', '.join(KINDS)} is wanted")
    accepted = given.get("accepted", kind != "strips")
    if not isinstance(accepted, bool):
        raise InputError(f"{where}.accepted", "true or false is wanted")
    return Kit(
        id=identity,
        kind=kind,
        spans=spans_from(given.get("ranges", []), f"{where}.ranges"),
        total_stand_s=stand_from(given.get("total_stand_s"), f"{where}.total_stand_s"),
        ph_free_chlorine_limit=limit_from(
            given.get("ph_free_chlorine_limit"), f"{where}.ph_free_chlorine_limit"
        ),
        accepted=accepted,
    )


def stand_from(value: Any, where: str) -> int | None:
    """Read the seconds that total chlorine stands."""
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or not 0 < value <= 3600:
        raise InputError(where, "whole seconds from the kit's card, at most 3600, are wanted")
    return value


def limit_from(value: Any, where: str) -> str | None:
    """Read an optional number of zero or more as text."""
    return None if value is None else amount_text(value, where)


def amount_text(value: Any, where: str) -> str:
    """Check a decimal text of zero or more."""
    if not isinstance(value, str) or not legible_text(value) or value[0] in "<>-":
        raise InputError(where, 'a decimal text is wanted, such as "5.00"')
    return value.replace(",", ".")


def spans_from(given: Any, where: str) -> tuple[Span, ...]:
    """Read the ranges of a kit, each parameter once."""
    if not isinstance(given, list | tuple):
        raise InputError(where, "a list is wanted")
    spans = tuple(span_from(entry, f"{where}[{index}]") for index, entry in enumerate(given))
    names = [span.parameter for span in spans]
    for index, name in enumerate(names):
        if name in names[:index]:
            raise InputError(f"{where}[{index}].parameter", f"{name} stands there twice")
    return spans


def span_from(given: Any, where: str) -> Span:
    """Read one range."""
    if not isinstance(given, Mapping):
        raise InputError(where, "an object is wanted")
    for key in given:
        if key not in SPAN_KEYS:
            raise InputError(f"{where}.{key}", f"is not one of {', '.join(sorted(SPAN_KEYS))}")
    parameter = given.get("parameter")
    if parameter not in PARAMETERS:
        raise InputError(f"{where}.parameter", f"{parameter!r} is not a parameter")
    ends = {
        key: amount_text(given[key], f"{where}.{key}") if given.get(key) is not None else ""
        for key in ("low", "high", "step")
    }
    if ends["low"] and ends["high"] and thousandths(ends["low"]) >= thousandths(ends["high"]):
        raise InputError(where, "low must be under high")
    return Span(parameter=parameter, error=error_from(given, where), **ends)


def error_from(given: Mapping[str, Any], where: str) -> DeclaredError | None:
    """Read the declared error of one range; half of a 95 % half width is the standard one."""
    if given.get("uncertainty") is not None:
        text = amount_text(given["uncertainty"], f"{where}.uncertainty")
        half = (thousandths(text) + 1) // 2
        return DeclaredError(absolute=f"{half // 1000}.{half % 1000:03d}", percent="0")
    if given.get("error_absolute") is None and given.get("error_percent") is None:
        return None
    return DeclaredError(
        absolute=amount_text(given.get("error_absolute", "0"), f"{where}.error_absolute"),
        percent=amount_text(given.get("error_percent", "0"), f"{where}.error_percent"),
    )
