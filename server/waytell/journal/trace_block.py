"""Readings as a compressed block of bytes, and back: pure, no I/O.

Counts and flags come back exactly, times to the microsecond, which is as fine as a board's clock goes.

A block is one byte, the format, and what zlib makes of its columns: how many readings and how many scales, then for
each column its first value and its changes. Board time is told by the change of its steps, which is nothing but jitter
on a steady board; host time by how its distance from board time changes; counts by their steps, since a slide that
stands has none. Changes are folded to numbers from 0 up (0, -1, 1, -2, 2 ...) and written seven bits a byte, the
least first, with the top bit set where more follow.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Sequence
from itertools import accumulate, pairwise

from waytell_bridge.reading import Reading

FORMAT = 1
LEVEL = 6
_TOP, _LOW = 0x80, 0x7F
_UNFOLDED = [(n >> 1) ^ -(n & 1) for n in range(_TOP)]


class BlockError(ValueError):
    """These bytes are no block of readings; the message says why."""


def encode(readings: Sequence[Reading]) -> bytes:
    """A block of readings that all have the same number of scales.

    Raises:
        ValueError: there are none, or their numbers of scales differ.
    """
    board_us = [round(r.board_s * 1e6) for r in readings]
    ahead_us = [round(r.t_s * 1e6) - b for r, b in zip(readings, board_us, strict=True)]
    columns = [board_us, ahead_us, [r.flags for r in readings], *zip(*(r.counts for r in readings), strict=True)]
    out = bytearray(_number(len(readings)) + _number(len(columns) - 3))
    for place, column in enumerate(columns):
        changes = [b - a for a, b in pairwise(column)]
        first = [column[0]]
        if place == 0:
            first += changes[:1]
            changes = [b - a for a, b in pairwise(changes)]
        written = _numbers(changes)
        out += _numbers(first) + _number(len(written)) + written
    return bytes([FORMAT]) + zlib.compress(bytes(out), LEVEL)


def decode(data: bytes, every: int = 1) -> list[Reading]:
    """The readings of a block; of one in which no count changed only the first of so `every` many, and the last.

    Raises:
        BlockError: the bytes are no block.
    """
    text = _text(data)
    try:
        columns = _columns(text)
    except IndexError as error:
        raise BlockError("it ends too soon") from error
    if any(len(column) != len(columns[0]) for column in columns):
        raise BlockError("its columns differ in length")
    if every > 1 and all(min(column) == max(column) for column in columns[2:]):
        last = len(columns[0]) - 1
        columns = [[*column[:last:every], column[last]] for column in columns]
    board_us, ahead_us, flags, *counts = columns
    each = zip(*counts, strict=True) if counts else ((),) * len(board_us)
    return [Reading((b + a) / 1e6, b / 1e6, c, f) for b, a, f, c in zip(board_us, ahead_us, flags, each, strict=True)]


def count(data: bytes) -> int:
    """How many readings a block holds; its checksum is compared, which takes far less time than to read it.

    Raises:
        BlockError: the bytes are no block, or not as they were written.
    """
    try:
        return _read(_text(data), 0)[0]
    except IndexError as error:
        raise BlockError("it is empty") from error


def _text(data: bytes) -> bytes:
    if data[:1] != bytes([FORMAT]):
        raise BlockError("it begins with another format's mark")
    try:
        return zlib.decompress(data[1:])
    except zlib.error as error:
        raise BlockError(str(error)) from error


def _columns(text: bytes) -> list[list[int]]:
    readings, at = _read(text, 0)
    scales, at = _read(text, at)
    columns = []
    for place in range(3 + scales):
        firsts: list[int] = []
        for _ in range(min(2, readings) if place == 0 else 1):
            first, at = _read(text, at)
            firsts.append(_unfold(first))
        length, at = _read(text, at)
        changes = _changes(text[at : at + length])
        at += length
        if place == 0:
            changes = list(accumulate(changes, initial=firsts[1])) if readings > 1 else changes
        columns.append(list(accumulate(changes, initial=firsts[0])))
        if len(columns[-1]) != readings:
            raise BlockError("a column has not as many values as there are readings")
    if at != len(text):
        raise BlockError("something follows its columns")
    return columns


def _numbers(changes: Iterable[int]) -> bytes:
    """Folded and written one after the other."""
    folded = [n + n if n >= 0 else -n - n - 1 for n in changes]
    # Nearly always every change fits one byte.
    if max(folded, default=0) < _TOP:
        return bytes(folded)
    return b"".join(map(_number, folded))


def _changes(text: bytes) -> list[int]:
    if text.isascii():
        return [_UNFOLDED[byte] for byte in text]
    found, at = [], 0
    while at < len(text):
        folded, at = _read(text, at)
        found.append(_unfold(folded))
    return found


def _number(n: int) -> bytes:
    out = bytearray()
    while n >= _TOP:
        out.append(n & _LOW | _TOP)
        n >>= 7
    out.append(n)
    return bytes(out)


def _read(text: bytes, at: int) -> tuple[int, int]:
    """A number that begins at `at`, and where the next one begins."""
    n = shift = 0
    while text[at] & _TOP:
        n |= (text[at] & _LOW) << shift
        shift += 7
        at += 1
    return n | text[at] << shift, at + 1


def _unfold(n: int) -> int:
    return (n >> 1) ^ -(n & 1)
