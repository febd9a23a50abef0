"""What a turner does again and again: sets up, touches off, takes a pass of this kind or that, winds back.

All bars are invented: bronze and aluminium for the bushes and spacers of a small garden-railway wagon.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from turners.turner import Turner

R = 12.0
"""Radius of the bar that most stories use, in mm."""
OUT = 14.0
"""X where the tool is clear of it."""
CLEAR = 2.0
"""Z where the tool is clear of the face."""
KNIFE = {"name": "knife tool", "kind": "turning"}
LEFT = {"name": "left-hand tool", "kind": "turning", "hand": "left"}
BORER = {"name": "boring bar", "kind": "boring"}
BLADE = {"name": "parting blade", "kind": "grooving", "width_mm": 3.0}
Midway = Callable[[Turner], None]
"""Something done in the middle of a pass."""


def sets_up(turner: Turner, *tools: dict[str, Any], length: float = 40.0, bore: float = 0.0) -> None:
    """Tells Waytell of lathe and bar; chooses the first tool; starts the spindle."""
    config: dict[str, Any] = {"tools": list(tools) or [KNIFE], "compound": {"angle_deg": turner.lathe.compound_deg}}
    turner.says("use_config", config=config)
    chucks(turner, length=length, bore=bore)
    turner.says("choose_tool", tool=config["tools"][0]["name"])
    turner.runs_spindle()


def chucks(turner: Turner, length: float = 40.0, bore: float = 0.0, radius: float = R) -> None:
    turner.says("new_set_up", stock={"diameter_mm": 2 * radius, "length_mm": length, "bore_mm": bore})


def touches_off(turner: Turner, *, radius: float = R, face: float = 0.0, at_z: float = -3.0) -> None:
    """The edge touches the diameter, then the face; after each it is wound clear."""
    touches_diameter(turner, radius, at_z=at_z)
    turner.winds(carriage=face + CLEAR)
    touches_face(turner, face, at_x=radius - 2.0)


def touches_diameter(turner: Turner, radius: float, *, at_z: float = -3.0) -> None:
    turner.winds(cross=radius + 2.0)
    turner.winds(carriage=at_z)
    turner.winds(3.0, cross=radius + 0.4)
    turner.winds(0.6, cross=radius)
    turner.says("touch_off", axis="X", at_mm=radius)
    turner.winds(4.0, cross=radius + 2.0)


def touches_face(turner: Turner, face: float, *, at_x: float = R - 2.0) -> None:
    turner.winds(cross=at_x)
    turner.winds(3.0, carriage=face + 0.4)
    turner.winds(0.6, carriage=face)
    turner.says("touch_off", axis="Z", at_mm=face)
    turner.winds(4.0, carriage=face + CLEAR)
    turner.winds(cross=OUT)


def plans(turner: Turner, kind: str, start: float, end: float, target: float, **more: Any) -> None:
    operation = {"name": kind, "kind": kind, "start_mm": start, "end_mm": end, "target_mm": target, **more}
    turner.says("choose_operation", operation=operation)


def faces(
    turner: Turner, at: float, *, was: float | None, to: float = 0.0, role: str | None = None,
    creep: float = 0.0, speed: float = 2.2, back_on_line: bool = False, leaves: float | None = None, enters: float = R,
    midway: Midway | None = None,
) -> None:  # fmt: skip
    """One facing pass inwards at this Z, and back to the start, clear of the face or on the same line."""
    turner.winds(cross=OUT - 0.5)
    turner.sets(carriage=at)
    with turner.cutting("facing", enters, was=was, role=role, leaves=leaves):
        if midway:
            turner.feeds(speed, cross=(enters + to) / 2)
            midway(turner)
        turner.feeds(speed, cross=to, creep=("carriage", creep) if creep else None)
        if back_on_line:
            turner.winds(5.0, cross=OUT - 0.5)
    if not back_on_line:
        turner.winds(4.0, carriage=at + 1.5)
        turner.winds(cross=OUT - 0.5)


def turns(
    turner: Turner, at: float, *, was: float | None, to: float, role: str | None = None, creep: float = 0.0,
    speed: float = 2.6, back: str = "clear", enters: float = 0.0,
    midway: Midway | None = None,
) -> None:  # fmt: skip
    """One pass along the bar to a shoulder at this radius; back clear of it, on the line, or across the shoulder."""
    turner.winds(carriage=enters + 1.5)
    turner.sets(cross=at)
    with turner.cutting("turning", enters, was=was, role=role):
        if midway:
            turner.feeds(speed, carriage=(enters + to) / 2)
            midway(turner)
        turner.feeds(speed, carriage=to, creep=("cross", creep) if creep else None)
        if back == "line":
            turner.winds(8.0, carriage=enters + 1.5)
        elif back == "shoulder":
            turner.winds(1.0, cross=R + 0.6)
    if back == "clear":
        turner.winds(5.0, cross=at + 1.0)
    turner.winds(10.0, carriage=enters + 1.5)


def bores(
    turner: Turner, at: float, *, was: float | None, to: float, role: str | None = None, creep: float = 0.0,
    speed: float = 2.4, back_on_line: bool = False,
) -> None:  # fmt: skip
    """One pass into the bore at this radius; out again with the edge drawn to the centre, or on the line."""
    turner.winds(carriage=1.5)
    turner.sets(cross=at)
    with turner.cutting("boring", 0.0, was=was, role=role):
        turner.feeds(speed, carriage=to, creep=("cross", creep) if creep else None)
        if back_on_line:
            turner.winds(8.0, carriage=1.5)
    if not back_on_line:
        turner.winds(3.0, cross=at - 0.8)
    turner.winds(8.0, carriage=1.5)
