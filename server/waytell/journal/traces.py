"""The table of raw readings: blocks in the order in which they came, numbered from 1 without gaps for each machine.

Only the oldest are ever taken out, so the first and the last number tell what is there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import sqlalchemy as sa

from waytell.journal.schema import TRACES
from waytell.journal.trace_block import BlockError, count, decode
from waytell_bridge.reading import Reading

TAIL_S = 20 * 60.0
TAIL_READINGS = 100_000
"""At most so much is looked at again at a start: a pass that takes longer by hand is not known (no source)."""
REST_STEP_S = 0.1
"""Where nothing moved, a reading in so long says as much as all."""
AT_ONCE = 50
_T = TRACES.c


class Block(NamedTuple):
    """Readings of one program start between two events, encoded. Times in seconds of that start's monotonic clock."""

    run: int
    after_event: int
    wall: str
    t_start_s: float
    t_end_s: float
    readings: int
    data: bytes


class Pruning(NamedTuple):
    """What to take out: blocks before a wall-clock time, and the oldest that are more than so many bytes in all."""

    before_wall: str | None = None
    keep_bytes: int | None = None


class Newest(NamedTuple):
    """What goes on in the block after it."""

    number: int
    run: int
    total_bytes: int
    t_start_s: float


def newest(connection: sa.Connection, machine: str) -> Newest | None:
    query = sa.select(_T.number, _T.run, _T.total_bytes, _T.t_start_s).where(_T.machine == machine)
    row = connection.execute(query.order_by(_T.number.desc()).limit(1)).first()
    return None if row is None else Newest(*row)


def insert(connection: sa.Connection, machine: str, blocks: Sequence[Block]) -> None:
    last = newest(connection, machine)
    if last is not None:
        # Some may have reached the disk all the same when storing them seemed to fail; more have come since.
        there = [i for i, block in enumerate(blocks) if (block.run, block.t_start_s) == (last.run, last.t_start_s)]
        blocks = blocks[there[0] + 1 :] if there else blocks
    number, total = (last.number, last.total_bytes) if last is not None else (0, 0)
    rows = []
    for block in blocks:
        number, total = number + 1, total + len(block.data)
        rows.append({**block._asdict(), "machine": machine, "number": number, "total_bytes": total})
    if rows:
        connection.execute(sa.insert(TRACES), rows)


def tail(connection: sa.Connection, machine: str, after_event: int) -> list[Reading]:
    """Readings of the newest start since an event, as far back as they are sound and `TAIL_S` reaches."""
    query = sa.select(_T.run, _T.after_event, _T.t_start_s, _T.t_end_s, _T.readings, _T.data)
    query = query.where(_T.machine == machine).order_by(_T.number.desc())
    pieces: list[list[Reading]] = []
    readings = 0
    # Closed also where the rest is not looked at: a server keeps what was not fetched yet.
    with connection.execution_options(yield_per=AT_ONCE).execute(query) as rows:
        for row in rows:
            if not pieces:
                run, until_s = row.run, row.t_end_s
            if row.run != run or row.after_event < after_event or row.t_start_s < until_s - TAIL_S:
                break
            rate_hz = row.readings / max(row.t_end_s - row.t_start_s, REST_STEP_S)
            try:
                pieces.append(decode(row.data, max(1, round(rate_hz * REST_STEP_S))))
            except BlockError:
                break
            readings += len(pieces[-1])
            if readings > TAIL_READINGS:
                break
    return [reading for piece in reversed(pieces) for reading in piece]


def piece(connection: sa.Connection, machine: str, run: int, from_s: float, to_s: float) -> list[Reading]:
    """Readings of a start between two times.

    Raises:
        BlockError: a block in between cannot be read.
    """
    of_run = sa.and_(_T.machine == machine, _T.run == run)
    # The block that is under way at `from_s` began before it.
    first = sa.select(sa.func.max(_T.t_start_s)).where(of_run, _T.t_start_s <= from_s).scalar_subquery()
    query = sa.select(_T.data).where(
        of_run, _T.t_start_s <= to_s, _T.t_start_s >= sa.func.coalesce(first, from_s)
    ).order_by(_T.number)  # fmt: skip
    found = [reading for row in connection.execute(query) for reading in decode(row.data)]
    # Kept to the microsecond: one that stood right at the edge is meant too.
    return [reading for reading in found if from_s - 1e-6 <= reading.t_s <= to_s + 1e-6]


def blocks(connection: sa.Connection, machine: str, after: int, at_most: int) -> list[tuple[int, Block]]:
    """The next blocks after a number, each with its own."""
    query = sa.select(TRACES).where(_T.machine == machine, _T.number > after).order_by(_T.number).limit(at_most)
    return [
        (row.number, Block(row.run, row.after_event, row.wall, row.t_start_s, row.t_end_s, row.readings, row.data))
        for row in connection.execute(query)
    ]


class Contents(NamedTuple):
    """What there is of a machine's readings, and what is wrong with it, in words."""

    blocks: int
    readings: int
    bytes: int
    since_wall: str | None
    until_wall: str | None
    faults: list[str]


def look_over(connection: sa.Connection, machine: str) -> Contents:
    """Every block: whether its number follows, and whether it is as it was written."""
    query = sa.select(_T.number, _T.wall, _T.readings, _T.data).where(_T.machine == machine).order_by(_T.number)
    blocks = readings = size = 0
    first: int | None = None
    since: str | None = None
    until: str | None = None
    faults: list[str] = []
    for row in connection.execution_options(yield_per=AT_ONCE).execute(query):
        if first is None:
            first, since = row.number, row.wall
        until = row.wall
        if row.number != first + blocks:
            faults.append(f"blocks of readings {first + blocks} to {row.number - 1} are missing")
            first = row.number - blocks
        try:
            if count(row.data) != row.readings:
                faults.append(f"block {row.number} holds another number of readings than it says")
        except BlockError as error:
            faults.append(f"block {row.number} cannot be read: {error}")
        blocks, readings, size = blocks + 1, readings + row.readings, size + len(row.data)
    return Contents(blocks, readings, size, since, until, faults)


def prune(connection: sa.Connection, machine: str, what: Pruning, at_most: int | None = None) -> int:
    """Take out the oldest blocks; how many. No more than `at_most`, so that nobody waits for it."""
    last = newest(connection, machine)
    if last is None:
        return 0
    until = 0
    for keep in _kept(what, last.total_bytes):
        query = sa.select(_T.number).where(_T.machine == machine, keep).order_by(_T.number).limit(1)
        until = max(until, connection.execute(query).scalar() or last.number + 1)
    first = connection.execute(sa.select(sa.func.min(_T.number)).where(_T.machine == machine)).scalar_one()
    # The newest block stays: its number and its total go on in the next.
    until = min(until, last.number, until if at_most is None else first + at_most)
    gone = connection.execute(sa.delete(TRACES).where(_T.machine == machine, _T.number < until))
    return gone.rowcount


def _kept(what: Pruning, total_bytes: int) -> Iterator[sa.ColumnElement[bool]]:
    """For each limit, what the blocks that stay have in common: all from the first such block on."""
    if what.before_wall is not None:
        yield _T.wall >= what.before_wall
    if what.keep_bytes is not None:
        yield _T.total_bytes > total_bytes - what.keep_bytes
