"""Chamfers and tapers by a compound slide that has its own scale; depths are set with the cross-slide."""

from __future__ import annotations

import math

import pytest

from turners.benches import at_three_benches, at_two_benches
from turners.board import Bench
from turners.judge import judge
from turners.moves import R, plans, sets_up, touches_off
from turners.turner import Turner

planned_or_not = pytest.mark.parametrize("planned", [True, False], ids=["planned", "unplanned"])


def begins(seed: int, angle_deg: float) -> Turner:
    """Winding the compound in goes to the headstock and away from the centre line: thin end at the free end."""
    turner = Turner(seed, compound_deg=-angle_deg)
    sets_up(turner)
    touches_off(turner)
    return turner


def cuts_cone(
    turner: Turner, kind: str, angle_deg: float, at_face: float, *, out: float, speed: float,
    role: str | None = None,
) -> None:  # fmt: skip
    """One pass along the cone that has this radius at the face, until it runs out of the bar; back clear of it.

    The depth is open to argument: it falls to nothing where the cone runs out of the bar.
    """
    slope = math.tan(math.radians(angle_deg))
    leaves = -(R - at_face) / slope
    turner.winds(compound=out)
    turner.sets(cross=at_face)
    planned = turner.acts[-1][1]["act"] == "choose_operation"
    other = "chamfer" if kind == "taper" else "taper"
    with turner.cutting(kind, 0.0, leaves=leaves, role=role, or_kind="" if planned else other):
        turner.feeds(speed, compound=(leaves - 0.7) / math.cos(math.radians(angle_deg)))
    turner.winds(4.0, cross=at_face + 2.0)
    turner.winds(compound=out)


@at_three_benches
@planned_or_not
def test_a_chamfer_of_45_degrees_in_two_passes(bench: Bench, planned: bool) -> None:
    turner = begins(31, 45.0)
    if planned:
        plans(turner, "chamfer", 0.0, -1.5, 10.5)
    turner.winds(compound=2.5)
    turner.winds(cross=13.0)
    turner.sets(carriage=0.0)
    cuts_cone(turner, "chamfer", 45.0, 11.2, out=2.5, speed=0.8)
    cuts_cone(turner, "chamfer", 45.0, 10.5, out=2.5, speed=0.8)
    judge(turner, bench)


@at_three_benches
@pytest.mark.parametrize(("angle_deg", "depths"), [(5.739, (11.5, 11.0)), (2.862, (11.7, 11.4))])
def test_a_taper_in_two_passes_and_a_spring_pass(bench: Bench, angle_deg: float, depths: tuple[float, ...]) -> None:
    turner = begins(32, angle_deg)
    plans(turner, "taper", 0.0, -(R - depths[-1]) / math.tan(math.radians(angle_deg)), depths[-1])
    turner.winds(compound=3.0)
    turner.winds(cross=14.0)
    turner.sets(carriage=0.0)
    for at in depths:
        cuts_cone(turner, "taper", angle_deg, at, out=3.0, speed=2.0)
    cuts_cone(turner, "taper", angle_deg, depths[-1], out=3.0, speed=2.0, role="spring")
    judge(turner, bench)


@at_two_benches
def test_a_taper_turned_without_a_plan(bench: Bench) -> None:
    turner = begins(34, 5.739)
    turner.winds(compound=3.0)
    turner.winds(cross=14.0)
    turner.sets(carriage=0.0)
    for at in (11.4, 10.9):
        cuts_cone(turner, "taper", 5.739, at, out=3.0, speed=2.0)
    judge(turner, bench)


@at_two_benches
def test_straight_turning_and_facing_with_the_compound_standing(bench: Bench) -> None:
    """The compound hangs on its own scale and stands still: the passes are plain ones."""
    turner = begins(33, 30.0)
    turner.winds(cross=13.5)
    turner.sets(carriage=-0.3)
    with turner.cutting("facing", R, was=0.0):
        turner.feeds(2.0, cross=0.0)
    turner.winds(carriage=1.5)
    turner.winds(cross=14.0)
    turner.sets(cross=11.6)
    with turner.cutting("turning", -0.3, was=R):
        turner.feeds(2.4, carriage=-8.0)
    turner.winds(4.0, cross=14.0)
    turner.winds(carriage=2.0)
    judge(turner, bench)
