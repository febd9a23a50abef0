"""What a person does in the middle of a pass that leaves it one, and between passes that is none."""

from __future__ import annotations

from collections.abc import Callable

from turners.moves import OUT, touches_diameter, touches_face
from turners.turner import Turner

Between = Callable[[Turner, float, float], None]
"""Done by the turner with the work turned to this radius and faced to this Z."""
Habit = Callable[[Turner, str, str, float], None]
"""Done by the turner with the fed slide, the held slide, and the way of the held slide that is away from the work."""


def dwells(seconds: float) -> Habit:
    return lambda turner, _fed, _held, _away: turner.dwells(seconds)


def backs_off(by_mm: float) -> Habit:
    return lambda turner, fed, _held, _away: turner.backs_off(by_mm, **{fed: -1.0})


def draws_back(by_mm: float) -> Habit:
    return lambda turner, _fed, held, away: turner.draws_back(by_mm, **{held: away})


def knocks_fed(by_mm: float) -> Habit:
    return lambda turner, fed, _held, _away: turner.knocks(fed, by_mm, 0.04)


def knocks_held(by_mm: float) -> Habit:
    return lambda turner, _fed, held, _away: turner.knocks(held, by_mm, 0.05)


def glitches(which: int, by_mm: float) -> Habit:
    return lambda turner, fed, held, _away: turner.count_glitches((fed, held)[which], by_mm, later_s=0.7)


WITHIN: dict[str, Habit] = {
    "a look of 1.5 s": dwells(1.5),
    "a look of 5 s": dwells(5.0),
    "backing off 0.5 mm": backs_off(0.5),
    "backing off 3 mm": backs_off(3.0),
    "drawing the held slide back 0.5 mm": draws_back(0.5),
    "drawing the held slide back 2 mm": draws_back(2.0),
    "a knock of 0.3 mm on the fed slide": knocks_fed(0.3),
    "a knock of 0.1 mm on the held slide": knocks_held(0.1),
    "a knock of 0.3 mm on the held slide": knocks_held(-0.3),
    "one wrong count of the held slide": glitches(1, 0.32),
    "one wrong count of the fed slide": glitches(0, -0.32),
    "one very wrong count of the held slide": glitches(1, 2.56),
}


def measures(turner: Turner, _radius: float, _face: float) -> None:
    """The tool far clear, the spindle stopped, the micrometer out."""
    turner.winds(cross=20.0)
    turner.winds(12.0, carriage=30.0)
    turner.stops_spindle()
    turner.rests(18.0)
    turner.runs_spindle()
    turner.winds(12.0, carriage=2.0)


def touches_again(turner: Turner, radius: float, face: float) -> None:
    touches_diameter(turner, radius, at_z=-4.0)
    turner.winds(carriage=2.0)
    touches_face(turner, face, at_x=8.0)


def rubs_the_diameter(turner: Turner, radius: float, _face: float) -> None:
    """Comes up to the turned diameter and goes along it a little to see a mark, without setting anything."""
    turner.winds(cross=radius + 1.5)
    turner.winds(carriage=-3.0)
    turner.winds(0.6, cross=radius + 0.002)
    turner.winds(1.0, carriage=-4.6)
    turner.winds(4.0, cross=radius + 2.0)
    turner.winds(carriage=2.0)


def rubs_the_face(turner: Turner, _radius: float, face: float) -> None:
    turner.winds(carriage=1.0)
    turner.winds(cross=9.0)
    turner.winds(0.6, carriage=face)
    turner.winds(1.0, cross=7.8)
    turner.winds(4.0, carriage=1.5)
    turner.winds(cross=OUT)


def turns_the_chuck_by_hand(turner: Turner, radius: float, _face: float) -> None:
    """With the tool near the work and the spindle off, to see that nothing fouls."""
    turner.stops_spindle()
    turner.winds(cross=radius + 0.8)
    turner.winds(carriage=-5.0)
    turner.winds(0.6, cross=radius + 0.15)
    turner.runs_spindle(35.0)
    turner.rests(6.0)
    turner.stops_spindle()
    turner.winds(4.0, cross=OUT)
    turner.winds(carriage=2.0)
    turner.runs_spindle()


def is_knocked_at_rest(turner: Turner, radius: float, face: float) -> None:
    """At the next setting, just off the face: each slide gets an elbow, into the work and away from it."""
    turner.sets(cross=radius - 0.3)
    turner.winds(carriage=face + 0.7)
    for slide, by_mm in (("carriage", 0.2), ("cross", 0.05), ("carriage", -0.3), ("cross", -0.25)):
        turner.knocks(slide, by_mm, 0.05)


def winds_about_in_the_air(turner: Turner, _radius: float, _face: float) -> None:
    turner.winds(cross=18.0)
    turner.winds(12.0, carriage=-12.0)
    turner.winds(12.0, carriage=15.0)
    turner.winds(cross=3.0)
    turner.winds(cross=17.0)
    turner.winds(carriage=2.0)


def clamps_and_frees(turner: Turner, _radius: float, _face: float) -> None:
    turner.says("clamp", axis="Z", held=True)
    turner.shifts("carriage", 0.005)
    turner.says("clamp", axis="Z", held=False)


def files_the_edge(turner: Turner, _radius: float, _face: float) -> None:
    """The tool far off, the spindle running, nothing wound for a while."""
    turner.winds(cross=25.0)
    turner.rests(8.0)


BETWEEN: dict[str, Between] = {
    one.__name__: one
    for one in (
        measures, touches_again, rubs_the_diameter, rubs_the_face, turns_the_chuck_by_hand, is_knocked_at_rest,
        winds_about_in_the_air, clamps_and_frees, files_the_edge,
    )
}  # fmt: skip
