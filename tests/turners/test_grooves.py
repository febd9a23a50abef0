"""Plunging a groove and parting off with a blade whose corner nearer the headstock was touched off."""

from __future__ import annotations

import pytest

from turners.benches import at_three_benches, at_two_benches
from turners.board import Bench
from turners.judge import judge
from turners.moves import BLADE, KNIFE, OUT, R, faces, plans, sets_up, touches_diameter, touches_face, touches_off
from turners.turner import Turner

planned_or_not = pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])


def plunges(turner: Turner, kind: str, at_z: float, *, to: float, leaves: float | None = None) -> None:
    turner.winds(cross=OUT)
    turner.sets(carriage=at_z)
    with turner.cutting(kind, R, leaves=leaves):
        turner.feeds(0.9, cross=to)
    turner.winds(5.0, cross=OUT)


@at_three_benches
@planned_or_not
def test_a_groove_in_one_plunge_and_a_wider_one_in_two(bench: Bench, planned: bool) -> None:
    turner = Turner(41)
    sets_up(turner, BLADE)
    touches_off(turner)
    if planned:
        plans(turner, "grooving", R, 9.5, -8.0)
    plunges(turner, "grooving", -8.0, to=9.5)
    if planned:
        plans(turner, "grooving", R, 10.0, -18.0)
    plunges(turner, "grooving", -16.0, to=10.0)
    plunges(turner, "grooving", -18.0, to=10.0)
    judge(turner, bench)


@at_three_benches
@planned_or_not
def test_parted_off_with_the_blade_backed_out_for_the_chips(bench: Bench, planned: bool) -> None:
    turner = Turner(42)
    sets_up(turner, BLADE)
    touches_off(turner)
    if planned:
        plans(turner, "parting", R, 0.0, -13.0)
    turner.sets(carriage=-13.0)
    with turner.cutting("parting", R, leaves=0.0):
        turner.feeds(1.2, cross=8.0)
        turner.backs_off(0.6, cross=-1.0)
        turner.feeds(1.2, cross=4.0)
        turner.backs_off(0.6, cross=-1.0)
        turner.feeds(1.2, cross=-0.2)
    turner.winds(5.0, cross=OUT)
    judge(turner, bench)


@at_two_benches
def test_faced_with_a_knife_then_grooved_with_a_blade(bench: Bench) -> None:
    turner = Turner(43)
    sets_up(turner, KNIFE, BLADE)
    touches_off(turner)
    faces(turner, -0.3, was=0.0)
    turner.winds(carriage=12.0)
    turner.takes("parting blade", x_mm=1.7, z_mm=-4.4)
    touches_diameter(turner, R, at_z=-5.0)
    turner.winds(carriage=2.0)
    touches_face(turner, -0.3)
    plunges(turner, "grooving", -9.0, to=10.2)
    judge(turner, bench)
