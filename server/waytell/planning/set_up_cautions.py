"""What to heed of the work as it is held: each caution with its number, the limit, the reason and a way out."""

from __future__ import annotations

from collections.abc import Iterator

from waytell.documents.config import Machine
from waytell.documents.part import Bore, Groove, Hole, Part, Taper, Turned
from waytell.documents.plan import Caution
from waytell.planning.cautions import Reckoned
from waytell.planning.loads import Bench
from waytell.planning.schedule import DONE_MM, depth_of_share
from waytell.planning.target import LEAST_GRIP_MM, SetUpTarget

STICK_OUT = 3.0
"""Diameters out of the chuck without support (common practice, no source)."""
THIN_WALL_SHARE, THIN_WALL_MM = 0.08, 1.0
"""A thinner wall, as a share of the diameter or in mm, springs under the jaws and the tool (common practice)."""


def cautions_of_set_up(part: Part, target: SetUpTarget, found: list[Reckoned], bench: Bench) -> Iterator[Caution]:
    """Those of the work as it is held."""
    yield from _stick_out(target, found, bench)
    yield from _machine(part, target, bench.machine)
    yield from _walls(target)
    if target.grip_mm < LEAST_GRIP_MM:
        yield Caution(
            code="short_grip", words=f"The jaws hold only {target.grip_mm:.1f} mm in set-up {target.number}; "
            f"{LEAST_GRIP_MM:g} mm is little already (common practice).",
            do=f"{_longer_grip(target)}se soft jaws or a mandrel, and take light cuts.",
        )  # fmt: skip
    if not any(one.job.kind == "facing" for one in found):
        yield Caution(
            code="no_face", words=f"Set-up {target.number} has no facing, so lengths have no clean reference.",
            do="Add a face, or touch off on an end that is clean and square already.",
        )  # fmt: skip


def _longer_grip(target: SetUpTarget) -> str:
    most = target.out_mm + target.grip_mm - LEAST_GRIP_MM
    return f"Let no more than {most:.1f} mm stand out, u" if most > 0 else "U"


def _stick_out(target: SetUpTarget, found: list[Reckoned], bench: Bench) -> Iterator[Caution]:
    if target.tailstock:
        return
    diameter = 2 * target.target.radius_at(target.target.chuck_mm + DONE_MM)
    share = target.out_mm / diameter
    if share <= STICK_OUT:
        return
    lighter = f", or take {gentle:.2f} mm or less" if (gentle := _gentle_mm(found, bench, share)) is not None else ""
    yield Caution(
        code="stick_out",
        words=f"Set-up {target.number}: stick-out {share:.1f} D ({target.out_mm:g} mm of {diameter:.4g} mm) without "
        f"support, over {STICK_OUT:g} D (common practice): chatter likely.",
        do=f"Use the tailstock, let only {STICK_OUT * diameter:.0f} mm stand out{lighter}.",
    )  # fmt: skip


def _gentle_mm(found: list[Reckoned], bench: Bench, share: float) -> float | None:
    """The depth that bends the work no more than the planned one would at the usual stick-out.

    Bending grows with the third power of the length (cantilever), so the push has to be so much smaller.
    """
    cuts = [(one, each.depth_mm) for one in found if one.job.kind == "turning" for each in one.passes]
    if not cuts:
        return None
    one, deepest = max(cuts, key=lambda cut: cut[1])
    return depth_of_share(one.means, bench.material, deepest, (STICK_OUT / share) ** 3)


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
