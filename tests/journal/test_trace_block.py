"""A block of readings comes back as it went in, whatever the readings; what is no block is refused, never misread."""

from __future__ import annotations

import math
import zlib
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waytell.journal.trace_block import FORMAT, BlockError, decode, encode
from waytell_bridge.listener import BoardListener
from waytell_bridge.reading import Reading
from waytell_bridge.simulated.recording import record
from waytell_bridge.simulated.settings import Settings
from waytell_bridge.simulated.short_scripts import SCRIPTS
from waytell_bridge.wire_log import Entry, read_entries, unescape

MICROSECOND = 1e-6
SECONDS = st.floats(min_value=0, max_value=1e8, allow_nan=False)
COUNTS = st.integers(-(2**31), 2**31 - 1) | st.integers(-3, 3)


def readings_of(scales: int) -> st.SearchStrategy[list[Reading]]:
    one = st.builds(Reading, SECONDS, SECONDS, st.tuples(*[COUNTS] * scales), st.integers(0, 127))
    return st.lists(one, min_size=1, max_size=60)


@given(st.integers(0, 7).flatmap(readings_of))
def test_any_readings_come_back(readings: list[Reading]) -> None:
    again = decode(encode(readings))
    assert [(r.counts, r.flags) for r in again] == [(r.counts, r.flags) for r in readings]
    for was, now in zip(readings, again, strict=True):
        assert math.isclose(now.t_s, was.t_s, rel_tol=1e-15, abs_tol=MICROSECOND)
        assert math.isclose(now.board_s, was.board_s, rel_tol=1e-15, abs_tol=MICROSECOND)


@given(readings_of(2), st.binary(min_size=1, max_size=4), st.data())
def test_a_spoilt_block_is_refused(readings: list[Reading], spoilt: bytes, data: st.DataObject) -> None:
    block = encode(readings)
    at = data.draw(st.integers(0, len(block) - len(spoilt)))
    other = block[:at] + spoilt + block[at + len(spoilt) :]
    if other != block:
        try:
            again = decode(other)
        except BlockError:
            return
        # Bits that mean nothing to zlib, such as its level, may change.
        assert again == decode(block)


@given(readings_of(2), st.data())
def test_a_block_that_was_cut_off_is_refused(readings: list[Reading], data: st.DataObject) -> None:
    block = encode(readings)
    with pytest.raises(BlockError):
        decode(block[: data.draw(st.integers(0, len(block) - 1))])


@given(st.binary(max_size=40))
def test_whole_nonsense_in_a_sound_wrapping_is_refused_or_is_a_block(text: bytes) -> None:
    wrapped = bytes([FORMAT]) + zlib.compress(text)
    try:
        readings = decode(wrapped)
    except BlockError:
        return
    assert decode(encode(readings)) == readings


def test_no_readings_and_unlike_ones_are_no_block() -> None:
    one, two = Reading(1.0, 1.0, (1,), 0), Reading(2.0, 2.0, (1, 2), 0)
    for wrong in ([], [one, two]):
        with pytest.raises((ValueError, IndexError)):
            encode(wrong)


def recorded(script: str) -> tuple[list[Reading], int]:
    """Readings of a simulated lathe at 250 Hz, and the bytes of their lines."""
    listener = BoardListener("recorded")
    found: list[Reading] = []
    size = 0
    for entry in read_entries(record(SCRIPTS[script], Settings(), 1).lines):
        if isinstance(entry, Entry) and entry.mark == "<":
            heard = listener.listen(unescape(entry.text) + b"\n", entry.t_ns * 1e-9).events
            found += [event for event in heard if isinstance(event, Reading)]
            size += len(entry.text) + 1 if heard and isinstance(heard[-1], Reading) else 0
    return found, size


def test_what_a_lathe_reports_takes_less_than_three_bytes_a_reading() -> None:
    readings, line_bytes = recorded("facing_only")
    blocks = [encode(readings[i : i + 375]) for i in range(0, len(readings), 375)]
    size = sum(map(len, blocks))
    assert size / len(readings) < 3
    assert size < line_bytes / 10
    again = [reading for block in blocks for reading in decode(block)]
    assert [r.counts for r in again] == [r.counts for r in readings]
    # Steps of time are as exact as times: a speed worked out from them is no worse.
    for (a, b), (c, d) in zip(pairwise(readings), pairwise(again), strict=True):
        assert d.board_s - c.board_s == pytest.approx(b.board_s - a.board_s, abs=2 * MICROSECOND)
