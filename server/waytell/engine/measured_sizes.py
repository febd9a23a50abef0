"""Sizes measured after passes, kept for what they teach: each with where the scales stood in the pass that cut it.

Where that was in coordinates is worked out when it is asked for, as the datum is then. So a datum set anew moves every
difference with it, and a correction that was made once is not advised a second time. Where the datum was lost in
between, or the tool was taken out, the old counts lie in no datum any more: those sizes are forgotten. Along Z a touch
may also move the zero that sizes are told from, so what was measured before it is forgotten, too.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from waytell.documents.acts import NewSetUp, Outline
from waytell.documents.base import Axis, PassKind
from waytell.documents.config import Stock
from waytell.documents.state import Pass
from waytell.engine.learning import OUTWARDS

if TYPE_CHECKING:
    from waytell.engine.known import CutBy

SAME_SURFACE_MM = 0.02
"""Surfaces whose readouts lie as near to each other are one and the same: cuts go deeper."""
LEAST_DEPTH_MM = 0.01
"""A pass that took off less only rubbed."""
KEPT = 30
MOVED_MM = 0.1
"""Touched off further from the readout than this, the tool was taken out or ground in between, or the datum was wrong
before: where it stood in earlier passes cannot be told from that. Common practice, no source."""
Chucking = tuple[Stock | None, Outline | None, int]
Way = tuple[float, float]
"""From where to where along the feed."""
Stood = Callable[["CutBy"], float | None]
"""Where the held axis stood in a pass, as the datums are now; None where nothing ties that to the work."""


class SizeSeen(NamedTuple):
    """A size as it was measured after a pass."""

    cut: CutBy
    at_mm: float
    """X as a radius."""
    u_mm: float
    """Expanded uncertainty of the measurement; 0 where it was not given."""
    before_mm: float | None
    """Size of the surface that the pass met, where that was measured."""
    set_up: int
    chucking: int
    flaw: str
    """Why it teaches nothing; empty where it does."""

    @property
    def axis(self) -> Axis:
        return held_axis(self.cut.passed)

    @property
    def taken_mm(self) -> float:
        """Metal that came off along the held axis."""
        passed = self.cut.passed
        if self.before_mm is None:
            return passed.depth_mm or 0.0
        return OUTWARDS[passed.kind] * (self.before_mm - self.at_mm)


def held_axis(passed: Pass) -> Axis:
    return "Z" if passed.feed_axis == "X" else "X"


def overlap(one: Way, other: Way) -> bool:
    """At least half of the shorter of two ways along the feed belongs to both.

    >>> overlap((0.0, -8.0), (-3.0, -20.0)), overlap((0.0, -8.0), (-7.0, -20.0))
    (True, False)
    """
    (low, high), (from_mm, to_mm) = sorted(one), sorted(other)
    common = min(high, to_mm) - max(low, from_mm)
    return common > 0 and common >= min(high - low, to_mm - from_mm) / 2


def _way(passed: Pass) -> Way:
    return passed.start_mm, passed.end_mm


@dataclass(slots=True)
class MeasuredSizes:
    """A part of what is known: changes with acts and passes only, and is made anew where one is undone."""

    seen: list[SizeSeen] = field(default_factory=list)
    """The newest last."""
    cuts: dict[str, tuple[CutBy, float | None]] = field(default_factory=dict)
    """Of this set-up: the last pass of each operation, and what the surface that it met was measured at."""
    set_up: int = 1
    chucking: int = 0
    """Which of these ways the work is chucked now."""
    chuckings: list[Chucking] = field(default_factory=list)

    def chucked(self, act: NewSetUp, set_up: int) -> None:
        """The next one of a batch, chucked like one before, gives way as that did; its Z is another one."""
        way = (act.stock, act.outline, act.of_part or 0)
        # Of work that nothing was said of it is not known whether it is alike.
        alike = act.stock is not None and way in self.chuckings
        self.chucking = 1 + (self.chuckings.index(way) if alike else len(self.chuckings))
        if not alike:
            self.chuckings.append(way)
        self.set_up = set_up
        self.cuts = {}
        self.forget("Z")

    def forget(self, *axes: Axis) -> None:
        """Counts of before can no longer be told in the datum of these axes."""
        self.seen = [one for one in self.seen if one.axis not in axes]
        self.cuts = {name: one for name, one in self.cuts.items() if held_axis(one[0].passed) not in axes}

    def touched_off(self, axis: Axis, off_mm: float, *, own: bool) -> None:
        """An axis was touched off anew, `off_mm` from its readout; `own` by the tool that its datum was set by."""
        if axis == "Z" and own:
            self._zero_moved()
        elif abs(off_mm) > MOVED_MM:
            self.forget(axis)

    def _zero_moved(self) -> None:
        """Sizes along Z may have been told from another zero, which is nobody's mistake."""
        self.seen = [one for one in self.seen if one.axis != "Z"]
        self.cuts = {
            name: (cut, None if held_axis(cut.passed) == "Z" else before) for name, (cut, before) in self.cuts.items()
        }

    def passed(self, cut: CutBy, stood: Stood) -> None:
        one = cut.passed
        before = None
        if one.kind in OUTWARDS and one.depth_mm is not None:
            before = self.size_of(one.kind, one.held_mm + OUTWARDS[one.kind] * one.depth_mm, _way(one), stood)
        self.cuts[one.operation] = (cut, before)

    def measured(self, cut: CutBy, axis: Axis, at_mm: float, u_mm: float, crept_limit_mm: float) -> None:
        self.cuts.setdefault(cut.passed.operation, (cut, None))
        self.seen = self.with_size(cut, axis, at_mm, u_mm, crept_limit_mm)

    def with_size(self, cut: CutBy, axis: Axis, at_mm: float, u_mm: float, crept_limit_mm: float) -> list[SizeSeen]:
        """What is kept once the surface that a pass cut was measured; where it was before, the last size counts."""
        one = cut.passed
        if one.kind not in OUTWARDS or held_axis(one) != axis:
            return self.seen
        known = self.cuts.get(one.operation)
        before = known[1] if known is not None and known[0] is cut else None
        flaw = self._flaw(cut, crept_limit_mm)
        others = [size for size in self.seen if size.cut.passed.number != one.number][-KEPT:]
        return [*others, SizeSeen(cut, at_mm, u_mm, before, self.set_up, self.chucking, flaw)]

    def _flaw(self, cut: CutBy, crept_limit_mm: float) -> str:
        """Why the size of a pass teaches nothing."""
        one = cut.passed
        if one.doubts or not cut.sound:
            return "the readings of its pass are in doubt"
        if one.depth_mm is None:
            return "how deep its pass cut is not known"
        if one.role == "spring" or one.depth_mm < LEAST_DEPTH_MM:
            return "its pass took next to nothing off"
        if abs(one.creep_mm) > crept_limit_mm:
            return "the held slide moved in its pass"
        later = (other.passed for other, _ in self.cuts.values() if other.number > cut.number)
        if any(other.kind == one.kind and overlap(_way(other), _way(one)) for other in later):
            return "a later pass cut over it"
        return ""

    def size_of(
        self,
        kind: PassKind,
        at_mm: float,
        way: tuple[float, float],
        stood: Stood,
        seen: Sequence[SizeSeen] | None = None,
    ) -> float | None:
        """What a surface of this set-up, given by its readout, was measured at; None where it was not.

        `seen` are other sizes than those that are kept.
        """
        for size in reversed(self.seen if seen is None else seen):
            passed = size.cut.passed
            if size.set_up == self.set_up and passed.kind == kind and overlap(_way(passed), way):
                place = stood(size.cut)
                if place is not None and abs(place - at_mm) <= SAME_SURFACE_MM:
                    return size.at_mm
        return None
