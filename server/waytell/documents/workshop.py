"""What the overview of a workshop shows of each machine."""

from __future__ import annotations

from waytell.documents.base import Axis, Document
from waytell.documents.config import Units
from waytell.documents.state import HEARD, Alarm, Doubt, Figure, Hold, Level, Link, LiveState


class Along(Document):
    """A figure with what it takes to write it: the axis it lies along, and its digits."""

    figure: Figure
    axis: Axis
    decimals_mm: int
    decimals_inch: int


class MachineNow(Document):
    """One machine, as much of it as can be read across a room."""

    name: str
    place: str
    """Address of its Cut screen, from the overview on."""
    level: Level
    """How much it needs somebody: that of its worst alarm, or of a doubt."""
    doing: str
    link: Link
    doubts: tuple[Doubt, ...]
    alarms: tuple[Alarm, ...]
    units: Units
    to_go: Along | None
    left: Along | None
    """What the held axis has still to advance for this pass."""
    passes_left: int | None
    hold: Hold | None
    rpm: float | None
    part: int
    passes: int


class WorkshopNow(Document):
    """All machines, those that need somebody first."""

    seq: int
    broker: str | None
    """Why the message broker is not reached; null where it is."""
    machines: tuple[MachineNow, ...]


class WorkshopHealth(Document):
    """Whether the server does its work; machines that need somebody are another matter."""

    ok: bool
    broker: bool
    """The message broker is reached."""
    stored: bool
    """Every machine's journal takes what is told."""
    machines: int
    heard: int


URGENT: tuple[Level, ...] = ("danger", "warning", "must_act", "normal", "neutral")


def machine_now(name: str, place: str, state: LiveState) -> MachineNow:
    remaining, operation = state.remaining, state.operation
    feed, held = (None, None) if operation is None else (operation.feed_axis, operation.held_axis)
    return MachineNow(
        name=name, place=place, level=_level(state), doing=_doing(state), link=state.link, doubts=state.doubts,
        alarms=state.alarms, units=state.units,
        to_go=_along(state, state.to_go, feed),
        left=_along(state, None if remaining is None else remaining.this_pass, held),
        passes_left=None if remaining is None else remaining.passes_left, hold=state.hold,
        rpm=None if state.spindle is None else state.spindle.rpm, part=state.work.part, passes=state.passes,
    )  # fmt: skip


def _along(state: LiveState, figure: Figure | None, axis: Axis | None) -> Along | None:
    along = next((one for one in state.axes if one.axis == axis), None)
    if figure is None or along is None:
        return None
    return Along(figure=figure, axis=along.axis, decimals_mm=along.decimals_mm, decimals_inch=along.decimals_inch)


def in_order(machines: list[MachineNow]) -> tuple[MachineNow, ...]:
    return tuple(sorted(machines, key=lambda one: (URGENT.index(one.level), one.name)))


def _level(state: LiveState) -> Level:
    levels: list[Level] = [alarm.level for alarm in state.alarms]
    if state.doubts:
        levels.append("warning")
    if state.cutting or state.stroke is not None:
        levels.append("normal")
    return min(levels, key=URGENT.index, default="neutral")


def _doing(state: LiveState) -> str:
    """In words; what cannot be relied on is not told as done."""
    if state.link.condition not in HEARD:
        return "not heard"
    what = state.operation.name if state.operation is not None else ""
    if state.check is not None:
        return "scales are being checked"
    if state.stroke is not None:
        return f"{what}: a pass is under way" if what else "a pass is under way"
    return f"{what}: between passes" if what else "no operation chosen"
