"""The events table, in SQLite by default.

Write-ahead log with full synchronisation: what was committed survives a crash and a power cut. Errors of the
database become `JournalError`, with words for the person.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError

from waytell.documents.state import Event

_METADATA = sa.MetaData()
_EVENTS = sa.Table(
    "events",
    _METADATA,
    sa.Column("machine", sa.String(60), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("t_s", sa.Float, nullable=False),
    sa.Column("wall", sa.String(40), nullable=False),
    sa.Column("kind", sa.String(20), nullable=False),
    sa.Column("words", sa.Text, nullable=False),
    sa.Column("body", sa.Text, nullable=False),
)


class JournalError(Exception):
    """The journal cannot be read or written; the message says what to do. Nothing stored was harmed."""


def journal_url(folder: Path) -> str:
    """Address of the journal in a data folder."""
    return f"sqlite:///{(folder / 'journal.sqlite').resolve().as_posix()}"


class Store:
    """One open journal. Used by one thread at a time."""

    def __init__(self, url: str) -> None:
        self._where = url.removeprefix("sqlite:///")
        try:
            self._engine = sa.create_engine(url)
            if self._engine.dialect.name == "sqlite":
                sa.event.listen(self._engine, "connect", _set_up_sqlite)
            _METADATA.create_all(self._engine)
        except DBAPIError as error:
            raise self._told(error, "opened") from error

    def load(self, machine: str) -> list[Event]:
        """All events of a machine in their order.

        Raises:
            JournalError: the database is damaged or cannot be reached.
        """
        query = sa.select(_EVENTS).where(_EVENTS.c.machine == machine).order_by(_EVENTS.c.number)
        try:
            with self._engine.connect() as connection:
                rows = connection.execute(query).all()
        except DBAPIError as error:
            raise self._told(error, "read") from error
        return [
            Event(number=r.number, t_s=r.t_s, wall=r.wall, kind=r.kind, words=r.words, body=json.loads(r.body))
            for r in rows
        ]

    def append(self, machine: str, events: Sequence[Event]) -> None:
        """Store events, all or none.

        Raises:
            JournalError: nothing was stored; try again later.
        """
        rows = [
            {**event.model_dump(exclude={"body"}), "machine": machine, "body": json.dumps(event.body)}
            for event in events
        ]
        try:
            with self._engine.begin() as connection:
                connection.execute(sa.insert(_EVENTS), rows)
        except DBAPIError as error:
            raise self._told(error, "written") from error

    def close(self) -> None:
        self._engine.dispose()

    def _told(self, error: DBAPIError, verb: str) -> JournalError:
        reason = str(error.orig)
        hint = next((words for part, words in _HINTS if part in reason), "Check the disk and the folder's rights.")
        return JournalError(f"The journal {self._where} cannot be {verb} ({reason}). {hint}")


_HINTS = (
    ("full", "The disk is full: make room; what is not stored yet is kept in memory and stored then."),
    ("readonly", "The disk or the file is read-only: make it writable; what is not stored is kept in memory."),
    ("malformed", "The file is damaged: stop, keep a copy of it, and start with another data folder."),
    ("not a database", "The file is no journal: stop, move it away, or name another data folder with --data."),
    ("locked", "Another program holds it: close that; what is not stored yet is kept in memory."),
    ("unable to open", "Check that the folder named with --data exists and may be written."),
)


def _set_up_sqlite(connection: object, _: object) -> None:
    cursor = connection.cursor()  # type: ignore[attr-defined]
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "busy_timeout=2000"):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()
