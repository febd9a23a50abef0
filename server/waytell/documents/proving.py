"""Proving the scales: what is checked, what was captured, what was found, and what follows for the figures.

Deviation is true less shown (ISO 230-2: actual position less target), so a correction is added to what a scale shows.
Every finding has one form, so that page, command line and sheet tell it in one way.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from waytell.documents.base import Axis, Document, Length, PositiveLength, Slide

Channel = Annotated[int, Field(ge=0, le=6)]
Micrometres = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]
Celsius = Annotated[float, Field(ge=-20, le=60)]


class Reference(Document):
    """What a scale is compared with."""

    kind: Literal["gauge_block", "dial", "setting_bar", "other"] = "gauge_block"
    grade: Literal[0, 1, 2] = 2
    """Grade of gauge blocks (ISO 3650)."""
    u_um: Micrometres = 0.0
    """Expanded uncertainty (95 %), in micrometres; 0 where it is as usual for its kind."""


class LinkCheck(Document):
    """How well the board is heard."""

    kind: Literal["link"]


class SlideCheck(Document):
    """Which scale is on a slide and which way it counts, found by winding it."""

    kind: Literal["slide"]
    slide: Slide


class RestCheck(Document):
    """What the scales show while nothing is touched."""

    kind: Literal["rest"]
    motor: Literal["off", "on"] = "off"


class WindingCheck(Document):
    """Whether edges are missed while a slide is wound fast, away from a stop and back to it."""

    kind: Literal["winding"]
    slide: Slide


class DistanceCheck(Document):
    """The resolution from a known distance, captured at its start and its end by turns."""

    kind: Literal["distance"]
    slide: Slide
    length_mm: PositiveLength
    reference: Reference = Reference()


class MapCheck(Document):
    """Errors along a scale from places that are known."""

    kind: Literal["map"]
    slide: Slide
    reference: Reference = Reference()


class PositioningCheck(Document):
    """The same places approached from both sides, several times."""

    kind: Literal["positioning"]
    slide: Slide
    reference: Reference = Reference(kind="dial")


class DiscCheck(Document):
    """Squareness of the cross-slide: a dial carried on it is swept over a faced disc, past the centre."""

    kind: Literal["disc"]


class CollarsCheck(Document):
    """Parallelism of spindle and bed: two collars turned at one setting, then measured."""

    kind: Literal["collars"]
    u_um: Micrometres = 4.0
    """Expanded uncertainty (95 %) of the micrometer, in micrometres."""


class TemperatureCheck(Document):
    """What the temperature does to scale and work."""

    kind: Literal["temperature"]
    slide: Slide
    temperature_c: Celsius
    u_c: Annotated[float, Field(ge=0, le=20)] = 1.0
    """Expanded uncertainty (95 %) of the temperature, in kelvin."""
    work_expansion_um_m_k: Annotated[float, Field(ge=-1, le=200)] = 11.5
    length_mm: PositiveLength = 100.0
    """Over which the difference is told."""


Check = Annotated[
    LinkCheck
    | SlideCheck
    | RestCheck
    | WindingCheck
    | DistanceCheck
    | MapCheck
    | PositioningCheck
    | DiscCheck
    | CollarsCheck
    | TemperatureCheck,
    Field(discriminator="kind"),
]


class Stood(Document):
    """Where the scales stood when something was captured; Waytell fills it in."""

    counts: tuple[int, ...]
    """Median of the last readings, scale by scale."""
    spread_counts: tuple[int, ...]
    readings: int
    way: tuple[Literal[-1, 0, 1], ...]
    """Which way each scale counted last, before it stood still."""
    boot: str | None
    missed: dict[int, int]
    x_mm: float | None = None
    """Place of the tool, where it is known: X as a radius."""
    z_mm: float | None = None


class Captured(Document):
    number: int
    """Which capture of the check it is, from 1; leaving out goes by it."""
    says_mm: float | None
    shown_mm: float | None
    """What the scale of the slide shows there, from the first capture or from the stop on."""
    way: Literal[-1, 0, 1]
    """From which side it was approached."""
    left_out: bool
    why_left_out: str = ""


class Quantity(Document):
    """One figure of a finding."""

    key: str
    """Short name, the same in every finding of a kind: by it findings are compared."""
    name: str
    value: float
    unit: Literal["um", "mm", "um/100 mm", "%", "counts", "counts/s", "mm/s", "Hz", "ms", "deg", "C", "ppm", ""]
    u: float | None = None
    """Expanded uncertainty (95 %); null where there is none to tell."""
    decimals: int = 1


class Series(Document):
    """Points of one line of a plot."""

    name: str
    points: tuple[tuple[float, float], ...]


class Plot(Document):
    across: str
    """What the abscissa is, with its unit."""
    up: str
    series: tuple[Series, ...]


class ScaleMap(Document):
    """Correction along a scale: straight between its points, and as at its ends beyond them."""

    at_mm: tuple[Length, ...]
    """Place from the stop, as the scale shows it, rising."""
    add_mm: tuple[Length, ...]
    """What is added to what the scale shows."""


class Trust(Document):
    """One contribution to the uncertainty of a scale, now known by a check."""

    name: Literal["straightness", "map", "reference", "repeatability", "reversal", "noise", "noise_running", "factor"]
    """straightness: what the scale may be off without its map. factor: of 1 m of travel."""
    standard_um: Micrometres
    degrees: Annotated[float, Field(gt=0)] | None = None
    """Degrees of freedom; null where it is not from repeated values."""


class Gives(Document):
    """What follows from a finding. The person decides whether figures change by it; trust counts at once."""

    slide: Slide | None = None
    channel: Channel | None = None
    direction: Literal[1, -1] | None = None
    resolution_um: Annotated[float, Field(gt=0.001, le=1000)] | None = None
    scale_factor: Annotated[float, Field(gt=0.9, lt=1.1)] | None = None
    map: ScaleMap | None = None
    zero_counts: int | None = None
    """Counts at the zero of the map."""
    zero_channel: Channel | None = None
    zero_missed: int = 0
    """Edges that had been missed then."""
    temperature_c: Celsius | None = None
    trust: tuple[Trust, ...] = ()
    noise: dict[Slide, Micrometres] = Field(default_factory=dict)
    """Standard deviation at rest of each scale, in micrometres."""

    @property
    def changes_figures(self) -> bool:
        return any(
            one is not None
            for one in (self.direction, self.resolution_um, self.scale_factor, self.map, self.temperature_c)
        )


class Proof(Document):
    """What a check found."""

    check: Check
    verdict: Literal["good", "fair", "bad"]
    words: str
    """In one sentence."""
    do: str = ""
    """What to do about it; empty where nothing need be done."""
    quantities: tuple[Quantity, ...] = ()
    plots: tuple[Plot, ...] = ()
    notes: tuple[str, ...] = ()
    """What was left out and why, what the figures are not."""
    captures: int = 0
    resolution_um: float | None = None
    """Of the scale as it was set up then."""
    temperature_c: float | None = None
    gives: Gives = Gives()


class Shift(Document):
    """What would become of a figure."""

    axis: Axis
    now_mm: float | None
    then_mm: float | None
    """Null where the axis has to be touched off again."""
    words: str


class DatedProof(Document):
    number: int
    """Which finding it is, from 1, the oldest first."""
    wall: str
    proof: Proof
    used: bool
    """Its map, resolution, direction or temperature is in use now."""
    shifts: tuple[Shift, ...] = ()
    """What would change if it were used now; told of the newest of its kind."""
    compared: tuple[str, ...] = ()
    """What drifted since the one before of its kind."""


class Move(Document):
    """The next thing to do in a check."""

    move: str
    why: str


class CheckNow(Document):
    check: Check
    began: str
    captures: tuple[Captured, ...]
    next: Move
    wants: Literal["", "place", "dial", "diameter"]
    """What a capture has to say besides where the slide stands."""
    suggests_mm: float | None
    """The value that the next capture probably says."""
    proof: Proof | None
    """What it would find with what there is; null where that is not enough."""
    missing: str
    """What is still missing; empty where it can be finished."""


class CheckLive(Document):
    """A check under way as every display sees it, with each state."""

    kind: str
    slide: Slide | None
    standing: bool
    lines: tuple[str, ...]
    """What the scales do right now, in words."""
    next: Move
    captures: int
    ready: bool


class Share(Document):
    """One contribution to an uncertainty."""

    name: str
    words: str
    standard_um: float
    degrees: float | None
    percent: float
    """Of the combined variance."""


class AxisBudget(Document):
    """The uncertainty budget of a position (GUM, JCGM 100)."""

    axis: Axis
    standard_um: float
    degrees: float | None
    """Effective degrees of freedom by Welch and Satterthwaite; null where they are without end."""
    k: float
    expanded_um: float
    decimals_mm: int
    shares: tuple[Share, ...]
    helps_most: str
    """What would make it smaller first."""


class ScaleNow(Document):
    slide: Slide
    channel: int
    resolution_um: float
    direction: int
    scale_factor: float
    mapped: bool
    """A map is in use."""
    placed: bool
    """The place on the scale is known, so that the map counts."""
    marks: int
    """Reference marks whose place is known."""


class ProvingNow(Document):
    """Everything about proving: what is under way, what was found, how far positions can be relied on."""

    check: CheckNow | None
    proofs: tuple[DatedProof, ...]
    """The newest first."""
    budgets: tuple[AxisBudget, ...]
    scales: tuple[ScaleNow, ...]
