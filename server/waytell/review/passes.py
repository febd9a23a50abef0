"""One pass with all that is told of it."""

from __future__ import annotations

from waytell.documents.review import PassReview, Trace
from waytell.documents.state import Pass
from waytell.engine.doubt import in_words
from waytell.review.record import Record
from waytell.review.shape import shape_of, shape_words
from waytell.review.traces import creep_um, held_axis, short, speed_mm_min


def review_of(record: Record, passed: Pass) -> PassReview:
    detail = record.detail(passed)
    shape = shape_of(passed, detail.samples)
    return PassReview(
        **dict(detail), shape=shape, words=shape_words(passed, shape, record.units), held_axis=held_axis(passed),
        creep_um=creep_um(passed, detail.samples), speed=speed_mm_min(passed, detail.samples),
        doubted=tuple(in_words(code, "") for code in passed.doubts),
    )  # fmt: skip


def trace_of(record: Record, passed: Pass) -> Trace:
    creep = tuple(round(um, 1) for _, um in creep_um(passed, record.detail(passed).samples))
    return Trace(number=passed.number, creep_um=short(creep))
