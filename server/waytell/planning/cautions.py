"""What to heed: each caution with its number, the limit, the reason and a way out.

Limits of the trade are common practice without a source, and are marked so here.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from waytell.documents.config import Machine
from waytell.documents.part import Bore, Groove, Hole, Part, Taper, Turned
from waytell.documents.plan import Caution, PlannedPass
from waytell.engine.section import Section
from waytell.planning.jobs import Job
from waytell.planning.means import Means
from waytell.planning.schedule import DONE_MM, deflection_limit_mm, springs
from waytell.planning.target import LEAST_GRIP_MM, SetUpTarget

STICK_OUT = 3.0
"""Diameters out of the chuck without support (common practice, no source)."""
THIN_WALL_SHARE, THIN_WALL_MM = 0.08, 1.0
"""A thinner wall, as a share of the diameter or in mm, springs under the jaws and the tool (common practice)."""
BAR_REACH = 4.0
"""Diameters that a steel boring bar may stick out (common practice, no source)."""
DEEP_HOLE = 3.0
"""Diameters after which a drill must be drawn back to clear its chips (common practice, no source)."""
BLADE_REACH = 8.0
"""Widths that a parting blade may plunge without being widened (common practice, no source)."""

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


def cautions_of_job(one: Reckoned, target: SetUpTarget, machine: Machine) -> Iterator[Caution]:
    """Those of one step."""
    yield from _tool(one)
    yield from _speed(one, machine)
    yield from _deflection(one)
    yield from _reach(one)
    yield from _tailstock(one, target)


def cautions_of_set_up(part: Part, target: SetUpTarget, found: list[Reckoned], machine: Machine) -> Iterator[Caution]:
    """Those of the work as it is held."""
    yield from _stick_out(target, found)
    yield from _machine(part, target, machine)
    yield from _walls(target)
    if target.grip_mm < LEAST_GRIP_MM:
        yield Caution(
            code="short_grip", words=f"The jaws hold only {target.grip_mm:.1f} mm in set-up {target.number}; "
            f"{LEAST_GRIP_MM:g} mm is little already (common practice).",
            do="Let less stand out, use soft jaws or a mandrel, and take light cuts.",
        )  # fmt: skip
    if not any(one.job.kind == "facing" for one in found):
        yield Caution(
            code="no_face", words=f"Set-up {target.number} has no facing, so lengths have no clean reference.",
            do="Add a face, or touch off on an end that is clean and square already.",
        )  # fmt: skip


# -- of a step ---------------------------------------------------------------------------------------------------------


def _tool(one: Reckoned) -> Iterator[Caution]:
    if one.means.tool is None:
        size = {"drilling": f" of {one.job.diameter_mm:g} mm", "grooving": f" no wider than {one.job.width_mm:g} mm"}
        what = {"drilling": "drill", "grooving": "grooving tool", "parting": "grooving tool", "boring": "boring tool"}
        name = what.get(one.job.kind, "turning tool") + size.get(one.job.kind, "")
        yield Caution(
            code="no_tool", step=one.number, words=f"{one.job.name}: there is no {name} in the table.",
            do="Enter one under tools; the numbers here are those of an ordinary one.",
        )  # fmt: skip


def _speed(one: Reckoned, machine: Machine) -> Iterator[Caution]:
    speed = one.means.speed
    if speed.limit == "chuck":
        yield Caution(
            code="chuck_speed", step=one.number,
            words=f"{one.job.name}: {speed.words}",
            do=f"Never run the chuck faster than the {machine.chuck_max_rpm:.0f} turns a minute that are marked on it.",
        )  # fmt: skip
    if one.passes and max(each.power_w for each in one.passes) > machine.motor_power_w:
        most = max(each.power_w for each in one.passes)
        yield Caution(
            code="power", step=one.number,
            words=f"{one.job.name} wants {most:.0f} W of a motor of {machine.motor_power_w:.0f} W.",
            do="Feed more slowly, or use a narrower tool or a smaller drill first.",
        )  # fmt: skip


def _deflection(one: Reckoned) -> Iterator[Caution]:
    deepest = max((each.deflection_mm for each in one.passes), default=0.0)
    allowed = deflection_limit_mm(one.job)
    if deepest > allowed * 1.01:
        limited = max(one.passes, key=lambda each: each.deflection_mm)
        way = " and a spring pass at the same setting" if springs(one.job) else ""
        inside = one.job.kind == "boring"
        what, support = (
            ("the boring bar", "Use a thicker bar") if inside else ("the work", "Support it with the tailstock")
        )
        yield Caution(
            code="deflection", step=one.number,
            words=f"{one.job.name}: {what} gives way {deepest * 1000:.0f} micrometres at {limited.depth_mm:.2f} mm, "
            f"{2 * deepest * 1000:.0f} on the diameter; {allowed * 1000:.0f} are allowed.",
            do=f"{support}, take a sharp tool with a small nose radius, a lighter last cut{way}, "
            "and measure before the last pass.",
        )  # fmt: skip


def _reach(one: Reckoned) -> Iterator[Caution]:
    job, edge, tool = one.job, one.means.edge, one.means.tool
    deep = abs(job.end_mm - job.start_mm)
    if tool is not None and tool.reach_mm and deep > tool.reach_mm:
        yield Caution(
            code="reach", step=one.number,
            words=f"{job.name} is {deep:g} mm deep; {tool.name} reaches {tool.reach_mm:g} mm.",
            do="Use a longer tool, or make it from both ends.",
        )  # fmt: skip
    if job.kind == "boring" and edge.shank_mm and deep > BAR_REACH * edge.shank_mm:
        yield Caution(
            code="bar_reach", step=one.number,
            words=f"{job.name}: a bar {edge.shank_mm:g} mm thick sticks out {deep / edge.shank_mm:.1f} diameters; "
            f"{BAR_REACH:g} is the usual limit (common practice).",
            do="Use a thicker bar, take lighter cuts, and expect a taper.",
        )  # fmt: skip
    if job.kind == "drilling" and deep > DEEP_HOLE * job.diameter_mm:
        yield Caution(
            code="deep_hole", step=one.number,
            words=f"{job.name} is {deep / job.diameter_mm:.1f} diameters deep; chips jam beyond {DEEP_HOLE:g} "
            "(common practice).",
            do=f"Draw the drill back every {job.diameter_mm:g} mm and oil it.",
        )  # fmt: skip
    if job.kind in ("grooving", "parting") and edge.width_mm and deep > BLADE_REACH * edge.width_mm:
        yield Caution(
            code="blade_reach", step=one.number,
            words=f"{job.name}: a blade {edge.width_mm:g} mm wide plunges {deep:g} mm, {deep / edge.width_mm:.1f} "
            f"widths; beyond {BLADE_REACH:g} it tends to jam (common practice).",
            do="Plunge beside the cut as well to widen it, keep it oiled, or saw the rest with the spindle stopped.",
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


# -- of a set-up -------------------------------------------------------------------------------------------------------


def _stick_out(target: SetUpTarget, found: list[Reckoned]) -> Iterator[Caution]:
    if target.tailstock:
        return
    diameter = 2 * target.target.radius_at(target.target.chuck_mm + DONE_MM)
    share = target.out_mm / diameter
    if share <= STICK_OUT:
        return
    deepest = max((each.depth_mm for one in found if one.job.kind == "turning" for each in one.passes), default=0.0)
    # Bending grows with the third power of the length (cantilever), so the same push comes from so much less depth.
    gentle = deepest * (STICK_OUT / share) ** 3
    lighter = f" or take {max(gentle, 0.02):.2f} mm or less" if deepest else ""
    yield Caution(
        code="stick_out",
        words=f"Set-up {target.number}: stick-out {share:.1f} D ({target.out_mm:g} mm of {diameter:g} mm) without "
        f"support, over {STICK_OUT:g} D (common practice): chatter likely.",
        do=f"Use the tailstock, let only {STICK_OUT * diameter:.0f} mm stand out,{lighter}.".replace(",.", "."),
    )  # fmt: skip


def _machine(part: Part, target: SetUpTarget, machine: Machine) -> Iterator[Caution]:
    bar = part.bar.diameter_mm
    if bar > machine.swing_mm:
        yield Caution(code="swing", words=f"The bar is {bar:g} mm across; the lathe swings {machine.swing_mm:g} mm.",
                      do="Use a larger lathe.")  # fmt: skip
    if bar > machine.chuck_diameter_mm / 2:
        yield Caution(
            code="chuck_size",
            words=f"The bar is {bar:g} mm across, more than half the chuck's {machine.chuck_diameter_mm:g} mm.",
            do="Draw the jaws out no further than the chuck's manual allows: use the outside jaws.",
        )  # fmt: skip
    if target.out_mm + target.stock.front_mm > machine.carriage_travel_mm:
        yield Caution(
            code="travel",
            words=f"{target.out_mm:g} mm stand out; the carriage travels {machine.carriage_travel_mm:g} mm.",
            do="Turn it in two set-ups.",
        )  # fmt: skip
    if bar / 2 > machine.cross_travel_mm:
        yield Caution(
            code="travel", words=f"The radius {bar / 2:g} mm is more than the {machine.cross_travel_mm:g} mm that the "
            "cross-slide travels.", do="Move the tool in its holder between cuts.",
        )  # fmt: skip


def _walls(target: SetUpTarget) -> Iterator[Caution]:
    thin: tuple[float, float, float] | None = None
    section = target.target
    for one in target.features:
        if not isinstance(one.feature, Turned | Bore | Hole | Groove | Taper):
            continue
        end = one.feature.to.mm if isinstance(one.feature, Turned | Bore) else one.feature.to_mm
        for z in (-end + DONE_MM, -getattr(one.feature, "from_mm", 0.0) - DONE_MM):
            radius, bore = section.radius_at(z), section.bore_at(z)
            if bore > 0 and radius > bore and (thin is None or radius - bore < thin[0]):
                thin = (radius - bore, 2 * radius, z)
    if thin is None or thin[0] >= max(THIN_WALL_MM, THIN_WALL_SHARE * thin[1]):
        return
    wall, diameter, z = thin
    yield Caution(
        code="thin_wall",
        words=f"The wall is {wall:.2f} mm thick at {-z:.1f} mm from the face, on {diameter:.1f} mm; under "
        f"{max(THIN_WALL_MM, THIN_WALL_SHARE * diameter):.1f} mm it springs (common practice).",
        do="Bore before the outside is finished, ease the jaws, take light cuts, and measure when it is cool and free.",
    )  # fmt: skip
