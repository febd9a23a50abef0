"""The guide during a pass, and on the way to the next one."""

from __future__ import annotations

from waytell.documents.guide import GuideState, Reply
from waytell.engine.guide_situation import Rule, Said, Situation, end_words, fed
from waytell.engine.words import slide, travel


def past_end(s: Situation) -> Said | None:
    """The feed of the pass under way went past its end."""
    if s.operation is None or not s.in_stroke or s.to_go_mm is None or s.past_mm <= 0:
        return None
    return Said(
        f"Stop: past the end by {travel(s.operation.feed_axis, s.past_mm, s.units)}.", "The feed went past its end."
    )


def stop_here(s: Situation) -> Said | None:
    """The feed of the pass under way has come to its end."""
    if s.operation is None or not s.in_stroke or s.to_go_mm is None or not s.reached:
        return None
    return Said("Stop here and wind the tool clear.", "The end of the pass is reached.")


def feeding(s: Situation) -> Said | None:
    """A pass is under way."""
    if s.operation is None or not s.in_stroke or s.to_go_mm is None:
        return None
    left = travel(s.operation.feed_axis, s.to_go_mm, s.units)
    return Said(f"Feed on: {left} to {end_words(s.operation)}.", f"{s.operation.name}, pass under way.")


def wind_clear(s: Situation) -> Said | None:
    """The tool stands inside the work between passes."""
    if s.operation is None or s.clear_mm is None or s.clear_mm <= s.band_mm:
        return None
    if s.this_pass_mm is not None and s.this_pass_mm < -s.band_mm:
        return None
    axis = s.operation.feed_axis
    outside = "at the centre" if s.operation.end_mm > s.operation.start_mm else "outside the bar"
    where = outside if axis == "X" else "off the end of the work"
    by = travel(axis, s.clear_mm, s.units)
    return Said(
        f"Wind the tool clear: the {fed(s.operation)} back by {by}, {where}.",
        "A pass ended here, or the tool was left in the work.",
    )


def advance(s: Situation) -> Said | None:
    """The held axis has still to come to the depth of the next pass."""
    if s.operation is None or s.this_pass_mm is None or s.this_pass_mm <= s.band_mm:
        return None
    axis = s.operation.held_axis
    way = "out" if s.operation.kind == "boring" else "in"
    left = f"{s.passes_left} {'pass' if s.passes_left == 1 else 'passes'} left to the size."
    planned = "" if s.depth_mm is None else f"This pass is to take {travel(axis, s.depth_mm, s.units)}; "
    return Said(f"Wind the {slide(axis)} {way} by {travel(axis, s.this_pass_mm, s.units)}.", f"{planned}{left}")


def deeper(s: Situation) -> Said | None:
    """The held axis stands deeper than the next pass was to go."""
    if s.operation is None or s.this_pass_mm is None or s.this_pass_mm >= -s.band_mm:
        return None
    axis = s.operation.held_axis
    by = travel(axis, -s.this_pass_mm, s.units)
    beyond = s.total_mm is not None and s.total_mm < -s.band_mm
    why = "That is past the finished size: feeding so spoils it." if beyond else _deeper_than(s)
    return Said(f"The {slide(axis)} stands {by} deeper than planned: wind it back, or feed so.", why)


def _deeper_than(s: Situation) -> str:
    if s.depth_mm is None or s.operation is None:
        return "Going on cuts deeper than the pass was to."
    axis = s.operation.held_axis
    return f"The pass was to take {travel(axis, s.depth_mm, s.units)}."


def clamp(s: Situation) -> Said | None:
    """The depth is set, and the carriage is to be clamped for it."""
    if s.operation is None or not _set(s) or s.clamped or s.operation.held_axis != "Z" or s.free_skim:
        return None
    held = slide("Z")
    return Said(
        f"Clamp the {held}, press Clamped, then feed the {fed(s.operation)} in.",
        "The depth is set, and nobody said that the slide is clamped.",
        Reply(words="Clamped", act={"act": "clamp", "axis": "Z", "held": True}),
    )


def skim(s: Situation) -> Said | None:
    """The depth is set for a first pass with the slide free."""
    if s.operation is None or not _set(s) or not s.free_skim:
        return None
    return Said(_feed_words(s), "A free skim: the carriage need not be clamped.")


def feed(s: Situation) -> Said | None:
    """The depth is set, and what is to be held is clamped."""
    if s.operation is None or not _set(s):
        return None
    return Said(_feed_words(s), "The depth is set.")


def _set(s: Situation) -> bool:
    return s.to_go_mm is not None and s.this_pass_mm is not None


def _feed_words(s: Situation) -> str:
    assert s.operation is not None
    axis = s.operation.feed_axis
    towards = ("across to " if axis == "X" else "along to ") + end_words(s.operation)
    return f"Feed the {fed(s.operation)} {towards}: {travel(axis, s.to_go_mm or 0.0, s.units)} to go."


FEEDING: dict[GuideState, Rule] = {
    "past_end": past_end, "stop_here": stop_here, "feeding": feeding, "wind_clear": wind_clear,
}  # fmt: skip
DEPTH: dict[GuideState, Rule] = {"advance": advance, "deeper": deeper, "clamp": clamp, "skim": skim, "feed": feed}
