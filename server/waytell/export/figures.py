"""Lengths and times as the person reads them."""

from __future__ import annotations

from waytell.documents.base import Axis
from waytell.documents.config import Units
from waytell.engine.words import MM_PER_INCH


class Lengths:
    """In the units of the person, across the work as a diameter or a radius."""

    def __init__(self, units: Units) -> None:
        self.inch = units.length == "inch"
        self.diameters = units.x_as == "diameter"

    def number(self, mm: float, digits: int = 0) -> str:
        """Without its unit, which stands at the head; `digits` more than a size has."""
        text = f"{mm / MM_PER_INCH:.{4 + digits}f}" if self.inch else f"{mm:.{3 + digits}f}"
        # A length that is nought but for rounding has no sign.
        unsigned = text.lstrip("-")
        return text.replace("-", "−") if float(unsigned) else unsigned

    def at(self, axis: Axis, mm: float | None) -> str:
        """A place or a depth on an axis, X as a radius."""
        if mm is None:
            return "–"
        sign = ("⌀ " if self.diameters else "R ") if axis == "X" else ""
        return sign + self.number(self._across(axis, mm))

    def spread(self, axis: Axis, mm: float | None) -> str:
        """A spread or an uncertainty, doubled as its size is, with one digit more."""
        return "–" if mm is None else self.number(self._across(axis, mm), 1)

    def _across(self, axis: Axis, mm: float) -> float:
        return 2 * mm if axis == "X" and self.diameters else mm


def time_words(seconds: float | None) -> str:
    if seconds is None:
        return "not known"
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"
