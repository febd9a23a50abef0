"""A size while it is being entered: compared with the readout and its limits before it is told as an act."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from waytell.documents.base import Axis, Document, Length, NotNegativeLength
from waytell.documents.state import Learned

Verdict = Literal["within", "outside", "open", "reads_within", "reads_outside", "no_limits"]


class SizeAsked(Document):
    """What the micrometer says, as an act `measured` would tell it."""

    operation: Annotated[str, Field(max_length=60)] = ""
    """Name of the operation that cut it; empty for the last pass."""
    axis: Axis
    at_mm: Length
    """The size: X as a radius, or Z."""
    u_mm: NotNegativeLength = 0.0
    """Expanded uncertainty (95 %) of the measurement; 0 where it is not known."""
    low_mm: Length | None = None
    high_mm: Length | None = None

    @model_validator(mode="after")
    def _limits_in_order(self) -> Self:
        if self.low_mm is not None and self.high_mm is not None and self.low_mm > self.high_mm:
            raise ValueError(f"low_mm {self.low_mm} must not be above high_mm {self.high_mm}")
        return self


class SizeTried(Document):
    """What such a size would say; nothing is stored."""

    difference_mm: float | None
    """Measured less the readout in the pass that cut it, as the datum is now; null where that is not known."""
    u_mm: float | None
    """Expanded uncertainty (95 %) of the difference, that of the readout included."""
    difference_words: str
    verdict: Verdict
    verdict_words: str
    """Empty without limits."""
    learned: Learned | None
    """What would be advised with this size taken in."""
