"""What a counter board tells, as values: the only thing of the bridge that the engine may know.

Every value carries `t_s`, the host's monotonic time in seconds at which the board latched it (mapped from the
board's own clock by `board_clock`, never the time of arrival), so that nothing downstream needs a clock.
Counts are as the board sends them: signed 32-bit integers that wrap. They become lengths in the engine, after
differences have been taken. Named tuples, because one is made for every line at up to 1000 lines a second.
"""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple, TypeAlias


class Reading(NamedTuple):
    """The counts of all scales at one moment.

    `board_s` is the board's own clock, unwrapped, in seconds: exact inside a pass, without the small corrections
    that `t_s` receives. `flags` has bit i set where scale i has missed edges since the board started.
    """

    t_s: float
    board_s: float
    counts: tuple[int, ...]
    flags: int


class BoardHello(NamedTuple):
    """What the board says of itself; `restarted` is true when its boot id is not the one heard before."""

    t_s: float
    boot: str
    model: str
    scales: int
    rate_hz: int
    firmware: str | None
    pulses_per_rev: int
    switches: int
    kept: bool
    max_edges_s: int | None
    kinds: str
    restarted: bool


class MissedEdges(NamedTuple):
    """Total of illegal transitions of one scale since the board started."""

    t_s: float
    scale: int
    total: int


class ReferenceMark(NamedTuple):
    """A scale passed its reference mark at `at_count`."""

    t_s: float
    scale: int
    at_count: int


class SpindlePulse(NamedTuple):
    """Time of the last pulse and seconds between the last two; a period of 0 means that the spindle stands."""

    t_s: float
    period_s: float


class SwitchInputs(NamedTuple):
    """Bit 0 is by convention a carriage-clamp switch, bit 1 a foot switch."""

    t_s: float
    bits: int


class LinkCondition(StrEnum):
    """How the link to the board is, in the order in which a person would meet them."""

    OPENING = "opening"
    SILENT = "silent"
    UNREADABLE = "unreadable"
    LIVE = "live"
    FLOODED = "flooded"
    LATE = "late"
    LOST = "lost"
    ENDED = "ended"


class LinkReport(NamedTuple):
    """Health of the link, with words a person can act on.

    `checked` is false where the lines carry no checksum, so a damaged figure could pass. `spread_s` is how much
    later than the fastest of late the newest readings came. Totals count since the source was opened first.
    """

    t_s: float
    condition: LinkCondition
    words: str
    source: str
    checked: bool
    reports: int
    lost_reports: int
    damaged_lines: int
    rate_hz: float
    spread_s: float


BoardEvent: TypeAlias = Reading | BoardHello | MissedEdges | ReferenceMark | SpindlePulse | SwitchInputs | LinkReport
