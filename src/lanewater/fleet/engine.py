"""The compiled engine: any function of kernel/water by name, the same answers many times faster.

Compiled functions raise where CPython does: index, domain and division are checked. Numba itself is
imported when an engine is loaded, not with this module.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

from lanewater.fleet.keeping import kept_module
from lanewater.fleet.sources import KERNEL_WATER, Flavour, one_module, water_sources
from lanewater.terms.errors import MissingError

CHECKED = Flavour(
    "numba.njit(cache=True, error_model='python', boundscheck=True, fastmath={'contract'})",
    {"exp": "close_exp"},
    # What a step of the solver calls; more of it would take minutes to compile.
    ("activity", "families", "closeexp", "next_state", "newton_step", "held"),
)
BESIDE = ("closeexp", "batches")
# A longer tuple is a table: its length would be compiled into every function, so it goes as array.
LONGEST_TUPLE = 30


@dataclass(frozen=True, slots=True)
class Engine:
    """Compiled functions of kernel/water.

    Attributes
    ----------
    module : ModuleType
        The functions as Numba holds them, for calling from compiled code.
    """

    module: ModuleType

    def function(self, name: str) -> Callable[..., Any]:
        """Give a function that is called as the kernel's own, tuples and lists included.

        A list that is handed in is copied: what a function changes in it is not seen outside.

        Parameters
        ----------
        name : str
            A function of kernel/water, or of `fleet.batches`.

        Raises
        ------
        MissingError
            Where there is none of that name.
        """
        if name not in self.module.FACES:
            raise MissingError(f"{name!r} is no function of kernel/water")
        compiled = getattr(self.module, name)
        kinds = self.module.FACES[name]

        def call(*arguments: Any) -> Any:
            pairs = zip(kinds, arguments, strict=True)
            return compiled(*(as_compiled(kind, value) for kind, value in pairs))

        return call


def load_engine(
    cache: Path | None = None, folder: Path = KERNEL_WATER, wanted: tuple[str, ...] = ()
) -> Engine:
    """Load the engine; each function is compiled when it is first called, and kept.

    Parameters
    ----------
    cache : Path, optional
        Where compiled code is kept; a folder of the user's own cache where it is left out.
    folder : Path, optional
        The kernel's.
    wanted : tuple of str, optional
        Modules of kernel/water, with all that they import; every module where left out.

    Raises
    ------
    MissingError
        Where Numba is not installed, or nothing can be kept.
    """
    sources = water_sources(folder, BESIDE)
    return Engine(
        kept_module(one_module(sources, ("closeexp", *(wanted or sources)), CHECKED), cache)
    )


def table(numbers: Any) -> Any:
    """Give a table of constants as compiled functions read it fastest; worth it where kept."""
    import numpy as np  # noqa: PLC0415 - only where something is compiled

    return np.array(numbers, dtype=np.float64)


def whole_numbers(numbers: Any) -> Any:
    """Give a list of places as compiled functions read it."""
    import numpy as np  # noqa: PLC0415 - only where something is compiled

    return np.array(numbers, dtype=np.int64)


def as_compiled(kind: str, value: Any) -> Any:
    """Give an argument the one type that its annotation stands for.

    Parameters
    ----------
    kind : str
        The annotation.
    value : object
        As the kernel takes it, or an array already.
    """
    if kind == "float":
        return float(value)
    if kind == "list[int]":
        return whole_numbers(value)
    if isinstance(value, list) or (isinstance(value, tuple) and len(value) > LONGEST_TUPLE):
        return table(value)
    if isinstance(value, tuple):
        return tuple(
            tuple(map(float, item)) if isinstance(item, tuple) else float(item) for item in value
        )
    return value
