"""The computer itself: its clock is put, it sleeps, it loses its power, and clocks and counts of 32 bits begin anew."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from random import Random

import pytest
from playwright.sync_api import Browser, Page

from faults.at_fault import good_and_true, never_wrong, ready
from faults.table import causes
from support.at_lathe import listening, set_up
from support.running import Waytell, waytell
from support.watching import SEEN_WITHIN_S, calm, seen_since, watched
from waytell.config import EXAMPLE, ConfigError, load_config
from waytell.journal import sqlite_file
from waytell.journal.store import Store, journal_file, journal_url
from waytell_bridge.simulated.serving import BoardServer
from waytell_bridge.simulated.settings import Settings

DAY_S = 86_400
ORDINARY = {"started", "act", "board"}
"""Kinds of events when nothing went wrong: no jump, no restart."""
# Adds what stands in a file to the wall clock of the program that it is loaded into; other clocks run on.
PUT_CLOCK = r"""
#include <stdio.h>
#include <stdlib.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

int clock_gettime(clockid_t clock, struct timespec *now) {
    long failed = syscall(SYS_clock_gettime, clock, now);
    FILE *said = !failed && clock == CLOCK_REALTIME ? fopen(getenv("PUT_CLOCK_BY"), "r") : NULL;
    long by_s = 0;
    if (said) {
        if (fscanf(said, "%ld", &by_s) == 1) now->tv_sec += by_s;
        fclose(said);
    }
    return (int)failed;
}
"""
CUTS = 120


@pytest.fixture
def clock_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """So many seconds are added to the wall clock of a program that is started now."""
    library, said = tmp_path / "put_clock.so", tmp_path / "clock"
    build = ["gcc", "-shared", "-fPIC", "-O2", "-x", "c", "-", "-o", str(library)]
    subprocess.run(build, input=PUT_CLOCK, text=True, check=True)
    said.write_text("0")
    with monkeypatch.context() as environment:
        environment.setenv("LD_PRELOAD", str(library))
        environment.setenv("PUT_CLOCK_BY", str(said))
        yield said


@causes("computer's clock put")
def test_a_clock_that_is_put_by_a_day_changes_no_figure_and_no_order(
    browser: Browser, board: BoardServer, tmp_path: Path, clock_file: Path
) -> None:
    with waytell("run", "--source", board.url, "--data", str(tmp_path)) as running:
        ready(running, board)
        with watched(browser, running.url) as page:
            for by_s in (DAY_S, -DAY_S):
                clock_file.write_text(str(by_s))
                assert never_wrong(page, board, -2.0, 2.0) > 0
                good_and_true(page, board)
                running.done("clamp", axis="Z", held=by_s > 0)
        events = running.client.get("/api/events").json()["events"]
        assert [event["number"] for event in events] == list(range(1, len(events) + 1))
        assert [event["t_s"] for event in events] == sorted(event["t_s"] for event in events)
        walls = [datetime.fromisoformat(event["wall"]) for event in events[-2:]]
        assert walls[0] - walls[1] > timedelta(days=1), "the clock was truly put"


@causes("computer asleep")
def test_after_sleep_no_reading_of_before_is_shown_as_good(board: BoardServer, lathe: Waytell, page: Page) -> None:
    asleep_s = time.time()
    os.kill(lathe.process.pid, signal.SIGSTOP)
    try:
        assert seen_since(page, asleep_s, "true") < SEEN_WITHIN_S
        assert never_wrong(page, board, -6.0, 4.0) == 0
    finally:
        os.kill(lathe.process.pid, signal.SIGCONT)
    # Readings of the whole time wait in the line: each figure of now on is checked against the truth of now.
    assert never_wrong(page, board, 3.0, 2.0) > 0
    good_and_true(page, board)


@causes("power cut at any write")
def test_whatever_part_of_the_last_writes_reached_the_disk_what_was_confirmed_before_is_there(
    board: BoardServer, tmp_path: Path
) -> None:
    """A disk keeps what was flushed to it, and any part of what was written after that."""
    running = listening(board, tmp_path / "data")
    file = journal_file(tmp_path / "data")
    log = file.with_name(file.name + "-wal")
    confirmed: list[tuple[int, int]] = []
    try:
        set_up(running, board)
        for turn in range(12):
            running.done("touch_off", axis="Z", at_mm=5.0 + turn)
            number = running.client.get("/api/events").json()["events"][-1]["number"]
            confirmed.append((log.stat().st_size, number))
        files = {one: one.read_bytes() for one in (file, log)}
        history = running.client.get("/api/events").json()["events"]
    finally:
        running.kill()
    chance = Random(9)
    longest = len(files[log])
    for length in sorted({longest, *(chance.randrange(confirmed[0][0], longest) for _ in range(CUTS))}):
        cut = tmp_path / "cut"
        shutil.rmtree(cut, ignore_errors=True)
        cut.mkdir()
        (cut / file.name).write_bytes(files[file])
        # The rest of the last page is whatever stood on the disk.
        (cut / log.name).write_bytes(files[log][:length] + chance.randbytes(longest - length))
        store = Store(journal_url(cut))
        kept = [event.model_dump(mode="json") for event in store.load("lathe")]
        store.close()
        assert kept == history[: len(kept)]
        assert len(kept) >= max(number for size, number in confirmed if size <= length)
        assert sqlite_file.faults(cut / file.name) == []


def lathe_with(*, start_us: int = 0, start_count: int = 0) -> BoardServer:
    plain = Settings()
    scales = tuple(replace(scale, start_count=start_count) for scale in plain.scales)
    board = replace(plain.board, start_us=start_us)
    return BoardServer(settings=replace(plain, board=board, scales=scales), seed=7)


@causes("board's clock begins anew", "count begins anew")
@pytest.mark.parametrize(
    "begins_anew", [{"start_us": (1 << 32) - 8_000_000}, {"start_count": -(1 << 31) + 300}], ids=["clock", "count"]
)
def test_where_32_bits_are_full_the_figures_go_on(
    browser: Browser, tmp_path: Path, begins_anew: dict[str, int]
) -> None:
    with lathe_with(**begins_anew) as board, waytell("run", "--source", board.url, "--data", str(tmp_path)) as running:
        ready(running, board)
        with watched(browser, running.url) as page:
            assert never_wrong(page, board, -6.0, 2.0) > 0
            assert never_wrong(page, board, 6.0, 2.0) > 0
            good_and_true(page, board)
            assert {event["kind"] for event in running.client.get("/api/events").json()["events"]} <= ORDINARY


ABSURD = {
    "resolution_um": ("nan", "inf", "-5.0", "0.0", "1e9"),
    "channel": ("-1", "99", "0.5"),
    "accuracy_um": ("nan", "-1.0"),
}


@causes("absurd configuration")
@pytest.mark.parametrize(("name", "value"), [(name, value) for name, values in ABSURD.items() for value in values])
def test_an_absurd_configuration_is_refused_with_its_place(tmp_path: Path, name: str, value: str) -> None:
    lines = EXAMPLE.splitlines()
    at = next(n for n, line in enumerate(lines) if line.startswith(f"{name} = "))
    lines[at] = f"{name} = {value}"
    file = tmp_path / "lathe.toml"
    file.write_text("\n".join(lines))
    with pytest.raises(ConfigError, match=name):
        load_config(file)


@causes("absurd configuration")
def test_an_absurd_configuration_told_at_the_lathe_changes_nothing(
    board: BoardServer, lathe: Waytell, page: Page
) -> None:
    config = dict(board.config)
    scales = [dict(scale) for scale in config["scales"]]
    for wrong in ("NaN", "Infinity", "-5", "0"):
        scales[0]["resolution_um"] = "WRONG"
        text = json.dumps({"act": "use_config", "config": {**config, "scales": scales}})
        answer = lathe.client.post(
            "/api/acts", content=text.replace('"WRONG"', wrong), headers={"content-type": "application/json"}
        )
        assert answer.status_code in (400, 422), answer.text
        assert answer.json()["do"]
    calm(page)
    good_and_true(page, board)
