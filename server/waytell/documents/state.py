"""The state document: what every display draws, the same over `GET /api/state` and the live stream.

A figure is either good, with its uncertainty, or doubtful, with the reasons: the two are different types, so a
display or an export that forgets the reasons does not type-check.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from waytell.documents.acts import Operation
from waytell.documents.base import Axis, Document, PassKind, Role, Slide
from waytell.documents.config import Stock, Tool, Units
from waytell.documents.guide import Guide
from waytell.documents.proving import CheckLive

DoubtCode = Literal[
    "no_board",
    "stale",
    "link_lost",
    "unreadable",
    "late",
    "board_restarted",
    "missed_edges",
    "jump",
    "too_fast",
    "not_referenced",
    "no_scale",
    "fewer_scales",
    "ended",
    "display_differs",
    "display_late",
]
Level = Literal["danger", "warning", "must_act", "normal", "neutral"]


class GoodFigure(Document):
    good: Literal[True] = True
    value_mm: float
    u_mm: float
    """Expanded uncertainty, 95 %, of the value."""


class DoubtfulFigure(Document):
    """Nothing to rely on. `last_mm` is the last value, to be shown struck through only; null where none is known."""

    good: Literal[False] = False
    last_mm: float | None
    reasons: tuple[DoubtCode, ...]


Figure = Annotated[GoodFigure | DoubtfulFigure, Field(discriminator="good")]


class Doubt(Document):
    """One reason for doubt in words, and what the person can do."""

    code: DoubtCode
    words: str
    do: str


HEARD = ("live", "flooded")
"""Conditions of a link whose readings come."""


class Link(Document):
    condition: Literal["opening", "silent", "unreadable", "live", "flooded", "late", "lost", "ended", "none"]
    words: str
    source: str
    checked: bool
    """False where the board's lines carry no checksum: trust is weaker."""
    model: str | None
    boot: str | None
    rate_hz: float
    reports: int
    lost_reports: int
    damaged_lines: int


class AxisState(Document):
    axis: Axis
    position: Figure
    """Work coordinate of the tool: X as a radius."""
    velocity_mm_s: float
    decimals_mm: int
    """Digits after the point that the uncertainty supports."""
    decimals_inch: int
    referenced_by: str | None
    """In words: how and when the datum was set."""


class SlideState(Document):
    slide: Slide
    channel: int
    counts: int | None
    length_mm: float | None
    """Counts times resolution and direction: moves from an arbitrary zero."""
    missed_edges: int


class ToolState(Document):
    tool: Tool
    touched_x: bool
    touched_z: bool


class WorkState(Document):
    set_up: int
    """Number of the set-up, from 1."""
    stock: Stock | None
    part: int
    """Number of the part in the chuck, from 1."""
    outline: tuple[tuple[float, float], ...]
    """Outer profile in half section as (Z, radius) corners from the chuck to the free end, as cut up to now."""
    bore: tuple[tuple[float, float], ...]
    """Inner profile in the same form; radius 0 where the work is solid."""


class Overrun(Document):
    state: Literal["none", "ahead", "soon", "past"]
    """none: not closing. ahead: closing with time to spare. soon: stop now or run over. past: run over."""
    time_left_s: float | None
    past_mm: float


class Remaining(Document):
    this_pass: Figure
    """What the held axis has still to advance for this pass: positive where metal is left."""
    total: Figure
    """The same to the finished size."""
    pass_target_mm: float
    passes_left: int
    """Passes still to take, this one included; 0 at size."""


class Hold(Document):
    state: Literal["free", "watched", "held", "warning", "limit"]
    """watched: reported, not alarmed (a free skim)."""
    axis: Axis
    armed_by: Literal["operation", "switch", "person"] | None
    deviation_mm: float
    worst_mm: float
    """Largest deviation since it was armed, with its sign."""
    worst_at_mm: float | None
    """Where on the feed axis that was."""
    came_back: bool
    """The slide sprang back: false where it stayed displaced."""
    warning_mm: float
    limit_mm: float
    words: str


class Spindle(Document):
    rpm: float
    cutting_speed_m_min: float | None
    """At the present diameter; null where X is doubtful."""
    planned_rpm: float


class Stroke(Document):
    """The pass now being taken."""

    from_mm: float
    to_mm: float
    held_mm: float


class Learned(Document):
    """What the sizes measured after passes of the tool in use say about the next pass; it changes no target itself."""

    words: str
    advised_mm: float | None
    """Where to hold the slide for the next pass to come out at its size; null where the sizes do not tell."""
    u_mm: float | None
    """Expanded uncertainty (95 %) of the size that then comes out."""
    sizes: int
    """How many sizes it goes by."""


class Alarm(Document):
    code: Literal[
        "held_slide_warning", "held_slide_limit", "overrun_soon", "overrun_past", "doubt", "disk", "switch", "display"
    ]
    level: Level
    words: str


class Pass(Document):
    """A pass as it was really taken."""

    number: int
    kind: PassKind
    role: Role
    operation: str
    tool: str
    set_up: int
    part: int = 1
    """Number of the part, from 1."""
    feed_axis: Axis
    """Tapers and chamfers, fed by the compound slide, are told along Z."""
    fed_by: Slide = "cross"
    start_mm: float
    end_mm: float
    held_mm: float
    """Median of the held axis while cutting. Tapers and chamfers: X where the pass began."""
    depth_mm: float | None
    """Metal taken off along the held axis; null where no surface was known before it. Grooving and parting: how far
    the edge went in; drilling: how far the hole was taken on."""
    creep_mm: float
    """Largest departure of the held axis from where it stood, with its sign."""
    creep_at_mm: float | None
    came_back: bool
    overrun_mm: float
    """How far the feed went past the operation's end; 0 where it stopped short or on it."""
    feed_mm_min: float
    feed_mm_rev: float | None
    rpm: float | None = None
    """Median spindle speed; null without a tach."""
    duration_s: float
    t_start_s: float
    t_end_s: float
    area_mm2: float | None = None
    """Metal taken off in the half section; null where no outline is known."""
    volume_mm3: float | None = None
    cutting_distance_m: float | None = None
    """Length of surface that went past the edge; null without a tach."""
    doubts: tuple[DoubtCode, ...]


class PassDetail(Document):
    """A pass with all that its pictures need."""

    passed: Pass
    samples: tuple[tuple[float, float, float], ...]
    """Seconds from the start of the pass, X (radius) and Z of the tool, in the order in which they came."""
    outline_before: tuple[tuple[float, float], ...]
    """Half section before it as (Z, radius) corners of a closed polygon; empty where none is known."""
    outline_after: tuple[tuple[float, float], ...]


class Demo(Document):
    """Present only in the demonstration: what the simulated person does, and faults to try."""

    words: str
    faults: tuple[str, ...]


class LiveState(Document):
    version: Literal[1] = 1
    seq: int
    t_s: float
    machine: str
    units: Units
    link: Link
    doubts: tuple[Doubt, ...]
    axes: tuple[AxisState, ...]
    slides: tuple[SlideState, ...]
    tool: ToolState | None
    work: WorkState
    operation: Operation | None
    to_go: Figure | None
    """Signed distance along the feed axis to its end for the present tool; positive before the end."""
    replanned: str
    """How the plan of this operation changed after the last pass, such as "was 0.30, now 0.27"; or empty."""
    reached: bool
    overrun: Overrun
    remaining: Remaining | None
    learned: Learned | None
    """What measured sizes advise for the next pass of the operation and tool in use; null where none were measured."""
    hold: Hold | None
    spindle: Spindle | None
    cutting: bool | None
    stroke: Stroke | None
    guide: Guide
    alarms: tuple[Alarm, ...]
    passes: int
    last_pass: Pass | None
    last_pass_holds: bool
    """Its places lie in the coordinates as they are now: no touch moved them since."""
    events: int
    """Number of the newest event."""
    undo: str | None
    """In words: what undo would take back."""
    demo: Demo | None
    check: CheckLive | None = None
    """The check of the scales that is under way."""


class Event(Document):
    """Something that happened, as the journal keeps it. `number` counts from 1 without gaps."""

    number: int
    t_s: float
    wall: str
    """Wall-clock label, ISO 8601, UTC."""
    kind: Literal["act", "pass_finished", "hold", "board", "started"]
    words: str
    body: dict[str, Any]
