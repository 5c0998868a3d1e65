"""The pages' files: what stands in the folder, with its kind and its mark; nothing else."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import Receive, Scope, Send

FOLDER = Path(__file__).parent / "static"
PREFIX = "/static/"
START = "index.html"
PAGES = frozenset(
    {
        "",
        "now",
        "look",
        "test",
        "water",
        "plant",
        "incidents",
        "record",
        "site",
        "out",
        "sign-in",
        "handover",
    }
)
KINDS = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".json": "application/json; charset=utf-8",
    ".webmanifest": "application/manifest+json; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
    ".svg": "image/svg+xml; charset=utf-8",
    ".png": "image/png",
    ".ico": "image/x-icon",
    ".woff2": "font/woff2",
}
STEP = re.compile(r"[A-Za-z0-9_-][A-Za-z0-9._-]*", re.ASCII)
READS = ("GET", "HEAD")


@dataclass(frozen=True, slots=True)
class Kept:
    """A file as it was read: its content, the mark of that, and by what a change is noticed."""

    content: bytes
    mark: str
    noticed: tuple[int, int]


class Pages:
    """Serve a folder of files; every page's address gives the one page that draws them all.

    Parameters
    ----------
    folder : Path
        Read afresh where a file has changed.
    """

    def __init__(self, folder: Path = FOLDER) -> None:
        self.folder = folder
        self.kept: dict[Path, Kept] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        request = Request(scope, receive)
        if request.method not in READS:
            answer: Response = PlainTextResponse(
                "Only GET and HEAD.\n", 405, headers={"Allow": ", ".join(READS)}
            )
        else:
            answer = await run_in_threadpool(self.answer, request)
        await answer(scope, receive, send)

    def answer(self, request: Request) -> Response:
        """Give the file of an address, that it has not changed, or that there is none."""
        path = file_of(request.scope["path"])
        found = None if path is None else self.read(self.folder / path)
        if path is None or found is None:
            return PlainTextResponse("There is nothing at this address.\n", 404)
        headers = {"ETag": found.mark, "Cache-Control": "no-cache"}
        if found.mark in request.headers.get("if-none-match", "").replace(",", " ").split():
            return Response(status_code=304, headers=headers)
        return Response(found.content, media_type=None, headers=headers | kind_of(path))

    def read(self, path: Path) -> Kept | None:
        """Read a file, from memory where it has not changed; None where there is none."""
        try:
            if path.is_symlink() or not path.is_file():
                return None
            facts = path.stat()
            noticed = (facts.st_mtime_ns, facts.st_size)
            known = self.kept.get(path)
            if known is None or known.noticed != noticed:
                content = path.read_bytes()
                mark = f'"{hashlib.sha256(content).hexdigest()[:32]}"'
                known = self.kept[path] = Kept(content, mark, noticed)
        except OSError:
            return None
        return known


def kind_of(path: str) -> dict[str, str]:
    """Give the header that tells a file's kind."""
    return {"Content-Type": KINDS[Path(path).suffix]}


def file_of(address: str) -> str | None:
    """Give the file that an address means, below the folder; None where it means none.

    Every step of the path is held to plain letters, so nothing leads out of the folder and
    nothing that begins with a dot is served.
    """
    if not address.startswith(PREFIX):
        steps = address.removeprefix("/").split("/")
        page = steps[0] in PAGES and len(steps) <= 2 and all(map(plain, steps[1:]))
        return START if page else None
    path = address.removeprefix(PREFIX)
    if not all(map(plain, path.split("/"))) or Path(path).suffix not in KINDS:
        return None
    return path


def plain(step: str) -> bool:
    """Tell whether a step of a path is plain."""
    return STEP.fullmatch(step) is not None
