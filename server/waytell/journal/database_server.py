"""All that only a database server needs: PostgreSQL by its address, for the journals of several machines.

A server takes only so many connections, so all journals of a program share a few. A server that was started again, or
a network that was cut, is noticed at the next use and connected to anew.
"""

from __future__ import annotations

from functools import lru_cache

import sqlalchemy as sa

from waytell.journal.trouble import JournalError

CONNECTIONS, MORE_AT_A_RUSH = 8, 8
CONNECT_WITHIN_S = 5
ANSWER_WITHIN_MS = 10_000
LOCKED_MS = 2_000
MAKING_TABLES = 20_240_811
"""Any number, the same for every Waytell: who holds it makes the tables, and others wait."""


def address(url: str) -> sa.URL:
    """The address with the driver that is used; the password is never shown.

    Raises:
        JournalError: it is no address of a PostgreSQL database.
    """
    try:
        parsed = sa.make_url(url)
    except sa.exc.ArgumentError:
        raise JournalError(
            f"{url} is no address of a database. Give postgresql://USER@HOST/NAME.", lasting=True
        ) from None
    if parsed.get_backend_name() != "postgresql" or not parsed.database:
        raise JournalError(
            f"{shown(parsed)} is no address of a PostgreSQL database. Give postgresql://USER@HOST/NAME.", lasting=True
        )
    return parsed.set(drivername="postgresql+psycopg")


def shown(url: sa.URL) -> str:
    return url.render_as_string(hide_password=True)


@lru_cache(maxsize=8)
def engine(url: sa.URL) -> sa.Engine:
    """Shared by all journals in this database.

    Raises:
        JournalError: the driver is not installed.
    """
    settings = f"-c statement_timeout={ANSWER_WITHIN_MS} -c lock_timeout={LOCKED_MS}"
    connecting = {
        "connect_timeout": CONNECT_WITHIN_S, "tcp_user_timeout": ANSWER_WITHIN_MS, "options": settings,
        "application_name": "waytell",
    }  # fmt: skip
    try:
        return sa.create_engine(
            url, pool_size=CONNECTIONS, max_overflow=MORE_AT_A_RUSH, pool_pre_ping=True,
            pool_timeout=ANSWER_WITHIN_MS / 1000, connect_args=connecting,
        )  # fmt: skip
    except ModuleNotFoundError as error:
        raise JournalError(
            "The driver for PostgreSQL is missing. Install it: pip install 'waytell[postgresql]'", lasting=True
        ) from error


def alone_making_tables(connection: sa.Connection) -> None:
    """Until the end of the transaction: two that made the same tables at once would both fail."""
    if connection.dialect.name == "postgresql":
        connection.execute(sa.text("SELECT pg_advisory_xact_lock(:number)"), {"number": MAKING_TABLES})
