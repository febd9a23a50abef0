"""A real PostgreSQL of the tests' own, in a folder of theirs, on a free port of this computer."""

from __future__ import annotations

import itertools
import os
import pwd
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from support.broker import free_port
from waytell.journal import database_server

PROGRAMS = Path("/usr/lib/postgresql")
OWNER = "postgres"


class Postgres:
    """`folder` keeps its files. It refuses to be run by root, so then its own user runs it."""

    def __init__(self, folder: Path) -> None:
        found = sorted(PROGRAMS.glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
        assert found, "postgresql is not installed; tests/run installs it"
        self._programs = found[-1].parent
        self._folder = folder
        self.port = free_port()
        self._numbers = itertools.count(1)
        self._urls: list[str] = []
        self._as: dict[str, int] = {}
        if os.geteuid() == 0:
            owner = pwd.getpwnam(OWNER)
            os.chown(folder, owner.pw_uid, owner.pw_gid)
            self._as = {"user": owner.pw_uid, "group": owner.pw_gid}
        self._do("initdb", "-D", str(folder / "data"), "-U", OWNER, "-A", "trust", "-E", "UTF8", "--no-sync")

    def _do(self, program: str, *arguments: str) -> None:
        command = [str(self._programs / program), *arguments]
        done = subprocess.run(
            command, check=False, cwd=self._folder, capture_output=True, text=True, timeout=60, **self._as
        )  # type: ignore[call-overload]
        assert done.returncode == 0, done.stdout + done.stderr

    def start(self) -> None:
        how = f"-p {self.port} -k {self._folder} -c listen_addresses=127.0.0.1"
        log = self._folder / "log"
        self._do("pg_ctl", "-D", str(self._folder / "data"), "-w", "-l", str(log), "-o", how, "start")

    def stop(self) -> None:
        self._do("pg_ctl", "-D", str(self._folder / "data"), "-w", "-m", "immediate", "stop")

    def new_database(self) -> str:
        """Address of an empty one."""
        name = f"journal_{next(self._numbers)}"
        self._do("createdb", "-h", "127.0.0.1", "-p", str(self.port), "-U", OWNER, name)
        self._urls.append(f"postgresql://{OWNER}@127.0.0.1:{self.port}/{name}")
        return self._urls[-1]

    def leave(self) -> None:
        """Close what this program has open there."""
        for url in self._urls:
            database_server.engine(database_server.address(url)).dispose()
        self._urls.clear()


@contextmanager
def postgres() -> Iterator[Postgres]:
    # Outside pytest's folders, which only their owner may enter.
    folder = Path(subprocess.run(["mktemp", "-d"], capture_output=True, text=True, check=True).stdout.strip())
    try:
        server = Postgres(folder)
        server.start()
        try:
            yield server
        finally:
            server.leave()
            server.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)
