"""Acts: everything a person can tell Waytell. One key, one act; the wire log carries them in the same form."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, TypeAdapter, computed_field, model_validator

from waytell.documents.base import Axis, Document, Length, Name, NotNegativeLength, PositiveLength
from waytell.documents.config import Config, Stock, Units


class Operation(Document):
    """A facing or turning operation: one axis is fed to an end, the other is held at a size."""

    name: Name
    kind: Literal["facing", "turning"]
    start_mm: Length
    """Where the work begins on the feed axis: facing, the radius of the bar; turning, Z of the end face."""
    end_mm: Length
    """Where the feed ends: facing, 0 for the centre or the radius of the bore; turning, Z of the shoulder."""
    target_mm: Length
    """Size to reach on the held axis: facing, Z of the finished face; turning, the finished radius."""
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
        return "X" if self.kind == "facing" else "Z"

    @computed_field  # type: ignore[prop-decorator]
    @property
    def held_axis(self) -> Axis:
        return "Z" if self.kind == "facing" else "X"

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
        if self.kind == "facing" and self.end_mm < 0:
            raise ValueError("end_mm of a facing operation is a radius: 0 for the centre, or the bore's radius")
        if self.kind == "turning" and self.target_mm <= 0:
            raise ValueError("target_mm of a turning operation is a radius above 0")
        return self


class UseConfig(Document):
    """Set the machine up: scales, tools, limits. In a wire log this comes first."""

    act: Literal["use_config"]
    config: Config


class NewSetUp(Document):
    """The work was put in the chuck, turned round or chucked again: its Z datum is void."""

    act: Literal["new_set_up"]
    stock: Stock | None = None
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
    where: Literal["here", "last_pass"] = "here"
    """here: the tool stands at the surface. last_pass: it stood there when it cut the last pass."""

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


class ConfirmPositions(Document):
    """The person has checked that the figures still hold after the board restarted and kept its counts."""

    act: Literal["confirm_positions"]


class Seen(Document):
    """Warnings that stand have been seen."""

    act: Literal["seen"]


class ChooseUnits(Document):
    act: Literal["choose_units"]
    units: Units


class Undo(Document):
    """Take back the last act that can be taken back."""

    act: Literal["undo"]


Act = Annotated[
    UseConfig
    | NewSetUp
    | ChooseTool
    | TouchOff
    | ChooseOperation
    | SetTarget
    | SetDepth
    | CompoundWound
    | Clamp
    | ConfirmPositions
    | Seen
    | ChooseUnits
    | Undo,
    Field(discriminator="act"),
]
ACT: TypeAdapter[Act] = TypeAdapter(Act)
