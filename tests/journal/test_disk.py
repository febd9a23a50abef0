"""Full, read-only and damaged disks: said in words, nothing stored is harmed, and stored later where that can be."""

from __future__ import annotations

import queue
import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from faults.table import causes
from journal.making import event, piece
from support.disk import PAGE, file_size_limit, may_mount, overwrite, small_disk
from waytell.journal import sqlite_file
from waytell.journal.store import Store, journal_file, journal_url
from waytell.journal.trouble import JournalError
from waytell.journal.writer import RETRY_S, JournalWriter

Told = queue.SimpleQueue[str | None]
needs_mount = pytest.mark.skipif(not may_mount(), reason="only root may mount a disk")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "data"
    made.mkdir()
    return made


def filled(folder: Path, events: int = 200) -> Path:
    """A journal of several hundred pages, closed as it should be."""
    store = Store(journal_url(folder))
    store.append("lathe", [event(number, "x" * 2000) for number in range(1, events + 1)])
    store.close()
    return journal_file(folder)


def ask(writer: JournalWriter, number: int) -> str | None:
    told: Told = queue.SimpleQueue()
    writer.append([event(number)], told.put)
    return told.get(timeout=10)


def wait_until_stored(writer: JournalWriter) -> None:
    until_s = time.monotonic() + 10
    while writer.trouble is not None or writer.not_stored:
        assert time.monotonic() < until_s, writer.trouble
        time.sleep(0.02)


def numbers(folder: Path) -> list[int]:
    return [one.number for one in Store(journal_url(folder)).load("lathe")]


def test_a_file_that_cannot_grow_harms_nothing_and_all_is_stored_when_it_can(folder: Path) -> None:
    filled(folder, 20)
    writer = JournalWriter(Store(journal_url(folder)), "lathe")
    with file_size_limit(10_000):
        trouble = [ask(writer, number) for number in range(21, 40)][-1]
        assert trouble is not None
        assert "the disk is full" in trouble
        assert "stored then" in trouble
        writer.trace(piece(39, 1.0))
        assert numbers(folder)[:20] == list(range(1, 21))
    wait_until_stored(writer)
    assert ask(writer, 40) is None
    writer.close()
    assert numbers(folder) == list(range(1, 41))
    assert sqlite_file.faults(journal_file(folder)) == []


@needs_mount
def test_a_full_disk_harms_nothing_and_all_is_stored_when_there_is_room(folder: Path) -> None:
    with small_disk(folder, "300k") as change:
        writer = JournalWriter(Store(journal_url(folder)), "lathe")
        number, trouble = 0, None
        while trouble is None:
            number += 1
            trouble = ask(writer, number)
            writer.trace(piece(number, float(number), count=1000))
            assert number < 500
        assert "the disk is full. Make room" in trouble
        assert ask(writer, number + 1) is not None
        assert numbers(folder) == list(range(1, number))
        change("size=4m")
        wait_until_stored(writer)
        writer.close()
        assert numbers(folder) == list(range(1, number + 2))
        assert sqlite_file.faults(journal_file(folder)) == []


@needs_mount
def test_a_disk_that_becomes_read_only_is_said_and_written_to_later(folder: Path) -> None:
    with small_disk(folder, "4m") as change:
        store = Store(journal_url(folder))
        store.append("lathe", [event(1)])
        store.close()
        change("ro")
        store = Store(journal_url(folder))
        assert store.load("lathe") == [event(1)], "what is there can be read"
        writer = JournalWriter(store, "lathe")
        trouble = ask(writer, 2)
        assert trouble is not None
        assert "writ" in trouble
        change("rw")
        wait_until_stored(writer)
        writer.close()
        assert numbers(folder) == [1, 2]


@needs_mount
def test_a_new_journal_on_a_read_only_disk_is_begun_when_it_can_be(folder: Path) -> None:
    with small_disk(folder, "4m") as change:
        change("ro")
        store = Store(journal_url(folder))
        assert store.load("lathe") == []
        writer = JournalWriter(store, "lathe")
        assert "may not be written" in (ask(writer, 1) or "")
        change("rw")
        wait_until_stored(writer)
        writer.close()
        assert numbers(folder) == [1]


@pytest.mark.parametrize("killed", [False, True])
def test_what_is_stored_can_be_read_at_a_start_on_a_full_disk(folder: Path, tmp_path: Path, killed: bool) -> None:
    filled(folder, 20)
    store = Store(journal_url(folder))
    if killed:
        store.append("lathe", [event(21)])
    copied = tmp_path / "copied"
    shutil.copytree(folder, copied, ignore=shutil.ignore_patterns("*-shm" if killed else "*-*"))
    assert len(list(copied.iterdir())) == 1 + killed
    with file_size_limit(1000):
        store = Store(journal_url(copied))
        assert len(store.load("lathe")) == 20 + killed
        writer = JournalWriter(store, "lathe")
        assert "full" in (ask(writer, 21 + killed) or "")
    wait_until_stored(writer)
    writer.close()
    assert numbers(copied) == list(range(1, 22 + killed))


def header(file: Path) -> None:
    overwrite(file, 0, 1)


def middle(file: Path) -> None:
    pages = file.stat().st_size // PAGE
    overwrite(file, pages // 2, pages // 4)


def truncated(file: Path) -> None:
    with file.open("rb+") as out:
        out.truncate(file.stat().st_size // 2)


def emptied_of_its_middle(file: Path) -> None:
    with file.open("rb+") as out:
        out.seek(file.stat().st_size // PAGE // 2 * PAGE)
        out.write(bytes(3 * PAGE))


def one_digit(file: Path) -> None:
    """Where the database itself sees nothing: inside what is kept."""
    data = file.read_bytes()
    at = data.index(b"xxxxxxxx") + 4
    file.write_bytes(data[:at] + b"y" + data[at + 1 :])


DAMAGES = [header, middle, truncated, emptied_of_its_middle, one_digit]


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda one: one.__name__)
def test_a_damaged_journal_is_never_read_as_sound_and_left_untouched(folder: Path, damage: object) -> None:
    file = filled(folder)
    assert callable(damage)
    damage(file)
    before = file.read_bytes()
    with pytest.raises(JournalError, match=r"[Dd]amaged") as raised:
        Store(journal_url(folder)).load("lathe")
    assert raised.value.lasting
    assert "waytell journal restore" in str(raised.value)
    assert file.read_bytes() == before


def test_a_damaged_journal_that_was_killed_is_left_untouched_with_all_its_files(folder: Path, tmp_path: Path) -> None:
    filled(folder)
    store = Store(journal_url(folder))
    store.append("lathe", [event(201)])
    killed = tmp_path / "killed"
    shutil.copytree(folder, killed)
    middle(journal_file(killed))
    files = {file.name: file.read_bytes() for file in killed.iterdir() if not file.name.endswith("-shm")}
    assert len(files) == 2
    with pytest.raises(JournalError):
        Store(journal_url(killed)).load("lathe")
    assert {file.name: file.read_bytes() for file in killed.iterdir() if not file.name.endswith("-shm")} == files


def test_nothing_more_is_written_to_a_file_found_damaged_while_running(folder: Path) -> None:
    file = filled(folder)
    writer = JournalWriter(Store(journal_url(folder)), "lathe")
    overwrite(file, 1, file.stat().st_size // PAGE - 1)
    trouble = ask(writer, 201)
    assert trouble is not None
    assert "damaged" in trouble
    before = file.read_bytes()
    assert "damaged" in (ask(writer, 202) or "")
    writer.trace(piece(202, 1.0))
    time.sleep(RETRY_S)
    busy_s = time.process_time()
    time.sleep(0.5)
    assert time.process_time() - busy_s < 0.25, "it rests: nothing can be done"
    writer.close()
    assert file.read_bytes() == before
    assert writer.not_stored == 2


def test_a_missing_event_is_damage(folder: Path) -> None:
    with closing(sqlite3.connect(filled(folder, 5))) as connection, connection:
        connection.execute("DELETE FROM events WHERE number = 3")
    with pytest.raises(JournalError, match="event 3 is missing"):
        Store(journal_url(folder)).load("lathe")


def test_a_file_moved_away_while_it_is_written_to_is_said(folder: Path) -> None:
    file = filled(folder, 3)
    writer = JournalWriter(Store(journal_url(folder)), "lathe")
    assert ask(writer, 4) is None
    file.rename(folder / "elsewhere.sqlite")
    assert "was moved or replaced" in (ask(writer, 5) or "")
    (folder / "elsewhere.sqlite").rename(file)
    wait_until_stored(writer)
    writer.close()
    assert numbers(folder) == [1, 2, 3, 4, 5]


@causes("two programs, one journal")
def test_two_programs_in_one_journal_are_told_apart(folder: Path) -> None:
    one, other = Store(journal_url(folder)), Store(journal_url(folder))
    one.append("lathe", [event(1, "of the one")])
    with pytest.raises(JournalError, match="another Waytell writes"):
        other.append("lathe", [event(1, "of the other")])
    assert [found.words for found in one.load("lathe")] == ["of the one"]


def test_events_whose_storing_only_seemed_to_fail_are_not_doubled(folder: Path) -> None:
    store = Store(journal_url(folder))
    store.append("lathe", [event(1), event(2)])
    store.append("lathe", [event(1), event(2)])
    store.append("lathe", [event(1), event(2), event(3)])
    assert store.load("lathe") == [event(1), event(2), event(3)]


@pytest.fixture(autouse=True)
def _no_limit_stays() -> Iterator[None]:
    yield
    assert (Path("/proc/self/limits").read_text()).splitlines()[2].split()[3] == "unlimited"
