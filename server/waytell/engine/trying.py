"""A size while it is being entered: how far it is from the readout, what it proves, and what it would advise."""

from __future__ import annotations

import math

from waytell.documents.base import Axis
from waytell.documents.config import Units
from waytell.documents.sizes import SizeAsked, SizeTried
from waytell.engine.advice import ABSURD_WORDS, amount_words, micrometer_mm, sure_words
from waytell.engine.engine import Engine
from waytell.engine.known import CutBy
from waytell.engine.learning import ABSURD_MM, OUTWARDS
from waytell.engine.live_state import learned_now
from waytell.engine.measured_sizes import held_axis
from waytell.engine.verdict import verdict, verdict_words
from waytell.engine.words import coordinate


def tried(engine: Engine, asked: SizeAsked) -> SizeTried:
    known, cut = engine.known, _cut_by(engine, asked)
    judged = verdict(asked.at_mm, asked.u_mm, asked.low_mm, asked.high_mm)
    seen = known.sizes.seen
    stood = u_mm = None
    words = _no_readout(engine, asked, cut)
    if not words and cut is not None:
        stood = known.stood_mm(cut)
        u_mm = math.hypot(asked.u_mm or micrometer_mm(known, asked.axis), engine.place.u_mm(known, asked.axis))
        seen = known.sizes.with_size(cut, asked.axis, asked.at_mm, asked.u_mm, known.config.hold.limit_mm)
    if stood is None or u_mm is None:
        words, difference = words or "Nothing ties the readout to the work: no difference is told.", None
    else:
        difference = asked.at_mm - stood
        words = _difference_words(asked.axis, difference, stood, u_mm, known.units)
    judged_words = verdict_words(judged, asked.at_mm, asked.high_mm)
    if judged in ("outside", "reads_outside") and cut is not None and _metal_left(cut, asked):
        judged_words = f"{judged_words}: metal is left"
    return SizeTried(
        difference_mm=difference, u_mm=u_mm if difference is not None else None, difference_words=words, verdict=judged,
        verdict_words=judged_words, learned=learned_now(engine, seen),
    )  # fmt: skip


def _cut_by(engine: Engine, asked: SizeAsked) -> CutBy | None:
    """The pass that left the surface."""
    if not asked.operation:
        return engine.known.last_pass
    return engine.known.sizes.cuts.get(asked.operation, (None, None))[0]


def _metal_left(cut: CutBy, asked: SizeAsked) -> bool:
    """Outside its limits on the side from which another pass brings it in."""
    way = OUTWARDS.get(cut.passed.kind)
    above = asked.high_mm is not None and asked.at_mm > asked.high_mm
    return way is not None and held_axis(cut.passed) == asked.axis and above == (way > 0)


def _no_readout(engine: Engine, asked: SizeAsked, cut: CutBy | None) -> str:
    """Why there is nothing to compare with; empty where there is."""
    if cut is None:
        return "No pass of this is known in this set-up, so there is no readout to compare with."
    if cut.passed.kind not in OUTWARDS or held_axis(cut.passed) != asked.axis:
        return "This is not the size that the slide was held at, so there is no readout to compare with."
    # Readings that are old or silent now say nothing against the pass: only counts that were lost since do.
    if cut.passed.doubts or not cut.sound or engine.doubts.lost_count(asked.axis, engine.known):
        return "The readout of that pass is in doubt: no difference is told."
    return ""


def _difference_words(axis: Axis, difference: float, stood: float, u_mm: float, units: Units) -> str:
    readout = coordinate(axis, stood, units)
    amount = amount_words(axis, difference, units)
    more = f"{amount} {'more' if difference > 0 else 'less'} than the readout, {readout}"
    if abs(difference) > ABSURD_MM[axis]:
        return f"{more}: that is {ABSURD_WORDS}."
    sure = f"both together are sure to {sure_words(axis, u_mm, units)}"
    if abs(difference) <= u_mm:
        return f"{more}; {sure}, so they agree."
    return f"{more}; {sure}, so the readout is off."
