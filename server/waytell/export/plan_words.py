"""A plan as it is read: sizes of the part with their limits, and the passes of a step in short."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from waytell.documents.base import PassKind, Role
from waytell.documents.part import Bore, Dimension, Face, Feature, Groove, Part, Taper, Turned
from waytell.documents.plan import Limits, PlannedPass, PlannedStep
from waytell.planning.sizes import limits_of

FED_TO_THE_END: dict[PassKind, str] = {"drilling": "drill to", "grooving": "plunge to", "parting": "part off to"}
"""What has no depth of cut to set: it goes on until it is there."""
SAME_MM = 0.0005
SPEED_BY = {"material": "material", "machine": "machine", "chuck": "chuck", "steps": "speeds there are"}


class PartSize(NamedTuple):
    """A size of the drawing, with the number of its feature."""

    number: int
    set_up: int
    words: str
    across: bool
    """A diameter."""
    limits: Limits


class Passes(NamedTuple):
    """Passes of the same role and depth, one after the other."""

    role: Role
    taken: int
    depth_mm: float
    """Each, on the held axis."""


def sizes_of(part: Part) -> Iterator[PartSize]:
    """Every size that has limits, its own or the general ones; the part must be one that can be planned."""
    for number, feature in enumerate(part.features, start=1):
        for words, across, size in _sizes(feature):
            yield PartSize(number, feature.set_up, words, across, limits_of(size, part.general_tolerance))


def _sizes(feature: Feature) -> Iterator[tuple[str, bool, Dimension]]:
    match feature:
        case Face(length=Dimension() as length):
            yield "whole length", False, length
        case Turned():
            yield "diameter", True, feature.diameter
            yield "shoulder, from the face", False, feature.to
        case Bore():
            yield "bore", True, feature.diameter
            yield "depth of the bore", False, feature.to
        case Taper():
            yield f"cone, {feature.from_mm:g} from the face", True, feature.diameter
        case Groove():
            yield "floor of the groove", True, feature.diameter


def passes_in_short(step: PlannedStep) -> list[Passes]:
    return [
        Passes(role, len(list(alike)), depth)
        for (role, depth), alike in groupby(step.passes, key=lambda each: (each.role, _rounded(each.depth_mm)))
    ]


def _rounded(mm: float) -> float:
    return round(mm / SAME_MM) * SAME_MM


def heaviest(step: PlannedStep) -> PlannedPass | None:
    return max(step.passes, key=lambda each: each.force_n, default=None)
