"""The demonstration: one bronze bush after another for a small garden-railway wagon (invented, like all its figures).

Bar of 24 mm, 40 mm out of the chuck, sawn off crooked. The person touches off, faces the end until it is clean all
over, makes that face the zero, and turns 18 mm h8 to a shoulder 12 mm from it: 18.000 to 17.973 mm (ISO 286, from
memory), aiming a little above the middle, because the spring pass still takes some. A cycle takes five to six
minutes at pace 1, then the next bar goes in.

Not shown: drilling and reaming the bore, parting off, deburring.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from waytell_bridge.simulated.job import Job
from waytell_bridge.simulated.person import FiguresLost
from waytell_bridge.simulated.settings import TOOLS, Settings

if TYPE_CHECKING:
    from waytell_bridge.simulated.person import Person, Steps
    from waytell_bridge.simulated.truth import Axis, Role

RPM = 800.0
CLEAR_X_MM = 13.2
CLEAR_Z_MM = 1.2
MOST_PASSES = 12

FACING = Job(
    "face the end clean",
    "facing",
    start_mm=12.0,
    end_mm=0.0,
    target_mm=-0.75,
    depth_mm=0.26,
    tolerance_mm=0.1,
    free_first_pass=True,
    planned_rpm=RPM,
)
TURNING = Job(
    "turn 18 h8 to the shoulder",
    "turning",
    start_mm=0.0,
    end_mm=-12.0,
    target_mm=8.9955,
    depth_mm=0.58,
    finish_mm=0.15,
    tolerance_mm=0.0135,
    planned_rpm=RPM,
)


def settings() -> Settings:
    return Settings()


def demo(person: Person) -> Steps:
    """Bush after bush, until the server stops."""
    while True:
        try:
            yield from one_bush(person)
        except FiguresLost:
            person.words = "Gives this bush up and starts another."
            yield from leave_work(person)


def one_bush(person: Person) -> Steps:
    yield from chuck_bar(person)
    yield from touch_both(person)
    yield from face_clean(person, FACING)
    person.words = "Makes the clean face the zero of Z."
    yield from person.touch_off("Z", 0.0, last_pass=True)
    yield from turn_to_size(person, TURNING)
    person.words = "The bush is to size. Takes it out."
    yield from go_clear(person)
    yield from person.spindle(0)
    yield from person.wait(3.0)
    yield from person.press("part_done", part="wagon bush (invented)")


def chuck_bar(person: Person) -> Steps:
    stock = person.shop.settings.stock
    person.words = f"Puts a sawn bronze bar of {stock.diameter_mm:g} mm in the chuck, {stock.length_mm:g} mm out."
    yield from person.wait(3.0)
    person.shop.rechuck()
    yield from person.press(
        "new_set_up",
        stock={"diameter_mm": stock.diameter_mm, "length_mm": stock.length_mm, "material": stock.material},
        note="garden-railway wagon bush (invented)",
    )
    yield from person.press("choose_tool", tool=TOOLS[0]["name"])
    person.words = "Takes the key out of the chuck, sees to guard and goggles, turns the chuck by hand."
    yield from person.wait(2.0)
    yield from person.press("answer", to="cautions", yes=True)
    person.words = f"Sets the spindle to {RPM:.0f} rev/min and starts it."
    yield from person.spindle(RPM)


def touch_both(person: Person) -> Steps:
    """The outside first, at its nominal diameter; then the highest spot of the face."""
    # New work: what the person has in mind starts from what the eye sees of the bar.
    person.zero_mm = {"X": 0.0, "Z": 0.0}
    person.words = "Touches the bar's outside for X."
    yield from person.wind_to("cross", CLEAR_X_MM, 5.0)
    yield from person.wind_to("carriage", -4.0, 20.0)
    yield from person.find_surface("X")
    yield from person.touch_off("X", person.shop.settings.stock.diameter_mm / 2)
    yield from person.wind_to("cross", CLEAR_X_MM, 4.0)
    person.words = "Touches the sawn face for Z."
    yield from person.wind_to("carriage", 2.0, 20.0)
    yield from person.wind_to("cross", 11.0, 4.0)
    yield from person.find_surface("Z")
    yield from person.touch_off("Z", 0.0)
    yield from go_clear(person)


def go_clear(person: Person) -> Steps:
    """Away from the face first, then out past the bar."""
    yield from person.wind_to("carriage", CLEAR_Z_MM, 8.0)
    yield from person.wind_to("cross", CLEAR_X_MM, 5.0)


def take_passes(person: Person, job: Job, one_pass: Callable[[], Steps]) -> Steps:
    """Pass after pass until the size is reached. Doubtful figures: wind clear, touch off again, carry on."""
    for _ in range(MOST_PASSES):
        try:
            yield from one_pass()
        except FiguresLost:
            yield from touch_again(person)
        if person.surface_mm[job.held_axis] <= job.target_mm + job.near_enough_mm:
            return


def face_clean(person: Person, job: Job) -> Steps:
    yield from person.press("choose_operation", operation=job.document())
    yield from person.wind_to("cross", CLEAR_X_MM, 5.0)
    taken = len(person.passes)

    def one_pass() -> Steps:
        free = job.free_first_pass and len(person.passes) == taken
        last = job.next_target_mm(person.surface_mm["Z"]) == job.target_mm
        yield from facing_pass(person, job, "skim" if free else "finish" if last else "roughing", held=not free)

    yield from take_passes(person, job, one_pass)
    clean = person.lathe.stock.face_clean()
    person.words = "The face is clean all over." if clean else "A saw mark is still on the face."
    yield from person.wait(1.5)
    yield from person.press("answer", to="face_clean", yes=clean)


def facing_pass(
    person: Person, job: Job, role: Role, *, held: bool, on_the_way: Callable[[float], None] | None = None
) -> Steps:
    person.words = "Winds the carriage in to the next depth."
    yield from person.set_depth(job)
    if held:
        person.words = "Clamps the carriage."
        yield from person.clamp_carriage(held=True)
    person.words = "Faces towards the centre." if held else "Skims the face, carriage free."
    yield from person.feed(job, role, 0.9, on_the_way=on_the_way)
    person.words = "Winds back out."
    yield from person.wind_to("cross", CLEAR_X_MM, 5.0)
    if held:
        yield from person.clamp_carriage(held=False)


def turn_to_size(person: Person, job: Job) -> Steps:
    yield from person.press("choose_operation", operation=job.document())
    yield from person.wind_to("carriage", CLEAR_Z_MM, 10.0)
    yield from take_passes(person, job, lambda: turning_pass(person, job))
    person.words = "Takes a spring pass at the same setting."
    yield from person.feed(job, "spring", 1.2)
    yield from leave_shoulder(person)
    yield from measure(person, "Measures the finished diameter.")


def turning_pass(person: Person, job: Job) -> Steps:
    """One pass; measured after the first and before the last, when there is still metal to correct with."""
    finishing = job.next_target_mm(person.surface_mm["X"]) == job.target_mm
    first = person.surface_mm["X"] > job.target_mm + 2.5
    person.words = "Winds in to size." if finishing else "Winds in to the next depth."
    yield from person.set_depth(job)
    person.words = "Takes the finishing pass." if finishing else "Turns towards the shoulder."
    yield from person.feed(job, "finish" if finishing else "roughing", 1.2 if finishing else 1.4)
    if finishing:
        person.words = "Winds back along the same line."
        yield from person.wind_to("carriage", CLEAR_Z_MM, 10.0)
        return
    yield from leave_shoulder(person)
    last_rough = job.next_target_mm(person.surface_mm["X"]) == job.target_mm
    if first or last_rough:
        yield from measure(person, "Measures what the pass left.")


def leave_shoulder(person: Person) -> Steps:
    person.words = "Winds clear."
    yield from person.wind_to("cross", person.reads_mm("X") + 0.8, 3.0)
    yield from person.wind_to("carriage", CLEAR_Z_MM, 12.0)


def measure(person: Person, words: str) -> Steps:
    person.words = words
    yield from person.spindle(0)
    yield from person.wait(3.0)
    diameter_mm = person.measure_diameter_mm(-5.0)
    person.words = f"Measures {diameter_mm:.3f} mm."
    yield from person.touch_off("X", round(diameter_mm / 2, 4), how="measured", last_pass=True)
    yield from person.spindle(RPM)


def touch_again(person: Person) -> Steps:
    """After doubtful figures: clear by eye, free the carriage, then both axes on surfaces that are known."""
    person.words = "Stops: the figures are struck through. Winds clear."
    yield from leave_work(person)
    yield from person.wait(2.0)
    person.words = "Touches off again: X on the bar behind the shoulder, as measured."
    behind_mm = TURNING.end_mm - 4.0
    yield from person.wind_to("carriage", behind_mm, 15.0)
    yield from person.find_surface("X")
    yield from touch_off_kept(person, "X", round(person.measure_diameter_mm(behind_mm) / 2, 4))
    yield from person.wind_to("cross", CLEAR_X_MM, 4.0)
    person.words = "Touches off again: Z on the face."
    yield from person.wind_to("carriage", CLEAR_Z_MM, 15.0)
    yield from person.wind_to("cross", 6.0, 5.0)
    yield from person.find_surface("Z")
    # Where this face was cut is known, whichever pass left it.
    yield from touch_off_kept(person, "Z", round(person.reads_mm("Z"), 2))
    yield from go_clear(person)


def leave_work(person: Person) -> Steps:
    """Out along the cut, and the carriage free."""
    yield from person.wind_to("cross", CLEAR_X_MM, 3.0)
    if person.lathe.carriage_clamped:
        yield from person.clamp_carriage(held=False)
    yield from go_clear(person)


def touch_off_kept(person: Person, axis: Axis, at_mm: float) -> Steps:
    """Touch off on a surface other than the one being cut: what is left of the pass's own surface stays known."""
    shown, zero = person.surface_mm[axis], person.zero_mm[axis]
    yield from person.touch_off(axis, at_mm)
    person.surface_mm[axis] = shown + zero - person.zero_mm[axis]
