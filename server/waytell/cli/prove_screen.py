"""The terminal while a check is under way: lines that change in place above the one being typed.

Where there is no terminal, or one that cannot do this, the same lines are told once for each turn.
"""

from __future__ import annotations

import os
import queue
import shutil
import sys
import textwrap
import threading
from collections.abc import Sequence
from typing import TextIO

from rich.console import Console

from waytell.cli.saying import plain

SAVE, RESTORE, CLEAR_LINE = "\x1b7", "\x1b8", "\x1b[2K"
SPARE = 1
"""Lines kept free for words that grow longer."""


class Lines:
    """What is typed, or comes through a pipe, line by line; read in a thread of its own, so that nobody waits."""

    def __init__(self) -> None:
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self.ended = False
        threading.Thread(target=self._read, name="typed lines", daemon=True).start()

    def _read(self) -> None:
        # Past sys.stdin: a thread that still waits in it would hold its lock when the program ends.
        kept = b""
        while data := _some():
            *lines, kept = (kept + data).split(b"\n")
            for line in lines:
                self._lines.put(line.decode("utf-8", "replace"))
        if kept.strip():
            self._lines.put(kept.decode("utf-8", "replace"))
        self._lines.put(None)

    def next(self, within_s: float) -> str | None:
        """None where none came in time, or none will come any more: then `ended` is true."""
        try:
            line = self._lines.get(timeout=within_s)
        except queue.Empty:
            return None
        self.ended = self.ended or line is None
        return line


def _some() -> bytes:
    try:
        return os.read(0, 4096)
    except OSError:
        return b""


class Screen:
    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        console = Console(stderr=stream is sys.stderr)
        dumb = console.is_dumb_terminal or console.legacy_windows
        self.live = stream.isatty() and sys.stdin.isatty() and not dumb
        self._height = 0

    def say(self, *lines: str) -> None:
        for line in lines:
            self._stream.write(plain(line).plain + "\n")
        self._stream.flush()

    def show(self, lines: Sequence[str], prompt: str) -> None:
        """A new block of lines, with the place to type below it."""
        wrapped = self._wrapped(lines)
        self._height = len(wrapped) + (SPARE if self.live else 0)
        self._stream.write("\n" + "\n".join(wrapped) + "\n" * (self._height - len(wrapped) + 1))
        if self.live:
            self._stream.write(prompt)
        self._stream.flush()

    def refresh(self, lines: Sequence[str]) -> None:
        """The same block with what is so now."""
        if not self.live or self._height > shutil.get_terminal_size().lines - 2:
            return
        wrapped = self._wrapped(lines)[: self._height]
        wrapped += [""] * (self._height - len(wrapped))
        text = "".join(f"{CLEAR_LINE}{line}\n" for line in wrapped)
        # A newline may also scroll, but never here: the line being typed is below.
        self._stream.write(f"{SAVE}\x1b[{self._height}A\r{text}{RESTORE}")
        self._stream.flush()

    def _wrapped(self, lines: Sequence[str]) -> list[str]:
        if not self.live:
            return [plain(line).plain for line in lines]
        wide = max(20, shutil.get_terminal_size().columns - 1)
        return [
            part
            for line in lines
            for part in textwrap.wrap(plain(line).plain, wide, subsequent_indent="      ") or [""]
        ]
