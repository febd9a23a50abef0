"""The jobs of a set-up in workable order: what is cut from where to where, to which size, and why then.

Facing comes first, as the reference for all lengths; then the outside is roughed from large to small, while the work
is stiffest; then holes, small to large, and bores; then the outside is finished; cones, grooves and chamfers follow,
and parting off is last (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from waytell.documents.base import PassKind
from waytell.documents.part import Bore, Chamfer, Face, Groove, Hole, Part, PartOff, Taper, Turned
from waytell.documents.plan import Limits
from waytell.engine.section import Section
from waytell.planning.sizes import limits_of
from waytell.planning.target import Numbered, SetUpTarget, aimed_end_mm, aimed_radius_mm, chamfer_line, shaped

FINISH_MM = 0.1
"""Left for the finishing pass, as a radius or a length (common practice, no source)."""
SHOULDER_MM = 0.1
"""Roughing stops so far short of a shoulder, and finishing faces it (common practice, no source)."""
SKIM_MM = 0.3
LOOK_MM = 0.01
"""To look at metal just beside a place."""
PILOT_FROM_MM = 10.0
"""A drill as thick wants a smaller one before it: its web does not cut, and a small motor stalls (common practice)."""
PILOT_SHARES = (0.3, 0.65)
"""The smaller one: thicker than the web, and little more than half of the hole (common practice, no source)."""
LONGEST_NAME = 60

Stage = Literal["rough", "finish", "only"]


class Job(NamedTuple):
    set_up: int
    kind: PassKind
    stage: Stage
    features: tuple[int, ...]
    name: str
    """As the operation is called: at most 60 letters, different for each job of the part."""
    start_mm: float
    end_mm: float
    """On the feed axis: X as a radius, or Z."""
    target_mm: float
    """On the held axis."""
    limits: Limits | None
    """Of the size that it brings about; roughing brings about none."""
    why: str
    slope: float = 0.0
    """Of a cone: growth of the radius for each mm along Z."""
    diameter_mm: float = 0.0
    """Of a drill."""
    begins: bool = False
    """The first drill into the face, which wants a centre to begin in."""
    width_mm: float = 0.0
    """Of a groove."""
    sawn_mm: float = 0.0
    """How far a sawn end stands in front of the face; it is skimmed first."""

    @property
    def inside(self) -> bool:
        """Whether it is cut from the inside, the held axis advancing outwards."""
        return self.kind == "boring" or (self.kind == "chamfer" and self.slope > 0)


def jobs_of(part: Part, target: SetUpTarget, drills_mm: Sequence[float] = ()) -> list[Job]:
    """Those of one set-up; `drills_mm` are the diameters there are to drill large holes with first.

    Raises:
        ValueError: a size is not covered by the tables.
    """
    maker = _Maker(part, target, drills_mm)
    return named_apart([
        *maker.facing(), *maker.roughing(), *maker.holes(), *maker.boring(), *maker.finishing(), *maker.cones(),
        *maker.grooves(), *maker.chamfers(), *maker.parting(),
    ])  # fmt: skip


def named_apart(jobs: list[Job]) -> list[Job]:
    """Two of the same name are numbered: a pass is known by the name of its operation."""
    taken: set[str] = set()
    apart = []
    for job in jobs:
        name, number = job.name, 1
        while name in taken:
            number += 1
            ending = f" ({number})"
            name = job.name[: LONGEST_NAME - len(ending)] + ending
        taken.add(name)
        apart.append(job._replace(name=name))
    return apart


class _Maker:
    def __init__(self, part: Part, target: SetUpTarget, drills_mm: Sequence[float]) -> None:
        self._part, self._set_up, self._target, self._drills_mm = part, target.number, target, drills_mm
        stock = target.stock
        self._bar_mm = stock.largest_radius(stock.chuck_mm, stock.front_mm)
        self._end_mm = stock.largest_radius(-LOOK_MM, max(stock.front_mm, 0.0))
        self._hollow_mm = stock.bore_at(0.0)
        self._bare = stock
        for one in target.features:
            if not isinstance(one.feature, Chamfer):
                self._bare = shaped(part, self._bare, one.feature)
        self._of = {
            kind: [one for one in target.features if isinstance(one.feature, kind)]
            for kind in (Face, Turned, Taper, Hole, Bore, Groove, Chamfer, PartOff)
        }

    def _job(self, kind: PassKind, stage: Stage, one: Numbered, words: str, **values: object) -> Job:
        before = "" if self._set_up == 1 else "turned round: "
        return Job(self._set_up, kind, stage, (one.number,), f"{before}{words}"[:LONGEST_NAME], **values)  # type: ignore[arg-type]

    def _limits(self, size: object) -> Limits:
        return limits_of(size, self._part.general_tolerance)  # type: ignore[arg-type]

    def facing(self) -> Iterator[Job]:
        for one in self._of[Face]:
            face = one.feature
            assert isinstance(face, Face)
            limits = self._limits(face.length) if face.length is not None else None
            why = (
                "First, as the reference for all lengths." if self._set_up == 1
                else "First: it brings the part to its length."
            )  # fmt: skip
            sawn = self._target.stock.front_mm if self._set_up == 1 else 0.0
            yield self._job("facing", "only", one, "face", start_mm=self._end_mm, end_mm=self._hollow_mm, target_mm=0.0,
                            limits=limits, why=why, sawn_mm=sawn)  # fmt: skip

    # -- outside ---------------------------------------------------------------------------------------------------

    def _outside(self) -> list[tuple[Numbered, float, float]]:
        """Turned diameters and cones with radius and end of what is turned for them, large to small, long to short."""
        found: list[tuple[Numbered, float, float]] = []
        for one in (*self._of[Turned], *self._of[Taper]):
            feature = one.feature
            if isinstance(feature, Turned):
                found.append((one, aimed_radius_mm(self._part, feature), aimed_end_mm(self._part, feature)))
            elif isinstance(feature, Taper):
                # A cone is cut from the cylinder that holds it.
                radius = max(aimed_radius_mm(self._part, feature), feature.end_diameter_mm / 2)
                found.append((one, radius, feature.to_mm))
        return sorted(found, key=lambda each: (-each[1], -each[2]))

    def roughing(self) -> Iterator[Job]:
        before = self._bar_mm
        for one, radius, end in self._outside():
            cone = isinstance(one.feature, Taper)
            rough = radius + FINISH_MM
            before = min(before, self._target.stock.largest_radius(-end, 0.0))
            # What is left is no more than a finishing pass or two: roughing would take nothing worth its time.
            if before - rough < FINISH_MM / 2:
                continue
            why = "Roughed from large to small, while the work is stiffest."
            shoulder = end if cone else end - min(SHOULDER_MM, end / 2)
            yield self._job("turning", "rough", one, f"rough to {2 * rough:.2f}", start_mm=0.0, end_mm=-shoulder,
                            target_mm=rough, limits=None, why=why)  # fmt: skip
            before = rough

    def finishing(self) -> Iterator[Job]:
        outside = self._outside()
        for one, radius, end in outside:
            feature = one.feature
            if not isinstance(feature, Turned):
                continue
            # What smaller diameters in front of it reach to is not there any more.
            start = max([feature.from_mm, *(e for _, r, e in outside if r < radius and e < end)])
            name = f"turn {feature.diameter.mm:g} to {feature.to.mm:g}"
            yield self._job("turning", "finish", one, name, start_mm=0.0 - start, end_mm=-end, target_mm=radius,
                            limits=self._limits(feature.diameter),
                            why="Finished when the heavy cuts are done, and the work is cool.")  # fmt: skip

    def cones(self) -> Iterator[Job]:
        for one in self._of[Taper]:
            feature = one.feature
            assert isinstance(feature, Taper)
            first = aimed_radius_mm(self._part, feature)
            slope = (first - feature.end_diameter_mm / 2) / (feature.to_mm - feature.from_mm)
            name = f"taper from {feature.diameter.mm:g} to {feature.to_mm:g}"
            yield self._job("taper", "only", one, name, start_mm=0.0 - feature.from_mm, end_mm=-feature.to_mm,
                            target_mm=first, limits=self._limits(feature.diameter), slope=slope,
                            why="After the diameters, from which it is measured.")  # fmt: skip

    def grooves(self) -> Iterator[Job]:
        for one in self._of[Groove]:
            feature = one.feature
            assert isinstance(feature, Groove)
            radius = aimed_radius_mm(self._part, feature)
            top = max(self._without(one).largest_radius(-feature.to_mm, -feature.from_mm), radius + FINISH_MM)
            yield self._job("grooving", "only", one, f"groove at {feature.to_mm:g}", start_mm=top, end_mm=radius,
                            target_mm=-feature.to_mm, limits=self._limits(feature.diameter),
                            width_mm=feature.to_mm - feature.from_mm,
                            why="After the outside is finished, so that its edges are clean.")  # fmt: skip

    def _without(self, left_out: Numbered) -> Section:
        section = self._target.stock
        for one in self._target.features:
            if one is not left_out and not isinstance(one.feature, Chamfer):
                section = shaped(self._part, section, one.feature)
        return section

    # -- inside ----------------------------------------------------------------------------------------------------

    def holes(self) -> Iterator[Job]:
        holes = [one for one in self._of[Hole] if isinstance(one.feature, Hole)]
        drilled: list[Hole] = []
        for one in sorted(holes, key=lambda each: each.feature.diameter_mm):  # type: ignore[union-attr]
            feature = one.feature
            assert isinstance(feature, Hole)
            pilot = self._pilot_mm(feature, drilled)
            why = "After roughing, while there is metal around it."
            begins = not drilled and self._hollow_mm <= 0
            if pilot:
                yield self._hole(one, feature, pilot, f"drill {pilot:g} to {feature.to_mm:g} first",
                                 f"A drill of {feature.diameter_mm:g} mm does not cut at its middle.", begins=begins,
                                 )  # fmt: skip
            if pilot or drilled:
                why = "Opened up from small to large."
            yield self._hole(one, feature, feature.diameter_mm,
                             f"drill {feature.diameter_mm:g} to {feature.to_mm:g}", why,
                             begins=begins and not pilot)  # fmt: skip
            drilled.append(feature)

    def _hole(self, one: Numbered, feature: Hole, diameter_mm: float, name: str, why: str, *, begins: bool) -> Job:
        return self._job("drilling", "only", one, name, start_mm=0.0, end_mm=-feature.to_mm, target_mm=diameter_mm / 2,
                         limits=None, diameter_mm=diameter_mm, why=why, begins=begins)  # fmt: skip

    def _pilot_mm(self, hole: Hole, drilled: Sequence[Hole]) -> float:
        """The drill that goes before a thick one: of the table, else half as thick; 0 where the way is open already."""
        least, most = (share * hole.diameter_mm for share in PILOT_SHARES)
        opened = max((2 * self._hollow_mm, *(one.diameter_mm for one in drilled if one.to_mm >= hole.to_mm)))
        if hole.diameter_mm < PILOT_FROM_MM or opened >= least:
            return 0.0
        fitting = [one for one in self._drills_mm if least <= one <= most]
        return min(fitting, key=lambda one: abs(one - hole.diameter_mm / 2), default=round(hole.diameter_mm / 2, 1))

    def boring(self) -> Iterator[Job]:
        bores = sorted(
            ((one, aimed_radius_mm(self._part, one.feature), aimed_end_mm(self._part, one.feature))
             for one in self._of[Bore] if isinstance(one.feature, Bore)), key=lambda each: each[1],
        )  # fmt: skip
        section = self._target.stock
        for one in self._of[Hole]:
            section = shaped(self._part, section, one.feature)
        for one, radius, end in bores:
            # As outside: what a finishing pass or two takes off needs no roughing.
            if radius - FINISH_MM - section.smallest_bore(-end, 0.0) >= FINISH_MM / 2:
                yield self._job("boring", "rough", one, f"rough bore to {2 * (radius - FINISH_MM):.2f}", start_mm=0.0,
                                end_mm=-(end - min(SHOULDER_MM, end / 2)), target_mm=radius - FINISH_MM, limits=None,
                                why="Opened up small to large.")  # fmt: skip
            section = shaped(self._part, section, one.feature)
        for one, radius, end in bores:
            feature = one.feature
            assert isinstance(feature, Bore)
            start = max((e for _, r, e in bores if r > radius and e < end), default=0.0)
            yield self._job("boring", "finish", one, f"bore {feature.diameter.mm:g} to {feature.to.mm:g}",
                            start_mm=0.0 - start, end_mm=-end, target_mm=radius, limits=self._limits(feature.diameter),
                            why="Before the outside is finished: thin walls come last.")  # fmt: skip

    # -- last ------------------------------------------------------------------------------------------------------

    def chamfers(self) -> Iterator[Job]:
        for one in self._of[Chamfer]:
            feature = one.feature
            assert isinstance(feature, Chamfer)
            (low, inner), (high, outer) = chamfer_line(self._part, self._bare, feature)
            where = "" if feature.where == "outside" else " inside"
            yield self._job("chamfer", "only", one, f"chamfer {feature.size_mm:g}{where} at {feature.at_mm:g}",
                            start_mm=0.0 + high, end_mm=low, target_mm=outer, limits=None,
                            slope=(outer - inner) / (high - low),
                            why="Edges are broken when the surfaces that meet there are finished.")  # fmt: skip

    def parting(self) -> Iterator[Job]:
        for one in self._of[PartOff]:
            feature = one.feature
            assert isinstance(feature, PartOff)
            z = -feature.at_mm
            section = self._target.target
            # The blade stands behind the end of the part, and may meet the bar there.
            outside = max(section.radius_at(z + LOOK_MM), section.radius_at(z - LOOK_MM))
            yield self._job("parting", "only", one, f"part off at {feature.at_mm:g}",
                            start_mm=outside, end_mm=section.bore_at(z), target_mm=z, limits=None,
                            why="Last: nothing holds the part after it.")  # fmt: skip
