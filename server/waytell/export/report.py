"""A report to print or to keep: one HTML file that needs nothing else."""

from __future__ import annotations

from typing import Any

from waytell.documents.review import Batch, PartRecord, PassReview, Size, SizeStatistics
from waytell.engine.words import MM_PER_INCH
from waytell.export.figures import Lengths, time_words
from waytell.export.missing import CAUTION, Missing
from waytell.export.pages import template
from waytell.export.section_svg import section_svg
from waytell.review.batches import index_words, parts_of
from waytell.review.passes import review_of
from waytell.review.record import Record

VERDICTS = {
    "within": "within its limits",
    "outside": "outside its limits",
    "open": "too near a limit for this measurement to decide",
    "reads_within": "reads within its limits; U is not known, so nothing is proved",
    "reads_outside": "reads outside its limits; U is not known, so nothing is proved",
    "no_limits": "no limits given",
}


def report(record: Record, made: str, part: int | None = None) -> str:
    """Of all parts, or of one. Sections are drawn of the newest part in it, one for each set-up.

    Raises:
        Missing: there is no such part.
    """
    whole = parts_of(record)
    parts = [one for one in whole.parts if part is None or one.number == part]
    if part is not None and not parts:
        raise Missing(f"There is no part {part}.", f"The record holds {len(whole.parts)} parts: choose one of them.")
    numbers = {number for one in parts for number in one.passes}
    reviews = [review_of(record, passed) for passed in record.passes if passed.number in numbers]
    batches = [one for one in whole.batches if part is None or part in one.parts]
    show = _Shown(record.units)
    page: str = template("report.html").render(
        machine=record.config.machine.name, made=made, caution=CAUTION, units=record.units,
        sections=[(review, section_svg(review)) for review in _sections(reviews)],
        parts=[show.part(one) for one in parts], passes=[show.passed(review) for review in reviews],
        sizes=[show.size(size) for one in parts for size in one.sizes],
        statistics=[show.statistics(batch, one) for batch in batches for one in batch.statistics],
        edges=whole.edges if part is None else (), doubtful=sum(bool(review.doubted) for review in reviews),
    )  # fmt: skip
    return page


def _sections(reviews: list[PassReview]) -> list[PassReview]:
    known = [review for review in reviews if review.outline_after]
    newest = known[-1].passed.part if known else None
    last = {review.passed.set_up: review for review in known if review.passed.part == newest}
    return list(last.values())


class _Shown(Lengths):
    """The rows of the tables."""

    def passed(self, review: PassReview) -> dict[str, Any]:
        one = review.passed
        feed = f"{one.feed_mm_min / MM_PER_INCH:.2f}" if self.inch else f"{one.feed_mm_min:.0f}"
        return {
            "number": one.number, "part": one.part, "operation": one.operation or one.kind, "role": one.role,
            "ends": f"{self.at(one.feed_axis, one.start_mm)} to {self.at(one.feed_axis, one.end_mm)}",
            "depth": self.at(review.held_axis, one.depth_mm), "creep": self.number(one.creep_mm), "feed": feed,
            "seconds": f"{one.duration_s:.0f} s", "words": review.words,
            "doubts": [f"{doubt.words} {doubt.do}" for doubt in review.doubted],
        }  # fmt: skip

    def part(self, one: PartRecord) -> dict[str, Any]:
        return {
            "number": one.number, "name": one.name or "without a name", "done": one.done, "began": one.began or "–",
            "total": time_words(one.total_s), "cutting": time_words(one.cutting_s), "passes": len(one.passes),
            "doubtful": one.doubtful,
        }  # fmt: skip

    def size(self, one: Size) -> dict[str, Any]:
        return {
            "part": one.part, "operation": one.operation, "at": self.at(one.axis, one.at_mm),
            "u": "not known" if one.u_mm == 0 else self.spread(one.axis, one.u_mm),
            "low": self.at(one.axis, one.low_mm), "high": self.at(one.axis, one.high_mm),
            "verdict": VERDICTS[one.verdict], "counts": one.counts,
        }  # fmt: skip

    def statistics(self, batch: Batch, one: SizeStatistics) -> dict[str, Any]:
        return {
            "name": batch.name or "without a name", "operation": one.operation, "parts": one.parts,
            "mean": self.at(one.axis, one.mean_mm), "range": self.spread(one.axis, one.range_mm),
            "s": self.spread(one.axis, one.s_mm),
            "indices": [index_words(n, i) for n, i in (("Cp", one.cp), ("Cpk", one.cpk)) if i], "words": one.words,
        }  # fmt: skip
