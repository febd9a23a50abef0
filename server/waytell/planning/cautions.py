"""What to heed of each step: each caution with its number, the limit, the reason and a way out.

Limits of the trade are common practice without a source, and are marked so here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from waytell.documents.plan import Caution, PlannedPass
from waytell.engine.section import Section
from waytell.planning.jobs import Job
from waytell.planning.loads import BAR_SHARE, Bench, cut_of
from waytell.planning.means import BAR_ROOM_MM, Means, backwards, depth_mm, enters, entrance_mm
from waytell.planning.schedule import deflection_limit_mm, springs, yielding
from waytell.planning.target import SetUpTarget

BAR_REACH = 4.0
"""Diameters that a steel boring bar may stick out (common practice, no source)."""
DEEP_HOLE = 3.0
"""Diameters after which a drill must be drawn back to clear its chips (common practice, no source)."""
BLADE_REACH = 8.0
"""Widths that a parting blade may plunge without being widened (common practice, no source)."""
BLADE_ROOM_MM = 1.0
"""Between a blade and the jaws (common practice, no source)."""

COMMON = (
    Caution(code="common_first", words="Your machine's manual, local rules and a qualified person come first.",
            do="Where they say otherwise than this plan, follow them."),
    Caution(code="common_key", words="A key left in the chuck is thrown when the spindle starts.",
            do="Take it out before anything else, and let go of it only in its place."),
    Caution(code="common_eyes", words="Chips are hot, sharp and fast.",
            do="Guard closed, eyes protected; never touch chips by hand while the spindle turns."),
    Caution(code="common_cloth", words="Gloves, sleeves, hair and jewellery are drawn in.",
            do="Wear none near the spindle."),
    Caution(code="common_spin", words="Work that is held badly flies out.",
            do="Turn the spindle by hand once, then at its slowest with the tool well clear, before any cut."),
    Caution(code="common_numbers", words="Speeds, forces and deflections here are estimates from tables.",
            do="Begin below them, listen and look at the chip, and stop when anything is unusual."),
)  # fmt: skip


class Reckoned(NamedTuple):
    """A job with what the plan found for it."""

    number: int
    job: Job
    means: Means
    passes: tuple[PlannedPass, ...]
    before: Section
    after: Section


def cautions_of_job(one: Reckoned, target: SetUpTarget, bench: Bench) -> Iterator[Caution]:
    """Those of one step."""
    yield from _tool(one)
    yield from _speed(one, bench)
    yield from _deflection(one, bench)
    yield from _reach(one)
    yield from _bar(one)
    yield from _blade(one, target)
    yield from _back(one)
    yield from _tailstock(one, target)


# -- of a step ---------------------------------------------------------------------------------------------------------


def _tool(one: Reckoned) -> Iterator[Caution]:
    if one.means.tool is None:
        size = {"drilling": f" of {one.job.diameter_mm:g} mm", "grooving": f" no wider than {one.job.width_mm:g} mm"}
        what = {"drilling": "drill", "grooving": "grooving tool", "parting": "grooving tool"}
        inside = "boring tool" if one.job.inside else "turning tool"
        name = what.get(one.job.kind, inside) + size.get(one.job.kind, "")
        yield Caution(
            code="no_tool", step=one.number, words=f"{one.job.name}: there is no {name} in the table.",
            do="Enter one under tools; the numbers here are those of an ordinary one.",
        )  # fmt: skip


def _speed(one: Reckoned, bench: Bench) -> Iterator[Caution]:
    speed, machine = one.means.speed, bench.machine
    if speed.limit == "chuck":
        yield Caution(
            code="chuck_speed", step=one.number,
            words=f"{one.job.name}: {speed.words}.",
            do=f"Never run the chuck faster than the {machine.chuck_max_rpm:.0f} turns a minute that are marked on it.",
        )  # fmt: skip
    most = max((each.power_w for each in one.passes), default=0.0)
    if most > machine.motor_power_w * 1.001:
        # Power goes with feed to the power 1 - m_c (Kienzle).
        share = (machine.motor_power_w / most) ** (1 / (1 - min(bench.material.mc.value, 0.9)))
        yield Caution(
            code="power", step=one.number,
            words=f"{one.job.name} wants {most:.0f} W of a motor of {machine.motor_power_w:.0f} W.",
            do=f"Feed no faster than {max(share * one.means.feed_mm_rev, 0.01):.2f} mm a turn, turn more slowly, or "
            "use a narrower tool or a smaller drill first.",
        )  # fmt: skip


def _deflection(one: Reckoned, bench: Bench) -> Iterator[Caution]:
    over = [each for each in one.passes if each.deflection_mm > deflection_limit_mm(one.job, each.role) * 1.01]
    if not over:
        return
    worst = max(over, key=lambda each: each.deflection_mm / deflection_limit_mm(one.job, each.role))
    allowed = deflection_limit_mm(one.job, worst.role)
    rest = " Take a sharp tool with a small nose radius"
    rest += ", a second pass at the same setting, and measure before the last one." if springs(one.job) else "."
    yield Caution(
        code="deflection", step=one.number,
        words=f"{one.job.name}: {yielding(one.job)} gives way {_um(worst.deflection_mm)} micrometres at "
        f"{worst.depth_mm:.2f} mm, {_um(2 * worst.deflection_mm)} on the diameter; {_um(allowed)} are allowed.",
        do=_stiffer(one, bench, worst, allowed) + rest,
    )  # fmt: skip


def _stiffer(one: Reckoned, bench: Bench, worst: PlannedPass, allowed: float) -> str:
    """What would help, with its number."""
    if one.job.inside:
        # A bar bends by the fourth power of its thickness (cantilever).
        thick = one.means.edge.shank_mm or 2 * BAR_SHARE * one.job.target_mm
        wanted = thick * (worst.deflection_mm / allowed) ** 0.25
        if wanted + BAR_ROOM_MM <= entrance_mm(one.job, one.before):
            return f"Use a boring bar {math.ceil(wanted * 10) / 10:g} mm thick or more."
        return "No boring bar of steel that enters is stiff enough: one of carbide bends a third as far."
    if bench.tailstock:
        return "Support it with a steady as well."
    held = cut_of(one.job, one.means, one.after, bench._replace(tailstock=True), worst.depth_mm)
    return f"Support it with the tailstock: then it gives way {_um(held.deflection_mm)} micrometres."


def _um(mm: float) -> str:
    return f"{1000 * mm:.0f}" if mm >= 0.01 else f"{1000 * mm:.1f}"


def _reach(one: Reckoned) -> Iterator[Caution]:
    job, tool, deep = one.job, one.means.tool, depth_mm(one.job)
    if tool is not None and tool.reach_mm and deep > tool.reach_mm:
        yield Caution(
            code="reach", step=one.number,
            words=f"{job.name} is {deep:.4g} mm deep; {tool.name} reaches {tool.reach_mm:g} mm.",
            do=f"Use a tool that reaches {deep:.4g} mm, or make it from both ends.",
        )  # fmt: skip
    if job.kind == "drilling" and deep > DEEP_HOLE * job.diameter_mm:
        yield Caution(
            code="deep_hole", step=one.number,
            words=f"{job.name} is {deep / job.diameter_mm:.1f} diameters deep; chips jam beyond {DEEP_HOLE:g} "
            "(common practice).",
            do=f"Draw the drill back every {job.diameter_mm:g} mm and oil it.",
        )  # fmt: skip


def _bar(one: Reckoned) -> Iterator[Caution]:
    job, tool = one.job, one.means.tool
    if tool is None or not job.inside or not tool.shank_mm:
        return
    room, deep = entrance_mm(job, one.before), depth_mm(job)
    if not enters(job, tool, one.before):
        yield Caution(
            code="bar_fit", step=one.number,
            words=f"{job.name}: {tool.name} is {tool.shank_mm:g} mm thick and has to enter {room:.2f} mm.",
            do=f"Use a bar {max(0.0, room - BAR_ROOM_MM):.1f} mm thick or less (common practice), or "
            f"{'a countersink' if job.kind == 'chamfer' else 'drill wider'}.",
        )  # fmt: skip
    if job.kind == "boring" and deep > BAR_REACH * tool.shank_mm:
        yield Caution(
            code="bar_reach", step=one.number,
            words=f"{job.name}: a bar {tool.shank_mm:g} mm thick sticks out {deep / tool.shank_mm:.1f} diameters; "
            f"{BAR_REACH:g} is the usual limit (common practice).",
            do=f"Use a bar {math.ceil(10 * deep / BAR_REACH) / 10:g} mm thick if it enters, else take lighter cuts and "
            "expect a taper.",
        )  # fmt: skip


def _blade(one: Reckoned, target: SetUpTarget) -> Iterator[Caution]:
    job, width = one.job, one.means.edge.width_mm
    if job.kind not in ("grooving", "parting"):
        return
    deep = depth_mm(job)
    if deep > BLADE_REACH * width:
        yield Caution(
            code="blade_reach", step=one.number,
            words=f"{job.name}: a blade {width:g} mm wide plunges {deep:.4g} mm, {deep / width:.1f} widths; beyond "
            f"{BLADE_REACH:g} it tends to jam (common practice).",
            do=f"Beyond {BLADE_REACH * width:g} mm plunge beside the cut as well to widen it, keep it oiled, or saw "
            "the rest with the spindle stopped.",
        )  # fmt: skip
    room = target.out_mm - (width - job.target_mm)
    if job.kind == "parting" and room < BLADE_ROOM_MM:
        yield Caution(
            code="blade_jaws", step=one.number,
            words=f"{job.name}: a blade {width:g} mm wide comes within {room:.2f} mm of the jaws.",
            do=f"Let {BLADE_ROOM_MM - room:.1f} mm more of the bar stand out, or use a narrower blade.",
        )  # fmt: skip


def _back(one: Reckoned) -> Iterator[Caution]:
    """A cone that grows thinner towards the headstock, against the flank behind the point."""
    job, edge = one.job, one.means.edge
    if not backwards(job) or edge.hand == "left":
        return
    falls, free = math.degrees(math.atan(job.slope)), 180.0 - edge.approach_angle_deg - edge.point_angle_deg
    if falls > free:
        yield Caution(
            code="back_taper", step=one.number,
            words=f"{job.name} grows thinner towards the headstock by {falls:.1f} degrees; behind its point the tool "
            f"is clear by {max(0.0, free):.1f} only.",
            do=f"Use a left-hand tool, or one that is clear by more than {falls:.1f} degrees.",
        )  # fmt: skip


def _tailstock(one: Reckoned, target: SetUpTarget) -> Iterator[Caution]:
    if not target.tailstock:
        return
    if one.job.kind == "facing" and one.job.end_mm < 3.0:
        yield Caution(
            code="tailstock_face", step=one.number,
            words=f"{one.job.name}: the centre in the tailstock is in the way of facing to the middle.",
            do="Face and centre-drill first without it, or face only to the rim of the centre hole with a half centre.",
        )  # fmt: skip
    if one.job.kind in ("drilling", "boring"):
        yield Caution(
            code="tailstock_hole", step=one.number,
            words=f"{one.job.name}: the tailstock holds the work and cannot drill it.",
            do="Make the hole in a set-up without the tailstock, or support the work with a steady.",
        )  # fmt: skip
