"""Where a journal may be kept: every test that asks for a `url` is run with a file, and with a database server."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from support.postgres import Postgres, postgres
from waytell.journal.store import journal_url


@pytest.fixture(scope="session")
def server() -> Iterator[Postgres]:
    with postgres() as running:
        yield running


@pytest.fixture(params=["file", "server"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    if request.param == "file":
        yield journal_url(tmp_path)
        return
    running: Postgres = request.getfixturevalue("server")
    yield running.new_database()
    running.leave()


@pytest.fixture
def file_url(tmp_path: Path) -> str:
    """For what only a file can suffer."""
    return journal_url(tmp_path)
