"""The two sides that have to agree: the kernel in CPython, and its translation in Chromium.

A row is a list of arguments. Its outcome is a value, or the name of an error. Numbers that are not
whole agree within a stated error, relative or absolute; everything else agrees exactly, the order
of dicts included.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any

from playwright.sync_api import Browser, Page, Route

from lanewater.service.translation.generated import STATIC, kernel_sources
from lanewater.service.translation.script import translate

ORIGIN = "http://kernel.test"
HARNESS = Path(__file__).parent / "harness.js"
KERNEL_SCRIPT = "/static/generated/kernel.js"
CLOSE = 1e-12
LARGEST = 2**53 - 1
MOST_SHOWN = 5
BATCH = 2000

Row = Sequence[Any]
Change = tuple[int, list[str | int], str]
Asked = tuple[Row, list[Change] | None]


@dataclass(frozen=True)
class Suite:
    """Vectors for one function.

    Parameters
    ----------
    name : str
        The kernel function.
    rows : callable
        Gives its rows of arguments.
    within : float
        How far numbers may lie apart; 0 where every number is whole.
    changed : callable
        Gives the rows of which also every key is left out, made null, and every list emptied.
    place : int
        Which argument of those; -1 for all.
    every : int
        Only each so-manieth of these changes is asked, where there are thousands.
    """

    name: str
    rows: Callable[[], Iterable[Row]]
    within: float = 0.0
    changed: Callable[[], Iterable[Row]] = tuple
    place: int = -1
    every: int = 1


def changes_of(row: Row, place: int, every: int) -> list[Change]:
    """Give the changes of a row: each key absent, each null, each list empty."""
    places = range(len(row)) if place < 0 else (place,)
    found = [(at, steps, what) for at in places for steps, what in inner_changes(row[at])]
    return found[::every]


def inner_changes(held: Any) -> Iterator[tuple[list[str | int], str]]:
    """Give the changes of a dict or list."""
    items: Iterable[tuple[str | int, Any]] = ()
    if isinstance(held, dict):
        items = held.items()
    elif isinstance(held, list):
        items = enumerate(held)
    for key, value in items:
        if isinstance(held, dict):
            yield [key], "absent"
        yield [key], "null"
        if isinstance(value, list) and value:
            yield [key], "empty"
        for steps, what in inner_changes(value):
            yield [key, *steps], what


def change(held: Any, steps: list[str | int], what: str) -> Any:
    """Give an argument with one thing in it taken away, made null or emptied."""
    step, *inner = steps
    copy = held.copy()
    if not inner and what == "absent":
        del copy[step]
        return copy
    copy[step] = change(held[step], inner, what) if inner else {"null": None, "empty": []}[what]
    return copy


def python_outcome(function: Callable[..., Any], row: Row) -> dict[str, Any]:
    """Call a function in CPython."""
    try:
        return {"value": function(*row)}
    except Exception as error:
        return {"error": type(error).__name__, "said": str(error)}


def apart(here: Any, there: Any, within: float) -> str:
    """Tell where two values differ, "" where they agree.

    Parameters
    ----------
    here : object
        CPython's.
    there : object
        The browser's, as the harness shows it.
    within : float
        How far numbers may lie apart, relative or absolute.
    """
    if isinstance(here, dict):
        if not isinstance(there, dict) or "dict" not in there:
            return f"{here!r} and {there!r}"
        if list(here) != [key for key, _ in there["dict"]]:
            return f"keys {list(here)} and {[key for key, _ in there['dict']]}"
        pairs = zip(here.items(), there["dict"], strict=True)
        inner = (f"{key}: {text}" for (key, a), (_, b) in pairs if (text := apart(a, b, within)))
        return next(inner, "")
    if isinstance(here, list | tuple):
        if not isinstance(there, list) or len(here) != len(there):
            return f"{here!r} and {there!r}"
        both = enumerate(zip(here, there, strict=True))
        inner = (f"[{at}]: {text}" for at, (a, b) in both if (text := apart(a, b, within)))
        return next(inner, "")
    if isinstance(here, float):
        return number_apart(here, there, within)
    if isinstance(here, int) and not isinstance(here, bool) and abs(here) > LARGEST:
        return f"{here!r} is beyond 2**53"
    same = type(here) is type(there) or (type(here) is int and type(there) is float)
    return "" if same and here == there else f"{here!r} and {there!r}"


def number_apart(here: float, there: Any, within: float) -> str:
    """Tell how a number of CPython's and what stands for it in the browser differ."""
    if within == 0.0:
        return f"{here!r} is not a whole number, and this function decides exactly"
    if not math.isfinite(here):
        odd = {math.inf: "Infinity", -math.inf: "-Infinity"}.get(here, "NaN")
        return "" if there == {"odd": odd} else f"{here!r} and {there!r}"
    if not isinstance(there, int | float) or isinstance(there, bool):
        return f"{here!r} and {there!r}"
    close = abs(here - there) <= within * max(1.0, abs(here), abs(there))
    return "" if close else f"{here!r} and {there!r}"


def difference(here: dict[str, Any], there: dict[str, Any], within: float) -> str:
    """Tell how two outcomes differ, "" where they agree."""
    if "error" in here or "error" in there:
        if here.get("error") == there.get("error"):
            return ""
        return f"CPython {brief(here)}, the browser {brief(there)}"
    return apart(here["value"], there["value"], within)


def brief(outcome: dict[str, Any]) -> str:
    """Write an outcome in a few words."""
    if "error" in outcome:
        return f"{outcome['error']} ({outcome['said']})"
    return repr(outcome["value"])[:200]


class Sides:
    """Puts the same rows to both sides.

    Parameters
    ----------
    page : Page
        A page that has the harness.
    script : str
        Address of the translated module.
    functions : mapping
        The same functions in CPython, by name.
    """

    def __init__(self, page: Page, script: str, functions: dict[str, Callable[..., Any]]) -> None:
        self.page = page
        self.script = script
        self.functions = functions

    def faults(self, name: str, rows: Iterable[Row], within: float = CLOSE) -> list[str]:
        """Name the rows of which the two sides say something different.

        Parameters
        ----------
        name : str
            The function.
        rows : iterable
            Rows of arguments.
        within : float
            How far numbers may lie apart; 0 where every number has to be whole.
        """
        return self.all_faults(name, ((row, None) for row in rows), within)

    def faults_of_missing(self, suite: Suite) -> list[str]:
        """Name the changes of which the two sides say something different."""
        rows = ((row, changes_of(row, suite.place, suite.every)) for row in suite.changed())
        return self.all_faults(suite.name, rows, suite.within)

    def all_faults(self, name: str, rows: Iterable[Asked], within: float) -> list[str]:
        """Name the faults of rows, or of the changes of each, in batches."""
        found: list[str] = []
        waiting: list[Asked] = []
        size = 0
        for row, changes in rows:
            waiting.append((row, changes))
            size += 1 if changes is None else len(changes)
            if size >= BATCH:
                found += self.batch_faults(name, waiting, within)
                waiting, size = [], 0
        return found + self.batch_faults(name, waiting, within)

    def batch_faults(self, name: str, batch: list[Asked], within: float) -> list[str]:
        """Name the faults of one batch. Arguments that are one object are sent once, and shared."""
        held = {id(argument): argument for row, _ in batch for argument in row}
        texts = {key: json.dumps(argument) for key, argument in held.items()}
        places = {key: place for place, key in enumerate(held)}
        rows = [([places[id(argument)] for argument in row], changes) for row, changes in batch]
        sent = json.dumps({"held": list(texts.values()), "rows": rows})
        call = "([path, name, batch]) => parity.run(path, name, batch)"
        answer = json.loads(self.page.evaluate(call, [self.script, name, sent]))
        theirs = iter(answer["outcomes"])
        faults = [f"{name} changed what it was handed, in the browser" for _ in answer["touched"]]
        for row, changes in batch:
            for label, taken in rows_of(row, changes):
                here = python_outcome(self.functions[name], taken)
                if text := difference(here, next(theirs), within):
                    faults.append(f"{name}{label or repr(taken)[:300]}: {text}")
        touched = [key for key, argument in held.items() if json.dumps(argument) != texts[key]]
        return faults + [f"{name} changed what it was handed" for _ in touched]


def rows_of(row: Row, changes: list[Change] | None) -> Iterator[tuple[str, list[Any]]]:
    """Give a row, or each of its changes with a label."""
    if changes is None:
        yield "", list(row)
    for place, steps, what in changes or ():
        taken = list(row)
        taken[place] = change(row[place], steps, what)
        yield f"(argument {place}, {'.'.join(map(str, steps))} {what})", taken


def kernel_functions(sources: dict[str, str]) -> dict[str, Callable[..., Any]]:
    """Give every function of the kernel's modules, by name."""
    found: dict[str, Callable[..., Any]] = {}
    for name in sources:
        found |= own_functions(import_module(name))
    return found


def own_functions(module: ModuleType) -> dict[str, Callable[..., Any]]:
    """Give the functions that a module defines itself."""
    return {
        name: value
        for name, value in vars(module).items()
        if getattr(value, "__module__", None) == module.__name__ and callable(value)
    }


def open_harness(chromium: Browser, scripts: dict[str, str]) -> Page:
    """Open a page that holds the harness, the run-time, the kernel and more scripts by path."""
    page = chromium.new_context().new_page()

    def answer(route: Route) -> None:
        path = route.request.url.removeprefix(ORIGIN)
        if path in scripts:
            route.fulfill(body=scripts[path], content_type="text/javascript")
        elif path == "/harness.js":
            route.fulfill(path=HARNESS, content_type="text/javascript")
        elif path.startswith("/static/"):
            file = STATIC / path.removeprefix("/static/")
            route.fulfill(path=file, content_type="text/javascript")
        else:
            route.fulfill(body="<!doctype html><title>kernel</title>", content_type="text/html")

    page.route("**/*", answer)
    page.goto(ORIGIN + "/")
    page.evaluate("async () => { globalThis.parity = await import('/harness.js'); }")
    return page


def kernel_sides(chromium: Browser) -> Sides:
    """Open both sides of the kernel."""
    sources = kernel_sources()
    page = open_harness(chromium, {KERNEL_SCRIPT: translate(sources)})
    return Sides(page, KERNEL_SCRIPT, kernel_functions(sources))
