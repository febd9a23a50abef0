"""A hundred thousand damaged lines, and none is taken for a position that was not sent.

The checksum has 16 bits: of damage that it does not catch by construction one line in 65 536 may pass. The seed is
fixed, so that this is a statement about these lines; `benchmarks/wire_fuzz.py` counts ten million.
"""

from __future__ import annotations

from random import Random

import pytest

from support.wire_damage import WAYS, damaged
from waytell_bridge.line_protocol import Positions, parse_line

LINES = 100_000


@pytest.mark.parametrize("way", range(len(WAYS)), ids=[way.__name__ for way in WAYS])
def test_no_damaged_line_is_taken_for_another_position(way: int) -> None:
    chance = Random(20261127 + way)
    taken = []
    for _ in range(LINES // len(WAYS)):
        line, spoilt = damaged(chance, way)
        message = parse_line(spoilt)
        if isinstance(message, Positions) and message != parse_line(line):
            taken.append((line, spoilt))
    assert taken == []
