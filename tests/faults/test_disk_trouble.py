"""A disk that is full, locked, read-only or damaged, seen on the page of a real server at a simulated lathe.

The figures go on, the page says what is wrong and what to do, nothing stored is harmed, and once there is room all is
stored that the page had shown meanwhile.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from faults.table import causes
from support.at_lathe import listening, set_up
from support.disk import PAGE, file_size_limit, may_mount, overwrite, small_disk
from support.running import Waytell, figure, waytell
from waytell.journal import sqlite_file
from waytell.journal.store import Store, journal_file, journal_url
from waytell_bridge.simulated.serving import BoardServer

# The page asks for a state at least every 100 ms; the journal tries again every second.
SOON_MS = 15_000


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "data"
    made.mkdir()
    return made


@pytest.fixture
def lathe(board: BoardServer, folder: Path) -> Iterator[Waytell]:
    with waytell("run", "--source", board.url, "--data", str(folder)) as running:
        running.wait_until_live()
        set_up(running, board)
        yield running


def opened(browser: Browser, running: Waytell) -> Page:
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.goto(running.url)
    return page


def alarmed(page: Page, words: str) -> None:
    expect(page.locator("[data-alarms]")).to_contain_text(words, timeout=SOON_MS)
    expect(page.locator("[data-alarms]")).to_have_attribute("data-level", "danger")


def good_z(state: dict[str, Any]) -> float | None:
    """On a busy computer readings may be late for a moment, and every figure is doubted."""
    position = figure(state, "Z")
    return float(position["value_mm"]) if position["good"] else None


def goes_on(board: BoardServer, running: Waytell, page: Page) -> None:
    """The figures are good and follow the slide, on the server and on the page."""
    before = good_z(running.wait_for(good_z))
    assert before is not None
    board.wind("carriage", -1.0, 5.0)
    assert board.wait(10)

    def moved(state: dict[str, Any]) -> bool:
        now = good_z(state)
        return now is not None and abs(now - before + 1.0) < 0.02

    running.wait_for(moved)
    shown = page.locator('[data-figure="position-Z"]')
    expect(shown).to_have_attribute("data-doubtful", "false")
    until_s = time.monotonic() + SOON_MS / 1000
    while True:
        # The last readings of the move may still be on their way: both are looked at anew each time.
        value_mm, text = good_z(running.state()), (shown.text_content() or "").replace("\u2212", "-")
        if value_mm is not None and abs(float(text) - value_mm) < 0.01:
            return
        assert time.monotonic() < until_s, (value_mm, text)
        time.sleep(0.05)


def not_stored(running: Waytell, act: str, **fields: Any) -> str:
    """The words for an act that was carried out, but is not on disk."""
    answer = running.act_in_time(act, **fields)
    assert answer.status_code == 503, answer.text
    assert answer.json()["error"] == "Done, but not stored yet."
    health = running.client.get("/healthz").json()
    assert (health["ok"], health["stored"]) == (False, False)
    return str(answer.json()["do"])


def stored_again(running: Waytell, page: Page, folder: Path) -> None:
    """Everything shown is on disk: also for a program that is killed now."""
    expect(page.locator("[data-alarms]")).to_be_hidden(timeout=SOON_MS)
    assert running.client.get("/healthz").json()["stored"] is True
    running.done("clamp", axis="Z", held=False)
    shown = running.client.get("/api/events").json()["events"]
    running.kill()
    assert sqlite_file.faults(journal_file(folder)) == []
    kept = Store(journal_url(folder)).load("lathe")
    assert [one.model_dump(mode="json") for one in kept] == shown


@causes("disk full")
def test_a_full_disk(browser: Browser, board: BoardServer, lathe: Waytell, folder: Path) -> None:
    page = opened(browser, lathe)
    with file_size_limit(8192, lathe.process.pid):
        assert "the disk is full" in not_stored(lathe, "touch_off", axis="Z", at_mm=5.0)
        alarmed(page, "The journal cannot be written: the disk is full or failing. Make room")
        goes_on(board, lathe, page)
        assert "the disk is full" in not_stored(lathe, "clamp", axis="Z", held=True)
    stored_again(lathe, page, folder)
    page.close()


@causes("database locked")
def test_a_database_that_another_program_holds(
    browser: Browser, board: BoardServer, lathe: Waytell, folder: Path
) -> None:
    page = opened(browser, lathe)
    with closing(sqlite3.connect(journal_file(folder), isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        not_stored(lathe, "touch_off", axis="Z", at_mm=5.0)
        alarmed(page, "another program holds it. Close that")
        goes_on(board, lathe, page)
        other.execute("ROLLBACK")
    stored_again(lathe, page, folder)
    page.close()


@causes("disk read-only")
@pytest.mark.skipif(not may_mount(), reason="only root may mount a disk")
def test_a_disk_that_became_read_only(browser: Browser, board: BoardServer, folder: Path) -> None:
    with small_disk(folder, "8m") as change:
        first = listening(board, folder)
        set_up(first, board)
        first.stop()
        change("ro")
        running = listening(board, folder)
        try:
            page = opened(browser, running)
            alarmed(page, "The journal cannot be written")
            assert good_z(running.wait_for(good_z)) == pytest.approx(6.0, abs=0.01), "the datums are there"
            not_stored(running, "touch_off", axis="Z", at_mm=5.0)
            goes_on(board, running, page)
            change("rw")
            stored_again(running, page, folder)
            page.close()
        finally:
            if running.process.poll() is None:
                running.stop()


def header(file: Path) -> None:
    overwrite(file, 0, 1)


def middle(file: Path) -> None:
    overwrite(file, 2, file.stat().st_size // PAGE - 2)


def truncated(file: Path) -> None:
    with file.open("rb+") as out:
        out.truncate(PAGE * 2)


@causes("journal damaged")
@pytest.mark.parametrize("damage", [header, middle, truncated], ids=lambda one: str(one.__name__))
def test_a_damaged_journal_at_a_start(browser: Browser, board: BoardServer, folder: Path, damage: object) -> None:
    first = listening(board, folder)
    set_up(first, board)
    assert first.stop() == 0
    file = journal_file(folder)
    assert callable(damage)
    damage(file)
    before = file.read_bytes()

    with waytell("run", "--source", board.url, "--data", str(folder)) as running:
        running.wait_for(lambda state: state["link"]["boot"])
        page = opened(browser, running)
        alarmed(page, "Nothing is stored. The journal is damaged: stop Waytell, then put back a backup")
        assert figure(running.state(), "Z")["good"] is False, "no datum is made up"
        for act, fields in (
            ("use_config", {"config": board.config}),
            ("touch_off", {"axis": "X", "at_mm": 16.0}),
            ("touch_off", {"axis": "Z", "at_mm": 6.0}),
        ):
            assert "damaged" in not_stored(running, act, **fields)
        goes_on(board, running, page)
        page.close()
    assert file.read_bytes() == before


@causes("journal damaged")
def test_a_journal_damaged_while_it_is_written_to(
    browser: Browser, board: BoardServer, lathe: Waytell, folder: Path
) -> None:
    page = opened(browser, lathe)
    file = journal_file(folder)
    with closing(sqlite3.connect(file)) as other:
        # What is in the log is written to the file, so that there is something to damage; not while it is written to.
        while other.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]:
            time.sleep(0.02)
    overwrite(file, 1, file.stat().st_size // PAGE - 1)
    # The writer may have pages of its own in memory for a while; then it finds the damage.
    until_s = time.monotonic() + 20
    while lathe.act("clamp", axis="Z", held=True).status_code != 503:
        assert time.monotonic() < until_s, "the damage was never found"
    alarmed(page, "damaged")
    goes_on(board, lathe, page)
    assert lathe.client.get("/healthz").json()["stored"] is False
    page.close()
