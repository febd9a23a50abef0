"""The journal: what was committed is there again, what cannot be stored is said and kept."""

from __future__ import annotations

import queue
from pathlib import Path

import pytest

from journal.making import event, locked
from waytell.journal.store import Store, journal_url
from waytell.journal.trouble import JournalError
from waytell.journal.writer import JournalWriter


def test_events_come_back_as_they_were_in_their_order(url: str) -> None:
    store = Store(url)
    events = [event(number) for number in range(1, 30)]
    store.append("lathe", events[:10])
    store.append("lathe", events[10:])
    store.close()
    assert Store(url).load("lathe") == events


def test_machines_do_not_mix(url: str) -> None:
    store = Store(url)
    store.append("one", [event(1, "of one")])
    store.append("two", [event(1, "of two")])
    assert [one.words for one in store.load("two")] == ["of two"]
    assert store.load("three") == []


def test_a_batch_is_stored_whole_or_not_at_all(url: str) -> None:
    store = Store(url)
    store.append("lathe", [event(1)])
    with pytest.raises(JournalError):
        store.append("lathe", [event(2), event(1, "said otherwise")])
    assert [one.number for one in store.load("lathe")] == [1]


def test_commits_are_synchronised_in_full(file_url: str, tmp_path: Path) -> None:
    store = Store(file_url)
    store.append("lathe", [event(1)])
    with store._writer.begin() as connection:
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
    assert (tmp_path / "journal.sqlite").exists()


def test_a_file_that_is_no_journal_is_named_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "journal.sqlite"
    file.write_bytes(b"Dear diary, today I turned a bush. " * 100)
    before = file.read_bytes()
    with pytest.raises(JournalError, match="put back a backup"):
        Store(journal_url(tmp_path)).load("lathe")
    assert file.read_bytes() == before


def test_a_folder_that_is_not_there_is_said() -> None:
    with pytest.raises(JournalError, match="may not be written"):
        Store("sqlite:////nowhere/at/all/journal.sqlite").append("lathe", [event(1)])


def test_the_writer_tells_when_an_event_is_stored(url: str) -> None:
    told: queue.SimpleQueue[str | None] = queue.SimpleQueue()
    writer = JournalWriter(Store(url), "lathe")
    writer.append([event(1)], told.put)
    assert told.get(timeout=5) is None
    writer.close()
    assert Store(url).load("lathe") == [event(1)]


def test_closing_stores_what_is_left(url: str) -> None:
    writer = JournalWriter(Store(url), "lathe")
    for number in range(1, 200):
        writer.append([event(number)], lambda _: None)
    writer.close()
    assert len(Store(url).load("lathe")) == 199


def test_a_locked_database_is_said_and_events_are_stored_once_it_is_free(url: str) -> None:
    store = Store(url)
    store.append("lathe", [event(1)])
    told: queue.SimpleQueue[str | None] = queue.SimpleQueue()
    writer = JournalWriter(store, "lathe")
    with locked(url):
        writer.append([event(2)], told.put)
        trouble = told.get(timeout=10)
        assert trouble is not None
        assert "another program holds it" in trouble
    writer.append([event(3)], told.put)
    assert told.get(timeout=10) is None
    assert writer.trouble is None
    writer.close()
    assert [one.number for one in Store(url).load("lathe")] == [1, 2, 3]
