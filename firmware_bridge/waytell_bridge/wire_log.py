r"""The wire log: what was said on the line and what the person did, one entry a line of UTF-8 text.

`<host time in ns> <mark> <text>`: mark `<` a line from the board as received, damaged ones too, `>` a line sent to
it, `!` an act as the JSON body that the HTTP API takes. Bytes outside printable ASCII stand as `\xNN`, a backslash as
`\\`. Reading gives every entry it can and counts what it cannot; a log cut in the middle of a line is no error.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Literal, NamedTuple, cast

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
    plain = _ESCAPED.sub(lambda match: chr(int(match[1], 16)) if match[1] else "\\", text)
    return plain.encode("latin-1", "replace")


def format_entry(t_ns: int, mark: Mark, text: str) -> str:
    return f"{t_ns} {mark} {text}\n"


def read_entries(lines: Iterable[str]) -> Iterator[Entry | Unreadable]:
    """The entries of a log in their order; empty lines are passed over."""
    for number, line in enumerate(lines, start=1):
        # Some editors set a byte order mark at the head of a file.
        text = line.rstrip("\n").removeprefix("\ufeff" if number == 1 else "")
        match = _ENTRY.match(text)
        if match:
            yield Entry(int(match[1]), cast("Mark", match[2]), text[match.end() :])
        elif text.strip():
            yield Unreadable(number, text[:LONGEST_SHOWN])


LONGEST_SHOWN = 200
_UNPRINTABLE = re.compile(r"[^\x20-\x7e]")
_ESCAPED = re.compile(r"\\(?:x([0-9A-Fa-f]{2})|\\)")
# An empty text may have lost its space to an editor.
_ENTRY = re.compile(r"([0-9]{1,20}) ([<>!])(?: |\r?$)")
