"""The configuration of one lathe: its scales, tools, limits and units."""

from __future__ import annotations

import re
from typing import Annotated, Literal, Self

from pydantic import Field, field_validator, model_validator

from waytell.documents.base import Document, Length, Name, NotNegativeLength, PositiveLength, Slide
from waytell.documents.materials import Material


class Machine(Document):
    name: Name = "lathe"
    """What the person calls this lathe."""
    spindle_max_rpm: Annotated[float, Field(gt=0, le=10000)] = 2000.0
    """Highest spindle speed of the machine, in revolutions a minute."""
    spindle_min_rpm: Annotated[float, Field(gt=0, le=10000)] = 50.0
    speeds_rpm: tuple[Annotated[float, Field(gt=0, le=10000)], ...] = ()
    """Where belts or gears give certain speeds only: each of them. None where the speed is set freely."""
    chuck_max_rpm: Annotated[float, Field(gt=0, le=10000)] | None = None
    """Highest speed that is marked on the chuck."""
    chuck_diameter_mm: PositiveLength = 80.0
    motor_power_w: Annotated[float, Field(gt=0, le=100_000)] = 350.0
    efficiency: Annotated[float, Field(gt=0, le=1)] = 0.75
    """Share of the motor's power that reaches the edge."""
    swing_mm: PositiveLength = 180.0
    """Largest diameter that turns freely over the bed."""
    cross_travel_mm: PositiveLength = 80.0
    carriage_travel_mm: PositiveLength = 250.0
    deepest_pass_mm: PositiveLength = 0.5
    """Deepest cut that the person wants to take on this lathe, as a radius or a length."""
    reaction_time_s: Annotated[float, Field(ge=0.05, le=2.0)] = 0.3
    """How long the person takes to stop winding once told."""
    jump_limit_mm_s: Annotated[float, Field(gt=1, le=10000)] = 500.0
    """No hand winds a slide faster than this: a faster change is doubted."""
    micrometer_u_um: Annotated[float, Field(gt=0, le=1000)] = 4.0
    """Expanded uncertainty (95 %) of a length measured with the person's own micrometer, in micrometres; as usual the
    limit of error of one for 0 to 50 mm (DIN 863-1)."""
    temperature_c: Annotated[float, Field(ge=-20, le=60)] = 20.0
    """Temperature of scales and work; sizes are stated at 20 degrees Celsius (ISO 1)."""


class Scale(Document):
    channel: Annotated[int, Field(ge=0, le=6)]
    """Which of the board's scales this is, counted from 0."""
    slide: Slide
    """The slide it is fitted to."""
    resolution_um: Annotated[float, Field(gt=0.001, le=1000)]
    """Length of one count, in micrometres: a quarter of the line pitch where every edge is counted."""
    direction: Literal[1, -1] = 1
    """1 where counts grow as the tool goes away from the centre line (cross-slide) or from the headstock."""
    accuracy_um: Annotated[float, Field(ge=0, le=1000)] = 10.0
    """Half-width of the error the scale may have over its travel, in micrometres, until it has been proved."""
    expansion_um_m_k: Annotated[float, Field(ge=-1, le=50)] = 10.0
    """Thermal expansion of the scale, micrometres a metre and kelvin."""
    scale_factor: Annotated[float, Field(gt=0.9, lt=1.1)] = 1.0
    """True length over shown length, from a comparison with a known distance."""


class Compound(Document):
    angle_deg: Annotated[float, Field(ge=-90, le=90)] = 0.0
    """Angle from the Z axis: 0 parallel to it, positive where winding in takes the tool to the centre line."""


class Tool(Document):
    name: Name
    kind: Literal["turning", "boring", "grooving", "drill"] = "turning"
    """turning: faces and turns outside. boring: inside. grooving: plunges and parts off. drill: in the tailstock."""
    nose_radius_mm: Annotated[float, Field(ge=0, le=10)] = 0.0
    hand: Literal["right", "left"] = "right"
    """A right-hand tool cuts towards the headstock."""
    approach_angle_deg: Annotated[float, Field(gt=0, le=180)] = 93.0
    """Cutting-edge angle kappa_r of the edge that turns diameters (ISO 3002-1)."""
    point_angle_deg: Annotated[float, Field(ge=10, le=170)] = 80.0
    """Included angle between the two cutting edges; of a drill, of its point."""
    width_mm: NotNegativeLength = 0.0
    """Width of the edge of a grooving tool; its corner nearer the headstock is the one touched off."""
    diameter_mm: NotNegativeLength = 0.0
    """Diameter of a drill."""
    substance: Literal["HSS", "carbide"] = "HSS"
    """What the edge is made of."""
    deepest_mm: NotNegativeLength = 0.0
    """Deepest cut that the edge bears; 0 where only lathe and work limit it."""
    reach_mm: NotNegativeLength = 0.0
    """How far into a hole or a groove it reaches; 0 where that is not known."""
    shank_mm: NotNegativeLength = 0.0
    """Thickness of a boring bar behind its edge; 0 where that is not known."""

    @model_validator(mode="before")
    @classmethod
    def _drills_have_a_point_of_their_own(cls, data: object) -> object:
        """118 degrees is what most drills have (common practice, no source)."""
        if isinstance(data, dict) and data.get("kind") == "drill" and "point_angle_deg" not in data:
            return {**data, "point_angle_deg": 118.0}
        return data

    @model_validator(mode="after")
    def _has_its_size(self) -> Self:
        if self.kind == "grooving" and self.width_mm == 0:
            raise ValueError("a grooving tool needs width_mm, the width of its edge")
        if self.kind == "drill" and self.diameter_mm == 0:
            raise ValueError("a drill needs diameter_mm")
        return self


class HoldLimits(Document):
    warning_mm: PositiveLength = 0.01
    limit_mm: PositiveLength = 0.02

    @model_validator(mode="after")
    def _warning_comes_first(self) -> Self:
        if self.warning_mm > self.limit_mm:
            raise ValueError(f"hold warning_mm {self.warning_mm} must not be above limit_mm {self.limit_mm}")
        return self


class Units(Document):
    length: Literal["mm", "inch"] = "mm"
    x_as: Literal["diameter", "radius"] = "diameter"


class Board(Document):
    """How to listen to a counter board."""

    source: str | None = None
    """Serial port or address: COM5, /dev/ttyUSB0, socket://host:port, rfc2217://host:port, or a wire log file."""
    baud: Annotated[int, Field(ge=300, le=4_000_000)] = 500_000
    line_pattern: str | None = None
    """Regular expression for a board that prints lines of its own, with a named group c0, c1 ... for each scale."""
    line_scale: Annotated[float, Field(gt=0)] = 1.0
    """Counts a printed unit: 1 where whole counts are printed, 1000 where 12.345 means 12345 counts."""

    @field_validator("line_pattern")
    @classmethod
    def _has_groups(cls, text: str | None) -> str | None:
        if text is None:
            return None
        try:
            groups = re.compile(text).groupindex
        except re.error as error:
            raise ValueError(f"line_pattern is not a regular expression: {error}") from error
        if "c0" not in groups:
            raise ValueError("line_pattern needs a named group for the first scale, such as (?P<c0>-?\\d+)")
        scales = sorted(name for name in groups if re.fullmatch(r"c\d", name))
        if scales != [f"c{number}" for number in range(len(scales))]:
            raise ValueError(
                f"line_pattern must name its scales c0, c1 ... without a gap; it names {', '.join(scales)}"
            )
        return text


class Stock(Document):
    diameter_mm: PositiveLength
    length_mm: PositiveLength
    """Length out of the chuck."""
    bore_mm: NotNegativeLength = 0.0
    material: Name = "unknown"
    expansion_um_m_k: Annotated[float, Field(ge=-1, le=200)] = 0.0
    """Thermal expansion of the work, micrometres a metre and kelvin; 0 where it is not corrected for."""
    front_mm: Length = 0.0
    """Z of the free end as it is put in the chuck."""


class Config(Document):
    machine: Machine = Machine()
    board: Board = Board()
    scales: tuple[Scale, ...] = ()
    compound: Compound = Compound()
    tools: tuple[Tool, ...] = (Tool(name="turning tool"),)
    hold: HoldLimits = HoldLimits()
    units: Units = Units()
    materials: tuple[Material, ...] = ()
    """The person's own; one called like a usual one takes its place."""

    @model_validator(mode="after")
    def _agrees_with_itself(self) -> Self:
        named: dict[str, list[str]] = {
            "channel": [str(scale.channel) for scale in self.scales],
            "slide": [str(scale.slide) for scale in self.scales],
            "tool name": [tool.name for tool in self.tools],
            "material": [material.name for material in self.materials],
        }
        for what, values in named.items():
            twice = sorted({value for value in values if values.count(value) > 1})
            if twice:
                raise ValueError(f"each {what} may appear once; twice here: {', '.join(twice)}")
        return self
