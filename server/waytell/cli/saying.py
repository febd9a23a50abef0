"""Text on the terminal or into a file: nothing in it steers the terminal, and what it cannot show is marked."""

from __future__ import annotations

import io
import sys
from collections.abc import Iterable

from rich.console import Console
from rich.text import Text

WIDTH_IN_A_FILE = 160


def console_for(stream: object) -> Console:
    """Standard output or standard error."""
    # A name may hold what this terminal cannot show; a mark in its place is better than no answer.
    if isinstance(stream, io.TextIOWrapper):
        stream.reconfigure(errors="replace")
    console = Console(stderr=stream is sys.stderr)
    return console if console.is_terminal else Console(stderr=stream is sys.stderr, width=WIDTH_IN_A_FILE)


def say(console: Console, lines: Iterable[str]) -> None:
    for line in lines:
        console.print(plain(line), soft_wrap=not console.is_terminal)


def plain(words: str) -> Text:
    r"""Words from a file as they are: neither marks of this text nor orders to the terminal.

    >>> plain("[red]bush\x1b[2J").plain
    '[red]bush?[2J'
    """
    return Text("".join(letter if letter.isprintable() or letter == "\n" else "?" for letter in words))
