"""Every reading is kept, and every event carries a checksum."""

from __future__ import annotations

import zlib

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

_SAID = ("machine", "number", "t_s", "wall", "kind", "words", "body")


def upgrade() -> None:
    op.create_table(
        "traces",
        sa.Column("machine", sa.String(60), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("run", sa.Integer, nullable=False),
        sa.Column("after_event", sa.Integer, nullable=False),
        sa.Column("wall", sa.String(40), nullable=False),
        sa.Column("t_start_s", sa.Float, nullable=False),
        sa.Column("t_end_s", sa.Float, nullable=False),
        sa.Column("readings", sa.Integer, nullable=False),
        sa.Column("total_bytes", sa.BigInteger, nullable=False),
        sa.Column("data", sa.LargeBinary, nullable=False),
    )
    op.create_index("traces_by_time", "traces", ["machine", "run", "t_start_s"])
    op.add_column("events", sa.Column("crc", sa.BigInteger))
    _sum_up_events(op.get_bind())


def _sum_up_events(connection: sa.Connection) -> None:
    """Written out here and not taken from the program, which may come to do it in another way."""
    events = sa.table("events", *(sa.column(name) for name in (*_SAID, "crc")))
    for row in connection.execute(sa.select(*(events.c[name] for name in _SAID))).all():
        crc = zlib.crc32("\n".join(repr(value) for value in row).encode())
        this = sa.and_(events.c.machine == row.machine, events.c.number == row.number)
        connection.execute(sa.update(events).where(this).values(crc=crc))
