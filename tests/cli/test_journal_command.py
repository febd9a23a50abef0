"""`waytell journal` as a person uses it: a real process, its words and its exit code, on journals of real work."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from journal.making import block, event
from support.at_lathe import listening
from support.disk import PAGE, overwrite
from support.running import Waytell, told
from waytell.documents.state import Event
from waytell.journal.store import Store, journal_file, journal_url
from waytell_bridge.simulated.serving import BoardServer


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two lathes, one with readings of four days."""
    made = tmp_path / "data"
    made.mkdir()
    store = Store(journal_url(made))
    store.append("lathe", [event(number, "x" * 500) for number in range(1, 100)])
    store.append("another", [event(1)])
    for days in (4, 3, 2, 1):
        wall = (datetime.now(UTC) - timedelta(days=days)).isoformat()
        store.append_blocks("lathe", [block(1, 99, 1000.0 * (10 - days) + i, wall=wall) for i in range(50)])
    store.close()
    return made


def events(folder: Path, machine: str = "lathe") -> list[Event]:
    return Store(journal_url(folder)).load(machine)


def test_check_says_what_is_there(folder: Path) -> None:
    checked = told("journal", "check", "--data", folder)
    assert checked.returncode == 0, checked.stderr
    assert "lathe: 99 events, 0 of them passes; 20000 readings" in checked.stdout
    assert "another: 1 events, 0 of them passes; no readings" in checked.stdout
    assert "All is as it was written." in checked.stdout


@pytest.mark.parametrize("command", ["check", "backup x.sqlite", "prune --larger-than 1"])
def test_no_journal_is_said(tmp_path: Path, command: str) -> None:
    said = told("journal", *command.split(), "--data", tmp_path)
    assert said.returncode == 1
    assert "There is no journal" in said.stderr
    assert "--data" in said.stderr
    assert list(tmp_path.iterdir()) == []


def test_check_finds_damage_and_leaves_the_file_alone(folder: Path) -> None:
    file = journal_file(folder)
    overwrite(file, 3, 2)
    before = file.read_bytes()
    checked = told("journal", "check", "--data", folder)
    assert checked.returncode == 1
    assert "damaged" in checked.stderr
    assert "waytell journal restore" in checked.stderr
    assert file.read_bytes() == before


def test_check_finds_a_spoilt_block_of_readings(folder: Path) -> None:
    file = journal_file(folder)
    data = file.read_bytes()
    at = data.index(block(1, 99, 7000.0).data) + 20
    file.write_bytes(data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :])
    checked = told("journal", "check", "--data", folder)
    assert checked.returncode == 1
    assert "lathe: block 51 cannot be read" in checked.stderr


def test_a_backup_put_back_is_the_same_and_the_old_journal_is_kept(folder: Path, tmp_path: Path) -> None:
    kept = tmp_path / "kept.sqlite"
    assert told("journal", "backup", kept, "--data", folder).returncode == 0
    was = events(folder)
    store = Store(journal_url(folder))
    store.append("lathe", [event(100)])
    store.close()

    restored = told("journal", "restore", kept, "--data", folder)
    assert restored.returncode == 0, restored.stderr
    assert events(folder) == was
    assert Store(journal_url(folder)).look_over("lathe").readings == 20_000
    aside = next(folder.glob("journal-until-*.sqlite"))
    assert str(aside) in restored.stdout
    assert len(Store(f"sqlite:///{aside}").load("lathe")) == 100


def test_a_backup_is_put_back_where_there_was_no_journal(folder: Path, tmp_path: Path) -> None:
    kept, other = tmp_path / "kept.sqlite", tmp_path / "a" / "new" / "place"
    told("journal", "backup", kept, "--data", folder)
    assert told("journal", "restore", kept, "--data", other).returncode == 0
    assert events(other) == events(folder)


def test_a_backup_is_put_back_in_place_of_a_damaged_journal(folder: Path, tmp_path: Path) -> None:
    kept = tmp_path / "kept.sqlite"
    told("journal", "backup", kept, "--data", folder)
    overwrite(journal_file(folder), 0, 1)
    damaged = journal_file(folder).read_bytes()
    assert told("journal", "restore", kept, "--data", folder).returncode == 0
    assert next(folder.glob("journal-until-*.sqlite")).read_bytes() == damaged
    assert len(events(folder)) == 99


def test_a_backup_never_overwrites_a_file(folder: Path, tmp_path: Path) -> None:
    kept = tmp_path / "kept.sqlite"
    kept.write_text("mine")
    again = told("journal", "backup", kept, "--data", folder)
    assert again.returncode == 1
    assert "exists already" in again.stderr
    assert kept.read_text() == "mine"


def test_a_damaged_journal_gives_no_backup(folder: Path, tmp_path: Path) -> None:
    overwrite(journal_file(folder), 3, 2)
    kept = tmp_path / "kept.sqlite"
    said = told("journal", "backup", kept, "--data", folder)
    assert said.returncode == 1
    assert "no sound journal" in said.stderr
    assert not list(tmp_path.glob("kept*"))


@pytest.mark.parametrize("spoilt", ["nothing there", "no database", "damaged", "empty"])
def test_what_is_no_sound_backup_is_refused_and_the_journal_stays(folder: Path, tmp_path: Path, spoilt: str) -> None:
    kept = tmp_path / "kept.sqlite"
    if spoilt == "no database":
        kept.write_text("Dear diary, today I turned a bush. " * 200)
    elif spoilt == "empty":
        kept.touch()
    elif spoilt == "damaged":
        told("journal", "backup", kept, "--data", folder)
        overwrite(kept, 3, kept.stat().st_size // PAGE - 4)
    was = events(folder)
    said = told("journal", "restore", kept, "--data", folder)
    assert said.returncode == 1
    assert str(kept) in said.stderr
    assert events(folder) == was
    assert not list(folder.glob("*until*"))
    assert not list(folder.glob("*.part"))


def test_old_readings_are_pruned_by_age_and_the_file_shrinks(folder: Path) -> None:
    before = journal_file(folder).stat().st_size
    pruned = told("journal", "prune", "--older-than", "2.5", "--data", folder)
    assert pruned.returncode == 0, pruned.stderr
    assert "Took out 100 blocks" in pruned.stdout
    assert journal_file(folder).stat().st_size < before
    assert len(events(folder)) == 99
    assert "10000 readings" in told("journal", "check", "--data", folder).stdout


def test_old_readings_are_pruned_by_size(folder: Path) -> None:
    assert told("journal", "prune", "--larger-than", "0.01", "--data", folder).returncode == 0
    kept = Store(journal_url(folder)).look_over("lathe")
    assert 5_000 < kept.bytes <= 10_000
    assert kept.faults == []


def test_a_journal_of_a_newer_waytell_is_refused_at_a_start(folder: Path) -> None:
    with closing(sqlite3.connect(journal_file(folder))) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '0999'")
    before = journal_file(folder).read_bytes()
    said = told("run", "--source", "simulated:by_hand", "--no-browser", "--port", "0", "--data", folder)
    assert said.returncode == 1
    assert "made by a newer Waytell" in said.stderr
    assert journal_file(folder).read_bytes() == before


def test_prune_wants_to_know_what(folder: Path) -> None:
    said = told("journal", "prune", "--data", folder)
    assert said.returncode == 2
    assert "--older-than DAYS" in said.stderr


@pytest.fixture
def running(tmp_path: Path) -> Iterator[Waytell]:
    with BoardServer(seed=4) as board:
        started = listening(board, tmp_path / "live")
        started.done("use_config", config=board.config)
        yield started
        started.stop()


def test_while_waytell_works_it_is_backed_up_and_checked_but_not_replaced(running: Waytell, tmp_path: Path) -> None:
    data, kept = tmp_path / "live", tmp_path / "kept.sqlite"
    running.done("touch_off", axis="X", at_mm=16.0)
    assert told("journal", "backup", kept, "--data", data).returncode == 0
    checked = told("journal", "check", "--data", data)
    assert checked.returncode == 0, checked.stderr
    refused = told("journal", "restore", kept, "--data", data)
    assert refused.returncode == 1
    assert "stop it first" in refused.stderr
    pruned = told("journal", "prune", "--older-than", "0", "--data", data)
    assert "Waytell works with the journal" in pruned.stdout
    running.done("touch_off", axis="Z", at_mm=6.0)
    assert running.client.get("/healthz").json()["stored"] is True
    backed_up = Store(f"sqlite:///{kept}").load("lathe")
    assert backed_up[-1].words.startswith("Touched off X")
