"""What goes wrong on the way from the board to the host, and the list of all faults that can be asked for.

The wire takes whole lines and gives the bytes that arrive, possibly none, some spoilt, or far too many. Faults of the
board (missed edges, a glitch) and of the lathe (a slide that creeps) live there; `world` passes the request on.

Not simulated: bytes swapped in order, a line that echoes, two boards on one wire.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable
    from random import Random

FAULTS: Final = {
    "unplug": "the cable is pulled out and put back after a few seconds; the board keeps its power",
    "power_cut": "the board loses power with its cable and starts again with new counts",
    "restart": "the board starts again; its counts are lost",
    "restart_kept": "the board starts again; its counts survived",
    "missed_edges": "a scale's edges go by unseen, so its count is wrong from now on",
    "creep": "the carriage gives way slowly, clamped or not",
    "noise": "a scale's count trembles",
    "frozen": "a scale's head sends no edges any more: its count stands, and the board sees nothing wrong",
    "glitch": "one report carries a wrong count",
    "damaged": "bytes on the wire are spoilt now and then",
    "silence": "the board says nothing, the link stays open",
    "flood": "the board sends far more than it should",
    "garbage": "the bytes make no sense, as at a wrong baud rate",
}
"""Name and meaning of each fault; keyword arguments of each: see `world.World.fault`."""
UNSEEN: Final = {"frozen"}
"""Faults that nothing tells of and that do not pass: no page can show what comes of them."""

FLOOD_COPIES = 40
PRINTABLE = range(0x20, 0x7F)


class Wire:
    def __init__(self, chance: Random, lost_share: float, damaged_share: float) -> None:
        self._chance = chance
        self._lost_share = lost_share
        self._damaged_share = damaged_share
        self._until: dict[str, float] = {}
        self._burst_share = 0.0

    def fault(self, name: str, until_s: float, share: float = 0.0) -> None:
        self._until[name] = until_s
        if name == "damaged":
            self._burst_share = share

    def active(self, name: str, t_s: float) -> bool:
        return t_s < self._until.get(name, float("-inf"))

    def carry(self, lines: Iterable[bytes], t_s: float) -> list[bytes]:
        """The lines that arrive of those sent, each as it arrives."""
        if self.active("silence", t_s):
            return []
        arrived = [self._spoilt(line, t_s) for line in lines if not self._loses(line)]
        if self.active("flood", t_s):
            # Not copies: the flood of a broken board is rubbish between true lines.
            arrived = [part for line in arrived for part in (line, *self._rubbish(FLOOD_COPIES))]
        if self.active("garbage", t_s):
            arrived = [bytes(self._chance.randrange(256) for _ in line) for line in arrived]
        return arrived

    def _loses(self, line: bytes) -> bool:
        return bool(self._lost_share) and line.startswith(b"P") and self._chance.random() < self._lost_share

    def _spoilt(self, line: bytes, t_s: float) -> bytes:
        share = self._burst_share if self.active("damaged", t_s) else self._damaged_share
        if not share or self._chance.random() >= share:
            return line
        at = self._chance.randrange(len(line) - 1)
        wrong = line[at] ^ (1 << self._chance.randrange(8))
        # A byte that turns into the line's end would be two damaged lines: also what a wire does.
        return line[:at] + bytes((wrong,)) + line[at + 1 :]

    def _rubbish(self, lines: int) -> list[bytes]:
        return [bytes(self._chance.choice(PRINTABLE) for _ in range(20)) + b"\n" for _ in range(lines)]
