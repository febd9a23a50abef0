"""Told to end, by Ctrl-C or by the system, each command that serves ends in order and soon."""

from __future__ import annotations

import signal
import subprocess
import time
from pathlib import Path

import pytest

from support.broker import mosquitto
from support.running import WAYTELL
from waytell_bridge.simulated.serving import BoardServer

# A shell has what it starts in the background ignore Ctrl-C.
IN_BACKGROUND = ("sh", "-c", 'trap "" INT; exec "$@"', "sh")


@pytest.mark.parametrize("told", [signal.SIGINT, signal.SIGTERM], ids=lambda told: str(told.name))
@pytest.mark.parametrize("command", ["run", "bridge", "serve"])
@pytest.mark.parametrize("in_background", [False, True], ids=["", "background"])
def test_it_ends_in_order(tmp_path: Path, command: str, told: signal.Signals, in_background: bool) -> None:
    with BoardServer(seed=7) as board, mosquitto(tmp_path) as broker:
        serving = ("--no-browser", "--port", "0", "--data", str(tmp_path / "data"))
        arguments = {
            "run": ("--source", board.url, *serving),
            "bridge": ("--machine", "lathe", "--mqtt", broker.url, "--source", board.url),
            "serve": ("--mqtt", broker.url, *serving),
        }[command]
        started = (*(IN_BACKGROUND if in_background else ()), WAYTELL, command, *arguments)
        with subprocess.Popen(started, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as running:
            assert running.stdout is not None
            assert running.stdout.readline()
            time.sleep(0.5)
            running.send_signal(told)
            try:
                said, _ = running.communicate(timeout=10)
            except subprocess.TimeoutExpired:
                running.kill()
                raise
        assert running.returncode == 0, said
        assert said.endswith("Stopped.\n")
