"""Short pieces of work for tests and for trying one thing at a time; each ends by itself.

Known things happen at known places, said in the constants, so that what was told can be held against them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from waytell_bridge.simulated import demo

if TYPE_CHECKING:
    from waytell_bridge.simulated.job import Job
    from waytell_bridge.simulated.person import Person, Script, Steps

CREEP_MM = 0.05
CREEP_AT_X_MM = 8.0
CREEP_S = 2.5
PAUSE_AT_Z_MM = -4.0
SHORT_TURNING: Final = replace(demo.TURNING, name="turn one size down", end_mm=-8.0, target_mm=11.0, finish_mm=0.0)
COMPOUND_DEPTH_MM = 0.2


def facing_only(person: Person) -> Steps:
    yield from demo.chuck_bar(person)
    yield from demo.touch_both(person)
    yield from demo.face_clean(person, demo.FACING)
    yield from person.touch_off("Z", 0.0, last_pass=True)
    yield from person.wait(0.5)


def turning_only(person: Person) -> Steps:
    """On the sawn face as it is: Z = 0 is its highest spot."""
    yield from demo.chuck_bar(person)
    yield from demo.touch_both(person)
    yield from demo.turn_to_size(person, demo.TURNING)
    yield from person.wait(0.5)


def creep_in_facing(person: Person) -> Steps:
    """A skim, then one clamped pass in which the carriage gives way by `CREEP_MM` once X is below `CREEP_AT_X_MM`."""
    job = replace(demo.FACING, target_mm=-0.5)
    yield from demo.chuck_bar(person)
    yield from demo.touch_both(person)
    yield from person.press("choose_operation", operation=job.document())
    yield from demo.facing_pass(person, job, "skim", held=False)
    crept = False

    def creep(x_mm: float) -> None:
        nonlocal crept
        if x_mm < CREEP_AT_X_MM and not crept:
            crept = True
            person.shop.fault("creep", slide="carriage", mm=CREEP_MM, seconds=CREEP_S)

    yield from demo.facing_pass(person, job, "finish", held=True, on_the_way=creep)
    yield from person.wait(0.5)


def dwell_and_return(person: Person) -> Steps:
    """A pass with a rest in it, back on the same line, a spring pass, back, wound out, and a stroke in the air."""
    job: Job = SHORT_TURNING
    yield from demo.chuck_bar(person)
    yield from demo.touch_both(person)
    yield from person.press("choose_operation", operation=job.document())
    yield from person.set_depth(job)
    yield from person.feed(job, "roughing", 1.4, pause_at_mm=PAUSE_AT_Z_MM)
    yield from person.wind_to("carriage", demo.CLEAR_Z_MM, 10.0)
    yield from person.feed(job, "spring", 1.4)
    yield from person.wind_to("carriage", demo.CLEAR_Z_MM, 10.0)
    yield from person.wind_to("cross", demo.CLEAR_X_MM, 4.0)
    yield from person.feed(job, "air", 2.0)
    yield from person.wind_to("carriage", demo.CLEAR_Z_MM, 10.0)
    yield from person.wait(0.5)


def compound_depth(person: Person) -> Steps:
    """Carriage clamped throughout, the depth of the second pass wound on a compound slide that has no scale."""
    job = replace(demo.FACING, target_mm=-0.45, free_first_pass=False)
    yield from demo.chuck_bar(person)
    yield from demo.touch_both(person)
    yield from person.press("choose_operation", operation=job.document())
    yield from person.set_depth(job)
    yield from person.clamp_carriage(held=True)
    yield from person.feed(job, "skim", 0.9)
    yield from person.wind_to("cross", demo.CLEAR_X_MM, 5.0)
    before = person.lathe.slides["compound"].position_mm
    yield from person.set_depth(job, person.surface_mm["Z"] - COMPOUND_DEPTH_MM, "compound")
    wound = before - person.lathe.slides["compound"].position_mm
    yield from person.press("compound_wound", wound_in_mm=round(wound, 2))
    yield from person.feed(job, "roughing", 0.9)
    yield from person.wind_to("cross", demo.CLEAR_X_MM, 5.0)
    yield from person.clamp_carriage(held=False)


SCRIPTS: Final[dict[str, Script]] = {
    "demo": demo.demo,
    "one_bush": demo.one_bush,
    "facing_only": facing_only,
    "turning_only": turning_only,
    "creep_in_facing": creep_in_facing,
    "dwell_and_return": dwell_and_return,
    "compound_depth": compound_depth,
}
