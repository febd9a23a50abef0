"""`waytell prove` guides through checks: real processes, at a pipe and at a terminal, at a simulated lathe."""

from __future__ import annotations

import os
import pty
import queue
import select
import signal
import subprocess
import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from support.at_lathe import listening, set_up
from support.running import WAYTELL, Waytell, told
from waytell.documents.proving import Proof, ProvingNow
from waytell_bridge.simulated.serving import BoardServer
from waytell_bridge.simulated.settings import ScaleSettings, Settings

LONG = 2000.0
"""The carriage's scale shows so many micrometres too much in a metre."""
WITHIN_S = 30.0


@pytest.fixture(scope="module")
def board() -> Iterator[BoardServer]:
    scales = (ScaleSettings("cross"), ScaleSettings("carriage", linear_error_um_m=LONG))
    with BoardServer(settings=replace(Settings(), scales=scales), seed=5) as server:
        yield server


@pytest.fixture(scope="module")
def lathe(board: BoardServer, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Waytell]:
    running = listening(board, tmp_path_factory.mktemp("data"))
    set_up(running, board)
    yield running
    if running.process.poll() is None:
        running.stop()


@pytest.fixture(autouse=True)
def no_check_is_left(request: pytest.FixtureRequest) -> Iterator[None]:
    yield
    if "lathe" in request.fixturenames:
        request.getfixturevalue("lathe").act("give_up_check")


def prove(running: Waytell, *arguments: str | Path, typed: str = "") -> subprocess.CompletedProcess[str]:
    return told("prove", *arguments, "--server", running.url, input=typed)


def now(running: Waytell) -> ProvingNow:
    return ProvingNow.model_validate(running.client.get("/api/proving").raise_for_status().json())


class Guided:
    """A check that is guided through at a pipe."""

    def __init__(self, running: Waytell, *arguments: str) -> None:
        command = [WAYTELL, "prove", *arguments, "--server", running.url]
        self.process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        self.out: list[str] = []
        self.errors: list[str] = []
        self._lines: queue.SimpleQueue[str] = queue.SimpleQueue()
        streams = ((self.process.stdout, self.out), (self.process.stderr, self.errors))
        self._readers = [threading.Thread(target=self._collect, args=one, daemon=True) for one in streams]
        for reader in self._readers:
            reader.start()

    def _collect(self, stream: Any, kept: list[str]) -> None:
        with stream:
            for line in stream:
                kept.append(line)
                self._lines.put(line)

    def hear(self, words: str) -> str:
        """The next line that holds these words."""
        until_s = time.monotonic() + WITHIN_S
        while time.monotonic() < until_s:
            try:
                line = self._lines.get(timeout=0.2)
            except queue.Empty:
                continue
            if words in line:
                return line
        raise AssertionError(f"{words!r} was not said: {self.out} {self.errors}")

    def type(self, line: str = "") -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(f"{line}\n")
        self.process.stdin.flush()

    def end(self) -> int:
        assert self.process.stdin is not None
        self.process.stdin.close()
        code = self.process.wait(WITHIN_S)
        for reader in self._readers:
            reader.join(5)
        return code


def wind(board: BoardServer, by_mm: float, speed_mm_s: float = 25.0) -> None:
    board.wind("carriage", by_mm, speed_mm_s)
    assert board.wait(30)


def test_a_known_distance_is_guided_through_found_and_used(board: BoardServer, lathe: Waytell, tmp_path: Path) -> None:
    guided = Guided(lathe, "distance", "--slide", "carriage", "--length", "25", "--grade", "1", "--json")
    guided.hear("Next: Let the carriage stand at the start of the 25.00 mm")
    guided.type()
    assert "1: 0.000 mm said, 0.000 mm shown" in guided.hear("Captured")
    wind(board, 25.0)
    # Bare Enter says what is suggested, a number what it says.
    guided.type("25,0")
    # 25 mm on a scale that shows 0.2 % too much: 0.05 mm.
    assert "25.000 mm said, 25.050 mm shown, 50.0 µm too much, winding on" in guided.hear("Captured")
    guided.type("done")
    guided.hear("Capture start and end twice each")
    for capture in (3, 4):
        wind(board, -25.0 if capture == 3 else 25.0)
        guided.type()
        guided.hear(f"Captured {capture}")
    guided.type("done")
    assert guided.end() in (0, 1)

    found = Proof.model_validate_json("".join(guided.out))
    assert found == now(lathe).proofs[0].proof
    assert found.captures == 4
    assert found.check.kind == "distance"
    assert found.check.reference.grade == 1
    length = (found.gives.resolution_um or 5.0) * (found.gives.scale_factor or 1.0)
    # The truth of the simulated scale, within a count of 5 micrometres in 25 mm.
    assert length == pytest.approx(5.0 / (1 + LONG * 1e-6), rel=5e-3 / 25)

    number = str(now(lathe).proofs[0].number)
    asked = prove(lathe, "use", number, typed="n\n")
    assert asked.returncode == 2
    assert "Let the figures go by it?" in asked.stderr
    assert "where the tool stands now" in asked.stdout
    assert not now(lathe).proofs[0].used
    used = prove(lathe, "use", number, "--yes")
    assert used.returncode == 0, used.stderr
    assert "In use: known distance, carriage." in used.stdout
    scale = lathe.client.get("/api/config").json()["scales"][1]
    assert scale["resolution_um"] * scale["scale_factor"] == pytest.approx(length)
    assert "in use already" in prove(lathe, "use", number).stderr

    sheet = tmp_path / "sheet.html"
    assert prove(lathe, "sheet", sheet).returncode == 0
    assert found.words in sheet.read_text(encoding="utf-8")
    assert "--overwrite" in prove(lathe, "sheet", sheet).stderr
    wind(board, -25.0)


def test_a_bad_finding_ends_with_one_and_what_to_do(board: BoardServer, lathe: Waytell) -> None:
    guided = Guided(lathe, "distance", "--slide", "carriage", "--length", "25")
    guided.hear("Next:")
    for capture in range(1, 5):
        guided.type()
        guided.hear(f"Captured {capture}")
        # Not the length that was said.
        wind(board, 8.0 if capture % 2 else -8.0)
    guided.type("done")
    assert guided.end() == 1
    found = now(lathe).proofs[0].proof
    assert found.verdict == "bad"
    words = "".join(guided.out)
    assert "Known distance, carriage: BAD" in words
    assert found.words in words
    assert found.do in words


def test_captures_can_be_left_out_taken_in_and_taken_back(board: BoardServer, lathe: Waytell) -> None:
    guided = Guided(lathe, "map", "--slide", "carriage")
    guided.hear("Next: Let the carriage stand at a stop")
    guided.type()
    guided.hear("Captured 1")
    wind(board, 5.0)
    guided.type("5")
    guided.hear("Captured 2")
    guided.type("out 2")
    guided.hear("Capture 2 does not count. Left out by you.")
    check = now(lathe).check
    assert check is not None
    assert [one.left_out for one in check.captures] == [False, True]
    guided.type("in 2")
    guided.hear("Capture 2 counts again.")
    guided.type("undo")
    guided.hear("Capture 2 does not count.")
    guided.type("out 9")
    guided.hear("There is no capture 9: the list goes to 2.")
    guided.type("list")
    guided.hear("2: 5.000 mm said")
    guided.type("hm")
    guided.hear("none of the words")
    guided.type("stop")
    assert guided.end() == 2
    assert "Given up" in "".join(guided.errors)
    assert now(lathe).check is None
    wind(board, -5.0)


def test_a_slide_that_moves_is_not_captured(board: BoardServer, lathe: Waytell) -> None:
    guided = Guided(lathe, "positioning", "--slide", "carriage")
    guided.hear("Next:")
    board.wind("carriage", 10.0, 2.0)
    guided.type("0")
    guided.hear("The slide moves")
    assert board.wait(30)
    guided.type("10")
    guided.hear("Captured 1")
    guided.type("stop")
    guided.end()
    wind(board, -10.0)


def test_what_only_watches_ends_by_itself(lathe: Waytell) -> None:
    done = prove(lathe, "temperature", "--slide", "carriage", "--temperature", "14", "--length", "50")
    assert done.returncode in (0, 1), done.stderr
    newest = now(lathe).proofs[0].proof
    assert newest.words in done.stdout
    assert newest.check.kind == "temperature"
    assert newest.check.length_mm == 50.0
    rest = prove(lathe, "rest", "--json")
    proof = Proof.model_validate_json(rest.stdout)
    assert proof.check.kind == "rest"
    assert rest.returncode == (1 if proof.verdict == "bad" else 0)
    assert "Motor off: touch no slide" in rest.stderr


def test_which_scale_is_on_a_slide_is_found_by_winding_it(board: BoardServer, lathe: Waytell) -> None:
    guided = Guided(lathe, "slide", "--slide", "carriage")
    guided.hear("Next: Wind the carriage away from the headstock")
    wind(board, 5.0)
    guided.hear("Which scale, carriage")
    assert guided.end() in (0, 1)
    found = now(lathe).proofs[0].proof
    # The simulated lathe has its carriage on scale 1, counting up, and was set up so.
    assert found.verdict == "good"
    assert "Scale 1 is on the carriage; its counts grow away from the headstock." in found.words
    wind(board, -5.0)


def test_a_check_that_is_left_can_be_gone_on_with(lathe: Waytell) -> None:
    left = prove(lathe, "distance", "--slide", "cross", "--length", "10", typed="\n")
    assert left.returncode == 2
    assert "waytell prove go-on" in left.stderr
    assert "Under way: known distance, cross-slide, 1 captured." in prove(lathe).stdout
    other = prove(lathe, "map", "--slide", "cross", typed="\n")
    assert other.returncode == 2
    assert "under way already (known distance, cross-slide, 1 captured)" in other.stderr
    again = prove(lathe, "go-on", typed="list\nstop\n")
    assert "1: 0.000 mm said" in again.stdout
    assert prove(lathe, "go-on").stderr.startswith("Error: No check is under way.")
    prove(lathe, "distance", "--slide", "cross", "--length", "10", typed="\n")
    anew = prove(lathe, "map", "--slide", "cross", "--anew")
    assert "Next: Let the cross-slide stand at a stop" in anew.stdout


def test_an_interrupt_leaves_the_check_under_way(lathe: Waytell) -> None:
    guided = Guided(lathe, "map", "--slide", "cross")
    guided.hear("Next:")
    guided.process.send_signal(signal.SIGINT)
    assert guided.end() == 2
    assert "stays under way" in "".join(guided.errors)
    assert "Traceback" not in "".join(guided.errors)
    assert now(lathe).check is not None


def test_a_check_given_up_elsewhere_is_told(lathe: Waytell) -> None:
    guided = Guided(lathe, "map", "--slide", "cross")
    guided.hear("Next:")
    lathe.done("give_up_check")
    guided.hear("The check was given up elsewhere.")
    assert guided.end() == 2


def test_an_inch_person_types_inches(lathe: Waytell) -> None:
    lathe.done("choose_units", units={"length": "inch"})
    try:
        guided = Guided(lathe, "distance", "--slide", "carriage", "--length", "1")
        guided.hear("Next: Let the carriage stand at the start of the 1.0000 in")
        check = now(lathe).check
        assert check is not None
        assert check.check.kind == "distance"
        assert check.check.length_mm == pytest.approx(25.4)
        guided.type("0.5")
        guided.hear("0.5000 in said")
        check = now(lathe).check
        assert check is not None
        assert check.captures[0].says_mm == pytest.approx(12.7)
        guided.type("stop")
        guided.end()
    finally:
        lathe.done("choose_units", units={"length": "mm"})


def test_at_a_terminal_the_lines_change_in_place_while_one_types(board: BoardServer, lathe: Waytell) -> None:
    end, terminal = pty.openpty()
    command = [WAYTELL, "prove", "map", "--slide", "carriage", "--server", lathe.url]
    environment = {**os.environ, "TERM": "xterm"}
    with subprocess.Popen(command, stdin=terminal, stdout=terminal, stderr=terminal, env=environment) as guided:
        os.close(terminal)
        try:
            seen = Seen(end)
            seen.until(b"[0 mm] > ")
            os.write(end, b"0")
            wind(board, 5.0)
            # Where the typed line stands is kept, the lines above it are written anew.
            seen.until(b"\x1b7\x1b[")
            seen.until(b"\x1b[2K  Scale 1, carriage: ")
            seen.until(b", +1002 counts.")
            os.write(end, b"\n")
            seen.until(b"Captured 1: 0.000 mm said")
            os.write(end, b"stop\n")
            seen.until(b"Given up")
            assert guided.wait(WITHIN_S) == 2
        finally:
            guided.kill()
            os.close(end)
    wind(board, -5.0)


class Seen:
    """What came out of a terminal."""

    def __init__(self, end: int) -> None:
        self._end, self._data = end, b""

    def until(self, words: bytes) -> None:
        """Reads on until these bytes have come; what came before is forgotten."""
        until_s = time.monotonic() + WITHIN_S
        while words not in self._data:
            assert time.monotonic() < until_s, self._data[-2000:]
            if select.select([self._end], [], [], 0.2)[0]:
                self._data += os.read(self._end, 4096)
        self._data = self._data.partition(words)[2]
