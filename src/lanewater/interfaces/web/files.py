"""The pages' files: what stands in the folder, with its kind and its mark; nothing else."""

from __future__ import annotations

import gzip
import hashlib
import re
from dataclasses import dataclass
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import Receive, Scope, Send

from lanewater.interfaces.web.shell import LIST, WORKER, Shell, shell_of, worker_of

FOLDER = Path(__file__).parent / "static"
PREFIX = "/static/"
START = "index.html"
AT_ROOT = f"/{WORKER}"
PAGES = frozenset(
    {
        "",
        "now",
        "due",
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
        "sign",
        "sample",
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
PACKED = frozenset({".html", ".js", ".mjs", ".css", ".json", ".webmanifest", ".txt", ".svg"})
WORTH_PACKING = 1_000


@dataclass(frozen=True, slots=True)
class Kept:
    """A file as it was read: content, that packed, its hash, and by what a change is noticed."""

    content: bytes
    packed: bytes
    digest: str
    noticed: tuple[int, int]


def kept_of(content: bytes, suffix: str, noticed: tuple[int, int] = (0, 0)) -> Kept:
    """Take a file's content up; `packed` is empty where packing gains nothing."""
    packed = b""
    if suffix in PACKED and len(content) >= WORTH_PACKING:
        packed = gzip.compress(content, 9, mtime=0)
    return Kept(content, packed, hashlib.sha256(content).hexdigest(), noticed)


class Pages:
    """Serve a folder of files; every page's address gives the one page that draws them all.

    Parameters
    ----------
    folder : Path
        Read afresh where a file has changed.
    policy : str
        Under what the files are served; another one is another version of the pages.
    """

    def __init__(self, folder: Path = FOLDER, policy: str = "") -> None:
        self.folder = folder
        self.policy = policy
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
        found = None if path is None else self.find(path)
        if path is None or found is None:
            return PlainTextResponse("There is nothing at this address.\n", 404)
        packed = found.packed if takes_packed(request) else b""
        mark = f'"{found.digest[:32]}{"-gz" if packed else ""}"'
        headers = {"ETag": mark, "Cache-Control": "no-cache", "Vary": "Accept-Encoding"}
        if mark in request.headers.get("if-none-match", "").replace(",", " ").split():
            return Response(status_code=304, headers=headers)
        headers |= kind_of(path) | ({"Content-Encoding": "gzip"} if packed else {})
        return Response(packed or found.content, media_type=None, headers=headers)

    def find(self, path: str) -> Kept | None:
        """Give a file of the folder, or what is made from it: the list of a version, its worker."""
        if path == LIST:
            return kept_of(self.shell().text(), ".json")
        found = self.read(self.folder / path)
        if path == WORKER and found is not None:
            return kept_of(worker_of(found.content, self.shell().version), ".js")
        return found

    def shell(self) -> Shell:
        """Put together the version that stands in the folder now."""
        files = []
        for path in self.folder.rglob("*"):
            address = PREFIX + path.relative_to(self.folder).as_posix()
            if file_of(address) is not None and (found := self.read(path)) is not None:
                files.append((address, found.digest))
        return shell_of(files, PAGES, self.policy)

    def read(self, path: Path) -> Kept | None:
        """Read a file, from memory where it has not changed; None where there is none."""
        try:
            if path.is_symlink() or not path.is_file():
                return None
            facts = path.stat()
            noticed = (facts.st_mtime_ns, facts.st_size)
            known = self.kept.get(path)
            if known is None or known.noticed != noticed:
                known = self.kept[path] = kept_of(path.read_bytes(), path.suffix, noticed)
        except OSError:
            return None
        return known


def takes_packed(request: Request) -> bool:
    """Tell whether a browser takes gzip."""
    offered = request.headers.get("accept-encoding", "").lower().replace(" ", "").split(",")
    return "gzip" in offered


def kind_of(path: str) -> dict[str, str]:
    """Give the header that tells a file's kind."""
    return {"Content-Type": KINDS[Path(path).suffix]}


def file_of(address: str) -> str | None:
    """Give the file that an address means, below the folder; None where it means none.

    Every step of the path is held to plain letters, so nothing leads out of the folder and
    nothing that begins with a dot is served.
    """
    if address == AT_ROOT:
        return WORKER
    if not address.startswith(PREFIX):
        steps = address.removeprefix("/").split("/")
        page = steps[0] in PAGES and len(steps) <= 2 and all(map(plain, steps[1:]))
        return START if page else None
    path = address.removeprefix(PREFIX)
    if path == WORKER or not all(map(plain, path.split("/"))) or Path(path).suffix not in KINDS:
        return None
    return path


def plain(step: str) -> bool:
    """Tell whether a step of a path is plain."""
    return STEP.fullmatch(step) is not None
