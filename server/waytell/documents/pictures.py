"""What the pictures of a pass need, packed: its samples, and the half section before and after it.

A day of passes stays in memory and in the journal, so these are kept as deflated JSON in base 64: some 2 kB a pass,
where the lists take 40.
"""

from __future__ import annotations

import json
import zlib
from base64 import b64decode, b64encode
from collections.abc import Iterable, Sequence
from typing import NamedTuple

Rows = list[list[float]]


class Pictures(NamedTuple):
    samples: Rows
    """Seconds from the start, X as a radius, Z."""
    before: Rows
    after: Rows
    """(Z, radius) corners of the closed half section."""


def pack(samples: Iterable[Sequence[float]], before: Iterable[Sequence[float]],
         after: Iterable[Sequence[float]]) -> str:  # fmt: skip
    """As one word of ASCII; lengths to a nanometre, which is enough for any scale."""
    rows = [[[round(value, 6) for value in row] for row in one] for one in (samples, before, after)]
    return b64encode(zlib.compress(json.dumps(rows, separators=(",", ":")).encode(), 9)).decode("ascii")


def unpack(text: str | None) -> Pictures:
    """Empty where a journal is of before they were kept.

    >>> unpack(pack([(0.0, 12.0, -0.25)], [], [])).samples
    [[0.0, 12.0, -0.25]]
    """
    return Pictures(*json.loads(zlib.decompress(b64decode(text)))) if text else Pictures([], [], [])
