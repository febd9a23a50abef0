"""What was captured, as the slide of the check shows it; what the board forgot since counts no longer."""

from __future__ import annotations

from typing import Literal

from waytell.documents.base import Slide
from waytell.documents.config import Scale
from waytell.documents.proving import Captured, Check
from waytell.engine.axes import mm_per_count, signed_difference
from waytell.engine.error_map import Mapped
from waytell.engine.known import Known
from waytell.engine.proved import CheckUnderWay, Point

RESTARTED = "The board restarted since: its counts began anew."
LOST = "Edges were missed since: the counts no longer belong together."


def captured(known: Known, under_way: CheckUnderWay, boot: str | None) -> list[Captured]:
    """All captures of the check, the oldest first, with why one no longer counts."""
    slide = check_slide(under_way.check)
    scale = next((one for one in known.config.scales if one.slide == slide), None)
    zero = next((one for one in under_way.points if _lost(one, scale, boot, under_way) == ""), None)
    maps = () if under_way.check.kind == "map" else _maps(known, scale)
    return [_one(known, under_way, point, scale, zero, maps, boot) for point in under_way.points]


def check_slide(check: Check) -> Slide | None:
    """The slide that a check is about: named in it, or the only one that it can be; None for all scales."""
    only: dict[str, Slide] = {"disc": "cross", "collars": "carriage"}
    return only.get(check.kind, getattr(check, "slide", None))


def _maps(known: Known, scale: Scale | None) -> tuple[Mapped, ...]:
    if scale is None:
        return ()
    return tuple(one for axis in ("X", "Z") for one in known.mapped(axis) if one.channel == scale.channel)[:1]


def _one(
    known: Known, under_way: CheckUnderWay, point: Point, scale: Scale | None, zero: Point | None,
    maps: tuple[Mapped, ...], boot: str | None,
) -> Captured:  # fmt: skip
    why = _lost(point, scale, boot, under_way)
    out = point.number in under_way.left_out
    way: Literal[-1, 0, 1] = 0
    shown: float | None = None
    if under_way.check.kind == "disc":
        shown = point.stood.x_mm
    elif scale is not None and zero is not None and not why:
        now, first = point.stood.counts, zero.stood.counts
        step = mm_per_count(scale, known.config.machine.temperature_c)
        shown = step * signed_difference(now[scale.channel], first[scale.channel])
        # As the figures are shown: with the map that is in use, unless a new one is being made.
        shown += sum((one.add_mm(now) - one.add_mm(first)) / one.share for one in maps)
    if scale is not None and scale.channel < len(point.stood.way):
        way = point.stood.way[scale.channel] if scale.direction > 0 else _turned(point.stood.way[scale.channel])
    return Captured(
        number=point.number, says_mm=point.says_mm, shown_mm=shown, way=way, left_out=out or bool(why),
        why_left_out=why or ("Left out by you." if out else ""),
    )  # fmt: skip


def _lost(point: Point, scale: Scale | None, boot: str | None, under_way: CheckUnderWay) -> str:
    """Why a capture no longer counts together with the newest one; empty where it does."""
    last = under_way.points[-1].stood
    if under_way.check.kind in ("disc", "collars"):
        return ""
    if point.stood.boot != (boot or last.boot):
        return RESTARTED
    if under_way.check.kind == "winding" or scale is None:
        return ""
    same = point.stood.missed.get(scale.channel, 0) == last.missed.get(scale.channel, 0)
    return "" if same else LOST


def _turned(way: Literal[-1, 0, 1]) -> Literal[-1, 0, 1]:
    return {-1: 1, 0: 0, 1: -1}[way]  # type: ignore[return-value]
