"""Journals of other versions: an older one is brought up to date without loss, a newer one is left alone."""

from __future__ import annotations

import json
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from journal.making import event
from waytell.documents.state import Event
from waytell.journal import schema
from waytell.journal.sqlite_file import writing_engine
from waytell.journal.store import Store, journal_url
from waytell.journal.trouble import NewerJournalError

# As the first version made it: the statement that lies in its files.
FIRST_TABLE = """CREATE TABLE events (
	machine VARCHAR(60) NOT NULL, 
	number INTEGER NOT NULL, 
	t_s FLOAT NOT NULL, 
	wall VARCHAR(40) NOT NULL, 
	kind VARCHAR(20) NOT NULL, 
	words TEXT NOT NULL, 
	body TEXT NOT NULL, 
	PRIMARY KEY (machine, number)
)"""  # noqa: W291


def first_journal(folder: Path, count: int) -> list[Event]:
    events = [event(number, f"Wörter {number} %s") for number in range(1, count + 1)]
    with closing(sqlite3.connect(folder / "journal.sqlite")) as connection, connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute(FIRST_TABLE)
        for machine in ("lathe", "another"):
            connection.executemany(
                "INSERT INTO events VALUES (?, ?, ?, ?, ?, ?, ?)",
                [(machine, e.number, e.t_s, e.wall, e.kind, e.words, json.dumps(e.body)) for e in events],
            )
    return events


def fresh_journal(folder: Path) -> None:
    store = Store(journal_url(folder))
    store.append("lathe", [event(1)])
    store.close()


def test_a_journal_of_the_first_version_is_brought_up_to_date_without_loss(tmp_path: Path) -> None:
    events = first_journal(tmp_path, 300)
    for _ in range(2):
        store = Store(journal_url(tmp_path))
        assert store.load("lathe") == events
        assert store.load("another") == events
        store.close()
    store = Store(journal_url(tmp_path))
    store.append("lathe", [event(301)])
    assert len(store.load("lathe")) == 301


def test_a_folder_whose_name_has_a_percent_sign_is_no_trouble(tmp_path: Path) -> None:
    folder = tmp_path / "100 % of it"
    folder.mkdir()
    events = first_journal(folder, 3)
    assert Store(journal_url(folder)).load("lathe") == events


def test_an_upgrade_that_fails_leaves_all_as_it_was(tmp_path: Path) -> None:
    first_journal(tmp_path, 3)
    file = tmp_path / "journal.sqlite"
    with closing(sqlite3.connect(file)) as connection, connection:
        # In the way of the last thing that the upgrade does.
        connection.execute("CREATE TRIGGER no BEFORE UPDATE ON events BEGIN SELECT RAISE(ABORT, 'no'); END")
    with pytest.raises(Exception, match="no"):
        Store(journal_url(tmp_path))
    with closing(sqlite3.connect(file)) as connection, connection:
        tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        assert tables == {"events"}
        assert len(connection.execute("SELECT * FROM events").fetchall()[0]) == 7
        connection.execute("DROP TRIGGER no")
    assert len(Store(journal_url(tmp_path)).load("lathe")) == 3


def test_a_journal_of_a_newer_version_is_refused_and_left_alone(tmp_path: Path) -> None:
    fresh_journal(tmp_path)
    file = tmp_path / "journal.sqlite"
    with closing(sqlite3.connect(file)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '0999'")
    before = file.read_bytes()
    with pytest.raises(NewerJournalError, match="newer Waytell"):
        Store(journal_url(tmp_path))
    assert file.read_bytes() == before


def test_the_newest_step_is_the_version_of_the_program() -> None:
    assert ScriptDirectory.from_config(schema.migrations()).get_heads() == [schema.HEAD]


def test_steps_and_a_fresh_start_make_the_same_tables(tmp_path: Path) -> None:
    first_journal(tmp_path, 1)
    stepped = Store(journal_url(tmp_path))
    stepped.close()
    with writing_engine(journal_url(tmp_path)).connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, schema.METADATA) == []
        indexes = sa.inspect(connection).get_indexes("traces")
    assert [(one["name"], one["column_names"]) for one in indexes] == [
        ("traces_by_time", ["machine", "run", "t_start_s"])
    ]


@pytest.mark.parametrize("there", [False, True])
def test_alembic_is_not_loaded_at_a_start_that_does_not_need_it(tmp_path: Path, there: bool) -> None:
    if there:
        fresh_journal(tmp_path)
    code = (
        "import sys; from waytell.journal.store import Store; from journal.making import event; "
        "store = Store(sys.argv[1]); n = len(store.load('lathe')); store.append('lathe', [event(n + 1)]); "
        "assert 'alembic' not in sys.modules"
    )
    subprocess.run(
        [sys.executable, "-c", code, journal_url(tmp_path)], check=True, timeout=30, cwd=Path(__file__).parents[1]
    )
