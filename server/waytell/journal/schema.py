"""The tables of the journal, and how an older journal comes to have them.

A new journal is made at once as it is today. An older one is changed step by step by what lies in `migrations`, in one
transaction: all of it, or nothing. Alembic, which does that, is loaded only then, for it takes as long to load as all
the rest of a start.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import sqlalchemy as sa

from waytell.journal.database_server import alone_making_tables
from waytell.journal.trouble import NewerJournalError

if TYPE_CHECKING:
    from alembic.config import Config

HEAD = "0002"
BEFORE_VERSIONS = "0001"
"""What a journal is that keeps events but does not say of which version it is."""

METADATA = sa.MetaData()
EVENTS = sa.Table(
    "events",
    METADATA,
    sa.Column("machine", sa.String(60), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("t_s", sa.Float, nullable=False),
    sa.Column("wall", sa.String(40), nullable=False),
    sa.Column("kind", sa.String(20), nullable=False),
    sa.Column("words", sa.Text, nullable=False),
    sa.Column("body", sa.Text, nullable=False),
    # Over all the others: a database notices a broken page, not a digit that has changed.
    sa.Column("crc", sa.BigInteger),
)
TRACES = sa.Table(
    "traces",
    METADATA,
    sa.Column("machine", sa.String(60), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    # Number of the start of the program: times of different ones do not compare.
    sa.Column("run", sa.Integer, nullable=False),
    # Number of the newest event when the first reading came.
    sa.Column("after_event", sa.Integer, nullable=False),
    sa.Column("wall", sa.String(40), nullable=False),
    sa.Column("t_start_s", sa.Float, nullable=False),
    sa.Column("t_end_s", sa.Float, nullable=False),
    sa.Column("readings", sa.Integer, nullable=False),
    # Of this block and all before it, those pruned since included: the size of all without looking at each.
    sa.Column("total_bytes", sa.BigInteger, nullable=False),
    sa.Column("data", sa.LargeBinary, nullable=False),
    sa.Index("traces_by_time", "machine", "run", "t_start_s"),
)
_VERSION = sa.Table(
    "alembic_version",
    METADATA,
    sa.Column("version_num", sa.String(32), nullable=False),
    sa.PrimaryKeyConstraint("version_num", name="alembic_version_pkc"),
)


def stored_version(connection: sa.Connection) -> str | None:
    """Version of the journal's tables; None where there are none yet."""
    has = sa.inspect(connection).has_table
    if has(_VERSION.name):
        version = connection.execute(sa.select(_VERSION.c.version_num)).scalar()
        if version is not None:
            return str(version)
    return BEFORE_VERSIONS if has(EVENTS.name) else None


def bring_up_to_date(connection: sa.Connection) -> None:
    """Make the tables, or change older ones to what they are today; in the transaction of the caller.

    Raises:
        NewerJournalError: a newer program made them.
    """
    version = stored_version(connection)
    if version != HEAD:
        # Another may be making them at this moment: seen half made they would pass for older ones.
        alone_making_tables(connection)
        version = stored_version(connection)
    if version is None:
        METADATA.create_all(connection)
        connection.execute(sa.insert(_VERSION).values(version_num=HEAD))
    elif version != HEAD:
        _upgrade(connection, version)


def _upgrade(connection: sa.Connection, version: str) -> None:
    from alembic import command  # noqa: PLC0415 - slow to load
    from alembic.script import ScriptDirectory  # noqa: PLC0415

    config = migrations()
    if version not in {one.revision for one in ScriptDirectory.from_config(config).walk_revisions()}:
        raise NewerJournalError(
            f"This journal was made by a newer Waytell (its version is {version}, this program's {HEAD}). "
            "Install that version again, or name another data folder with --data.",
            lasting=True,
        )
    config.attributes["connection"] = connection
    command.stamp(config, version)
    command.upgrade(config, "head")


def migrations() -> Config:
    """Where alembic finds the steps from version to version."""
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    # A percent sign would be taken for the name of a setting.
    config.set_main_option("script_location", str(Path(__file__).with_name("migrations")).replace("%", "%%"))
    return config
