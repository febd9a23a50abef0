"""What the scales do right now, in words, for the check that is under way."""

from __future__ import annotations

from typing import Any

from waytell.documents.config import Scale
from waytell.engine.axes import mm_per_count
from waytell.engine.engine import Engine
from waytell.engine.words import SLIDES, fine_length
from waytell.proving.captures import check_slide
from waytell.proving.watch import Watch


def lines(engine: Engine, check: Any, watch: Watch) -> tuple[str, ...]:
    """One line for each scale that the check looks at; of the link, where it looks at that."""
    if not watch.readings:
        return ("No reading has come since the check began.",)
    if check.kind == "link":
        return _link(engine, watch)
    slide = check_slide(check)
    scales = {one.channel: one for one in engine.known.config.scales}
    shown = [one for one in scales.values() if one.slide == slide] if check.kind not in ("slide", "rest") else []
    channels = [one.channel for one in shown] or list(range(watch.scales))
    return tuple(_scale(engine, watch, channel, scales.get(channel), check.kind) for channel in channels)


def _link(engine: Engine, watch: Watch) -> tuple[str, ...]:
    span = watch.link()
    rate = span.readings / span.seconds if span.seconds > 0 else 0.0
    hello = engine.doubts.hello
    promised = f" of {hello.rate_hz} promised" if hello is not None else ""
    return (
        f"{rate:.0f} reports a second{promised}; longest gap {span.longest_gap_s * 1000:.0f} ms.",
        f"Lost: {span.lost_reports} reports; damaged: {span.damaged_lines} lines.",
    )


def _scale(engine: Engine, watch: Watch, channel: int, scale: Scale | None, kind: str) -> str:
    travel = watch.travel(channel, engine.doubts.missed)
    name = f"Scale {channel}" + ("" if scale is None else f", {SLIDES[scale.slide]}")
    if kind == "rest":
        return f"{name}: {watch.span(channel)} counts from lowest to highest."
    if scale is None:
        return f"{name}: moved {travel.now:+d} counts."
    units, step = engine.known.units, mm_per_count(scale, engine.known.config.machine.temperature_c)
    moved = f"{name}: {fine_length(step * travel.now, units)} from where it stood, {travel.now:+d} counts"
    if kind != "winding":
        return f"{moved}."
    fast = f"fastest {travel.fastest_counts_s:.0f} counts a second"
    return f"{moved}; {fast}; missed edges: {travel.missed}."
