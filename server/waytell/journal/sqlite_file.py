"""All that only SQLite needs: how its file is opened, looked over and copied. Another database has tools of its own.

The file is read through a connection that cannot write, and only then written through another: even the closing of a
connection that may write moves pages of the write-ahead log into the file, which must not happen to a damaged one.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.pool import NullPool

BUSY_S = 2.0


def file_of(url: str) -> Path | None:
    """The file behind the address of a journal; None where another database keeps it."""
    try:
        parsed = sa.make_url(url)
    except sa.exc.ArgumentError:
        return None
    return Path(parsed.database or "") if parsed.get_backend_name() == "sqlite" else None


def reading_engine(file: Path) -> sa.Engine:
    """Connections that leave the file as it is; they last no longer than they are used."""
    return sa.create_engine("sqlite://", creator=lambda: open_to_read(file), poolclass=NullPool)


def open_to_read(file: Path) -> sqlite3.Connection:
    """A connection that leaves the file as it is.

    Raises:
        sqlite3.Error: it is not there, damaged, or no journal.
    """
    try:
        return _open(file, "mode=ro")
    except sqlite3.OperationalError as error:
        if "locked" in str(error) or not file.exists():
            raise
    # There is no room for the index of its log, which lies beside it, or it may not be written there. So nobody else
    # has the file open either, and the index may be kept in memory; without a log there is no need of one.
    return _open(file, "mode=ro&vfs=unix-none" if beside(file, "-wal").exists() else "immutable=1", "EXCLUSIVE")


def _open(file: Path, how: str, locking: str = "NORMAL") -> sqlite3.Connection:
    address = f"{file.resolve().as_uri()}?{how}"
    connection = sqlite3.connect(address, uri=True, timeout=BUSY_S, check_same_thread=False)
    try:
        connection.execute(f"PRAGMA locking_mode={locking}")
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except (sqlite3.Error, UnicodeDecodeError):  # the latter where its own description of a table is damaged
        connection.close()
        raise
    return connection


def writing_engine(url: str) -> sa.Engine:
    engine = sa.create_engine(url)
    sa.event.listen(engine, "connect", _set_up)
    sa.event.listen(engine, "begin", _begin)
    return engine


def _set_up(connection: sqlite3.Connection, _: object) -> None:
    # The driver would begin transactions by its own rules, and none for a change of the tables.
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout={BUSY_S * 1000:.0f}")
    cursor.execute("PRAGMA journal_mode=WAL")
    # On disk when it is committed, not a little later.
    cursor.execute("PRAGMA synchronous=FULL")
    cursor.close()


def _begin(connection: sa.Connection) -> None:
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def beside(file: Path, ending: str) -> Path:
    """One of the files that SQLite keeps beside a database."""
    return file.with_name(file.name + ending)


def faults(file: Path) -> list[str]:
    """What the database's own look through its whole file finds wrong.

    Raises:
        sqlite3.Error: it cannot even be read.
    """
    with closing(open_to_read(file)) as connection:
        found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check(20)")]
    return [] if found == ["ok"] else found


def in_use(file: Path) -> bool:
    """Whether another program has the file open as a database. One that is no database nobody can use."""
    connection = sqlite3.connect(file.resolve().as_uri() + "?mode=rw", uri=True, timeout=0.2, isolation_level=None)
    with closing(connection):
        try:
            connection.execute("PRAGMA locking_mode=EXCLUSIVE")
            connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
        except sqlite3.Error as error:
            return "locked" in str(error)
    return False


def copy(file: Path, to: Path) -> None:
    """A copy of one moment, made while others go on writing; one file that needs no log beside it.

    Raises:
        sqlite3.Error, OSError: it cannot be read or written.
    """
    with closing(open_to_read(file)) as source, closing(sqlite3.connect(to, isolation_level=None)) as target:
        source.backup(target)
        target.execute("PRAGMA journal_mode=DELETE")
    with to.open("rb+") as written:
        os.fsync(written.fileno())


def give_back_room(file: Path) -> None:
    """Make the file as small as what is in it.

    Raises:
        sqlite3.Error: another program holds it, or there is no room to do so.
    """
    with closing(sqlite3.connect(file, timeout=BUSY_S, isolation_level=None)) as connection:
        connection.execute("VACUUM")
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
