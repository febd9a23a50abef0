"""Events and readings for the tests of the journal; a lathe that nobody has, and acts of nobody."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import sqlalchemy as sa

from waytell.documents.state import Event
from waytell.journal import database_server, schema
from waytell.journal.sqlite_file import file_of, writing_engine
from waytell.journal.trace_block import encode
from waytell.journal.traces import Block
from waytell.journal.writer import Piece
from waytell_bridge.reading import Reading


def event(number: int, words: str = "Carriage clamped", **more: Any) -> Event:
    body = {"act": {"act": "clamp", "axis": "Z", "held": True}, "text": "µ ± \u2028 'quoted'"} | more
    return Event(number=number, t_s=number / 3, wall="2026-01-01T00:00:00.000Z", kind="act", words=words, body=body)


def readings(t_s: float, count: int = 100, rate_hz: float = 250.0) -> list[Reading]:
    """A cross-slide wound at a steady pace and a carriage that stands, from a time on."""
    return [Reading(t_s + i / rate_hz, 7.0 + t_s + i / rate_hz, (1000 - 2 * i, -50), 0) for i in range(count)]


def alike(one: list[Reading], other: list[Reading]) -> bool:
    """The same readings, times to the microsecond."""
    return len(one) == len(other) and all(
        a.counts == b.counts and a.flags == b.flags and abs(a.t_s - b.t_s) < 1e-6 and abs(a.board_s - b.board_s) < 1e-6
        for a, b in zip(one, other, strict=True)
    )


def piece(after_event: int, t_s: float, count: int = 100) -> Piece:
    return Piece(after_event, "2026-01-01T00:00:00.000Z", readings(t_s, count))


def block(run: int, after_event: int, t_s: float, *, wall: str = "2026-01-01T00:00:00.000Z", count: int = 100) -> Block:
    kept = readings(t_s, count)
    return Block(run, after_event, wall, kept[0].t_s, kept[-1].t_s, len(kept), encode(kept))


@contextmanager
def another_program(url: str) -> Iterator[sa.Connection]:
    """Past the store, in a transaction that is carried out at the end."""
    file = file_of(url)
    engine = writing_engine(url) if file is not None else database_server.engine(database_server.address(url))
    with engine.begin() as connection:
        yield connection
    if file is not None:
        engine.dispose()


@contextmanager
def locked(url: str) -> Iterator[None]:
    """Another program holds the journal."""
    with another_program(url) as connection:
        schema.bring_up_to_date(connection)
    with another_program(url) as connection:
        if connection.dialect.name == "postgresql":
            connection.exec_driver_sql("LOCK TABLE events, traces IN ACCESS EXCLUSIVE MODE")
        else:
            connection.exec_driver_sql("DELETE FROM events WHERE number < 0")
        yield
