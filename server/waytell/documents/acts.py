"""Acts: everything a person can tell Waytell. One key, one act; the wire log carries them in the same form."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Field, TypeAdapter, computed_field, model_validator

from waytell.documents.base import Axis, Document, Length, Name, NotNegativeLength, PassKind, PositiveLength, Slide
from waytell.documents.config import Config, Stock, Units
from waytell.documents.guide import GuideState
from waytell.documents.part import Part, SetUpNumber
from waytell.documents.proving import Check, Proof, Stood

FED_ACROSS: tuple[PassKind, ...] = ("facing", "grooving", "parting")


class Operation(Document):
    """One axis is fed to an end, the other is held at a size.

    Facing, grooving and parting are fed along X; turning, boring and drilling along Z; tapers and chamfers by the
    compound slide, and told along Z.
    """

    name: Name
    kind: PassKind
    start_mm: Length
    """Where the work begins on the feed axis: facing, grooving, parting, the radius of the bar; else Z of the face."""
    end_mm: Length
    """Where the feed ends: a radius (0 for the centre), or Z of the shoulder, of the drill's point, of the cone's end.
    Facing from the centre outwards has its end outside its start."""
    target_mm: Length
    """Size to reach on the held axis: facing, Z of the finished face; grooving and parting, Z of the wall nearer the
    headstock; turning and boring, the finished radius; drilling, the radius of the drill; tapers and chamfers, the
    radius at start_mm."""
    depth_mm: PositiveLength = 0.3
    """Deepest roughing pass."""
    finish_mm: NotNegativeLength = 0.0
    """Left for one last pass."""
    tolerance_mm: NotNegativeLength = 0.0
    """Whole width of the limits of the size on the held axis; 0 where none is given."""
    free_first_pass: bool = False
    """The first pass is a free skim: the held slide is watched and reported, not alarmed."""
    planned_rpm: Annotated[float, Field(ge=0, le=10000)] = 0.0
    """Planned spindle speed, 0 where none is planned."""

    @computed_field  # type: ignore[prop-decorator]
    @property
    def feed_axis(self) -> Axis:
        return "X" if self.kind in FED_ACROSS else "Z"

    @computed_field  # type: ignore[prop-decorator]
    @property
    def held_axis(self) -> Axis:
        return "Z" if self.kind in FED_ACROSS else "X"

    @model_validator(mode="before")
    @classmethod
    def _drop_computed(cls, data: object) -> object:
        """Axes follow from the kind; a stored document that repeats them is read all the same."""
        if isinstance(data, dict):
            return {key: value for key, value in data.items() if key not in ("feed_axis", "held_axis")}
        return data

    @model_validator(mode="after")
    def _makes_sense(self) -> Self:
        if self.start_mm == self.end_mm:
            raise ValueError("start_mm and end_mm are the same: there is nothing to feed along")
        if self.kind in FED_ACROSS and self.end_mm < 0:
            raise ValueError(f"end_mm of a {self.kind} operation is a radius: 0 for the centre, or the bore's radius")
        if self.kind not in FED_ACROSS and self.target_mm <= 0 and self.kind not in ("taper", "chamfer"):
            raise ValueError(f"target_mm of a {self.kind} operation is a radius above 0")
        return self


class UseConfig(Document):
    """Set the machine up: scales, tools, limits. In a wire log this comes first."""

    act: Literal["use_config"]
    config: Config


class UsePart(Document):
    """The part that is made from here on, as its drawing says."""

    act: Literal["use_part"]
    part: Part


class Outline(Document):
    """Half section of work that is no plain bar: (Z, radius) corners from the chuck to the free end."""

    outside: Annotated[tuple[tuple[Length, NotNegativeLength], ...], Field(min_length=2, max_length=500)]
    bore: Annotated[tuple[tuple[Length, NotNegativeLength], ...], Field(min_length=2, max_length=500)]

    @model_validator(mode="after")
    def _runs_along(self) -> Self:
        for name, chain in (("outside", self.outside), ("bore", self.bore)):
            if any(b[0] < a[0] for a, b in pairwise(chain)):
                raise ValueError(f"{name} must run from the chuck to the free end: its Z may not fall")
        return self


class NewSetUp(Document):
    """The work was put in the chuck, turned round or chucked again: its Z datum is void."""

    act: Literal["new_set_up"]
    stock: Stock | None = None
    outline: Outline | None = None
    """Where the stock was turned before; else it is a plain bar."""
    of_part: SetUpNumber | None = None
    """Which set-up of the part in use this is; stock and outline are filled in from it."""
    note: Annotated[str, Field(max_length=200)] = ""


class ChooseTool(Document):
    act: Literal["choose_tool"]
    tool: Name


class TouchOff(Document):
    """The tool's place on one axis is now known."""

    act: Literal["touch_off"]
    axis: Axis
    how: Literal["touch", "measured", "shim"] = "touch"
    """touch: the tool touches the surface. measured: the surface was cut, then measured. shim: a shim between."""
    at_mm: Length
    """Where the surface is: Z, or X as a radius."""
    shim_mm: NotNegativeLength = 0.0
    """Thickness of the shim or setting block between surface and tool."""
    where: Literal["here", "last_pass", "clear"] = "here"
    """here: the tool stands at the surface. last_pass: it stood there when it cut the last pass. clear: it stands
    anywhere, and its place is known from an earlier touch; recordings begin with that."""

    @model_validator(mode="after")
    def _shim_has_thickness(self) -> Self:
        if (self.how == "shim") != (self.shim_mm > 0):
            raise ValueError('shim_mm above 0 goes with how = "shim", and only with it')
        return self


class ChooseOperation(Document):
    act: Literal["choose_operation"]
    operation: Operation


class SetTarget(Document):
    act: Literal["set_target"]
    target_mm: Length


class SetDepth(Document):
    act: Literal["set_depth"]
    depth_mm: PositiveLength


class CompoundWound(Document):
    """So much was wound in on a compound slide that has no scale (negative: wound out)."""

    act: Literal["compound_wound"]
    wound_in_mm: Annotated[float, Field(ge=-300, le=300)]


class Clamp(Document):
    """The slide that carries this axis is clamped, or free again."""

    act: Literal["clamp"]
    axis: Axis
    held: bool


class Drilled(Document):
    """A hole was drilled from a tailstock that has no scale."""

    act: Literal["drilled"]
    diameter_mm: PositiveLength
    to_mm: Length
    """Z of the bottom of the hole where it is full: the drill's point goes deeper."""
    from_mm: Length | None = None
    """Z where the drill met the work; the face, where none is given."""


class Measured(Document):
    """What the micrometer, the calliper or the depth gauge says of a finished surface."""

    act: Literal["measured"]
    operation: Name
    """Name of the operation that cut it: the same name in each part of a batch."""
    axis: Axis
    at_mm: Length
    """The size: X as a radius, or Z."""
    u_mm: NotNegativeLength = 0.0
    """Expanded uncertainty (95 %) of the measurement; 0 where it is not known."""
    low_mm: Length | None = None
    high_mm: Length | None = None
    """Limits of the size, in the same sense."""

    @model_validator(mode="after")
    def _limits_in_order(self) -> Self:
        if self.low_mm is not None and self.high_mm is not None and self.low_mm > self.high_mm:
            raise ValueError(f"low_mm {self.low_mm} must not be above high_mm {self.high_mm}")
        return self


class PartDone(Document):
    """The part is finished: what is cut from here on belongs to the next one."""

    act: Literal["part_done"]
    part: Annotated[str, Field(max_length=60)] = ""
    """Name of the part, the same for each of a batch."""


class Answer(Document):
    """What the guide says is done, or is so; or it is not so, and the guide is to pass it over."""

    act: Literal["answer"]
    to: GuideState
    """What the guide said."""
    yes: bool


class ConfirmPositions(Document):
    """The person has checked that the figures still hold after the board restarted and kept its counts."""

    act: Literal["confirm_positions"]


class Seen(Document):
    """Warnings that stand have been seen."""

    act: Literal["seen"]


class ChooseUnits(Document):
    act: Literal["choose_units"]
    units: Units


class BeginCheck(Document):
    """A check of the scales begins; one that was under way is given up."""

    act: Literal["begin_check"]
    check: Check


class Capture(Document):
    """The slide stands where the check wants it: keep that."""

    act: Literal["capture"]
    says_mm: Length | None = None
    """What the reference says: a place, a dial, a diameter; none where the check asks for none."""
    stood: Stood | None = None
    """Filled in by Waytell."""


class LeaveOut(Document):
    """A capture of the check is left out of what is found, or taken in again."""

    act: Literal["leave_out"]
    capture: Annotated[int, Field(ge=1)]
    """Which of the check's captures, from 1."""
    left_out: bool = True


class FinishCheck(Document):
    """The check is finished: what it found is kept with its date."""

    act: Literal["finish_check"]
    proof: Proof | None = None
    """Filled in by Waytell."""


class GiveUpCheck(Document):
    """The check is given up; what was captured stays in the journal."""

    act: Literal["give_up_check"]


class UseProof(Document):
    """Figures go by what a check found from here on: resolution, direction, map, temperature."""

    act: Literal["use_proof"]
    proof: Annotated[int, Field(ge=1)]
    """Which finding, from 1, the oldest first."""
    use: bool = True
    """False: its map is no longer used."""


class AtStop(Document):
    """The slide stands at the stop that its map is counted from."""

    act: Literal["at_stop"]
    slide: Slide


class Undo(Document):
    """Take back the last act that can be taken back."""

    act: Literal["undo"]


Act = Annotated[
    UseConfig
    | UsePart
    | NewSetUp
    | ChooseTool
    | TouchOff
    | ChooseOperation
    | SetTarget
    | SetDepth
    | CompoundWound
    | Clamp
    | Drilled
    | Measured
    | PartDone
    | Answer
    | ConfirmPositions
    | Seen
    | ChooseUnits
    | BeginCheck
    | Capture
    | LeaveOut
    | FinishCheck
    | GiveUpCheck
    | UseProof
    | AtStop
    | Undo,
    Field(discriminator="act"),
]
ACT: TypeAdapter[Act] = TypeAdapter(Act)
