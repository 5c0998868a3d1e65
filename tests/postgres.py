"""A PostgreSQL server for tests: made in a folder of its own, reached over its socket alone.

It keeps what it acknowledges exactly as a site's server must (fsync on, data checksums on), and
ends with the process that started it, however that ends. Where the programs are missing a test
that asks for it fails; it is never skipped. Where there is room its files lie in memory: what is
tried here are programs that die, and a disk's syncs are only waited for.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import Any
from urllib.parse import quote

import psycopg
import pytest

PLACES = ("/usr/lib/postgresql", "/usr/local/lib/postgresql")
ACCOUNT = "postgres"
PATIENCE_S = 30.0
MEMORY, ROOM = Path("/dev/shm"), 2**29  # noqa: S108 - a folder with a name of its own is made there

# The server runs under a shell that waits for the end of its own input: that comes when the tests
# close it, and also when they are killed.
KEEPER = '"$@" & server=$!; read -r _; kill -QUIT "$server" 2>/dev/null; wait "$server"'
ROLES = """
CREATE ROLE lanewater_owner LOGIN;
CREATE ROLE lanewater LOGIN;
CREATE DATABASE lanewater OWNER lanewater_owner;
"""


def programs() -> Path:
    """Find the folder of the newest server's programs.

    Raises
    ------
    RuntimeError
        Where there is none.
    """
    found = [path.parent for place in PLACES for path in Path(place).glob("*/bin/initdb")]
    if not found and (named := shutil.which("initdb")):
        found = [Path(named).resolve().parent]
    if not found:
        raise RuntimeError(f"no PostgreSQL server: no initdb under {' or '.join(PLACES)}")
    return max(found, key=lambda path: [int(part) for part in path.parent.name.split(".")])


def account() -> dict[str, Any]:
    """Give as whom the server runs: it refuses root, so for root it is the package's account."""
    if os.getuid() != 0:
        return {}
    known = pwd.getpwnam(ACCOUNT)
    return {"user": known.pw_uid, "group": known.pw_gid, "extra_groups": ()}


@dataclass
class Server:
    """One server in a folder of its own."""

    folder: Path
    bin: Path = field(default_factory=programs)
    keeper: subprocess.Popen[bytes] | None = None
    numbers: Iterator[int] = field(default_factory=lambda: count(1))

    def run(self, program: str, *arguments: str) -> str:
        """Run one of the server's programs as the server's account."""
        done = subprocess.run(
            [str(self.bin / program), *arguments],
            capture_output=True,
            text=True,
            check=False,
            cwd="/",
            **account(),
        )
        if done.returncode:
            raise RuntimeError(f"{program}: {done.stdout}{done.stderr}")
        return done.stdout

    @property
    def data(self) -> Path:
        """Give the folder of its data."""
        return self.folder / "data"

    def make(self, *, checksums: bool = True) -> None:
        """Make its data, a database and the two roles, and start it."""
        wanted = ["--data-checksums"] if checksums else []
        self.run(
            "initdb",
            *("-D", str(self.data), "-A", "trust", "-U", ACCOUNT, "-E", "UTF8", "--locale=C"),
            *wanted,
        )
        self.start()
        for statement in filter(str.strip, ROLES.split(";")):
            self.tell(statement, database=ACCOUNT)

    def start(self) -> None:
        """Start it and wait until it answers."""
        self.let_go()
        settings = ("listen_addresses=", f"unix_socket_directories={self.folder}", "port=5432")
        quick = ("shared_buffers=16MB", "autovacuum=off", "max_connections=40")
        flags = [word for setting in (*settings, *quick) for word in ("-c", setting)]
        with (self.folder / "log").open("ab") as log:
            self.keeper = subprocess.Popen(
                [
                    "sh",
                    "-c",
                    KEEPER,
                    "sh",
                    str(self.bin / "postgres"),
                    "-D",
                    str(self.data),
                    *flags,
                ],
                stdin=subprocess.PIPE,
                stdout=log,
                stderr=log,
                cwd="/",
                start_new_session=True,
                **account(),
            )
        end = time.monotonic() + PATIENCE_S
        while True:
            try:
                psycopg.connect(self.url(ACCOUNT, database=ACCOUNT)).close()
                return
            except psycopg.OperationalError:
                if time.monotonic() > end:
                    raise
                time.sleep(0.1)

    def stop(self, mode: str = "fast") -> None:
        """Stop it: "immediate" is a crash, and the next start recovers."""
        self.run("pg_ctl", "-D", str(self.data), "-m", mode, "-w", "stop")

    def let_go(self) -> None:
        """End what keeps it, and the server where it still runs."""
        if self.keeper is not None and self.keeper.stdin is not None:
            self.keeper.stdin.close()
            self.keeper.wait()

    def url(self, role: str, schema: str = "", database: str = "lanewater") -> str:
        """Give the address of a database, as a role, with one schema where one is named."""
        options = f"&options={quote(f'-csearch_path={schema}', safe='')}" if schema else ""
        return f"postgresql://{role}@/{database}?host={quote(str(self.folder), safe='')}{options}"

    def tell(self, statement: str, schema: str = "", database: str = "lanewater") -> None:
        """Run a statement as the one who may do everything."""
        with psycopg.connect(self.url(ACCOUNT, schema, database), autocommit=True) as connection:
            connection.execute(statement)

    def copy(self, database: str) -> str:
        """Copy a database that nobody is using; give the copy's name."""
        name = f"copy_{next(self.numbers)}"
        self.tell(f"CREATE DATABASE {name} TEMPLATE {database}", database=ACCOUNT)
        return name

    def drop(self, database: str) -> None:
        """Throw a database away, whoever is using it."""
        self.tell(f"DROP DATABASE {database} WITH (FORCE)", database=ACCOUNT)

    def new_schema(self) -> str:
        """Give the name of a schema that nobody has used."""
        return f"site_{next(self.numbers)}"


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    """Give the server of this run, started when the first test asks for it."""
    roomy = MEMORY.is_dir() and shutil.disk_usage(MEMORY).free > ROOM
    folder = Path(tempfile.mkdtemp(prefix="lanewater-pg-", dir=MEMORY if roomy else None))
    known = account()
    if known:
        os.chown(folder, known["user"], known["group"])
    server = Server(folder)
    try:
        server.make()
        yield server
    finally:
        server.let_go()
        shutil.rmtree(folder, ignore_errors=True)
