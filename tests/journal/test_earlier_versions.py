"""Configurations and journals as each earlier version wrote them: read as they were meant, whatever was added since.

`golden/configs` holds the configuration that each version's `waytell config init` wrote, oldest first.
"""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from journal.making import event
from waytell.config import EXAMPLE, load_config, parse_config
from waytell.documents.acts import ACT
from waytell.journal import schema
from waytell.journal.store import Store
from waytell.session import Session

CONFIGS = sorted((Path(__file__).parents[1] / "golden/configs").glob("*.toml"))


def kept_in(told: Any, read: Any) -> None:
    """Everything that was told is what was read; more may have come to it."""
    if isinstance(told, dict):
        for name, value in told.items():
            kept_in(value, read[name])
    elif isinstance(told, list):
        assert len(told) == len(read)
        for one, other in zip(told, read, strict=True):
            kept_in(one, other)
    else:
        assert told == read


@pytest.mark.parametrize("file", CONFIGS, ids=lambda file: str(file.stem))
def test_a_configuration_of_each_version_is_read_as_it_was_meant(file: Path) -> None:
    told = tomllib.loads(file.read_text())
    kept_in(told, load_config(file).model_dump(mode="json"))


def test_the_newest_is_among_them() -> None:
    """Whoever changes what `config init` writes adds a file: the one before is then an earlier version."""
    assert CONFIGS[-1].read_text() == EXAMPLE


@pytest.mark.parametrize("file", CONFIGS, ids=lambda file: str(file.stem))
def test_a_journal_in_which_each_version_stored_it_gives_the_machine_back(file: Path) -> None:
    """An act lies in the journal as it was told then: without what was added since."""
    body = {"act": {"act": "use_config", "config": tomllib.loads(file.read_text())}}
    ACT.validate_python(body["act"])
    told = event(1).model_copy(update={"kind": "act", "body": body})
    kept_in(body["act"]["config"], Session(None, [told]).config.model_dump(mode="json"))


def test_the_example_is_a_configuration() -> None:
    assert parse_config(EXAMPLE, "example").machine.name == "lathe"


def test_tables_of_the_first_version_are_brought_up_to_date_wherever_they_lie(url: str) -> None:
    """The one earlier version of the tables, in a file and on a database server."""
    events = [event(number) for number in range(1, 21)]
    engine = sa.create_engine(url.replace("postgresql:", "postgresql+psycopg:", 1))
    columns = [column._copy() for column in schema.EVENTS.columns if column.name != "crc"]
    first = sa.Table("events", sa.MetaData(), *columns)
    with engine.begin() as connection:
        first.create(connection)
        rows = [{**one.model_dump(), "machine": "lathe", "body": json.dumps(one.body)} for one in events]
        connection.execute(sa.insert(first), rows)
    engine.dispose()
    store = Store(url)
    assert store.load("lathe") == events
    store.append("lathe", [event(21)])
    store.close()
    again = Store(url)
    assert len(again.load("lathe")) == 21
    again.close()
