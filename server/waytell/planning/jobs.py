"""The jobs of a set-up in workable order: what is cut from where to where, to which size, and why then.

Facing comes first, as the reference for all lengths; then the outside is roughed from large to small, while the work
is stiffest; then holes and bores; then the outside is finished; cones, grooves and chamfers follow, and parting off is
last (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, NamedTuple

from waytell.documents.base import PassKind
from waytell.documents.part import Bore, Chamfer, Face, Groove, Hole, Part, PartOff, Taper, Turned
from waytell.documents.plan import Limits
from waytell.planning.sizes import limits_of
from waytell.planning.target import Numbered, SetUpTarget, aimed_end_mm, aimed_radius_mm, chamfer_line, shaped

FINISH_MM = 0.1
"""Left for the finishing pass, as a radius or a length (common practice, no source)."""
SHOULDER_MM = 0.1
"""Roughing stops so far short of a shoulder, and finishing faces it (common practice, no source)."""
SKIM_MM = 0.3

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
    width_mm: float = 0.0
    """Of a groove."""


def jobs_of(part: Part, target: SetUpTarget) -> list[Job]:
    """Those of one set-up.

    Raises:
        ValueError: a size is not covered by the tables.
    """
    maker = _Maker(part, target)
    return [
        *maker.facing(), *maker.roughing(), *maker.holes(), *maker.boring(), *maker.finishing(), *maker.cones(),
        *maker.grooves(), *maker.chamfers(), *maker.parting(),
    ]  # fmt: skip


class _Maker:
    def __init__(self, part: Part, target: SetUpTarget) -> None:
        self._part, self._set_up, self._target = part, target.number, target
        self._bar_mm = target.stock.largest_radius(target.stock.chuck_mm, target.stock.front_mm)
        self._hollow_mm = target.stock.bore_at(0.0)
        self._of = {
            kind: [one for one in target.features if isinstance(one.feature, kind)]
            for kind in (Face, Turned, Taper, Hole, Bore, Groove, Chamfer, PartOff)
        }

    def _job(self, kind: PassKind, stage: Stage, one: Numbered, words: str, **values: object) -> Job:
        before = "" if self._set_up == 1 else "2: "
        return Job(self._set_up, kind, stage, (one.number,), f"{before}{words}"[:60], **values)  # type: ignore[arg-type]

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
            yield self._job("facing", "only", one, "face", start_mm=self._bar_mm, end_mm=self._hollow_mm, target_mm=0.0,
                            limits=limits, why=why)  # fmt: skip

    # -- outside ---------------------------------------------------------------------------------------------------

    def _outside(self) -> list[tuple[Numbered, float, float]]:
        """Turned diameters and cones with radius and end of what is turned for them, large to small."""
        found: list[tuple[Numbered, float, float]] = []
        for one in (*self._of[Turned], *self._of[Taper]):
            feature = one.feature
            if isinstance(feature, Turned):
                found.append((one, aimed_radius_mm(self._part, feature), aimed_end_mm(self._part, feature)))
            elif isinstance(feature, Taper):
                # A cone is cut from the cylinder that holds it.
                radius = max(aimed_radius_mm(self._part, feature), feature.end_diameter_mm / 2)
                found.append((one, radius, feature.to_mm))
        return sorted(found, key=lambda each: -each[1])

    def roughing(self) -> Iterator[Job]:
        before = self._bar_mm
        for one, radius, end in self._outside():
            cone = isinstance(one.feature, Taper)
            rough = radius if cone else radius + FINISH_MM
            # What is left is no more than a finishing pass or two: roughing would take nothing worth its time.
            if before - rough < FINISH_MM / 2:
                continue
            why = "Roughed from large to small, while the work is stiffest."
            shoulder = end if cone else end - SHOULDER_MM
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
            yield self._job("turning", "finish", one, name, start_mm=-start, end_mm=-end, target_mm=radius,
                            limits=self._limits(feature.diameter),
                            why="Finished when the heavy cuts are done, and the work is cool.")  # fmt: skip

    def cones(self) -> Iterator[Job]:
        for one in self._of[Taper]:
            feature = one.feature
            assert isinstance(feature, Taper)
            first = aimed_radius_mm(self._part, feature)
            slope = (first - feature.end_diameter_mm / 2) / (feature.to_mm - feature.from_mm)
            yield self._job("taper", "only", one, f"taper from {feature.diameter.mm:g}", start_mm=-feature.from_mm,
                            end_mm=-feature.to_mm, target_mm=first, limits=self._limits(feature.diameter), slope=slope,
                            why="After the diameters, from which it is measured.")  # fmt: skip

    def grooves(self) -> Iterator[Job]:
        for one in self._of[Groove]:
            feature = one.feature
            assert isinstance(feature, Groove)
            radius = aimed_radius_mm(self._part, feature)
            top = max(self._target.target.largest_radius(-feature.from_mm, 0.0), radius + FINISH_MM)
            top = max(top, max((r for _, r, e in self._outside() if e >= feature.to_mm), default=self._bar_mm))
            yield self._job("grooving", "only", one, f"groove at {feature.to_mm:g}", start_mm=top, end_mm=radius,
                            target_mm=-feature.to_mm, limits=self._limits(feature.diameter),
                            width_mm=feature.to_mm - feature.from_mm,
                            why="After the outside is finished, so that its edges are clean.")  # fmt: skip

    # -- inside ----------------------------------------------------------------------------------------------------

    def holes(self) -> Iterator[Job]:
        holes = [one for one in self._of[Hole] if isinstance(one.feature, Hole)]
        for one in sorted(holes, key=lambda each: each.feature.diameter_mm):  # type: ignore[union-attr]
            feature = one.feature
            assert isinstance(feature, Hole)
            name = f"drill {feature.diameter_mm:g} to {feature.to_mm:g}"
            yield self._job("drilling", "only", one, name, start_mm=0.0, end_mm=-feature.to_mm,
                            target_mm=feature.diameter_mm / 2, limits=None,
                            diameter_mm=feature.diameter_mm,
                            why="After roughing, centre-drilled first, while there is metal around it.")  # fmt: skip

    def boring(self) -> Iterator[Job]:
        bores = [(one, one.feature) for one in self._of[Bore] if isinstance(one.feature, Bore)]
        for one, feature in sorted(bores, key=lambda each: each[1].diameter.mm):
            radius, end = aimed_radius_mm(self._part, feature), aimed_end_mm(self._part, feature)
            yield self._job("boring", "rough", one, f"rough bore to {2 * (radius - FINISH_MM):.2f}", start_mm=0.0,
                            end_mm=-(end - SHOULDER_MM), target_mm=radius - FINISH_MM, limits=None,
                            why="Opened up small to large.")  # fmt: skip
            yield self._job("boring", "finish", one, f"bore {feature.diameter.mm:g} to {feature.to.mm:g}", start_mm=0.0,
                            end_mm=-end, target_mm=radius, limits=self._limits(feature.diameter),
                            why="Before the outside is finished: thin walls come last.")  # fmt: skip

    # -- last ------------------------------------------------------------------------------------------------------

    def chamfers(self) -> Iterator[Job]:
        bare = self._target.stock
        for one in self._target.features:
            if not isinstance(one.feature, Chamfer):
                bare = shaped(self._part, bare, one.feature)
        for one in self._of[Chamfer]:
            feature = one.feature
            assert isinstance(feature, Chamfer)
            (low, inner), (high, outer) = chamfer_line(bare, feature)
            where = "" if feature.where == "outside" else " inside"
            yield self._job("chamfer", "only", one, f"chamfer {feature.size_mm:g}{where} at {feature.at_mm:g}",
                            start_mm=high, end_mm=low, target_mm=outer, limits=None,
                            slope=(outer - inner) / (high - low),
                            why="Edges are broken when the surfaces that meet there are finished.")  # fmt: skip

    def parting(self) -> Iterator[Job]:
        for one in self._of[PartOff]:
            feature = one.feature
            assert isinstance(feature, PartOff)
            z = -feature.at_mm
            yield self._job("parting", "only", one, f"part off at {feature.at_mm:g}",
                            start_mm=self._target.target.radius_at(z + 1e-6), end_mm=self._target.target.bore_at(z),
                            target_mm=z, limits=None, why="Last: nothing holds the part after it.")  # fmt: skip
