"""The one next physical move, in one line with its number, and why.

A list of rules read from the top: the first that fits speaks. It follows the positions, so it recovers by itself when
the person does something else, and it never blocks.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from waytell.documents.acts import Operation
from waytell.documents.base import Axis
from waytell.documents.config import Units
from waytell.documents.state import DoubtCode, Guide
from waytell.engine.words import fine_length, slide, travel


class Situation(NamedTuple):
    """What the rules look at. Figures are None where they are doubtful."""

    link_live: bool
    link_words: str
    reasons: dict[Axis, tuple[DoubtCode, ...]]
    units: Units
    operation: Operation | None
    has_stock: bool
    hold_moved_mm: float
    hold_stopped: bool
    clamped: bool
    free_skim: bool
    """The next pass is a free skim: nothing is to be clamped for it."""
    in_stroke: bool
    to_go_mm: float | None
    reached: bool
    past_mm: float
    clear_mm: float | None
    """How far the tool has still to be wound back to stand where the pass begins; None where unknown."""
    this_pass_mm: float | None
    total_mm: float | None
    passes_left: int
    band_mm: float


def guide(s: Situation) -> Guide:
    for rule in RULES:
        found = rule(s)
        if found is not None:
            return Guide(move=found[0], why=found[1])
    return Guide(move="Wind as you need: the figures follow.", why="No operation is chosen.")


Said = tuple[str, str] | None


def _link(s: Situation) -> Said:
    """No readings come."""
    if s.link_live:
        return None
    return "Stop winding and look at the counter board.", s.link_words or "No board is heard."


def _scales(s: Situation) -> Said:
    """No scale is set up."""
    if "no_scale" in s.reasons["X"] and "no_scale" in s.reasons["Z"]:
        return "Open Set up and say which scale is on which slide.", "No scales are set up."
    return None


def _hold(s: Situation) -> Said:
    """The held slide has moved beyond its limit."""
    if not s.hold_stopped or s.operation is None:
        return None
    moved = fine_length(abs(s.hold_moved_mm), s.units)
    return (
        f"Stop the feed and clamp the {slide(s.operation.held_axis)} again.",
        f"It moved {moved} during the pass, so the surface is not true; take another light pass.",
    )


def _lost_count(s: Situation) -> Said:
    """A scale may have lost count since it was touched off."""
    for axis in ("X", "Z"):
        if "board_restarted" in s.reasons[axis]:
            return "Check the figures against the work: confirm them or touch off again.", "The board restarted."
        if {"missed_edges", "jump", "too_fast"} & set(s.reasons[axis]):
            return f"Touch off {axis} again.", f"The {slide(axis)} scale may have lost count."
    return None


def _touch_x(s: Situation) -> Said:
    """X is not touched off with this tool."""
    if "not_referenced" not in s.reasons["X"]:
        return None
    return (
        "Touch the bar with the tool, or take a light cut and measure it: then press Touched off for X.",
        "Where the tool stands from the centre line is not known yet.",
    )


def _touch_z(s: Situation) -> Said:
    """Z is not touched off with this tool."""
    if "not_referenced" not in s.reasons["Z"]:
        return None
    return (
        "Touch the end face with the tool and press Touched off for Z.",
        "Where the tool stands along the work is not known yet.",
    )


def _choose(s: Situation) -> Said:
    """No operation is chosen."""
    if s.operation is not None:
        return None
    if not s.has_stock:
        return "Put the work in the chuck and describe it under Set up.", "No work is described yet."
    return "Choose what to turn next.", "No operation is chosen."


def _feeding(s: Situation) -> Said:
    """A pass is under way."""
    if s.operation is None or not s.in_stroke or s.to_go_mm is None:
        return None
    if s.past_mm > 0:
        past = travel(s.operation.feed_axis, s.past_mm, s.units)
        return f"Stop: past the end by {past}.", "The feed went past its end."
    if s.reached:
        return "Stop here and wind the tool clear.", "The end of the pass is reached."
    end = _end(s.operation)
    left = travel(s.operation.feed_axis, s.to_go_mm, s.units)
    return f"Feed on: {left} to {end}.", f"{s.operation.name}, pass under way."


_ENDS = {
    "turning": "the shoulder",
    "boring": "the end of the bore",
    "drilling": "the bottom of the hole",
    "grooving": "the bottom of the groove",
    "taper": "the end of the taper",
    "chamfer": "the end of the chamfer",
}


def _end(operation: Operation) -> str:
    if operation.kind in _ENDS:
        return _ENDS[operation.kind]
    if operation.end_mm > operation.start_mm:
        return "the rim"
    return "the centre" if operation.end_mm == 0 else "the bore"


def _fed(operation: Operation) -> str:
    """What is wound along the feed."""
    if operation.kind in ("taper", "chamfer"):
        return "compound slide"
    return "tailstock" if operation.kind == "drilling" else slide(operation.feed_axis)


def _at_size(s: Situation) -> Said:
    """No pass is left."""
    if s.operation is None or s.passes_left > 0 or s.total_mm is None:
        return None
    return (
        "Wind clear, stop the spindle and measure; then choose the next operation.",
        f"{s.operation.name} is at its size.",
    )


def _wind_clear(s: Situation) -> Said:
    """The tool stands inside the work between passes."""
    if s.operation is None or s.clear_mm is None or s.clear_mm <= s.band_mm:
        return None
    if s.this_pass_mm is not None and s.this_pass_mm < -s.band_mm:
        return None
    axis = s.operation.feed_axis
    outside = "at the centre" if s.operation.end_mm > s.operation.start_mm else "outside the bar"
    where = outside if axis == "X" else "off the end of the work"
    by = travel(axis, s.clear_mm, s.units)
    return f"Wind the tool clear: the {_fed(s.operation)} back by {by}, {where}.", "The next pass begins there."


def _depth(s: Situation) -> Said:
    """The held axis is not at the depth of the next pass."""
    if s.operation is None or s.this_pass_mm is None:
        return None
    axis = s.operation.held_axis
    by = travel(axis, abs(s.this_pass_mm), s.units)
    if s.this_pass_mm > s.band_mm:
        return (
            f"Wind the {slide(axis)} {'out' if s.operation.kind == 'boring' else 'in'} by {by}.",
            f"{s.passes_left} {'pass' if s.passes_left == 1 else 'passes'} left to the size.",
        )
    if s.this_pass_mm < -s.band_mm:
        return (
            f"The {slide(axis)} stands {by} deeper than planned: wind it back, or feed so.",
            "Going on cuts deeper than the pass was to.",
        )
    return None


def _feed(s: Situation) -> Said:
    """The depth is set: clamp where needed, then feed."""
    if s.operation is None or s.to_go_mm is None or s.this_pass_mm is None:
        return None
    held, fed = slide(s.operation.held_axis), _fed(s.operation)
    if not s.clamped and s.operation.held_axis == "Z" and not s.free_skim:
        return f"Clamp the {held}, press Clamped, then feed the {fed} in.", "The depth is set."
    towards = ("across to " if s.operation.feed_axis == "X" else "along to ") + _end(s.operation)
    left = travel(s.operation.feed_axis, s.to_go_mm, s.units)
    why = "A free skim: the carriage need not be clamped." if s.free_skim else "The depth is set."
    return f"Feed the {fed} {towards}: {left} to go.", why


RULES: tuple[Callable[[Situation], Said], ...] = (
    _link, _scales, _hold, _lost_count, _touch_x, _touch_z, _choose, _feeding, _at_size, _wind_clear, _depth, _feed,
)  # fmt: skip
