"""The thread that writes: events first, then readings; nothing that was not stored is forgotten, memory is bounded."""

from __future__ import annotations

import queue
import time
from collections.abc import Callable, Iterator

import pytest

from journal.making import alike, event, locked, piece, readings
from waytell.journal import writer as writing
from waytell.journal.store import Store
from waytell.journal.writer import JournalWriter, NoJournal, Piece
from waytell_bridge.reading import Reading


@pytest.fixture
def writer(url: str) -> Iterator[JournalWriter]:
    made = JournalWriter(Store(url), "lathe")
    yield made
    made.close()


def wait_until(holds: Callable[[], object], within_s: float = 15.0) -> None:
    until_s = time.monotonic() + within_s
    while not holds():
        assert time.monotonic() < until_s, "did not come to hold"
        time.sleep(0.01)


def stored(url: str, after_event: int = 0) -> list[Reading]:
    return Store(url).tail("lathe", after_event)


def test_readings_are_stored_by_themselves_and_before_long(writer: JournalWriter, url: str) -> None:
    writer.trace(piece(0, 1.0))
    writer.trace(piece(2, 2.0))
    wait_until(lambda: len(stored(url)) == 200, within_s=2)
    assert alike(stored(url, 2), readings(2.0))


def test_closing_stores_the_last_readings_too(writer: JournalWriter, url: str) -> None:
    for number in range(100):
        writer.trace(piece(number, float(number), count=3))
    writer.append([event(1)], lambda _: None)
    writer.close()
    assert len(stored(url)) == 300
    assert Store(url).load("lathe") == [event(1)]


def test_each_start_of_the_program_is_a_run_of_its_own(url: str) -> None:
    for t_s in (5.0, 1.0, 3.0):
        started = JournalWriter(Store(url), "lathe")
        started.trace(piece(0, t_s))
        started.close()
    assert alike(stored(url), readings(3.0))
    assert alike(Store(url).trace("lathe", 2, 0.0, 9.0), readings(1.0))


def test_readings_of_a_changed_board_are_kept_apart(writer: JournalWriter, url: str) -> None:
    mixed = [*readings(1.0, 5), *(r._replace(counts=(1, 2, 3)) for r in readings(2.0, 5))]
    writer.trace(Piece(0, "", mixed))
    writer.close()
    assert alike(Store(url).trace("lathe", 1, 0.0, 9.0), mixed)


def test_an_event_does_not_wait_for_all_the_readings_before_it(writer: JournalWriter) -> None:
    told: queue.SimpleQueue[str | None] = queue.SimpleQueue()
    for number in range(300):
        writer.trace(piece(0, float(number), count=1500))
    writer.append([event(1)], told.put)
    assert told.get(timeout=10) is None
    assert writer._raw or writer._blocks, "the readings are still on their way"


def test_what_a_locked_database_kept_back_is_stored_when_it_is_free(writer: JournalWriter, url: str) -> None:
    told: queue.SimpleQueue[str | None] = queue.SimpleQueue()
    with locked(url):
        writer.trace(piece(0, 1.0))
        wait_until(lambda: writer.trouble)
        writer.append([event(1)], told.put)
        trouble = told.get(timeout=10)
        assert trouble is not None
        assert "another program holds it" in trouble
        writer.trace(piece(1, 2.0))
        assert writer.not_stored == 1
    wait_until(lambda: writer.trouble is None and len(stored(url)) == 200)
    assert Store(url).load("lathe") == [event(1)]
    assert writer.not_stored == 0


def test_readings_that_cannot_be_stored_are_bounded_and_the_oldest_go(
    writer: JournalWriter, url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(writing, "PENDING_BYTES", 2000)
    with locked(url):
        writer.append([event(1)], lambda _: None)
        for number in range(60):
            writer.trace(piece(1, float(number)))
        wait_until(lambda: "readings were dropped" in (writer.trouble or ""))
        wait_until(lambda: not writer._raw)
        assert writer._blocks_bytes <= 2000
    wait_until(lambda: writer.trouble is None)
    writer.close()
    kept = stored(url)
    assert Store(url).load("lathe") == [event(1)]
    assert 0 < len(kept) < 6000
    assert alike(kept[-100:], readings(59.0)), "the newest are kept"


def test_a_disk_that_does_not_answer_is_said_and_memory_is_bounded(
    writer: JournalWriter, url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(writing, "SLOW_S", 0.2)
    with locked(url):
        writer.append([event(1)], lambda _: None)
        # The database is asked for up to two seconds while it is locked.
        wait_until(lambda: "has not answered" in (writer.trouble or ""))
        for number in range(writing.RAW_BLOCKS + 5):
            writer.trace(piece(1, float(number), count=2))
        assert len(writer._raw) <= writing.RAW_BLOCKS
    wait_until(lambda: writer.trouble is None)


def test_a_writer_that_died_of_a_fault_is_said(url: str) -> None:
    broken = JournalWriter(Store(url), "lathe")
    broken.close()
    assert "Start Waytell again" in (broken.trouble or "")


def test_without_a_journal_every_act_is_answered_that_it_is_not_stored() -> None:
    told: queue.SimpleQueue[str | None] = queue.SimpleQueue()
    journal = NoJournal("The file is damaged.")
    journal.trace(piece(0, 1.0))
    journal.append([event(1)], told.put)
    assert told.get_nowait() == journal.trouble == "Nothing is stored. The file is damaged."


def test_the_oldest_readings_make_room_by_themselves(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(writing, "KEEP_BYTES", 1000)
    monkeypatch.setattr(writing, "STORED_BETWEEN_PRUNINGS", 1)
    made = JournalWriter(Store(url), "lathe")
    for number in range(100):
        made.trace(piece(0, float(number)))
    made.close()
    kept = stored(url)
    assert 0 < len(kept) < 10_000
    assert alike(kept[-100:], readings(99.0))
