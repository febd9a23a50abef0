"""A plan: the operations of a part in their order, with numbers, reasons and cautions.

X is a radius here, Z is 0 at the finished face and below 0 towards the headstock, as everywhere inside.
"""

from __future__ import annotations

from typing import Literal

from waytell.documents.acts import Operation
from waytell.documents.base import Document, Role
from waytell.documents.part import Part

Polygon = tuple[tuple[float, float], ...]
"""(Z, radius) corners of a closed half section."""
SpeedLimit = Literal["material", "machine", "chuck", "steps"]
DepthLimit = Literal["operator", "power", "deflection", "tool", "size"]


class Caution(Document):
    """Something to heed, with its number, the limit and a way out."""

    code: str
    words: str
    do: str
    step: int | None = None
    """Number of the step; null for the whole job."""


class Contradiction(Document):
    """Features that cannot both be true."""

    features: tuple[int, ...]
    """Their numbers in the part, from 1."""
    words: str
    do: str


class Limits(Document):
    """Of a size, as a diameter or a length."""

    nominal_mm: float
    low_mm: float
    high_mm: float
    words: str
    """Where they come from: a class of ISO 286, the drawing, or ISO 2768-1."""


class SpindleSpeed(Document):
    rpm: float
    vc_m_min: float
    """Cutting speed at the largest diameter that is cut."""
    limit: SpeedLimit
    """What decided it."""
    words: str


class PlannedPass(Document):
    role: Role
    depth_mm: float
    """On the held axis; a radius across."""
    at_mm: float
    """Where the held axis stands."""
    force_n: float
    """Main cutting force."""
    power_w: float
    """From the motor."""
    deflection_mm: float
    """Of the work at the tool, as a radius, by the radial force; 0 where none acts across."""
    time_s: float
    limit: DepthLimit
    """What decided the depth."""


class PlannedStep(Document):
    number: int
    set_up: int
    features: tuple[int, ...]
    """Numbers of the features of the part that it makes, from 1."""
    operation: Operation
    """As the Cut screen takes it."""
    tool: str
    """Name of the tool; empty where no tool of the table can do it."""
    words: str
    """What is done, in a line."""
    why: str
    """Why it comes here."""
    limits: Limits | None
    """Of the size that it brings about."""
    speed: SpindleSpeed
    feed_mm_rev: float
    passes: tuple[PlannedPass, ...]
    """Those still to take."""
    decided_by: str
    """What limits the depth of a pass, with its number."""
    time_s: float
    """Cutting time of these passes; winding back and setting not in it."""
    chips_mm3: float
    ra_um: float | None
    """Theoretical roughness of the last pass at the advised feed; null for holes and tools without nose radius."""
    state: Literal["to_do", "next", "done", "cannot"] = "to_do"
    was: str = ""
    """What changed since the pass before: empty where nothing did."""
    trouble: str = ""
    """Why it can no longer be met, and what can be saved."""


class SetUpPlan(Document):
    number: int
    stock: Polygon
    """As it goes in the chuck."""
    now: Polygon
    """As it is at this moment, as far as is known; the stock before the first pass."""
    target: Polygon
    """When this set-up is done."""
    out_mm: float
    tailstock: bool


class Plan(Document):
    part: Part
    steps: tuple[PlannedStep, ...]
    set_ups: tuple[SetUpPlan, ...]
    cautions: tuple[Caution, ...]
    time_s: float
    chips_mm3: float
    mass_g: float
    """Of the finished part."""


class Planned(Document):
    """A plan, or why there can be none."""

    plan: Plan | None
    contradictions: tuple[Contradiction, ...]


class PlanNow(Document):
    """The part in use, and how far it is."""

    part: Part | None
    set_up: int
    """Which set-up of it is in the chuck; 0 where none is."""
    planned: Planned | None
    undo: tuple[str, ...]
    """What undo takes back, the newest first."""


class WhatIfPoint(Document):
    depth_mm: float
    force_n: float
    power_w: float
    deflection_mm: float
    time_s: float


class WhatIf(Document):
    """A step with other depths of cut."""

    step: int
    points: tuple[WhatIfPoint, ...]
    planned_mm: float
    """Depth of the planned roughing pass."""
    power_limit_w: float
    deflection_limit_mm: float
