"""What befalls a log between the board and the disk: silence, lost bursts, counts that began anew, missed edges.

Each mishap takes the lines of a wire log and gives them as they would have been; lines keep their time and their check.
"""

from __future__ import annotations

import binascii
from collections.abc import Callable

import numpy as np

from turners.board import BEGIN_NS, Bench, wire_log
from turners.judge import differences
from turners.turner import Turner
from waytell.replay import Replayed, replay

Mishap = Callable[[list[str]], list[str]]


def replayed(turner: Turner, bench: Bench, *mishaps: Mishap) -> Replayed:
    lines = wire_log(turner, bench)
    for mishap in mishaps:
        lines = mishap(lines)
    return replay(lines, bench.name)


def alarms(result: Replayed) -> list[str]:
    """Every warning and limit that was raised over the held slide, in words."""
    return [f"{one.t_s:.2f} s: {one.body}" for one in result.events if one.kind == "hold"]


def told_rightly(turner: Turner, bench: Bench, *mishaps: Mishap) -> Replayed:
    """Fails with every difference between passes found and true ones, and with every alarm: nothing slipped here."""
    result = replayed(turner, bench, *mishaps)
    wrong = [*differences(turner.passes, result.passes, bench), *result.troubles, *alarms(result)]
    found = [f"{one.kind} {one.role} {one.start_mm:.3f} -> {one.end_mm:.3f}" for one in result.passes]
    assert not wrong, "\n".join([*wrong, "found:", *found])
    return result


def at_s(line: str) -> float:
    """Seconds from the start of the log."""
    return (int(line.split(" ", 1)[0]) - BEGIN_NS) / 1e9


def silence(begin_s: float, end_s: float) -> Mishap:
    """Nothing is heard of the board from one moment to the other."""
    return lambda lines: [line for line in lines if " < " not in line or not begin_s <= at_s(line) < end_s]


def bursts(from_s: float, every_s: float, lasts_s: float, seed: int) -> Mishap:
    """From this moment on, all that the board says is lost for a while now and then."""

    def lose(lines: list[str]) -> list[str]:
        lot = np.random.default_rng(seed)
        gaps = np.cumsum(lot.uniform(0.5, 1.5, int(at_s(lines[-1]) / every_s) + 1) * every_s) + from_s
        for begin_s in gaps:
            lines = silence(float(begin_s), float(begin_s) + lasts_s)(lines)
        return lines

    return lose


def counts_lost(from_s: float) -> Mishap:
    """The board that starts at this moment has lost its counts, and says so: they begin at nought."""

    def begin_anew(lines: list[str]) -> list[str]:
        first: list[int] = []

        def say(payload: str) -> str:
            if payload[0] != "P":
                return payload.replace("kept=1", "kept=0")
            fields = payload.split(" ")
            counts = [int(count) for count in fields[4:]]
            first.extend(counts[len(first) :])
            anew = ((count - zero + 2**31) % 2**32 - 2**31 for count, zero in zip(counts, first, strict=True))
            return " ".join([*fields[:4], *map(str, anew)])

        return [_said_anew(line, say) if at_s(line) >= from_s else line for line in lines]

    return begin_anew


def edges_missed(scale: int, begin_s: float, end_s: float, most: int) -> Mishap:
    """A scale misses more and more edges from one moment to the other; its flag stands from the first."""

    def miss(lines: list[str]) -> list[str]:
        return [_said_anew(line, _missing(scale, _grown(at_s(line), begin_s, end_s, most))) for line in lines]

    return miss


def _grown(t_s: float, begin_s: float, end_s: float, most: int) -> int:
    return int(np.interp(t_s, [begin_s, end_s], [0, most]))


def _missing(scale: int, total: int) -> Callable[[str], str]:
    def say(payload: str) -> str:
        fields = payload.split(" ")
        if fields[0] == "E" and int(fields[1]) == scale:
            fields[2] = str(total)
        if fields[0] == "P" and total:
            fields[3] = f"{int(fields[3], 16) | 1 << scale:X}"
        return " ".join(fields)

    return say


def _said_anew(line: str, say: Callable[[str], str]) -> str:
    """The line with what is said in it changed, and its check anew; a damaged line stays as it is."""
    begin, mark, text = line.rstrip("\n").split(" ", 2)
    payload, _, check = text.rpartition("*")
    if mark != "<" or check != _check(payload):
        return line
    said = say(payload)
    return f"{begin} < {said}*{_check(said)}\n"


def _check(payload: str) -> str:
    return f"{binascii.crc_hqx(payload.encode(), 0xFFFF):04X}"
