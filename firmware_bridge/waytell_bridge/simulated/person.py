"""The person at the lathe: winds by what can be seen, with reaction time and slow-down, and presses the keys.

Work is written as generators: each `yield` lets one step of virtual time pass. Given a look at the display the person
winds by its figures, stops at once when they are struck through and waits; without one by the true place, read with a
small human error. Keeps the work coordinates a person has in mind, so that presses and truth belong together.

Not simulated: wrong keys, misread hundredths, forgetting to unclamp, hurry.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol, TypeAlias

from waytell_bridge.simulated.hands import Hands
from waytell_bridge.simulated.job import NEAR_ENOUGH_MM
from waytell_bridge.simulated.strokes import Stroke
from waytell_bridge.simulated.truth import Axis, TouchedOff

if TYPE_CHECKING:
    from random import Random

    from waytell_bridge.simulated.job import Job
    from waytell_bridge.simulated.lathe import Lathe
    from waytell_bridge.simulated.settings import Settings, SlideName
    from waytell_bridge.simulated.truth import Role, TruePass


class Answer(Protocol):
    """What a press gives back: set once the act has been taken."""

    def is_set(self) -> bool: ...


Act: TypeAlias = dict[str, Any]
Figures: TypeAlias = tuple[float | None, float | None]
Press: TypeAlias = Callable[[Act], Answer]
Look: TypeAlias = Callable[[], Figures]
Gap: TypeAlias = Callable[[], float | None]
Steps: TypeAlias = Generator[None, None, None]
Script: TypeAlias = "Callable[[Person], Steps]"

STEP_S = 0.004
LOOK_S = 0.02
SLOW_DOWN_S = 0.7
"""From so far off, in seconds at full speed, a person begins to slow down."""
SLOWEST_MM_S = 0.06
FINEST_MM_S = 0.025
"""Winding in to a figure, where too far cannot be taken back."""
FEEL = 0.9
"""Share of the way wound during the reaction time that the hand knows of without the eye."""
HAIR_MM = 0.002
"""Too little can be wound again, too much not."""
NUDGES = 3
AXIS_OF: dict[SlideName, Axis] = {"cross": "X", "carriage": "Z", "compound": "Z"}
SLIDE_OF: dict[Axis, SlideName] = {"X": "cross", "Z": "carriage"}


class FiguresLost(Exception):  # noqa: N818 - something that happens to a person, not an error of ours
    """The figures have stayed struck through for longer than the person waits."""


@dataclass
class Workshop:
    """All that the person can lay hands on."""

    lathe: Lathe
    settings: Settings
    press: Press
    look: Look | None
    fault: Callable[..., None]
    rechuck: Callable[[], None]


class Person:
    def __init__(self, shop: Workshop, chance: Random) -> None:
        self.shop = shop
        self.lathe = shop.lathe
        self.words = "stands at the lathe"
        self.zero_mm: dict[Axis, float] = {"X": 0.0, "Z": 0.0}
        self.surface_mm: dict[Axis, float] = {"X": 0.0, "Z": 0.0}
        self.passes: list[TruePass] = []
        self.touch_offs: list[TouchedOff] = []
        self._chance = chance
        self._settings = shop.settings.hand
        self._hands = Hands(self._settings.style, chance)
        self._last_held_mm: dict[Axis, float] = {}
        self._stroke: Stroke | None = None
        self._seen: Figures = (None, None)
        self._look_again_s = 0.0

    # What the person sees.

    def true_mm(self, axis: Axis) -> float:
        return self.lathe.tool_x_mm if axis == "X" else self.lathe.tool_z_mm

    def reads_mm(self, axis: Axis) -> float:
        """The tool's place in work coordinates."""
        return self.true_mm(axis) - self.zero_mm[axis]

    def figures(self) -> Figures:
        """To go and remaining this pass, as the display shows them; looked up as often as an eye takes them in."""
        assert self.shop.look is not None
        if self.lathe.t_s >= self._look_again_s:
            self._look_again_s = self.lathe.t_s + LOOK_S
            self._seen = self.shop.look()
        return self._seen

    def observe(self) -> None:
        """After each step: keep what a running stroke truly did."""
        if self._stroke is not None:
            self._stroke.observe()

    # What the person does.

    def wait(self, seconds: float) -> Steps:
        for _ in range(round(seconds / STEP_S)):
            yield

    def press(self, act: str, **fields: Any) -> Steps:
        """Press a key: an act. The hand is back on the wheel once it has been taken."""
        yield from self.wait(self._settings.press_s / 2)
        answer = self.shop.press({"act": act, **fields})
        while not answer.is_set():
            yield
        yield from self.wait(self._settings.press_s / 2)

    def spindle(self, rpm: float) -> Steps:
        self.lathe.turn_spindle(rpm)
        yield from self.wait(2.0)

    def clamp_carriage(self, *, held: bool) -> Steps:
        """The spanner and the key: clamped first, then said; said free, then freed."""
        if held:
            yield from self.wait(0.8)
            self.lathe.clamp("carriage", held=True)
            yield from self.wait(0.3)
        yield from self.press("clamp", axis="Z", held=held)
        if not held:
            self.lathe.clamp("carriage", held=False)
            yield from self.wait(0.5)

    def wind_by_eye(
        self,
        slide: SlideName,
        sense: int,
        gap: Gap,
        speed_mm_s: float,
        slowest_mm_s: float = SLOWEST_MM_S,
    ) -> Steps:
        """Wind one way until the gap has closed. None for a gap means that its figure cannot be relied on.

        Raises:
            FiguresLost: there was no figure for longer than the person waits.
        """
        moving = self.lathe.slides[slide]
        lag = max(1, round(self._settings.reaction_s / STEP_S))
        seen: deque[tuple[float | None, float]] = deque(maxlen=lag)
        error = self._chance.gauss(0, self._settings.figure_error_um * 1e-3)
        blind_s = 0.0
        while True:
            seen.append((gap(), moving.position_mm))
            figure, where = seen[0]
            wanted = 0.0
            if figure is None:
                blind_s += STEP_S
                if blind_s > self._settings.patience_s:
                    raise FiguresLost
            elif len(seen) == lag:
                blind_s = 0.0
                believed = figure - FEEL * abs(moving.position_mm - where) + error
                if believed <= 0:
                    break
                wanted = min(speed_mm_s, max(believed / SLOW_DOWN_S, slowest_mm_s))
            self._hands.wind(slide, moving, sense * wanted, STEP_S)
            yield
        while not self._hands.still:
            self._hands.wind(slide, moving, 0.0, STEP_S)
            yield

    def wind_to(self, slide: SlideName, to_mm: float, speed_mm_s: float) -> Steps:
        """Wind a slide until the tool stands at a place in work coordinates."""
        axis = AXIS_OF[slide]
        sense = 1 if to_mm > self.reads_mm(axis) else -1
        yield from self.wind_by_eye(slide, sense, lambda: sense * (to_mm - self.reads_mm(axis)), speed_mm_s)

    def wind_distance(self, slide: SlideName, distance_mm: float, speed_mm_s: float) -> Steps:
        """Wind a slide itself by so much, at an even speed, without looking at anything else."""
        moving = self.lathe.slides[slide]
        goal, sense = moving.position_mm + distance_mm, 1 if distance_mm > 0 else -1
        # A millionth of a millimetre: a float's sum may never arrive at less.
        while (left := sense * (goal - moving.position_mm)) > 1e-6:
            play = moving.play_mm(sense)
            # The last step is not longer than what is left: a test wants the distance it asked for.
            moving.wind(sense * min(speed_mm_s * STEP_S, left + play))
            yield

    def set_depth(self, job: Job, target_mm: float | None = None, slide: SlideName | None = None) -> Steps:
        """Wind the held slide in to where the next pass goes."""
        axis = job.held_axis
        own = job.next_target_mm(self.surface_mm[axis]) if target_mm is None else target_mm

        def by_own() -> float:
            return self.reads_mm(axis) - own

        gap: Gap = by_own
        if self.shop.look is not None and target_mm is None:
            shown = self.figures()[1]
            # A display that asks for no more while the size is plainly not reached is not followed.
            if shown is None or shown > NEAR_ENOUGH_MM or by_own() < 5 * NEAR_ENOUGH_MM:
                gap = lambda: self.figures()[1]  # noqa: E731

        def a_hair_less() -> float | None:
            figure = gap()
            return None if figure is None else figure - HAIR_MM

        for _ in range(NUDGES):
            yield from self.wind_by_eye(slide or SLIDE_OF[axis], -1, a_hair_less, 1.0, FINEST_MM_S)
            yield from self.wait(0.3)
            left = gap()
            if left is not None and left <= NEAR_ENOUGH_MM:
                break

    def feed(
        self,
        job: Job,
        role: Role,
        speed_mm_s: float,
        *,
        pause_at_mm: float | None = None,
        on_the_way: Callable[[float], None] | None = None,
    ) -> Steps:
        """One forward stroke to the end of the operation; kept as a true pass."""
        slide = SLIDE_OF[job.feed_axis]
        stroke = Stroke(job, role, self.lathe, self.zero_mm, self.surface_mm[job.held_axis])
        self._stroke = stroke
        completed = False
        try:
            yield from self.wait(0.1)
            if pause_at_mm is not None:
                yield from self.wind_by_eye(slide, job.sense, self._gap_to(job, pause_at_mm, on_the_way), speed_mm_s)
                yield from self.wait(1.2)
            yield from self.wind_by_eye(slide, job.sense, self._gap_to(job, job.end_mm, on_the_way), speed_mm_s)
            yield from self.wait(0.2)
            completed = True
        finally:
            self._stroke = None
            self._keep(job, stroke.finish(completed=completed))

    def _gap_to(self, job: Job, place_mm: float, on_the_way: Callable[[float], None] | None) -> Gap:
        """How far the feed has to go, as the display says; to a place of the person's own choice, as it truly is."""

        def gap() -> float | None:
            at_mm = self.reads_mm(job.feed_axis)
            if on_the_way is not None:
                on_the_way(at_mm)
            own = job.sense * (place_mm - at_mm)
            if self.shop.look is None:
                return own
            shown = self.figures()[0]
            return own if shown is not None and place_mm != job.end_mm else shown

        return gap

    def _keep(self, job: Job, done: TruePass | None) -> None:
        if done is None:
            return
        self.passes.append(done)
        # What was broken off leaves the old surface standing; air leaves everything.
        if done.completed and done.role != "air":
            self.surface_mm[job.held_axis] = done.held_mm
            self._last_held_mm[job.held_axis] = done.held_mm + self.zero_mm[job.held_axis]

    def find_surface(self, axis: Axis) -> Steps:
        """Wind slowly on to the turning work until the tool is heard to touch; the reaction time goes a little in."""
        slide, stock = SLIDE_OF[axis], self.lathe.stock

        def gap() -> float:
            touch = (
                stock.touches_outside_mm(self.lathe.tool_z_mm)
                if axis == "X"
                else stock.touches_face_mm(self.lathe.tool_x_mm)
            )
            return self.true_mm(axis) - touch

        # The last tenths by ear, from where the eye sees that it is close.
        yield from self.wind_by_eye(slide, -1, lambda: gap() - 0.12, 3.0)
        heard_s = 0.0
        while heard_s < self._settings.reaction_s:
            heard_s += STEP_S if gap() <= 0 else 0.0
            self._hands.wind(slide, self.lathe.slides[slide], -0.03, STEP_S)
            yield
        while not self._hands.still:
            self._hands.wind(slide, self.lathe.slides[slide], 0.0, STEP_S)
            yield

    def touch_off(self, axis: Axis, at_mm: float, *, how: str = "touch", last_pass: bool = False) -> Steps:
        """Say where the tool is: here, or where it stood when it cut the last pass."""
        stood = self._last_held_mm[axis] if last_pass else self.true_mm(axis)
        shift = stood - at_mm - self.zero_mm[axis]
        self.zero_mm[axis] += shift
        self.surface_mm[axis] = at_mm
        self.touch_offs.append(TouchedOff(self.lathe.t_s, axis, how, at_mm, self.zero_mm[axis]))
        where = "last_pass" if last_pass else "here"
        yield from self.press("touch_off", axis=axis, how=how, at_mm=at_mm, where=where)

    def measure_diameter_mm(self, z_mm: float) -> float:
        """What the micrometer says at a place in work coordinates, read to its step."""
        true_mm = self.lathe.stock.diameter_mm(z_mm + self.zero_mm["Z"])
        step_mm = self._settings.micrometer_step_um * 1e-3
        said = true_mm + self._chance.gauss(0, self._settings.micrometer_error_um * 1e-3)
        return round(round(said / step_mm) * step_mm, 4)
