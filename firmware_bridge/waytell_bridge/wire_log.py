r"""The wire log: what was said on the line and what the person did, one entry a line of UTF-8 text.

`<host time in ns> <mark> <text>`: mark `<` a line from the board as received, damaged ones too, `>` a line sent to
it, `!` an act as the JSON body that the HTTP API takes. Bytes outside printable ASCII stand as `\xNN`, a backslash as
`\\`. Reading gives every entry it can and counts what it cannot; a log cut in the middle of a line is no error.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import partial
from typing import Literal, NamedTuple, TextIO

Mark = Literal["<", ">", "!"]


class Entry(NamedTuple):
    t_ns: int
    mark: Mark
    text: str


class Unreadable(NamedTuple):
    """A line that is not an entry, with its number counted from 1."""

    line: int
    text: str


def escape(raw: bytes) -> str:
    r"""Bytes of a line as the log writes them.

    >>> escape(b"P 1\\\r\xff")
    'P 1\\\\\\x0D\\xFF'
    """
    text = raw.decode("latin-1").replace("\\", "\\\\")
    return _UNPRINTABLE.sub(lambda match: f"\\x{ord(match[0]):02X}", text)


def unescape(text: str) -> bytes:
    """The bytes that `escape` wrote; what it would not have written is taken as it stands."""
    if "\\" not in text:
        return text.encode("latin-1", "replace")
    plain = _ESCAPED.sub(lambda match: chr(int(match[1], 16)) if match[1] else "\\", text)
    return plain.encode("latin-1", "replace")


def format_entry(t_ns: int, mark: Mark, text: str) -> str:
    return f"{t_ns} {mark} {text}\n"


def read_entries(lines: Iterable[str]) -> Iterator[Entry | Unreadable]:
    """The entries of a log in their order; empty lines are passed over."""
    for number, line in enumerate(lines, start=1):
        # Some editors set a byte order mark at the head of a file.
        match = _ENTRY.fullmatch(line if number > 1 else line.removeprefix("\ufeff"))
        if match is not None:
            t_ns, mark, text = match.groups("")
            yield Entry(int(t_ns), mark, text)  # type: ignore[arg-type]  # the expression has no other mark
        elif line.strip():
            yield Unreadable(number, line.rstrip("\n")[:LONGEST_SHOWN])


def bounded_lines(file: TextIO) -> Iterator[str]:
    """Lines of a file, each cut at `LONGEST_LINE`: a file without any newline must not fill the memory."""
    for line in iter(partial(file.readline, LONGEST_LINE), ""):
        yield line
        while len(line) == LONGEST_LINE and not line.endswith("\n"):
            line = file.readline(LONGEST_LINE)  # noqa: PLW2901 - the rest of the same line, passed over


LONGEST_SHOWN = 200
LONGEST_LINE = 1 << 20  # an act may carry a whole configuration; nothing needs more
_UNPRINTABLE = re.compile(r"[^\x20-\x7e]")
_ESCAPED = re.compile(r"\\(?:x([0-9A-Fa-f]{2})|\\)")
# An empty text may have lost its space to an editor.
_ENTRY = re.compile(r"([0-9]{1,20}) ([<>!])(?: ([^\n]*)|\r?)\n?")
