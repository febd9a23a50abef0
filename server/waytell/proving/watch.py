"""What the scales do while a check is under way: where they stand, how far they went, how fast.

Fed with every reading, in constant memory. Counts are differences from the first reading, so that a wrap is no jump.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from statistics import median_low
from typing import Literal, NamedTuple

from waytell.documents.proving import Stood
from waytell.engine.axes import signed_difference, wrapped
from waytell.proving.at_rest import AtRest
from waytell_bridge.reading import LinkReport, Reading

STAND_S = 0.3
FEWEST_READINGS = 5
MOST_READINGS = 400
STANDS_COUNTS = 2
"""A slide stands where the middle of what it shows does not go further than this meanwhile."""
TURN_COUNTS = 6
"""It was turned round where it went back by more than this: less is noise."""
SPEED_S = 0.02
"""Speeds are taken over at least so long: between two readings half a count is much."""

Way = Literal[-1, 0, 1]


class Travel(NamedTuple):
    """What one scale did since the check began, in counts from where it stood then."""

    now: int
    lowest: int
    highest: int
    fastest_counts_s: float
    way: Way
    missed: int


class LinkSpan(NamedTuple):
    """What the link did since the check began."""

    seconds: float
    readings: int
    longest_gap_s: float
    lost_reports: int
    damaged_lines: int
    reports: int
    spread_s: float


class Watch:
    def __init__(self, began_s: float, missed: dict[int, int], link: LinkReport | None) -> None:
        self.began_s, self.last_s = began_s, began_s
        self.readings = 0
        self.rest: list[AtRest] = []
        self._first: tuple[int, ...] = ()
        self._first_s = began_s
        self._recent: deque[tuple[float, tuple[int, ...]]] = deque(maxlen=MOST_READINGS)
        self._lowest: list[int] = []
        self._highest: list[int] = []
        self._fastest: list[float] = []
        self._way: list[Way] = []
        self._turned_at: list[int] = []
        self._speed_from: tuple[float, tuple[int, ...]] = (0.0, ())
        self._longest_gap_s = 0.0
        self._missed_before = dict(missed)
        self._link_before = self._link = link

    # -- in --------------------------------------------------------------------------------------------------------

    def hear(self, link: LinkReport) -> None:
        self._link_before = self._link_before or link
        self._link = link

    def take(self, r: Reading) -> None:
        if len(r.counts) != len(self._first):
            self._begin(r)
        counts = tuple(signed_difference(now, first) for now, first in zip(r.counts, self._first, strict=True))
        if self.readings:
            self._longest_gap_s = max(self._longest_gap_s, r.board_s - self._recent[-1][0])
        self.readings += 1
        self.last_s = r.t_s
        self._recent.append((r.board_s, counts))
        for channel, count in enumerate(counts):
            self.rest[channel].take(count, r.board_s)
            self._follow(channel, count)
        self._note_speed(r.board_s, counts)

    def _begin(self, r: Reading) -> None:
        self._first, self._first_s = r.counts, r.t_s
        scales = len(r.counts)
        self.rest = [AtRest() for _ in range(scales)]
        self._lowest, self._highest, self._turned_at = [0] * scales, [0] * scales, [0] * scales
        self._fastest, self._way = [0.0] * scales, [0] * scales
        self._recent.clear()
        self._speed_from = (r.board_s, tuple([0] * scales))
        self.readings = 0

    def _follow(self, channel: int, count: int) -> None:
        self._lowest[channel] = min(self._lowest[channel], count)
        self._highest[channel] = max(self._highest[channel], count)
        since = count - self._turned_at[channel]
        way = self._way[channel]
        if since * way > 0:
            self._turned_at[channel] = count
        elif abs(since) > TURN_COUNTS:
            self._way[channel] = 1 if since > 0 else -1
            self._turned_at[channel] = count

    def _note_speed(self, board_s: float, counts: tuple[int, ...]) -> None:
        from_s, before = self._speed_from
        if board_s - from_s < SPEED_S:
            return
        for channel, (now, then) in enumerate(zip(counts, before, strict=True)):
            self._fastest[channel] = max(self._fastest[channel], abs(now - then) / (board_s - from_s))
        self._speed_from = (board_s, counts)

    # -- out -------------------------------------------------------------------------------------------------------

    @property
    def seconds(self) -> float:
        """How long readings have come."""
        return self.last_s - self._first_s if self.readings else 0.0

    @property
    def scales(self) -> int:
        return len(self._first)

    def span(self, channel: int) -> int:
        """From the lowest to the highest of a scale, in counts."""
        return self._highest[channel] - self._lowest[channel]

    def travel(self, channel: int, missed: Mapping[int, int]) -> Travel:
        now = self._recent[-1][1][channel]
        grown = missed.get(channel, 0) - self._missed_before.get(channel, 0)
        return Travel(
            now, self._lowest[channel], self._highest[channel], self._fastest[channel], self._way[channel], grown
        )

    def link(self) -> LinkSpan:
        before, now = self._link_before, self._link
        lost = damaged = reports = 0
        if before is not None and now is not None:
            lost, damaged = now.lost_reports - before.lost_reports, now.damaged_lines - before.damaged_lines
            reports = now.reports - before.reports
        spread_s = now.spread_s if now is not None else 0.0
        return LinkSpan(self.seconds, self.readings, self._longest_gap_s, lost, damaged, reports, spread_s)

    def stands(self, channels: tuple[int, ...]) -> bool:
        """The slides of these scales stand still, and have for a moment."""
        recent = self._last()
        if len(recent) < FEWEST_READINGS or self._recent[-1][0] - self._recent[0][0] < STAND_S:
            return False
        half = len(recent) // 2
        return all(
            abs(_middle(recent[:half], one) - _middle(recent[half:], one)) <= STANDS_COUNTS
            and _spread(recent, one) <= 4 * STANDS_COUNTS
            for one in channels
            if one < len(self._first)
        )

    def stood(self, boot: str | None, missed: dict[int, int]) -> Stood:
        """Where the scales stand, as the median of the last readings."""
        recent = self._last()
        scales = range(len(self._first))
        return Stood(
            counts=tuple(wrapped(self._first[one] + _middle(recent, one)) for one in scales),
            spread_counts=tuple(_spread(recent, one) for one in scales),
            readings=len(recent), way=tuple(self._way), boot=boot, missed=missed,
        )  # fmt: skip

    def _last(self) -> list[tuple[int, ...]]:
        if not self._recent:
            return []
        since_s = self._recent[-1][0] - STAND_S
        return [counts for board_s, counts in self._recent if board_s >= since_s]


def _middle(recent: list[tuple[int, ...]], channel: int) -> int:
    return median_low([counts[channel] for counts in recent])


def _spread(recent: list[tuple[int, ...]], channel: int) -> int:
    values = [counts[channel] for counts in recent]
    return max(values) - min(values)
