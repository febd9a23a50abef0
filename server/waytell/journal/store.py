"""The journal on disk, in SQLite by default: events, from which all state is rebuilt, and every reading.

Write-ahead log with full synchronisation: what was committed survives a crash and a power cut. Errors of the database
become `JournalError`, with words for the person. SQL is SQLAlchemy's, so that another database can take SQLite's place
by its address.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import platformdirs
import sqlalchemy as sa
from pydantic import ValidationError
from sqlalchemy.exc import IntegrityError, SQLAlchemyError

from waytell.documents.state import Event
from waytell.journal import database_server, schema, traces
from waytell.journal.schema import EVENTS, TRACES
from waytell.journal.sqlite_file import file_of, reading_engine, writing_engine
from waytell.journal.trace_block import BlockError
from waytell.journal.traces import Block, Contents, Pruning
from waytell.journal.trouble import JournalError, damaged, told
from waytell_bridge.reading import Reading

_SAID = ("machine", "number", "t_s", "wall", "kind", "words", "body")


def data_folder(named: Path | None) -> Path:
    """The folder that keeps the journal: the one that was named, else the person's own."""
    return named or Path(platformdirs.user_data_dir("waytell", appauthor=False))


def journal_file(folder: Path) -> Path:
    return folder.resolve() / "journal.sqlite"


def journal_url(folder: Path) -> str:
    """Address of the journal in a data folder."""
    return f"sqlite:///{journal_file(folder).as_posix()}"


class Store:
    """One open journal. Used by one thread at a time.

    Raises:
        JournalError: it cannot be read, or a newer program made it. The file is as it was.
    """

    def __init__(self, url: str) -> None:
        self._file = file_of(url)
        if self._file is not None:
            self.where, self._writer, self._reader = str(self._file), writing_engine(url), reading_engine(self._file)
        else:
            server = database_server.address(url)
            self.where = database_server.shown(server)
            self._writer = self._reader = database_server.engine(server)
        with self._telling("opened"):
            self._made = self._look()
        self._inode = self._present_inode()

    def _look(self) -> bool:
        """Whether the tables are there, as they are today; older ones are changed.

        None are made before the first writing: the figures must not wait for a disk, nor fail where it is full.
        """
        if self._file is not None and not self._file.exists():
            return False
        with self._reader.connect() as connection:
            version = schema.stored_version(connection)
        if version is not None and version != schema.HEAD:
            with self._writer.begin() as connection:
                schema.bring_up_to_date(connection)
        return version is not None

    # -- events ----------------------------------------------------------------------------------------------------

    def load(self, machine: str) -> list[Event]:
        """All events of a machine in their order.

        Raises:
            JournalError: the database is damaged or cannot be reached.
        """
        query = sa.select(EVENTS).where(EVENTS.c.machine == machine).order_by(EVENTS.c.number)
        with self._reading() as connection:
            rows = connection.execute(query).all() if connection is not None else []
            if connection is not None and self._file is not None:
                self._none_is_hidden(connection, machine, len(rows))
        return [self._event(row, number) for number, row in enumerate(rows, start=1)]

    def _none_is_hidden(self, connection: sa.Connection, machine: str, told: int) -> None:
        """Rows are found through an index. One that was damaged may end too soon, and nothing else would tell."""
        count = sa.text("SELECT count(*) FROM events NOT INDEXED WHERE machine = :machine")
        there = connection.execute(count, {"machine": machine}).scalar_one()
        if there != told:
            raise damaged(self.where, f"{there} events are there, of which {told} are found")

    def _event(self, row: sa.Row[Any], number: int) -> Event:
        if row.number != number:
            raise damaged(self.where, f"event {number} is missing")
        if row.crc != _crc(row):
            raise damaged(self.where, f"event {number} is not as it was written")
        try:
            return Event(
                number=number, t_s=row.t_s, wall=row.wall, kind=row.kind, words=row.words, body=json.loads(row.body)
            )
        except ValidationError as error:
            raise damaged(self.where, f"event {number} cannot be read ({error.errors()[0]['msg']})") from error

    def append(self, machine: str, events: Sequence[Event]) -> None:
        """Store events, all or none; those that are stored already are not stored again.

        Raises:
            JournalError: nothing was stored; try again later.
        """
        rows = [_row(machine, event) for event in events]
        with self._telling("written"):
            try:
                with self._writing() as connection:
                    connection.execute(sa.insert(EVENTS), rows)
            except IntegrityError:
                # They may have reached the disk all the same when storing them seemed to fail.
                rows = self._not_stored(rows)
                if rows:
                    with self._writing() as connection:
                        connection.execute(sa.insert(EVENTS), rows)

    def _not_stored(self, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
        """Those that are not there, number and all; one that is there otherwise will be refused again."""
        first = rows[0]
        query = sa.select(EVENTS).where(EVENTS.c.machine == first["machine"], EVENTS.c.number >= first["number"])
        with self._reader.connect() as connection:
            stored = [dict(row._mapping) for row in connection.execute(query)]  # noqa: SLF001 - its public name
        return [row for row in rows if row not in stored]

    # -- readings --------------------------------------------------------------------------------------------------

    def new_run(self, machine: str) -> int:
        """Number for the readings of a start of the program."""
        with self._reading() as connection:
            last = traces.newest(connection, machine) if connection is not None else None
        return 1 if last is None else last.run + 1

    def append_blocks(self, machine: str, blocks: Sequence[Block]) -> None:
        """Store readings, all or none.

        Raises:
            JournalError: nothing was stored; try again later.
        """
        with self._telling("written"), self._writing() as connection:
            traces.insert(connection, machine, blocks)

    def tail(self, machine: str, after_event: int) -> list[Reading]:
        """Readings of the newest start since an event, at most 20 minutes of them.

        Raises:
            JournalError: the database is damaged or cannot be reached.
        """
        with self._reading() as connection:
            return traces.tail(connection, machine, after_event) if connection is not None else []

    def trace(self, machine: str, run: int, from_s: float, to_s: float) -> list[Reading]:
        """Readings of a start between two of its times, both included.

        Raises:
            JournalError: the database is damaged or cannot be reached.
        """
        with self._reading() as connection:
            try:
                return traces.piece(connection, machine, run, from_s, to_s) if connection is not None else []
            except BlockError as error:
                raise damaged(self.where, f"a block of readings cannot be read ({error})") from error

    def blocks(self, machine: str, at_once: int) -> Iterator[list[Block]]:
        """All blocks of readings, oldest first, so many at a time.

        Raises:
            JournalError: the database is damaged or cannot be reached.
        """
        after = 0
        while True:
            with self._reading() as connection:
                some = traces.blocks(connection, machine, after, at_once) if connection is not None else []
            if not some:
                return
            after = some[-1][0]
            yield [block for _, block in some]

    def prune(self, machine: str, what: Pruning, at_most: int | None = None) -> int:
        """Take out the oldest blocks of readings; how many. Events are never taken out.

        Raises:
            JournalError: nothing was taken out.
        """
        with self._telling("pruned"), self._writing() as connection:
            return traces.prune(connection, machine, what, at_most)

    def look_over(self, machine: str) -> Contents:
        """Every block of readings looked at.

        Raises:
            JournalError: the database is damaged or cannot be reached.
        """
        with self._reading() as connection:
            if connection is None:
                return Contents(0, 0, 0, None, None, [])
            return traces.look_over(connection, machine)

    # -- the rest --------------------------------------------------------------------------------------------------

    def machines(self) -> list[str]:
        """Whose events or readings are kept.

        Raises:
            JournalError: the database is damaged or cannot be reached.
        """
        query = sa.union(sa.select(EVENTS.c.machine), sa.select(TRACES.c.machine))
        with self._reading() as connection:
            return sorted(connection.execute(query).scalars()) if connection is not None else []

    def close(self) -> None:
        # Connections to a server are shared with the journals of other machines.
        if self._file is not None:
            self._writer.dispose()

    @contextmanager
    def _reading(self) -> Iterator[sa.Connection | None]:
        """None where nothing was ever written."""
        with self._telling("read"):
            if not self._made:
                yield None
                return
            with self._reader.connect() as connection:
                yield connection

    @contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        self._still_there()
        with self._writer.begin() as connection:
            if not self._made:
                schema.bring_up_to_date(connection)
            yield connection
        if not self._made:
            self._made, self._inode = True, self._present_inode()

    def _still_there(self) -> None:
        """What is written to a file that was moved away while it is open would be found nowhere."""
        if self._made and self._present_inode() != self._inode:
            raise JournalError(
                "The journal was moved or replaced while Waytell runs. Put it back, or start Waytell again; "
                f"what is not stored yet is kept. ({self.where})"
            )

    def _present_inode(self) -> int | None:
        return self._file.stat().st_ino if self._file is not None and self._file.exists() else None

    @contextmanager
    def _telling(self, verb: str) -> Iterator[None]:
        try:
            yield
        except (SQLAlchemyError, OSError, UnicodeDecodeError) as error:
            raise told(self.where, error, verb) from error


def _row(machine: str, event: Event) -> dict[str, Any]:
    row = {**event.model_dump(exclude={"body"}), "machine": machine, "body": json.dumps(event.body)}
    return row | {"crc": _sum(row[name] for name in _SAID)}


def _crc(row: sa.Row[Any]) -> int:
    return _sum(getattr(row, name) for name in _SAID)


def _sum(said: Iterator[object]) -> int:
    """CRC-32 over all that an event says."""
    return zlib.crc32("\n".join(map(repr, said)).encode())
