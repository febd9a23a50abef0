"""The board image in the simulator at real pace, with a serial line over TCP that other programs can open."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ENDED_WITHIN_S = 10


class LiveBoard:
    """A running peer. Its commands stand in tests/firmware/README.md."""

    def __init__(self, peer: Path, image: Path) -> None:
        command = [str(peer), "--tcp", "0", "--pace", "--live", str(image)]
        self._process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        self._asked = 0
        self.url = f"socket://{self._line().removeprefix('port ')}"

    def _line(self) -> str:
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        assert line, "the peer has ended: a command it cannot do?"
        return line.strip()

    def begin(self, *commands: str) -> None:
        """Let the board's pins begin to do something; returns at once."""
        assert self._process.stdin is not None
        self._process.stdin.write("".join(f"{command}\n" for command in commands))
        self._process.stdin.flush()

    def do(self, *commands: str) -> list[str]:
        """Do it to the end; gives what the peer printed meanwhile."""
        self._asked += 1
        self.begin(*commands, f"say done {self._asked}")
        lines: list[str] = []
        while (line := self._line()) != f"say done {self._asked}":
            lines.append(line)
        return lines

    def truth(self) -> tuple[int, ...]:
        """Where the slides really are, in counts."""
        (line,) = self.do("truth")
        return tuple(int(word) for word in line.split()[2:])

    def stop(self) -> None:
        try:
            self._process.communicate("end\n", timeout=ENDED_WITHIN_S)
        except (subprocess.TimeoutExpired, BrokenPipeError):
            self._process.kill()
            self._process.communicate()


@contextmanager
def live_board(peer: Path, image: Path) -> Iterator[LiveBoard]:
    board = LiveBoard(peer, image)
    try:
        yield board
    finally:
        board.stop()
