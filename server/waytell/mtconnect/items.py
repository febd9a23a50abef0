"""What is told of a lathe: its components and data items, and their values out of a state. No I/O.

A value that is in any doubt is UNAVAILABLE: the standard has no word for a number that may be wrong.
"""

from __future__ import annotations

from math import hypot
from typing import Final, Literal, NamedTuple

from waytell.documents.base import Axis
from waytell.documents.state import HEARD, LiveState
from waytell.documents.workshop import URGENT

Category = Literal["SAMPLE", "EVENT", "CONDITION"]
UNAVAILABLE: Final = "UNAVAILABLE"
NORMAL: Final = "NORMAL"


class Item(NamedTuple):
    id: str
    """Within its machine."""
    category: Category
    type: str
    sub_type: str | None = None
    units: str | None = None
    system: str | None = None


class Component(NamedTuple):
    element: str
    id: str
    name: str
    items: tuple[Item, ...] = ()
    parts: tuple[Component, ...] = ()
    tells: str = ""


def _slide(axis: Axis, tells: str) -> Component:
    low = axis.lower()
    position = Item(f"{low}_position", "SAMPLE", "POSITION", "ACTUAL", "MILLIMETER", "WORK")
    return Component("Linear", low, axis, (position, Item(f"{low}_condition", "CONDITION", "POSITION")), (), tells)


# Each machine must have the first three (Part 2); assets there are none.
MACHINE = Component(
    "Device", "machine", "",
    (
        Item("avail", "EVENT", "AVAILABILITY"),
        Item("asset_changed", "EVENT", "ASSET_CHANGED"),
        Item("asset_removed", "EVENT", "ASSET_REMOVED"),
    ),
    (
        Component("Axes", "axes", "base", (), (
            _slide("X", "Across, as a radius from the spindle's centre line; wound by hand."),
            _slide("Z", "Along the spindle's centre line; wound by hand or fed by a shaft."),
            Component("Rotary", "c", "C", (
                Item("c_speed", "SAMPLE", "ROTARY_VELOCITY", "ACTUAL", "REVOLUTION/MINUTE"),
            )),
        )),
        Component("Controller", "display", "display", (
            Item("link", "CONDITION", "COMMUNICATIONS"),
            Item("system", "CONDITION", "SYSTEM"),
        ), (
            Component("Path", "path", "path", (
                Item("feed", "SAMPLE", "PATH_FEEDRATE", "ACTUAL", "MILLIMETER/SECOND"),
                Item("execution", "EVENT", "EXECUTION"),
                Item("part_count", "EVENT", "PART_COUNT", "ALL"),
            ), (), "A person's hands: nothing here moves the machine."),
        )),
    ),
)  # fmt: skip


class Condition(NamedTuple):
    """A condition's state; `code` and `words` where it is not normal."""

    level: Literal["NORMAL", "WARNING", "FAULT", "UNAVAILABLE"]
    code: str = ""
    words: str = ""


Value = str | Condition


def items_of(component: Component) -> tuple[Item, ...]:
    """All of a component and its parts, in the order of the document."""
    return component.items + tuple(item for part in component.parts for item in items_of(part))


def unavailable(item: Item) -> Value:
    """Of a machine that is not known now."""
    return Condition(UNAVAILABLE) if item.category == "CONDITION" else UNAVAILABLE


def values(state: LiveState) -> dict[str, Value]:
    """Each data item's value by its id."""
    heard = state.link.condition in HEARD and all(doubt.code != "stale" for doubt in state.doubts)
    spindle = state.spindle if heard else None
    active = state.stroke is not None or state.cutting
    return {
        "avail": "AVAILABLE" if heard else UNAVAILABLE,
        "asset_changed": UNAVAILABLE,
        "asset_removed": UNAVAILABLE,
        "x_position": _position(state, "X"),
        "x_condition": _position_condition(state, "X", heard=heard),
        "z_position": _position(state, "Z"),
        "z_condition": _position_condition(state, "Z", heard=heard),
        "c_speed": UNAVAILABLE if spindle is None else f"{spindle.rpm:.1f}",
        "link": Condition(NORMAL) if heard else _not_heard(state),
        "system": _system(state),
        "feed": _path_feed_rate(state),
        "execution": UNAVAILABLE if not heard else "ACTIVE" if active else "READY",
        "part_count": str(state.work.part - 1),
    }


def _position(state: LiveState, axis: Axis) -> str:
    figure = next((one.position for one in state.axes if one.axis == axis), None)
    return f"{figure.value_mm:.4f}" if figure is not None and figure.good else UNAVAILABLE


def _not_heard(state: LiveState) -> Condition:
    words = state.link.words
    if state.link.condition in HEARD:
        words = next(doubt.words for doubt in state.doubts if doubt.code == "stale")
    return Condition("FAULT", state.link.condition, words)


def _path_feed_rate(state: LiveState) -> str:
    """How fast the tool goes along its path, mm/s: known where both positions are."""
    if {one.axis for one in state.axes if one.position.good} != {"X", "Z"}:
        return UNAVAILABLE
    return f"{hypot(*(one.velocity_mm_s for one in state.axes)):.3f}"


def _position_condition(state: LiveState, axis: Axis, *, heard: bool) -> Condition:
    figure = next((one.position for one in state.axes if one.axis == axis), None)
    if figure is None or not heard:
        return Condition(UNAVAILABLE)
    if figure.good:
        return Condition(NORMAL)
    reason = figure.reasons[0] if figure.reasons else "doubtful"
    words = next((doubt.words for doubt in state.doubts if doubt.code == reason), "The position is in doubt.")
    return Condition("WARNING", reason, words)


def _system(state: LiveState) -> Condition:
    """The worst alarm: a held slide that moved, an end overrun, a disk that does not take what is told."""
    worst = min(state.alarms, key=lambda alarm: URGENT.index(alarm.level), default=None)
    if worst is None:
        return Condition(NORMAL)
    return Condition("FAULT" if worst.level == "danger" else "WARNING", worst.code, worst.words)
