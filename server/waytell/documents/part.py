"""A part as its drawing says: stock, set-ups and features, with sizes and their limits.

Lengths along the work are told as on a drawing: distances from the finished face of the set-up towards the headstock,
above 0. Diameters are diameters. A part file is this document as TOML.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from waytell.documents.base import Document, Length, Name, NotNegativeLength, PositiveLength

GeneralClass = Literal["f", "m", "c", "v"]
SetUpNumber = Annotated[int, Field(ge=1, le=2)]


class Dimension(Document):
    """A size and its limits: a tolerance class, two deviations, or neither for the general tolerance of the part.

    In a file a plain number is a size without limits of its own.
    """

    mm: NotNegativeLength
    tolerance_class: Annotated[str, Field(pattern=r"^[A-Za-z]{1,2}[0-9]{1,2}$")] | None = None
    """Of ISO 286, such as h7 or H8; for diameters only."""
    upper_mm: Length | None = None
    """Upper deviation."""
    lower_mm: Length | None = None
    """Lower deviation."""

    @model_validator(mode="before")
    @classmethod
    def _plain_number(cls, data: Any) -> Any:
        return {"mm": data} if isinstance(data, int | float) and not isinstance(data, bool) else data

    @model_validator(mode="after")
    def _limits_agree(self) -> Dimension:
        if (self.upper_mm is None) != (self.lower_mm is None):
            raise ValueError("upper_mm and lower_mm go together: give both deviations, or neither")
        if self.upper_mm is not None and self.lower_mm is not None:
            if self.tolerance_class is not None:
                raise ValueError("tolerance_class says the limits already: leave out upper_mm and lower_mm, or it")
            if self.lower_mm >= self.upper_mm:
                raise ValueError(f"lower_mm {self.lower_mm} must be below upper_mm {self.upper_mm}")
        return self


class Face(Document):
    """The end is faced: the reference for all lengths of its set-up."""

    kind: Literal["face"]
    set_up: SetUpNumber = 1
    length: Dimension | None = None
    """Whole length of the part, which facing the second end brings about; in set-up 2 only."""


class Turned(Document):
    """A diameter up to a shoulder."""

    kind: Literal["turned"]
    set_up: SetUpNumber = 1
    diameter: Dimension
    from_mm: NotNegativeLength = 0.0
    to: Dimension
    """Where its shoulder is."""


class Hole(Document):
    """Drilled on the centre line, from the face."""

    kind: Literal["hole"]
    set_up: SetUpNumber = 1
    diameter_mm: PositiveLength
    to_mm: PositiveLength
    """How deep it is at its full diameter."""


class Bore(Document):
    """A bored diameter, from the face."""

    kind: Literal["bore"]
    set_up: SetUpNumber = 1
    diameter: Dimension
    to: Dimension
    """Where it ends."""


class Taper(Document):
    """A cone outside, turned with the compound slide."""

    kind: Literal["taper"]
    set_up: SetUpNumber = 1
    from_mm: NotNegativeLength = 0.0
    to_mm: PositiveLength
    diameter: Dimension
    """At from_mm, the end nearer the face."""
    end_diameter_mm: NotNegativeLength
    """At to_mm."""


class Chamfer(Document):
    """A broken edge that looks towards the face."""

    kind: Literal["chamfer"]
    set_up: SetUpNumber = 1
    where: Literal["outside", "inside"] = "outside"
    at_mm: NotNegativeLength = 0.0
    """Where the edge would be."""
    size_mm: PositiveLength
    """Along the work and, at 45 degrees, across it."""


class Groove(Document):
    """Plunged with a blade, which may be narrower than the groove."""

    kind: Literal["groove"]
    set_up: SetUpNumber = 1
    from_mm: NotNegativeLength
    """Its wall nearer the face."""
    to_mm: PositiveLength
    """Its wall nearer the headstock."""
    diameter: Dimension
    """Of its floor."""


class PartOff(Document):
    """The part is cut off the bar."""

    kind: Literal["part_off"]
    set_up: SetUpNumber = 1
    at_mm: PositiveLength
    """Where the part ends as it is cut off: its length, and what is left for facing the second end."""


Feature = Annotated[
    Face | Turned | Hole | Bore | Taper | Chamfer | Groove | PartOff, Field(discriminator="kind")
]  # fmt: skip


class Chucking(Document):
    """How the work is held in a set-up."""

    out_mm: PositiveLength
    """Length out of the chuck, measured from the finished face."""
    sawn_mm: NotNegativeLength = 1.0
    """How far the end stands in front of the finished face before it is faced."""
    tailstock: bool = False
    """The free end is held by a centre in the tailstock."""


class Bar(Document):
    """What the part is made from."""

    diameter_mm: PositiveLength
    bore_mm: NotNegativeLength = 0.0
    """0 where it is solid."""


class Part(Document):
    """A part from its drawing; saved as a part file (TOML)."""

    format: Literal["waytell-part"] = "waytell-part"
    version: Literal[1] = 1
    name: Name
    note: Annotated[str, Field(max_length=500)] = ""
    material: Name
    """A material of the table."""
    general_tolerance: GeneralClass = "m"
    """ISO 2768-1: fine, medium, coarse or very coarse, where a size has no limits of its own."""
    bar: Bar
    set_ups: Annotated[tuple[Chucking, ...], Field(min_length=1, max_length=2)]
    features: Annotated[tuple[Feature, ...], Field(max_length=60)] = ()

    @model_validator(mode="after")
    def _set_ups_are_there(self) -> Part:
        for number, feature in enumerate(self.features, start=1):
            if feature.set_up > len(self.set_ups):
                raise ValueError(
                    f"feature {number} ({feature.kind}) is of set-up {feature.set_up}, but there is only set-up 1: "
                    "tell with [[set_ups]] how the work is held when it is turned round"
                )
        return self
