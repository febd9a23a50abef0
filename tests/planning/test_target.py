"""The target of each set-up against polygons that shapely joins and takes apart."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from shapely.affinity import scale, translate
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from planning.parts import BUSH, FACE, PIN, SPACER, part_of, valid_parts
from waytell.documents.part import Bore, Chamfer, Dimension, Feature, Groove, Hole, Part, Taper, Turned
from waytell.engine.section import Section
from waytell.planning.sizes import limits_of, middle_mm
from waytell.planning.target import length_mm, set_up_targets

FAR_MM = 500.0


def middle(part: Part, size: Dimension) -> float:
    return middle_mm(limits_of(size, part.general_tolerance))


def outside(part: Part, feature: Feature) -> BaseGeometry:
    """What a feature takes away, in (Z, radius)."""
    match feature:
        case Turned():
            return box(-middle(part, feature.to), middle(part, feature.diameter) / 2, -feature.from_mm, FAR_MM)
        case Groove():
            return box(-feature.to_mm, middle(part, feature.diameter) / 2, -feature.from_mm, FAR_MM)
        case Taper():
            low, high = (
                (-feature.to_mm, feature.end_diameter_mm / 2),
                (-feature.from_mm, middle(part, feature.diameter) / 2),
            )
            return Polygon([low, high, (high[0], FAR_MM), (low[0], FAR_MM)])
        case Hole():
            return box(-feature.to_mm, -1.0, 0.0, feature.diameter_mm / 2)
        case Bore():
            return box(-middle(part, feature.to), -1.0, 0.0, middle(part, feature.diameter) / 2)
    return Polygon()


def broken(part: Part, work: BaseGeometry, feature: Chamfer) -> BaseGeometry:
    """The triangle that a chamfer takes off an edge."""
    same = [one for one in part.features if isinstance(one, Turned | Bore) and one.to.mm == feature.at_mm]
    at = -middle(part, same[0].to) if same else -feature.at_mm
    _, low, _, high = work.intersection(LineString([(at - 1e-7, 0.0), (at - 1e-7, FAR_MM)])).bounds
    edge, way = (high, -1) if feature.where == "outside" else (low, 1)
    return Polygon([(at + 1e-9, edge), (at - feature.size_mm, edge), (at + 1e-9, edge + way * feature.size_mm)])


def with_features(part: Part, work: BaseGeometry, set_up: int) -> BaseGeometry:
    mine = [one for one in part.features if one.set_up == set_up]
    for one in mine:
        work = work.difference(outside(part, one))
    for one in mine:
        if isinstance(one, Chamfer):
            work = work.difference(broken(part, work, one))
    return work


def by_shapely(part: Part) -> list[tuple[BaseGeometry, BaseGeometry]]:
    """Stock and target of each set-up."""
    radius, bore, held = part.bar.diameter_mm / 2, part.bar.bore_mm / 2, part.set_ups[0]
    stock = box(-held.out_mm, bore, held.sawn_mm, radius)
    first = with_features(part, box(-held.out_mm, bore, 0.0, radius), 1)
    found: list[tuple[BaseGeometry, BaseGeometry]] = [(stock, first)]
    if len(part.set_ups) == 2:
        length, held = length_mm(part), part.set_ups[1]
        assert length is not None
        at = next((one.at_mm for one in part.features if one.kind == "part_off"), length + held.sawn_mm)
        blank = first.union(box(-FAR_MM, bore, -part.set_ups[0].out_mm, radius)).intersection(box(-at, -1, 1, FAR_MM))
        turned = translate(scale(blank, xfact=-1.0, origin=(0, 0)), xoff=-length)
        out = box(-held.out_mm, -1.0, FAR_MM, FAR_MM)
        faced = turned.intersection(box(-FAR_MM, -1.0, 0.0, FAR_MM))
        found.append((turned.intersection(out), with_features(part, faced, 2).intersection(out)))
    return found


def pappus_mm3(shape: BaseGeometry) -> float:
    """Volume of revolution: area times the way of its centroid (Pappus, as in any textbook of mechanics)."""
    return 2 * math.pi * shape.centroid.y * shape.area


def assert_same(section: Section, shape: BaseGeometry) -> None:
    assert section.area_mm2() == pytest.approx(shape.area, rel=1e-6)
    assert section.volume_mm3() == pytest.approx(pappus_mm3(shape), rel=1e-6)
    assert Polygon(section.polygon()).buffer(0).symmetric_difference(shape).area < 1e-4


@settings(max_examples=60, deadline=None)
@given(valid_parts())
def test_stock_and_target_of_random_parts_are_those_of_joined_polygons(part: Part) -> None:
    targets = set_up_targets(part)
    shapes = by_shapely(part)
    assert len(targets) == len(part.set_ups)
    for target, (stock, wanted) in zip(targets, shapes, strict=True):
        assert_same(target.stock, stock)
        assert_same(target.target, wanted)


@pytest.mark.parametrize("part", [BUSH, SPACER, PIN], ids=lambda part: part.name)
def test_named_parts_too(part: Part) -> None:
    for target, (stock, wanted) in zip(set_up_targets(part), by_shapely(part), strict=True):
        assert_same(target.stock, stock)
        assert_same(target.target, wanted)


def test_the_work_turned_round_is_the_mirror_image_at_its_length() -> None:
    first, second = set_up_targets(BUSH)
    # 30.0 with 0 and -0.1 is aimed at 29.95.
    for back_mm in (14.0, 10.5, 1.0):
        assert second.target.radius_at(-back_mm) == pytest.approx(first.target.radius_at(-(29.95 - back_mm)))
        assert second.target.bore_at(-back_mm) == pytest.approx(first.target.bore_at(-(29.95 - back_mm)))
    # Parted off at 30.5: so much stands in front of the second face.
    assert second.stock.front_mm == pytest.approx(0.55)
    assert second.target.front_mm == pytest.approx(0.0)
    assert second.grip_mm == pytest.approx(29.95 - 15.0)


def test_the_finished_part_is_told_without_the_bar_behind_it() -> None:
    # 6 over 40, 10 over 10, 12 over 2; h7 at 6 mm: 0 and -12 micrometres (ISO 286-2, table of h7, over 3 up to 6).
    (target,) = set_up_targets(PIN)
    edge = 2 * math.pi * (2.997 - 0.5 / 3) * 0.5 * 0.5 / 2
    wanted = math.pi * (2.997**2 * 40 + 5.0**2 * 10 + 6.0**2 * 2) - edge
    assert target.whole.volume_mm3() == pytest.approx(wanted)


def test_what_is_aimed_at_lies_in_the_middle_of_the_limits() -> None:
    shoulder = {"mm": 20.0, "upper_mm": 0.1, "lower_mm": 0.0}
    bottom = {"mm": 15.0, "upper_mm": 0.0, "lower_mm": -0.2}
    part = part_of(
        [
            FACE,
            {"kind": "turned", "diameter": {"mm": 18.0, "tolerance_class": "h8"}, "to": shoulder},
            {"kind": "hole", "diameter_mm": 9.0, "to_mm": 25.0},
            {"kind": "bore", "diameter": {"mm": 10.0, "tolerance_class": "H7"}, "to": bottom},
        ]
    )
    (target,) = set_up_targets(part)
    section = target.target
    assert section.radius_at(-5.0) == pytest.approx((18.0 - 0.0135) / 2)
    assert section.bore_at(-5.0) == pytest.approx(10.0075 / 2)
    # The shoulder at 20.05, the end of the bore at 14.9.
    assert [section.radius_at(-20.04), section.radius_at(-20.06)] == pytest.approx([8.99325, 12.0])
    assert [section.bore_at(-14.89), section.bore_at(-14.91)] == pytest.approx([5.00375, 4.5])


def test_a_chamfer_breaks_the_edge_where_its_shoulder_is_aimed_at() -> None:
    part = part_of(
        [
            FACE,
            {"kind": "turned", "diameter": 18.0, "to": {"mm": 20.0, "upper_mm": 0.1, "lower_mm": 0.0}},
            {"kind": "chamfer", "at_mm": 20.0, "size_mm": 0.5},
        ]
    )
    (target,) = set_up_targets(part)
    assert target.target.radius_at(-20.05 - 0.25) == pytest.approx(12.0 - 0.25)
    assert target.target.radius_at(-20.05 - 0.51) == pytest.approx(12.0)


def test_each_edge_is_aimed_at_by_its_own_shoulder_where_outside_and_bore_end_at_the_same_place_of_the_drawing() -> (
    None
):
    (target,) = set_up_targets(
        part_of(
            [
                FACE,
                {"kind": "hole", "diameter_mm": 8.0, "to_mm": 30.0},
                {"kind": "bore", "diameter": 10.0, "to": {"mm": 20.0, "upper_mm": 0.0, "lower_mm": -0.2}},
                {"kind": "turned", "diameter": 18.0, "to": {"mm": 20.0, "upper_mm": 0.1, "lower_mm": 0.0}},
                {"kind": "chamfer", "at_mm": 20.0, "size_mm": 0.5},
                {"kind": "chamfer", "at_mm": 20.0, "size_mm": 0.5, "where": "inside"},
            ]
        )
    )
    assert target.target.radius_at(-20.05 - 0.25) == pytest.approx(12.0 - 0.25)
    assert target.target.bore_at(-19.9 - 0.25) == pytest.approx(4.0 + 0.25)
