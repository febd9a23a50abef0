"""What the guide looks at, and what a rule of it says."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from waytell.documents.acts import Operation
from waytell.documents.base import Axis
from waytell.documents.config import Stock, Units
from waytell.documents.guide import Reply
from waytell.documents.state import DoubtCode
from waytell.engine.answers import Answers
from waytell.engine.words import slide


class NextStep(NamedTuple):
    """What the plan of the part has next, beyond the operation in use."""

    operation: Operation | None
    """None where every step is done."""
    set_up: int
    """Which set-up of the part it belongs to."""
    part: str
    """Name of the part."""


class Situation(NamedTuple):
    """Figures are None where they are doubtful."""

    link_live: bool
    link_words: str
    reasons: dict[Axis, tuple[DoubtCode, ...]]
    units: Units
    operation: Operation | None
    stock: Stock | None
    set_up: int
    """Which set-up of the planned part is in the chuck; 0 where none is."""
    passes_in_set_up: int
    answers: Answers
    planned: NextStep | None
    """None without a plan."""
    turning: bool | None
    """The spindle turns; None without a tach."""
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
    depth_mm: float | None
    """Planned depth of the next pass; None where no surface is known."""
    this_pass_mm: float | None
    total_mm: float | None
    passes_left: int
    band_mm: float

    @property
    def here(self) -> NextStep | None:
        """The plan's next step, where it is one for the work as it is chucked; a bar set up by hand is the first."""
        if self.planned is None or self.planned.operation is None or self.planned.set_up != max(1, self.set_up):
            return None
        return self.planned


class Said(NamedTuple):
    move: str
    why: str
    yes: Reply | str | None = None
    """What the guide's key does; words alone answer that it is done, or so."""


Rule = Callable[[Situation], Said | None]


def fed(operation: Operation) -> str:
    """What is wound along the feed."""
    if operation.kind in ("taper", "chamfer"):
        return "compound slide"
    return "tailstock" if operation.kind == "drilling" else slide(operation.feed_axis)


def end_words(operation: Operation) -> str:
    """What ends the feed."""
    if operation.kind in _ENDS:
        return _ENDS[operation.kind]
    if operation.end_mm > operation.start_mm:
        return "the rim"
    return "the centre" if operation.end_mm == 0 else "the bore"


_ENDS = {
    "turning": "the shoulder",
    "boring": "the end of the bore",
    "drilling": "the bottom of the hole",
    "grooving": "the bottom of the groove",
    "taper": "the end of the taper",
    "chamfer": "the end of the chamfer",
}
