"""The translated kernel on disk: written where it is absent or of other sources."""

from __future__ import annotations

from pathlib import Path

from lanewater.service.translation.script import mark_line, mark_of, translate
from lanewater.terms.errors import MissingError

ROOT = Path(__file__).parents[2]
KERNEL_FOLDER = ROOT / "kernel"
STATIC = ROOT / "interfaces" / "web" / "static"
RUN_TIME = STATIC / "strict.js"
TARGET = STATIC / "generated" / "kernel.js"


def kernel_sources(folder: Path = KERNEL_FOLDER) -> dict[str, str]:
    """Read the kernel's modules: dotted name to text."""
    found = {}
    for path in sorted(folder.rglob("*.py")):
        steps = ("lanewater", "kernel", *path.relative_to(folder).with_suffix("").parts)
        name = ".".join(steps).removesuffix(".__init__")
        found[name] = path.read_text(encoding="utf-8")
    return found


def current_mark(sources: dict[str, str]) -> str:
    """Give the mark of these sources, of what translates them and of the run-time beneath."""
    made_by = {path.name: path.read_text(encoding="utf-8") for path in here_and_beneath()}
    return mark_of({**sources, **made_by})


def here_and_beneath() -> list[Path]:
    """List the translator's own modules and the run-time."""
    return [*sorted(Path(__file__).parent.glob("*.py")), RUN_TIME]


def write_kernel(target: Path = TARGET, folder: Path = KERNEL_FOLDER) -> bool:
    """Write the translated kernel, where it does not stand there already.

    Parameters
    ----------
    target : Path, optional
        Where the pages find it.
    folder : Path, optional
        The kernel's.

    Returns
    -------
    bool
        Whether it was written anew.

    Raises
    ------
    SubsetError
        Where the kernel is outside its subset.
    MissingError
        Where it would have to be written and cannot be.
    """
    sources = kernel_sources(folder)
    mark = current_mark(sources)
    if is_fresh(target, mark):
        return False
    text = translate(sources, mark)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        fresh = target.with_suffix(".new")
        fresh.write_text(text, encoding="utf-8")
        fresh.replace(target)
    except OSError as error:
        raise MissingError(f"{target} cannot be written: {error.strerror}") from None
    return True


def is_fresh(target: Path, mark: str) -> bool:
    """Tell whether what stands there is of this mark."""
    try:
        return mark_line(mark) in target.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return False
