"""What a wire can do to a line of the protocol, by lot: for the tests and the benchmark of damaged lines."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from waytell_bridge.line_protocol import encode


def sound_line(chance: Random) -> bytes:
    """A position line of a board at work, without its newline."""
    flags = 0 if chance.random() < 0.95 else chance.randrange(4)
    counts = f"{chance.randrange(-40_000, 40_000)} {chance.randrange(-60_000, 60_000)}"
    return encode(f"P {chance.randrange(1 << 16)} {chance.randrange(1 << 32)} {flags:X} {counts}")[:-1]


def flips(chance: Random, line: bytes, _: bytes) -> bytes:
    """One to eight bits."""
    spoilt = bytearray(line)
    for _n in range(chance.choice((1, 1, 2, 3, 8))):
        spoilt[chance.randrange(len(line))] ^= 1 << chance.randrange(8)
    return bytes(spoilt)


def burst(chance: Random, line: bytes, _: bytes) -> bytes:
    """A disturbance over several bytes."""
    at, length = chance.randrange(len(line)), chance.randrange(2, 12)
    return line[:at] + chance.randbytes(length) + line[at + length :]


def lost(chance: Random, line: bytes, _: bytes) -> bytes:
    """A stretch that never came."""
    at, length = chance.randrange(len(line)), chance.randrange(1, 10)
    return line[:at] + line[at + length :]


def doubled(chance: Random, line: bytes, _: bytes) -> bytes:
    """A stretch that came twice."""
    at, length = chance.randrange(len(line)), chance.randrange(1, 10)
    return line[: at + length] + line[at:]


def run_together(chance: Random, line: bytes, other: bytes) -> bytes:
    """The beginning of one line and the end of another."""
    return line[: chance.randrange(1, len(line))] + other[chance.randrange(len(other)) :]


def digits(chance: Random, line: bytes, _: bytes) -> bytes:
    """Digits put for others: what looks most like a line."""
    spoilt = bytearray(line)
    for _n in range(chance.randrange(1, 4)):
        at = chance.randrange(2, len(line))
        if 0x30 <= spoilt[at] <= 0x39:
            spoilt[at] = 0x30 + chance.randrange(10)
    return bytes(spoilt)


WAYS: tuple[Callable[[Random, bytes, bytes], bytes], ...] = (flips, burst, lost, doubled, run_together, digits)


def damaged(chance: Random, way: int) -> tuple[bytes, bytes]:
    """A sound line, and what came of it; never the same."""
    line, other = sound_line(chance), sound_line(chance)
    while (spoilt := WAYS[way](chance, line, other)) in (line, other):
        pass
    return line, spoilt
