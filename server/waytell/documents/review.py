"""What the record tells once the work is done: the shape a pass left, sizes, parts, batches and edges.

Where too little is known a value is null and the words say why; nothing here is 0 for want of knowledge.
"""

from __future__ import annotations

from typing import Literal

from waytell.documents.base import Axis, Document
from waytell.documents.config import Units
from waytell.documents.sizes import Verdict
from waytell.documents.state import Doubt, PassDetail


class FaceShape(Document):
    """The shape that creep of the carriage left on a face, by the scales: push-off and spring are not in it."""

    surface: Literal["face"] = "face"
    form: Literal["flat", "concave", "convex"]
    """concave: the inner edge lies nearer the headstock than the rim. flat: no more than `least_mm` can tell."""
    height_mm: float
    """Rim above inner edge by the fitted line, but never more than was seen: above 0 concave, below 0 convex."""
    slope: float
    """Of the fitted line: mm along Z for each mm of radius."""
    bow_mm: float
    """Sagitta of the fitted parabola over its chord: above 0 where the middle lies nearer the headstock."""
    least_mm: float
    """Smallest height that can be told: one step of the held scale, or twice the standard error of the height."""
    inner_mm: float
    rim_mm: float
    """Radii between which it was fitted."""


class LengthShape(Document):
    """Taper of a turned or bored length, or the cone of a taper, by the scales: push-off and bending are not in it."""

    surface: Literal["length"] = "length"
    form: Literal["straight", "wider_at_free_end", "narrower_at_free_end"]
    taper_mm: float
    """Change of diameter over the length, by the fitted line: above 0 where it grows away from the headstock."""
    per_100_mm: float
    """Change of diameter over 100 mm of length, in mm."""
    half_angle_deg: float
    """Angle of the surface to the centre line."""
    bow_mm: float
    """Sagitta of the fitted parabola over its chord, of the radius: above 0 where the middle is thinner."""
    least_mm: float
    """Smallest change of diameter that can be told: one step of the held scale, or twice the standard error."""
    length_mm: float


class PassReview(PassDetail):
    """A pass with its pictures, what they show, and why it may be in doubt."""

    shape: FaceShape | LengthShape | None
    """Null where the samples are too few, or the pass leaves no face or length."""
    words: str
    """The shape in words, or why none can be told."""
    held_axis: Axis
    creep_um: tuple[tuple[float, float], ...]
    """Place on the feed axis in mm, and how far the held axis stood from where the pass began, in micrometres."""
    speed: tuple[tuple[float, float], ...]
    """Place on the feed axis in mm, and feed in mm/min: below 0 where it went back."""
    doubted: tuple[Doubt, ...]
    """Why the pass is in doubt, in words; none where it can be relied on."""


class Trace(Document):
    """The held axis over a pass, small enough for a table."""

    number: int
    creep_um: tuple[float, ...]
    """At even steps of time, from where the pass began; none where no samples were kept."""


class Traces(Document):
    traces: tuple[Trace, ...]


class Size(Document):
    """One size as it was measured."""

    part: int
    operation: str
    axis: Axis
    at_mm: float
    """X as a radius, or Z."""
    u_mm: float
    """Expanded uncertainty (95 %); 0 where it is not known."""
    low_mm: float | None
    high_mm: float | None
    verdict: Verdict
    """By the decision rule of ISO 14253-1: within or outside only where U leaves no doubt, else open. Where U is not
    known nothing is proved: it only reads within or outside."""
    wall: str
    counts: bool
    """False where the same size of the same part was measured again later: only the last one counts."""


class Index(Document):
    """A capability index with its confidence limits, 95 %."""

    value: float
    low: float
    high: float
    meaningful: bool
    """False below 50 parts (NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6): read the limits, not the value."""


class SizeStatistics(Document):
    """One size over the parts of a batch."""

    operation: str
    axis: Axis
    parts: int
    mean_mm: float
    range_mm: float | None
    s_mm: float | None
    """Standard deviation of the sample, divided by n - 1; null for a single part."""
    low_mm: float | None
    high_mm: float | None
    """Limits that all parts share; null where there are none, or where they differ."""
    cp: Index | None
    cpk: Index | None
    outside: int
    """Parts whose size is, or reads, outside its limits."""
    words: str


class PartRecord(Document):
    number: int
    name: str
    done: bool
    began: str | None
    """Wall-clock time at which its first pass began, ISO 8601, UTC."""
    ended: str | None
    """When it was said to be done, or its last pass ended."""
    total_s: float | None
    """From began to ended, breaks included; null before its first pass."""
    cutting_s: float
    """Time of its passes, those in the air left out."""
    passes: tuple[int, ...]
    doubtful: int
    """Passes in doubt."""
    set_ups: tuple[int, ...]
    volume_mm3: float | None
    """Metal taken off; null where it is not known for every pass."""
    sizes: tuple[Size, ...]


class Batch(Document):
    """Finished parts of the same name."""

    name: str
    parts: tuple[int, ...]
    total_s: float | None
    """Mean time of a part, over those with known time."""
    cutting_s: float
    """Mean cutting time of a part."""
    statistics: tuple[SizeStatistics, ...]


class EdgeUse(Document):
    """What one tool has cut."""

    tool: str
    passes: int
    cutting_s: float
    distance_m: float | None
    """Length of surface that went past the edge; null where no pass tells it."""
    untold: int
    """Passes without a spindle speed, whose distance is not in it."""
    words: str


class Parts(Document):
    parts: tuple[PartRecord, ...]
    batches: tuple[Batch, ...]
    edges: tuple[EdgeUse, ...]
    units: Units


class WorkRecord(Document):
    """The whole record of one machine as a file: `waytell export work.json`."""

    format: Literal["waytell-record"] = "waytell-record"
    version: Literal[1] = 1
    machine: str
    made: str
    """Wall-clock time of the export, ISO 8601, UTC."""
    caution: str
    passes: tuple[PassReview, ...]
    parts: tuple[PartRecord, ...]
    batches: tuple[Batch, ...]
    edges: tuple[EdgeUse, ...]
