"""A report to print or to keep: one HTML file that needs nothing else."""

from __future__ import annotations

from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from waytell.documents.base import Axis
from waytell.documents.config import Units
from waytell.documents.review import Batch, PartRecord, PassReview, Size, SizeStatistics
from waytell.engine.words import MM_PER_INCH
from waytell.export.missing import CAUTION, Missing
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
    page: str = _template().render(
        machine=record.config.machine.name, made=made, caution=CAUTION, units=record.units,
        sections=[(review, section_svg(review)) for review in _sections(reviews)],
        parts=[show.part(one) for one in parts], passes=[show.passed(review) for review in reviews],
        sizes=[show.size(size) for one in parts for size in one.sizes],
        statistics=[show.statistics(batch, one) for batch in batches for one in batch.statistics],
        edges=whole.edges if part is None else (), doubtful=sum(bool(review.doubted) for review in reviews),
    )  # fmt: skip
    return page


def _template() -> Any:
    loader = PackageLoader("waytell.export", package_path=".")
    return Environment(loader=loader, autoescape=True, undefined=StrictUndefined).get_template("report.html")


def _sections(reviews: list[PassReview]) -> list[PassReview]:
    known = [review for review in reviews if review.outline_after]
    newest = known[-1].passed.part if known else None
    last = {review.passed.set_up: review for review in known if review.passed.part == newest}
    return list(last.values())


class _Shown:
    """Numbers as the person reads them: units, diameter or radius."""

    def __init__(self, units: Units) -> None:
        self._units = units

    def _number(self, mm: float, digits: int = 0) -> str:
        """Without its unit, which stands at the head; `digits` more than a size has."""
        inch = self._units.length == "inch"
        text = f"{mm / MM_PER_INCH:.{4 + digits}f}" if inch else f"{mm:.{3 + digits}f}"
        return text.replace("-", "−")

    def _at(self, axis: Axis, mm: float | None) -> str:
        if mm is None:
            return "–"
        doubled = axis == "X" and self._units.x_as == "diameter"
        sign = ("⌀ " if doubled else "R ") if axis == "X" else ""
        return sign + self._number(2 * mm if doubled else mm)

    def _across(self, axis: Axis, mm: float | None) -> str:
        """A spread or an uncertainty, doubled as its size is, with one digit more."""
        if mm is None:
            return "–"
        return self._number(mm * (2 if axis == "X" and self._units.x_as == "diameter" else 1), 1)

    def passed(self, review: PassReview) -> dict[str, Any]:
        one, inch = review.passed, self._units.length == "inch"
        feed = f"{one.feed_mm_min / MM_PER_INCH:.2f}" if inch else f"{one.feed_mm_min:.0f}"
        return {
            "number": one.number, "part": one.part, "operation": one.operation or one.kind, "role": one.role,
            "ends": f"{self._at(one.feed_axis, one.start_mm)} to {self._at(one.feed_axis, one.end_mm)}",
            "depth": self._at(review.held_axis, one.depth_mm), "creep": self._number(one.creep_mm), "feed": feed,
            "seconds": f"{one.duration_s:.0f} s", "words": review.words,
            "doubts": [f"{doubt.words} {doubt.do}" for doubt in review.doubted],
        }  # fmt: skip

    def part(self, one: PartRecord) -> dict[str, Any]:
        return {
            "number": one.number, "name": one.name or "without a name", "done": one.done, "began": one.began or "–",
            "total": _time(one.total_s), "cutting": _time(one.cutting_s), "passes": len(one.passes),
            "doubtful": one.doubtful,
        }  # fmt: skip

    def size(self, one: Size) -> dict[str, Any]:
        return {
            "part": one.part, "operation": one.operation, "at": self._at(one.axis, one.at_mm),
            "u": "not known" if one.u_mm == 0 else self._across(one.axis, one.u_mm),
            "low": self._at(one.axis, one.low_mm), "high": self._at(one.axis, one.high_mm),
            "verdict": VERDICTS[one.verdict], "counts": one.counts,
        }  # fmt: skip

    def statistics(self, batch: Batch, one: SizeStatistics) -> dict[str, Any]:
        return {
            "name": batch.name or "without a name", "operation": one.operation, "parts": one.parts,
            "mean": self._at(one.axis, one.mean_mm), "range": self._across(one.axis, one.range_mm),
            "s": self._across(one.axis, one.s_mm),
            "indices": [index_words(n, i) for n, i in (("Cp", one.cp), ("Cpk", one.cpk)) if i], "words": one.words,
        }  # fmt: skip


def _time(seconds: float | None) -> str:
    if seconds is None:
        return "not known"
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"
