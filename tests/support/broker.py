"""A real Mosquitto on a free port of this computer, to be stopped, started anew, and asked for a password."""

from __future__ import annotations

import getpass
import shutil
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PROGRAMS = ("mosquitto", "/usr/sbin/mosquitto")


def free_port() -> int:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])


class Mosquitto:
    """`more` are lines of its configuration."""

    def __init__(self, folder: Path, *more: str, port: int | None = None) -> None:
        path = next((found for name in PROGRAMS if (found := shutil.which(name))), None)
        assert path is not None, "mosquitto is not installed; tests/run installs it"
        self.port = port or free_port()
        self._file = folder / "mosquitto.conf"
        lines = [
            f"listener {self.port} 127.0.0.1",
            "set_tcp_nodelay true",
            "persistence false",
            f"user {getpass.getuser()}",
            *more,
        ]
        if not any(line.startswith("password_file") for line in more):
            lines.append("allow_anonymous true")
        self._file.write_text("\n".join(lines) + "\n")
        self._command = [path, "-c", str(self._file)]
        self._process: subprocess.Popen[bytes] | None = None
        self._folder = folder

    @property
    def pid(self) -> int:
        assert self._process is not None
        return self._process.pid

    @property
    def url(self) -> str:
        return f"mqtt://127.0.0.1:{self.port}"

    def start(self) -> None:
        with (self._folder / "mosquitto.log").open("ab") as log:
            self._process = subprocess.Popen(self._command, stdout=log, stderr=log)
        until_s = time.monotonic() + 10
        while time.monotonic() < until_s:
            with socket.socket() as tried:
                if tried.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            time.sleep(0.02)
        raise AssertionError(f"mosquitto did not start: {(self._folder / 'mosquitto.log').read_text()}")

    def stop(self) -> None:
        if self._process is not None:
            self._process.terminate()
            self._process.wait(10)
            self._process = None


@contextmanager
def mosquitto(folder: Path, *more: str) -> Iterator[Mosquitto]:
    broker = Mosquitto(folder, *more)
    broker.start()
    try:
        yield broker
    finally:
        broker.stop()
