"""Kill -9 at random moments: what was said to be stored is there, once, and the journal is sound.

The program is a real session with its engine and journal (see `killed`), killed two hundred times, twenty times on
each journal, so that it also takes up what a kill left behind.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from faults.table import causes
from waytell.documents.state import Event
from waytell.journal import sqlite_file
from waytell.journal.store import Store, journal_file, journal_url
from whole.killed import MACHINE, checksum

JOURNALS, KILLS_EACH = 10, 20
LINES = 30
START_S, WORK_S = 0.1, 0.01
"""Kills fall within so long after the start of the program, or after a line that it told while it worked."""
AT_START = 0.25


class Nursery:
    """Starts the program again and again without loading it each time."""

    def __init__(self) -> None:
        script = Path(__file__).with_name("killed.py")
        environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
        self._process = subprocess.Popen(
            [sys.executable, str(script)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=environment
        )
        self._wait_for("ready")

    def _line(self) -> list[str]:
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        assert line, "the nursery has ended"
        return line.split(maxsplit=1)

    def _wait_for(self, word: str) -> str:
        while True:
            first, *rest = self._line()
            if first == word:
                return rest[0] if rest else ""

    def killed(self, folder: Path, start: int, lines: int, seconds: float) -> Told:
        """Start the program and kill it so many seconds after it has told so many lines; what it told."""
        assert self._process.stdin is not None
        self._process.stdin.write(f"{folder} {start}\n")
        self._process.stdin.flush()
        pid = int(self._wait_for("pid"))
        killer = threading.Timer(seconds, os.kill, (pid, signal.SIGKILL))
        told = Told(start)
        while told.status is None:
            if lines == 0:
                killer.start()
            lines -= 1
            told.hear(self._line())
        killer.join()
        return told

    def close(self) -> None:
        assert self._process.stdin is not None
        self._process.stdin.close()
        self._process.wait(10)
        assert self._process.stdout is not None
        self._process.stdout.close()


class Told:
    """What a child told before it was killed."""

    def __init__(self, start: int) -> None:
        self.at = start
        self.stored: dict[int, int] = {}
        self.status: int | None = None

    def hear(self, words: list[str]) -> None:
        if words[0] == "stored":
            number, crc = words[1].split()
            assert int(number) not in self.stored, "told once"
            self.stored[int(number)] = int(crc)
        elif words[0] == "at":
            self.at = int(words[1])
        elif words[0] == "ended":
            self.status = int(words[1])
        else:
            # The engine may refuse an act, since the work goes on elsewhere than it was left.
            assert words[0] == "refused", words


@pytest.fixture(scope="module")
def nursery() -> Iterator[Nursery]:
    made = Nursery()
    yield made
    made.close()


@pytest.fixture(scope="module")
def totals() -> Iterator[Counter[str]]:
    """Over all journals: a test that killed before anything happened would say nothing."""
    counted: Counter[str] = Counter()
    yield counted
    print(f"\n{dict(counted)}")
    if counted["kills"] == JOURNALS * KILLS_EACH:
        assert counted["stored"] > 3 * counted["kills"]
        assert counted["passes"] > counted["kills"] / 20


def look_at(folder: Path, confirmed: dict[int, int]) -> list[Event]:
    """The events that are there: none that was confirmed is lost or changed. Loading refuses gaps in the numbers."""
    if journal_file(folder).exists():
        assert sqlite_file.faults(journal_file(folder)) == []
    events = Store(journal_url(folder)).load(MACHINE)
    found = {event.number: checksum(event) for event in events}
    assert {number: found.get(number) for number in confirmed} == confirmed
    return events


@causes("killed at any moment")
@pytest.mark.parametrize("journal", range(JOURNALS))
def test_nothing_confirmed_is_lost_or_doubled(
    journal: int, nursery: Nursery, totals: Counter[str], tmp_path: Path
) -> None:
    chance = Random(journal)
    confirmed: dict[int, int] = {}
    before: list[Event] = []
    at = 0
    for _ in range(KILLS_EACH):
        if chance.random() < AT_START:
            told = nursery.killed(tmp_path, at, 0, chance.uniform(0, START_S))
        else:
            told = nursery.killed(tmp_path, at, chance.randint(1, LINES), chance.uniform(0, WORK_S))
        assert told.status == signal.SIGKILL
        assert not confirmed.keys() & told.stored.keys(), "a number is given once"
        confirmed |= told.stored
        events = look_at(tmp_path, confirmed)
        assert events[: len(before)] == before, "what was there stays"
        totals.update(kills=1, stored=len(told.stored))
        totals["not told"] += len(events) - len(confirmed)
        # What was stored but not told of in time is there to stay as well.
        confirmed = {event.number: checksum(event) for event in events}
        before, at = events, told.at
    passes = [event.body["pass"] for event in before if event.kind == "pass_finished"]
    assert [one["number"] for one in passes] == list(range(1, len(passes) + 1))
    assert len({(one["t_start_s"], one["t_end_s"]) for one in passes}) == len(passes), "no pass is there twice"
    acts = {event.body["act"]["act"] for event in before if event.kind == "act"}
    assert {"use_config", "touch_off", "measured"} <= acts
    totals.update(passes=len(passes))
