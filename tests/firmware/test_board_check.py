"""`waytell board check` listening to the real image: what it says is what the pins did."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from firmware.live_board import LiveBoard

WAYTELL = str(Path(sys.executable).with_name("waytell"))


def told(board: LiveBoard, *more: str) -> subprocess.CompletedProcess[str]:
    command = [WAYTELL, "board", "check", "--port", board.url, "--seconds", "3", *more]
    return subprocess.run(command, text=True, capture_output=True, timeout=60, check=False)


def found(board: LiveBoard) -> tuple[dict[str, Any], int]:
    done = told(board, "--json")
    return json.loads(done.stdout), done.returncode


def test_a_good_board_is_told_with_its_rate_counts_spindle_and_switches(live: LiveBoard) -> None:
    live.do("wait 30000", "spindle 100000", "switch 1 closed", "move x 1500 10000", "settle")
    live.begin("move z -8000 1000")
    good, code = found(live)
    assert code == 0, good["attention"]
    assert good["board"]["model"] == "m328p"
    assert good["board"]["kinds"] == "qq"
    assert good["board"]["max_edges_s"] == 120_000
    assert good["board"]["rate_hz"] == 250
    assert good["rate_hz"] == pytest.approx(250, rel=0.05)
    assert good["rpm"] == pytest.approx(600, abs=1)
    assert good["switches"] == 2
    assert [scale["moved"] for scale in good["scales"]] == [False, True]
    assert good["scales"][0]["count"] == 1500
    assert -8000 <= good["scales"][1]["lowest"] < good["scales"][1]["highest"] <= 0
    assert good["lost_reports"] == 0
    assert good["damaged_lines"] <= 1, "the first line may have begun before the port was opened"
    words = told(live).stdout
    assert "Spindle input (1 a revolution): turns at 600 a minute." in words
    assert "Switches: 2, closed: 1." in words
    assert words.rstrip().endswith("All is well.")


def test_missed_edges_need_attention_and_so_they_do_until_the_next_start(live: LiveBoard) -> None:
    live.do("move x 100000 400000", "settle")
    bad, code = found(live)
    assert code == 1
    assert bad["scales"][0]["missed_edges"] > 1000
    assert bad["scales"][1]["missed_edges"] == 0
    assert ["Scale 0 missed edges" in one["words"] for one in bad["attention"]] == [True]
    live.do("power 5", "wait 100000")
    good, code = found(live)
    assert code == 0, good["attention"]
    assert not good["board"]["kept"]


def test_a_reset_meanwhile_is_told_and_that_the_counts_were_kept(live: LiveBoard) -> None:
    live.begin("wait 2000000", "reset")
    bad, code = found(live)
    assert code == 1, bad
    assert bad["restarts"] == 1
    assert bad["board"]["kept"]
