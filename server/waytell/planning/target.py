"""The work of each set-up in half section: as it goes in the chuck, and as it is to come out of it.

Z is 0 at the finished face of the set-up and below 0 towards the headstock; turning the work round mirrors it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from waytell.documents.part import Bore, Chamfer, Face, Feature, Groove, Hole, Part, PartOff, Taper, Turned
from waytell.engine.profile import Corner, Profile
from waytell.engine.section import Section
from waytell.planning.sizes import limits_of, middle_mm

LEAST_GRIP_MM = 10.0


class Numbered(NamedTuple):
    """A feature and its number in the part, from 1."""

    number: int
    feature: Feature


class SetUpTarget(NamedTuple):
    number: int
    stock: Section
    target: Section
    """With the blade's cut of parting off left out: the part is still on the bar."""
    whole: Section
    """The part itself after this set-up, with what the jaws hold of it; all that stands out of a bar."""
    features: tuple[Numbered, ...]
    out_mm: float
    tailstock: bool
    grip_mm: float
    """How long the jaws hold; infinity on a bar."""


def features_of(part: Part, set_up: int) -> tuple[Numbered, ...]:
    return tuple(
        Numbered(number, feature)
        for number, feature in enumerate(part.features, start=1)
        if feature.set_up == set_up
    )  # fmt: skip


def aimed_radius_mm(part: Part, feature: Turned | Bore | Groove | Taper) -> float:
    """Radius in the middle of the limits of a diameter."""
    return middle_mm(limits_of(feature.diameter, part.general_tolerance)) / 2


def aimed_end_mm(part: Part, feature: Turned | Bore) -> float:
    """Distance from the face to a shoulder, in the middle of its limits."""
    return middle_mm(limits_of(feature.to, part.general_tolerance))


def length_mm(part: Part) -> float | None:
    """Whole length that facing the second end brings about; None where nothing says it."""
    faces = [one for one in part.features if isinstance(one, Face) and one.set_up == 2 and one.length is not None]
    return middle_mm(limits_of(faces[0].length, part.general_tolerance)) if faces and faces[0].length else None


def set_up_targets(part: Part) -> tuple[SetUpTarget, ...]:
    """One for each set-up; of the second only where the length of the part is known.

    Raises:
        ValueError: a size is not covered by the tables.
    """
    first = _first(part)
    length = length_mm(part)
    if len(part.set_ups) == 1 or length is None:
        return (first,)
    return first, _second(part, first, length)


def _first(part: Part) -> SetUpTarget:
    held, bar = part.set_ups[0], part.bar
    stock = Section.bar(bar.diameter_mm / 2, held.out_mm + held.sawn_mm, held.sawn_mm, bar.bore_mm / 2)
    features = features_of(part, 1)
    raw = Section.bar(bar.diameter_mm / 2, held.out_mm, 0.0, bar.bore_mm / 2)
    target = _with_features(part, raw, features)
    whole = _cut_free(target, -(_parted_at(part) or held.out_mm))
    return SetUpTarget(1, stock, target, whole, features, held.out_mm, held.tailstock, float("inf"))


def _second(part: Part, first: SetUpTarget, length: float) -> SetUpTarget:
    held = part.set_ups[1]
    # Where nothing is parted off, the blank is so much longer than the part as is to be faced off its second end.
    blank = _parted_at(part) or length + held.sawn_mm
    made = _lengthened(first.target, blank)
    turned_round = Section(_mirrored(made.outside, length), _mirrored(made.bore, length))
    features = features_of(part, 2)
    faced = Section(turned_round.outside.up_to(0.0), turned_round.bore.up_to(0.0))
    whole = _with_features(part, faced, features)
    stock, target = _cut_free(turned_round, -held.out_mm), _cut_free(whole, -held.out_mm)
    return SetUpTarget(2, stock, target, whole, features, held.out_mm, held.tailstock, length - held.out_mm)


def _parted_at(part: Part) -> float | None:
    return next((one.at_mm for one in part.features if isinstance(one, PartOff)), None)


def _lengthened(section: Section, length: float) -> Section:
    """To a place behind the jaws, where the bar goes on as it is there; or cut off in front of them."""
    if section.chuck_mm <= -length:
        return _cut_free(section, -length)
    outside, bore = (Profile.of([(-length, chain.r[0]), *chain.corners()]) for chain in section)
    return Section(outside, bore)


def _mirror(corners: Sequence[Corner], length: float) -> list[Corner]:
    return [(-(length + z), r) for z, r in reversed(corners)]


def _mirrored(profile: Profile, length: float) -> Profile:
    return Profile.of(_mirror(profile.corners(), length))


def _cut_free(section: Section, z_mm: float) -> Section:
    """Without what lies on the chuck side of a Z."""
    outside, bore = (_mirrored(_mirrored(chain, 0.0).up_to(-z_mm), 0.0) for chain in section)
    return Section(outside, bore)


# -- features ----------------------------------------------------------------------------------------------------------


def _with_features(part: Part, section: Section, features: Sequence[Numbered]) -> Section:
    for _, feature in in_shaping_order(features):
        section = shaped(part, section, feature)
    return section


def in_shaping_order(features: Sequence[Numbered]) -> Iterator[Numbered]:
    """Chamfers last: they break edges that the others make."""
    yield from (one for one in features if not isinstance(one.feature, Chamfer))
    yield from (one for one in features if isinstance(one.feature, Chamfer))


def shaped(part: Part, section: Section, feature: Feature) -> Section:
    """The section with a feature made."""
    shape = _SHAPES.get(type(feature))
    return shape(part, section, feature) if shape is not None else section


def _turned(part: Part, section: Section, feature: Turned) -> Section:
    return _lowered(section, _level(aimed_end_mm(part, feature), feature.from_mm, aimed_radius_mm(part, feature)))


def _taper(part: Part, section: Section, feature: Taper) -> Section:
    corners = [(-feature.to_mm, feature.end_diameter_mm / 2), (-feature.from_mm, aimed_radius_mm(part, feature))]
    return _lowered(section, corners)


def _groove(part: Part, section: Section, feature: Groove) -> Section:
    return _lowered(section, _level(feature.to_mm, feature.from_mm, aimed_radius_mm(part, feature)))


def _hole(_: Part, section: Section, feature: Hole) -> Section:
    return _opened(section, _level(feature.to_mm, 0.0, feature.diameter_mm / 2))


def _bore(part: Part, section: Section, feature: Bore) -> Section:
    return _opened(section, _level(aimed_end_mm(part, feature), 0.0, aimed_radius_mm(part, feature)))


def _chamfer(part: Part, section: Section, feature: Chamfer) -> Section:
    corners = chamfer_line(part, section, feature)
    return _lowered(section, corners) if feature.where == "outside" else _opened(section, corners)


def edge_z_mm(part: Part, feature: Chamfer) -> float:
    """Z of the edge that a chamfer breaks: where a shoulder of that place on the drawing is aimed at."""
    # A bore that ends at the same place of the drawing is aimed at elsewhere.
    beside = Turned if feature.where == "outside" else Bore
    for one in part.features:
        if isinstance(one, beside) and one.set_up == feature.set_up and one.to.mm == feature.at_mm:
            return -aimed_end_mm(part, one)
    return 0.0 - feature.at_mm


def chamfer_line(part: Part, section: Section, feature: Chamfer) -> list[Corner]:
    """From inside the work to the edge that it breaks."""
    z, size = edge_z_mm(part, feature), feature.size_mm
    if feature.where == "outside":
        edge = section.outside.before(z)
        return [(z - size, edge), (z, edge - size)]
    edge = section.bore.before(z)
    return [(z - size, edge), (z, edge + size)]


_SHAPES: dict[type, Callable[..., Section]] = {
    Turned: _turned, Taper: _taper, Groove: _groove, Hole: _hole, Bore: _bore, Chamfer: _chamfer,
}  # fmt: skip


def _level(to_mm: float, from_mm: float, radius_mm: float) -> list[Corner]:
    return [(-to_mm, radius_mm), (-from_mm, radius_mm)]


def _lowered(section: Section, corners: list[Corner]) -> Section:
    return section._replace(outside=section.outside.lower(corners))


def _opened(section: Section, corners: list[Corner]) -> Section:
    return section._replace(bore=section.bore.upper(corners))
