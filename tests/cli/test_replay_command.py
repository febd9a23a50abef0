"""`waytell replay` as a person meets it: odd files told in plain words, long ones with a way out, and the display."""

from __future__ import annotations

import json
import os
import pty
import re
import signal
import subprocess
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from support.running import WAYTELL, Waytell, told
from waytell_bridge.simulated.recording import Recording, record
from waytell_bridge.simulated.settings import Settings
from waytell_bridge.simulated.short_scripts import SCRIPTS


@pytest.fixture(scope="module")
def recording() -> Recording:
    return record(SCRIPTS["dwell_and_return"], Settings(), 3)


@pytest.fixture(scope="module")
def log(recording: Recording, tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("logs") / "turning.wirelog"
    file.write_text(recording.text)
    return file


def document(*arguments: str | Path) -> dict[str, Any]:
    done = told("replay", *arguments, "--json")
    assert done.returncode == 0, done.stderr
    return dict(json.loads(done.stdout))


def test_the_text_tells_events_with_their_times_and_passes(log: Path, recording: Recording) -> None:
    text = told("replay", log).stdout
    true = recording.truth
    assert f"{len(true.passes)} passes" in text
    for one in true.passes:
        assert f" {one.role} " in text
    chosen_s = next(t_s for t_s, act in true.acts if act["act"] == "choose_operation")
    line = next(line for line in text.splitlines() if "Operation turn one size down" in line)
    hours, minutes, seconds = line.split()[0].split(":")
    assert int(hours) * 3600 + int(minutes) * 60 + float(seconds) == pytest.approx(chosen_s, abs=0.11)


def test_the_document_has_the_form_that_programs_know(log: Path, recording: Recording) -> None:
    found = document(log)
    assert list(found) == ["passes", "events", "link", "troubles"]
    assert len(found["passes"]) == len(recording.truth.passes)
    assert found["link"]["reports"] == sum(" < P " in line for line in recording.lines)
    assert found["link"]["first_damage"] is None
    assert found["troubles"] == []


DAMAGES = [
    (lambda line: line[:-4] + "0000", "checksum does not match"),
    (lambda line: line[:-7], "no checksum"),
    (lambda line: line + "A" * 200, "longer than a line may be"),
]


@pytest.mark.parametrize(("spoil", "reason"), DAMAGES)
def test_the_first_damaged_line_is_told_with_its_number_and_why(
    recording: Recording, tmp_path: Path, spoil: Any, reason: str
) -> None:
    lines = list(recording.lines[:900])
    spoilt = [number for number in (500, 501, 700) if " < P " in lines[number]]
    for number in spoilt:
        lines[number] = spoil(lines[number])
    file = tmp_path / "damaged.wirelog"
    file.write_text("\n".join(lines) + "\n")
    link = document(file)["link"]
    assert link["damaged_lines"] == len(spoilt)
    assert link["first_damage"]["line"] == spoilt[0] + 1
    assert link["first_damage"]["reason"] == reason
    assert f"The first damaged line is line {spoilt[0] + 1}: {reason}." in told("replay", file).stdout


def test_a_log_whose_every_line_is_damaged_says_so(recording: Recording, tmp_path: Path) -> None:
    file = tmp_path / "damaged.wirelog"
    file.write_text("\n".join(line + "?" if " < " in line else line for line in recording.lines) + "\n")
    text = told("replay", file).stdout
    assert "0 passes" in text
    assert "Not one line of the board could be read." in text
    assert "The first damaged line is line 2: no checksum." in text


def test_an_empty_file_is_told_as_such(tmp_path: Path) -> None:
    file = tmp_path / "empty.wirelog"
    file.touch()
    assert "It is empty." in told("replay", file).stdout
    assert document(file) == {"passes": [], "events": [], "link": {}, "troubles": []}


def test_a_log_cut_in_the_middle_of_a_line_gives_all_before_it(recording: Recording, tmp_path: Path) -> None:
    lines = recording.lines
    report = next(number for number in range(len(lines) * 3 // 5, len(lines)) if " < P " in lines[number])
    file = tmp_path / "cut.wirelog"
    file.write_text("\n".join(lines[:report]) + "\n" + lines[report][:-6])
    text = told("replay", file).stdout
    assert "1 pass" in text
    assert f"The first damaged line is line {report + 1}: no checksum. It is the last one" in text


@pytest.mark.parametrize("newlines", [True, False])
def test_a_binary_file_is_told_without_spoiling_the_terminal(tmp_path: Path, newlines: bool) -> None:
    file = tmp_path / "picture.wirelog"
    raw = bytes(range(256)) * 40_000
    file.write_bytes(raw if newlines else raw.replace(b"\n", b"").replace(b"\r", b""))
    done = told("replay", file)
    assert done.returncode == 0
    assert "The log holds no entry." in done.stdout
    assert all(char.isprintable() or char == "\n" for char in done.stdout)
    assert len(done.stdout) < 3000
    assert done.stderr == ""


def test_square_brackets_in_a_line_are_text_and_no_markup(tmp_path: Path) -> None:
    file = tmp_path / "odd.wirelog"
    file.write_text("[/] [red]\n")
    assert "[/] [red]" in told("replay", file).stdout


def test_a_folder_and_a_missing_file_are_told(tmp_path: Path) -> None:
    for name in (tmp_path, tmp_path / "gone.wirelog"):
        done = told("replay", name)
        assert done.returncode != 0
        assert "cannot be read" in done.stderr
        assert "Traceback" not in done.stderr


def test_a_log_without_stock_and_operation_says_why_nothing_is_a_pass(recording: Recording, tmp_path: Path) -> None:
    file = tmp_path / "bare.wirelog"
    kept = [line for line in recording.lines if "new_set_up" not in line and "choose_operation" not in line]
    file.write_text("\n".join(kept) + "\n")
    assert "nothing is called a pass" in told("replay", file).stdout


def test_ctrl_c_ends_the_log_there_and_tells_what_was_found(recording: Recording, tmp_path: Path) -> None:
    pipe = tmp_path / "growing.wirelog"
    os.mkfifo(pipe)
    half = len(recording.lines) * 3 // 5
    with (
        subprocess.Popen([WAYTELL, "replay", str(pipe)], stdout=subprocess.PIPE, text=True) as running,
        pipe.open("w") as growing,
    ):
        # More than a pipe holds: once it is written, most of it is read.
        growing.write("\n".join(recording.lines[:half]) + "\n")
        growing.flush()
        running.send_signal(signal.SIGINT)
        time.sleep(0.2)
        rest = "\n".join(recording.lines[half : half + 4000]) + "\n"
        threading.Thread(target=_written, args=(growing, rest), daemon=True).start()
        output, _ = running.communicate(timeout=60)
    assert running.returncode == 0
    assert "1 pass" in output
    assert "Stopped by you after line" in output


def _written(growing: Any, rest: str) -> None:
    try:
        growing.write(rest)
        growing.flush()
    except (BrokenPipeError, ValueError):
        """It has stopped reading, as told."""


def test_a_terminal_shows_percent_and_time_left(log: Path) -> None:
    ours, theirs = pty.openpty()
    with subprocess.Popen([WAYTELL, "replay", str(log)], stdout=subprocess.DEVNULL, stderr=theirs) as running:
        os.close(theirs)
        shown = b""
        while True:
            try:
                piece = os.read(ours, 4096)
            except OSError:  # the other end is closed: a pty says so by an error
                break
            if not piece:
                break
            shown += piece
        os.close(ours)
        assert running.wait(60) == 0
    assert b"replaying" in shown
    percents = [int(number) for number in re.findall(rb"(\d+)%", shown)]
    assert percents == sorted(percents)
    assert percents[-1] > 20


def test_served_it_plays_lines_and_acts_in_their_order(log: Path) -> None:
    at_once = document(log)
    playing = Waytell("replay", str(log), "--serve", "--pace", "8")
    playing.wait_for(lambda state: state["link"]["condition"] == "ended", within_s=120)
    passes = playing.passes()
    events = [event["words"] for event in playing.client.get("/api/events").json()["events"]]
    assert playing.stop() == 0
    assert [event for event in events if event != "Waytell started"] == [one["words"] for one in at_once["events"]]
    for played, found in zip(passes, at_once["passes"], strict=True):
        for name in ("kind", "role", "operation", "start_mm", "end_mm", "held_mm", "depth_mm"):
            assert played[name] == found[name], name
        assert played["duration_s"] == pytest.approx(found["duration_s"]), "measured by the board's own clock"


def test_served_it_takes_as_long_as_it_was(recording: Recording, tmp_path: Path) -> None:
    file = tmp_path / "three_seconds.wirelog"
    until_ns = 4_000_000_000
    file.write_text("\n".join(line for line in recording.lines if int(line.split(" ", 1)[0]) <= until_ns) + "\n")
    start_s = time.monotonic()
    playing = Waytell("replay", str(file), "--serve")
    playing.wait_for(lambda state: state["link"]["condition"] == "live")
    live_s = time.monotonic()
    playing.wait_for(lambda state: state["link"]["condition"] == "ended")
    ended_s = time.monotonic()
    playing.stop()
    assert ended_s - start_s > 2.9
    assert ended_s - live_s < 5


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--serve", "--json"), "one of the two"),
        (("--pace", "2"), "goes with --serve"),
        (("--serve", "--pace", "0"), "0.01"),
    ],
)
def test_options_that_do_not_go_together_say_so(log: Path, options: tuple[str, ...], says: str) -> None:
    done = told("replay", log, *options)
    assert done.returncode == 2
    assert says in done.stderr


def test_served_the_acts_at_the_head_of_a_log_are_done_though_the_computer_is_busy_starting() -> None:
    file = Path(__file__).parents[1] / "golden" / "one_pass.wirelog"
    playing = Waytell("replay", str(file), "--serve")
    playing.wait_for(lambda state: state["link"]["condition"] == "ended", within_s=30)
    passes = playing.passes()
    playing.stop()
    assert "was not taken" not in "".join(playing.output)
    assert [(one["kind"], one["role"]) for one in passes] == [("turning", "finish")]
