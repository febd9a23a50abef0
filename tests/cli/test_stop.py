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


@pytest.mark.parametrize("told", [signal.SIGINT, signal.SIGTERM], ids=lambda told: str(told.name))
@pytest.mark.parametrize("command", ["run", "bridge", "serve"])
def test_it_ends_in_order(tmp_path: Path, command: str, told: signal.Signals) -> None:
    with BoardServer(seed=7) as board, mosquitto(tmp_path) as broker:
        serving = ("--no-browser", "--port", "0", "--data", str(tmp_path / "data"))
        arguments = {
            "run": ("--source", board.url, *serving),
            "bridge": ("--machine", "lathe", "--mqtt", broker.url, "--source", board.url),
            "serve": ("--mqtt", broker.url, *serving),
        }[command]
        with subprocess.Popen(
            [WAYTELL, command, *arguments], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        ) as running:
            assert running.stdout is not None
            assert running.stdout.readline()
            time.sleep(0.5)
            began_s = time.monotonic()
            running.send_signal(told)
            said = running.stdout.read()
            code = running.wait(10)
        assert code in (0, -told), said
        assert "Traceback" not in said
        assert time.monotonic() - began_s < 8
