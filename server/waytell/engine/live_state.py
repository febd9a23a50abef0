"""The state document of a machine, built from its engine whenever someone looks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from waytell.documents.acts import Operation
from waytell.documents.base import Axis, PassKind
from waytell.documents.proving import CheckLive
from waytell.documents.state import (
    HEARD,
    Alarm,
    AxisState,
    Demo,
    Doubt,
    DoubtCode,
    DoubtfulFigure,
    Figure,
    GoodFigure,
    Hold,
    Learned,
    Link,
    LiveState,
    Overrun,
    Remaining,
    SlideState,
    Spindle,
    Stroke,
    ToolState,
    WorkState,
)
from waytell.engine.advice import Coming, Grain, learned
from waytell.engine.axes import AXES
from waytell.engine.distance_to_go import (
    OverrunForecast,
    Schedule,
    cutting_speed_m_min,
    feed_end_mm,
    feed_sign,
    forecast,
    held_sign,
    reached_band_mm,
    schedule,
    to_go_mm,
)
from waytell.engine.doubt import in_words
from waytell.engine.engine import Engine
from waytell.engine.guide import guide
from waytell.engine.guide_situation import NextStep, Situation
from waytell.engine.hold_watch import HoldWatch
from waytell.engine.measured_sizes import SizeSeen
from waytell.engine.profile import simplified
from waytell.engine.section import Section
from waytell.engine.uncertainty import decimals
from waytell.engine.velocity import velocity
from waytell.engine.words import MM_PER_INCH, coordinate, fine_length, slide, travel

# One count away must come out as within one count, whatever the last bit of a sum of floats says.
ROUNDING_MM = 1e-6
DRAWN_MM = 0.01
FEW_CORNERS = 40


class Outside(NamedTuple):
    """What the session adds to the engine's state."""

    machine: str
    seq: int
    demo: Demo | None
    disk_words: str | None
    replanned: str = ""
    planned: NextStep | None = None
    """None without a plan."""
    display_words: str | None = None
    """A display that shows other figures than it was sent."""
    check: CheckLive | None = None


class Feed(NamedTuple):
    """How far the feed has come; figures before any doubt is applied."""

    to_go: float
    reached: bool
    overrun: Overrun


def build(engine: Engine, outside: Outside) -> LiveState:
    known, operation = engine.known, engine.known.operation
    reasons = {axis: engine.reasons(axis) for axis in AXES}
    speed = {axis: _velocity(engine, place, axis) for place, axis in enumerate(AXES, start=1)}
    axes = tuple(_axis(engine, axis, reasons[axis], speed[axis]) for axis in AXES)
    feed = None if operation is None else _feed(engine, operation, speed)
    to_go = remaining = None
    if operation is not None and feed is not None:
        to_go = _figure(feed.to_go, engine.place.u_mm(engine.known, operation.feed_axis), reasons[operation.feed_axis])
        remaining = _remaining(engine, operation, reasons)
    feed_good = operation is not None and not reasons[operation.feed_axis]
    overrun = feed.overrun if feed is not None and feed_good else Overrun(state="none", time_left_s=None, past_mm=0.0)
    doubts = _doubts(engine, reasons)
    hold = _hold(engine)
    return LiveState(
        seq=outside.seq,
        t_s=engine.t_s,
        machine=outside.machine,
        units=known.units,
        link=_link(engine),
        doubts=doubts,
        axes=axes,
        slides=_slides(engine),
        tool=None
        if known.tool is None
        else ToolState(
            tool=known.tool,
            touched_x=(known.tool.name, "X") in known.offsets and "X" in known.datums,
            touched_z=(known.tool.name, "Z") in known.offsets and "Z" in known.datums,
        ),
        work=WorkState(set_up=known.set_up, part=known.part, stock=known.stock, **_profiles(engine)),
        operation=operation,
        to_go=to_go,
        replanned=outside.replanned,
        reached=bool(feed is not None and feed_good and feed.reached),
        overrun=overrun,
        remaining=remaining,
        learned=learned_now(engine, engine.known.sizes.seen),
        hold=hold,
        spindle=_spindle(engine, reasons["X"]),
        cutting=_cutting(engine, reasons),
        stroke=_stroke(engine),
        guide=guide(_situation(engine, outside.planned, reasons, feed, remaining)),
        alarms=_alarms(engine, hold, overrun, doubts, outside),
        passes=known.passes,
        last_pass=known.last_pass.passed if known.last_pass else None,
        last_pass_holds=_last_pass_holds(engine),
        events=len(engine.history),
        undo=known.undoable[-1][1] if known.undoable else None,
        demo=outside.demo,
        check=outside.check,
    )


def _figure(value_mm: float, u_mm: float, reasons: tuple[DoubtCode, ...]) -> Figure:
    if not reasons:
        return GoodFigure(value_mm=value_mm, u_mm=u_mm)
    # Without a datum the number would be a distance from nowhere.
    return DoubtfulFigure(last_mm=None if "not_referenced" in reasons else value_mm, reasons=reasons)


def _velocity(engine: Engine, place: int, axis: Axis) -> float:
    if engine.doubts.stale:
        return 0.0
    return velocity([(sample[0], sample[place]) for sample in engine.place.trail], engine.place.count_mm[axis])


def _axis(engine: Engine, axis: Axis, reasons: tuple[DoubtCode, ...], speed: float) -> AxisState:
    u_mm, count = engine.place.u_mm(engine.known, axis), engine.place.count_mm[axis]
    datum = engine.known.datums.get(axis)
    return AxisState(
        axis=axis,
        position=_figure(engine.place.of(axis), u_mm, reasons),
        velocity_mm_s=speed,
        decimals_mm=decimals(u_mm, count),
        decimals_inch=decimals(u_mm, count, MM_PER_INCH),
        referenced_by=datum.words() if datum is not None else None,
    )


def _slides(engine: Engine) -> tuple[SlideState, ...]:
    out = []
    for scale in engine.known.config.scales:
        counts = engine.place.counts[scale.channel] if scale.channel < len(engine.place.counts) else None
        out.append(
            SlideState(
                slide=scale.slide,
                channel=scale.channel,
                counts=counts,
                length_mm=None if counts is None else counts * scale.resolution_um * 1e-3 * scale.direction,
                missed_edges=engine.doubts.missed.get(scale.channel, 0),
            )
        )
    return tuple(out)


def _link(engine: Engine) -> Link:
    report, hello = engine.doubts.link, engine.doubts.hello
    if report is None:
        return Link(
            condition="none", words="No source is opened.", source="", checked=True, model=None, boot=None,
            rate_hz=0.0, reports=0, lost_reports=0, damaged_lines=0,
        )  # fmt: skip
    return Link(
        condition=report.condition.value, words=report.words, source=report.source, checked=report.checked,
        model=hello.model if hello else None, boot=hello.boot if hello else None, rate_hz=report.rate_hz,
        reports=report.reports, lost_reports=report.lost_reports, damaged_lines=report.damaged_lines,
    )  # fmt: skip


def _doubts(engine: Engine, reasons: dict[Axis, tuple[DoubtCode, ...]]) -> tuple[Doubt, ...]:
    link = engine.doubts.link
    words = link.words if link is not None else ""
    late = engine.doubts.late
    return tuple(in_words(code, words, late=late) for code in dict.fromkeys(reasons["X"] + reasons["Z"]))


def _profiles(engine: Engine) -> dict[str, tuple[tuple[float, float], ...]]:
    """Outside and bore of the work as it is at this moment, with what the stroke under way has taken off."""
    section = engine.known.section if engine.section is None else _being_cut(engine, engine.section)
    if section is None:
        return {"outline": (), "bore": ()}
    bore = section.bore.corners() if max(section.bore.r) > 0 else ()
    return {"outline": _drawn(section.outside.corners()), "bore": _drawn(bore)}


def _being_cut(engine: Engine, section: Section) -> Section:
    """With what the stroke under way has taken off, near enough for a drawing: straight from where it began."""
    for axis in AXES:
        points = engine.stroke_of(axis)
        if points:
            recent = sorted(point.held_mm for point in points[-9:])
            held = recent[len(recent) // 2]
            path = [(p.fed_mm, held) if axis == "X" else (held, p.fed_mm) for p in (points[0], points[-1])]
            return section.after(_kind_of(engine, axis), engine.known.tool, path)
    return section


def _kind_of(engine: Engine, axis: Axis) -> PassKind:
    """What a stroke along an axis would be, by the operation, else by the tool."""
    operation, tool = engine.known.operation, engine.known.tool
    if operation is not None and operation.feed_axis == axis:
        return operation.kind
    by_tool = _BY_TOOL[axis].get(tool.kind) if tool is not None else None
    return by_tool or ("facing" if axis == "X" else "turning")


_BY_TOOL: dict[Axis, dict[str, PassKind]] = {
    "X": {"grooving": "grooving"},
    "Z": {"boring": "boring", "drill": "drilling"},
}


def _drawn(corners: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """As few corners as a drawing needs."""
    return tuple(simplified(list(corners), DRAWN_MM)) if len(corners) > FEW_CORNERS else corners


def _feed(engine: Engine, operation: Operation, speed: dict[Axis, float]) -> Feed:
    axis, sign = operation.feed_axis, feed_sign(operation)
    left = to_go_mm(engine.place.of(axis), feed_end_mm(operation, engine.known.tool, engine.warm), sign)
    band = reached_band_mm(engine.place.count_mm[axis], 2 * engine.place.noise_mm[axis], 0.0)
    link = engine.doubts.link
    reaction = engine.known.config.machine.reaction_time_s + (link.spread_s if link else 0.0)
    foreseen = forecast(left, sign * speed[axis], band, reaction)
    # With the tool clear of the work it may be wound anywhere: the end matters to the pass under way.
    if not engine.in_pass(axis):
        foreseen = OverrunForecast("none", None, 0.0)
    overrun = Overrun(state=foreseen.state, time_left_s=foreseen.time_left_s, past_mm=foreseen.past_mm)
    return Feed(left, abs(left) <= band + ROUNDING_MM, overrun)


def _plan(engine: Engine, operation: Operation) -> Schedule | None:
    """The schedule from the surface as it is; None where no surface is known."""
    target = engine.warm.size_mm(operation.target_mm)
    surface = _surface(engine, operation)
    if surface is None:
        return None
    axis = operation.held_axis
    band = reached_band_mm(engine.place.count_mm[axis], 2 * engine.place.noise_mm[axis], operation.tolerance_mm)
    # A bore is advanced outwards: the same sums with all signs turned.
    way = -held_sign(operation.kind)
    plan = schedule(way * surface, operation, way * target, band)
    return plan._replace(pass_target_mm=way * plan.pass_target_mm)


def learned_now(engine: Engine, seen: Sequence[SizeSeen]) -> Learned | None:
    """What sizes say of the next pass; nothing where the datum of the held axis is void.

    It goes by where the slide stood then: readings that are silent for a moment now do not speak against it.
    """
    operation, coming = engine.known.operation, None
    if operation is None or not _holds(engine, operation.held_axis):
        return None
    axis = operation.held_axis
    plan, surface = _plan(engine, operation), _surface(engine, operation)
    if plan is not None and surface is not None:
        band = reached_band_mm(engine.place.count_mm[axis], 2 * engine.place.noise_mm[axis], operation.tolerance_mm)
        coming = Coming(operation, surface, plan.pass_target_mm, plan.passes_left <= 1, band)
    return learned(engine.known, seen, coming, grain(engine, axis))


def _holds(engine: Engine, axis: Axis) -> bool:
    return engine.known.tied(axis) and not engine.doubts.lost_count(axis, engine.known)


def grain(engine: Engine, axis: Axis) -> Grain:
    return Grain(engine.place.count_mm[axis], engine.place.noise_mm[axis])


def _surface(engine: Engine, operation: Operation) -> float | None:
    section, last = engine.section, engine.known.last_pass
    if section is not None:
        return _surface_of(section, operation, engine.place.band_mm)
    if last is not None and last.passed.operation == operation.name:
        return engine.held_of_last_pass()
    return None


def _surface_of(section: Section, operation: Operation, band_mm: float) -> float | None:
    if operation.kind == "facing":
        low, high = sorted((operation.start_mm, operation.end_mm))
        return section.face_at((high + max(low, section.bore_at(min(operation.target_mm, section.front_mm)))) / 2)
    low, high = sorted((operation.start_mm, operation.end_mm))
    if operation.kind == "turning":
        return section.largest_radius(low + band_mm, high - band_mm)
    if operation.kind == "boring":
        return section.smallest_bore(low + band_mm, high - band_mm)
    return None


def _remaining(engine: Engine, operation: Operation, reasons: dict[Axis, tuple[DoubtCode, ...]]) -> Remaining | None:
    axis = operation.held_axis
    if operation.kind == "drilling":
        return None
    position = engine.place.of(axis)
    target = engine.warm.size_mm(operation.target_mm)
    if operation.kind in ("taper", "chamfer"):
        # Where the tool is along the cone, the cone's radius is the size.
        target += (engine.place.z_mm - operation.start_mm) * math.tan(
            math.radians(engine.known.config.compound.angle_deg)
        )
    plan = _plan(engine, operation) or Schedule(target, 1)
    u_mm = engine.place.u_mm(engine.known, axis)
    way = -held_sign(operation.kind)
    return Remaining(
        this_pass=_figure(way * (position - plan.pass_target_mm), u_mm, reasons[axis]),
        total=_figure(way * (position - target), u_mm, reasons[axis]),
        pass_target_mm=plan.pass_target_mm,
        passes_left=plan.passes_left,
    )


def _hold(engine: Engine) -> Hold | None:
    hold = engine.hold
    if hold is None:
        return None
    return Hold(
        state=hold.state,
        axis=hold.axis,
        armed_by=hold.armed_by or hold.clamped_by,
        deviation_mm=hold.deviation_mm,
        worst_mm=hold.worst_mm,
        worst_at_mm=hold.worst_at_mm,
        came_back=hold.came_back,
        warning_mm=hold.limits.warning_mm,
        limit_mm=hold.limits.limit_mm,
        words=_hold_words(engine, hold),
    )


def _hold_words(engine: Engine, hold: HoldWatch) -> str:
    name, units = slide(hold.axis).capitalize(), engine.known.units
    if hold.state in ("warning", "limit") or (hold.state == "watched" and hold.worst_at_mm is not None):
        away = "away from" if hold.worst_mm > 0 else "towards"
        to = "the headstock" if hold.axis == "Z" else "the centre line"
        fed: Axis = "X" if hold.axis == "Z" else "Z"
        where = coordinate(fed, hold.worst_at_mm or 0.0, units)
        back = ", and came back" if hold.came_back else ""
        return f"{name} moved {fine_length(abs(hold.worst_mm), units)} {away} {to} at {where}{back}"
    if hold.armed_by is not None:
        return f"{name} stands still"
    return f"{name} is {'clamped' if hold.clamped_by else 'free'}"


def _spindle(engine: Engine, x_reasons: tuple[DoubtCode, ...]) -> Spindle | None:
    hello = engine.doubts.hello
    if hello is None or not hello.pulses_per_rev:
        return None
    operation = engine.known.operation
    return Spindle(
        rpm=engine.rpm,
        cutting_speed_m_min=None if x_reasons else cutting_speed_m_min(2 * engine.place.x_mm, engine.rpm),
        planned_rpm=operation.planned_rpm if operation else 0.0,
    )


def _cutting(engine: Engine, reasons: dict[Axis, tuple[DoubtCode, ...]]) -> bool | None:
    if engine.section is None or reasons["X"] or reasons["Z"]:
        return None
    return engine.section.touches(engine.place.x_mm, engine.place.z_mm, 0.0)


def _stroke(engine: Engine) -> Stroke | None:
    for axis in AXES:
        points = engine.stroke_of(axis)
        if points and engine.in_pass(axis):
            return Stroke(from_mm=points[0].fed_mm, to_mm=points[-1].fed_mm, held_mm=points[-1].held_mm)
    return None


def _last_pass_holds(engine: Engine) -> bool:
    last = engine.known.last_pass
    return last is not None and all(datum.number < last.number for datum in engine.known.datums.values())


def _situation(
    engine: Engine, planned: NextStep | None, reasons: dict[Axis, tuple[DoubtCode, ...]], feed: Feed | None,
    remaining: Remaining | None,
) -> Situation:  # fmt: skip
    known, operation, link = engine.known, engine.known.operation, engine.doubts.link
    hold = engine.hold
    clear = None
    in_stroke = False
    if operation is not None:
        in_stroke = engine.in_pass(operation.feed_axis)
        position = engine.place.of(operation.feed_axis)
        clear = feed_sign(operation) * (position - engine.warm.size_mm(operation.start_mm))
    return Situation(
        link_live=link is not None and link.condition.value in HEARD and not engine.doubts.stale,
        link_words=link.words if link is not None else "",
        reasons=reasons,
        units=known.units,
        operation=operation,
        stock=known.stock,
        set_up=known.drawing_set_up,
        passes_in_set_up=known.passes_in_set_up,
        answers=known.answers,
        planned=planned,
        turning=engine.turning,
        hold_moved_mm=hold.worst_mm if hold else 0.0,
        hold_stopped=bool(hold and hold.state == "limit"),
        clamped=bool(hold and hold.clamped_by),
        free_skim=engine.free_skim,
        in_stroke=in_stroke,
        to_go_mm=feed.to_go if feed else None,
        reached=bool(feed and feed.reached),
        past_mm=feed.overrun.past_mm if feed else 0.0,
        clear_mm=clear,
        depth_mm=_planned_depth(engine, operation, remaining),
        this_pass_mm=_value(remaining.this_pass) if remaining else None,
        total_mm=_value(remaining.total) if remaining else None,
        passes_left=remaining.passes_left if remaining else 0,
        band_mm=engine.place.band_mm,
    )


def _planned_depth(engine: Engine, operation: Operation | None, remaining: Remaining | None) -> float | None:
    surface = None if operation is None else _surface(engine, operation)
    return None if surface is None or remaining is None else abs(surface - remaining.pass_target_mm)


def _value(figure: Figure) -> float | None:
    return figure.value_mm if figure.good else None


def _alarms(
    engine: Engine, hold: Hold | None, overrun: Overrun, doubts: tuple[Doubt, ...], outside: Outside
) -> tuple[Alarm, ...]:
    alarms: list[Alarm] = []
    units = engine.known.units
    if hold is not None and hold.state == "limit":
        alarms.append(Alarm(code="held_slide_limit", level="danger", words=f"{hold.words}. Stop the feed."))
    elif hold is not None and hold.state == "warning":
        alarms.append(Alarm(code="held_slide_warning", level="warning", words=f"{hold.words}."))
    if overrun.state == "past":
        fed = engine.known.operation.feed_axis if engine.known.operation else "Z"
        past = f"Past the end by {travel(fed, overrun.past_mm, units)}."
        alarms.append(Alarm(code="overrun_past", level="danger", words=past))
    elif overrun.state == "soon":
        alarms.append(Alarm(code="overrun_soon", level="warning", words="Slow down: the end is near."))
    lost = [doubt for doubt in doubts if doubt.code not in ("not_referenced", "no_scale")]
    if lost:
        alarms.append(Alarm(code="doubt", level="danger", words=f"{lost[0].words} {lost[0].do}"))
    if outside.disk_words:
        alarms.append(Alarm(code="disk", level="danger", words=outside.disk_words))
    if outside.display_words:
        alarms.append(Alarm(code="display", level="danger", words=outside.display_words))
    return tuple(alarms)
