"""Where to hold the slide so that the next pass comes out at its size, by the sizes measured before; in words.

It only advises: no datum and no target is changed by it. The depth of the next pass is what is left of the metal as
it was measured, so what the last pass left standing is in it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from waytell.documents.acts import Operation
from waytell.documents.base import Axis, PassKind
from waytell.documents.config import Units
from waytell.documents.state import Learned
from waytell.engine.known import Known
from waytell.engine.learning import (
    ABSURD_MM,
    LAST,
    ONE_DEPTH_MM,
    OUTWARDS,
    REPEATS_MM,
    STEEPEST,
    Line,
    Observation,
    fitted,
)
from waytell.engine.measured_sizes import SizeSeen
from waytell.engine.words import MM_PER_INCH, coordinate, fine_length, length

USELESS_MM = 0.05
"""An advice less sure than this is none."""
ENOUGH = 2
NEAR_ENOUGH = 0.25
"""Metal that leaves the size in the middle half of its limits is not worth a pass."""
ABSURD_WORDS = "a wrong entry, or the touching off was; look, then touch off by the size"
NOTHING_LEFT = "Nothing is left to take off, by the sizes that were measured."
TIGHT_MM = 0.05
"""Limits no wider than this are worth a size before the last pass. Common practice, no source."""
SAID_ALIKE_MM = 0.0005


class Coming(NamedTuple):
    """The next pass of an operation, by the readout: where the metal ends now, and where it shall."""

    operation: Operation
    surface_mm: float
    target_mm: float
    last: bool
    """No pass is planned after it."""
    band_mm: float
    """How near counts as reached."""


class Grain(NamedTuple):
    """What one position along an axis is sure to besides its datum."""

    count_mm: float
    noise_mm: float
    """A standard deviation at rest."""

    @property
    def u_mm(self) -> float:
        """Standard uncertainty; a count is rounded: a rectangular distribution as wide as one (GUM F.2.2.1)."""
        return math.hypot(self.count_mm / math.sqrt(12), self.noise_mm)


def micrometer_mm(known: Known, axis: Axis) -> float:
    """Expanded uncertainty of what the person's micrometer says: of a diameter, so half of it for the radius."""
    return known.config.machine.micrometer_u_um * 1e-3 / (2 if axis == "X" else 1)


def learned(known: Known, seen: Sequence[SizeSeen], coming: Coming | None, grain: Grain) -> Learned | None:
    """What sizes say of the next pass of the operation and tool in use; None where there is nothing to say.

    `coming` is None where no surface is known that the pass would meet.
    """
    operation, tool = known.operation, known.tool
    if operation is None or tool is None or operation.kind not in OUTWARDS:
        return None
    mine = [(one, _difference_mm(one, known)) for one in seen if _concerns(one, known, operation.kind, tool.name)]
    usable = [pair for pair in mine if not _unused(*pair, known.units)][-LAST:]
    line = fitted([_observation(one, difference or 0.0, known, grain) for one, difference in usable])
    # What was measured on the bar before this one is no news.
    news = mine and mine[-1][0].set_up == known.set_up
    unused = _unused(*mine[-1], known.units) if news else ""
    if line is None or line.sizes < ENOUGH:
        words = f"{_too_few(known, len(usable), any_seen=bool(mine))} {unused}".strip()
        return _only_words(words, len(usable)) if words else None
    told = _told(line, known, operation, coming, math.hypot(REPEATS_MM, grain.u_mm), seen)
    return told if told.words == NOTHING_LEFT else told.model_copy(update={"words": f"{told.words} {unused}".strip()})


def _concerns(one: SizeSeen, known: Known, kind: PassKind, tool: str) -> bool:
    passed = one.cut.passed
    return passed.kind == kind and passed.tool == tool and one.chucking == known.sizes.chucking


def _difference_mm(one: SizeSeen, known: Known) -> float | None:
    """Measured less readout, as the datum is now."""
    stood = known.stood_mm(one.cut)
    return None if stood is None else one.at_mm - stood


def _observation(one: SizeSeen, difference: float, known: Known, grain: Grain) -> Observation:
    measured = (one.u_mm or micrometer_mm(known, one.axis)) / 2
    u_mm = math.hypot(measured, grain.u_mm, REPEATS_MM)
    return Observation(one.taken_mm, difference, u_mm)


def _only_words(words: str, sizes: int) -> Learned:
    return Learned(words=words, advised_mm=None, u_mm=None, sizes=sizes)


def _too_few(known: Known, usable: int, *, any_seen: bool) -> str:
    if usable == 1:
        return "One size is known of this tool here: measure after another pass, and the next can be advised."
    operation = known.operation
    asks = operation is not None and 0 < operation.tolerance_mm <= TIGHT_MM and known.passes_in_operation > 0
    return "No size is known yet of this tool here: measure before the last pass." if asks or any_seen else ""


def _unused(one: SizeSeen, difference: float | None, units: Units) -> str:
    """Why a size is not used; empty where it is."""
    says = "The last size is not used:"
    if one.flaw:
        return f"{says} {one.flaw}."
    if difference is None:
        return f"{says} nothing ties the readout to the work."
    if abs(difference) > ABSURD_MM[one.axis]:
        return f"{says} it is {amount_words(one.axis, difference, units)} off the readout, {ABSURD_WORDS}."
    return ""


def _told(
    line: Line, known: Known, operation: Operation, coming: Coming | None, setting_mm: float, seen: Sequence[SizeSeen]
) -> Learned:
    axis, units, sizes = operation.held_axis, known.units, line.sizes
    if abs(line.slope) > STEEPEST:
        return _only_words(f"The last {sizes} sizes do not fit together: measure again after the next pass.", sizes)
    if coming is None:
        return _only_words(_sentence(_leaves(line, line.depth_mm, operation, units)), sizes)
    depth = OUTWARDS[operation.kind] * (_metal_mm(line, known, coming, seen) - coming.target_mm)
    if depth <= max(coming.band_mm, operation.tolerance_mm * NEAR_ENOUGH):
        return _only_words(NOTHING_LEFT, sizes)
    if line.one_depth and abs(depth - line.depth_mm) > ONE_DEPTH_MM:
        then = "stay a little short of the size and measure" if coming.last else "measure after that"
        other = f"What it leaves at {_depth(operation, depth, units)} is not known: {then}."
        return _only_words(f"{_sentence(_leaves(line, line.depth_mm, operation, units))} {other}", sizes)
    u_mm, at_mm = line.u_mm(depth, setting_mm), coming.target_mm - line.difference_at(depth)
    sure = sure_words(axis, u_mm, units)
    if u_mm > USELESS_MM:
        return _only_words(f"The last {sizes} sizes tell too little of the next pass ({sure}): measure.", sizes)
    leaves = _leaves(line, depth, operation, units)
    words = f"Wind to {coordinate(axis, at_mm, units)}, {sure}: {leaves}."
    return Learned(words=words, advised_mm=at_mm, u_mm=u_mm, sizes=sizes)


def _metal_mm(line: Line, known: Known, coming: Coming, seen: Sequence[SizeSeen]) -> float:
    """Where the metal really ends now: as measured, else where its pass should have left it."""
    operation = coming.operation
    way = (operation.start_mm, operation.end_mm)
    measured = known.sizes.size_of(operation.kind, coming.surface_mm, way, known.stood_mm, seen)
    if measured is not None:
        return measured
    cut, _before = known.sizes.cuts.get(operation.name, (None, None))
    if cut is None or cut.passed.depth_mm is None:
        return coming.surface_mm
    return coming.surface_mm + line.difference_at(cut.passed.depth_mm)


def _leaves(line: Line, depth_mm: float, operation: Operation, units: Units) -> str:
    left = OUTWARDS[operation.kind] * line.difference_at(depth_mm)
    amount = amount_words(operation.held_axis, left, units)
    does = f"leaves {amount} more" if left > 0 else f"takes {amount} too much"
    if abs(left) < SAID_ALIKE_MM:
        does = "leaves what the readout says"
    return f"by the last {line.sizes} sizes this tool {does} at {_depth(operation, depth_mm, units)}"


def _depth(operation: Operation, depth_mm: float, units: Units) -> str:
    """How deep a pass cuts, in the words of its axis.

    >>> turned = {"name": "seat", "kind": "turning", "start_mm": 0.0, "end_mm": -8.0, "target_mm": 9.0}
    >>> _depth(Operation.model_validate(turned), 0.1, Units())
    '0.20 mm off the diameter'
    """
    if operation.held_axis == "X" and units.x_as == "diameter":
        return f"{length(2 * depth_mm, units)} off the diameter"
    return f"{length(depth_mm, units)} deep"


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def amount_words(axis: Axis, mm: float, units: Units) -> str:
    """A small length as the person reads sizes on this axis: doubled where X is a diameter."""
    return fine_length(abs(mm) * (2 if axis == "X" and units.x_as == "diameter" else 1), units)


def sure_words(axis: Axis, u_mm: float, units: Units) -> str:
    """U rounded up, so that no more is claimed than was found.

    >>> sure_words("X", 0.0021, Units()), sure_words("Z", 0.0021, Units())
    ('± 0.005 mm', '± 0.003 mm')
    """
    shown = u_mm * (2 if axis == "X" and units.x_as == "diameter" else 1)
    unit, name, digits = (1.0, "mm", 3) if units.length == "mm" else (MM_PER_INCH, "in", 4)
    return f"± {math.ceil(shown / unit * 10**digits - 1e-6) / 10**digits:.{digits}f} {name}"
