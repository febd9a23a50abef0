"""The person: human speeds, winding by what the display says, waiting when it says nothing."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field, replace
from threading import Event
from typing import Any

import pytest

from waytell_bridge.simulated import demo
from waytell_bridge.simulated.job import Job
from waytell_bridge.simulated.person import Person, Script, Steps
from waytell_bridge.simulated.settings import HandSettings, Settings, Style
from waytell_bridge.simulated.short_scripts import SCRIPTS
from waytell_bridge.simulated.world import TICK_S, World

SHORT_TURNING = replace(demo.TURNING, end_mm=-6.0, target_mm=11.2)


def short_turning(person: Person) -> Steps:
    yield from demo.chuck_bar(person)
    yield from demo.touch_both(person)
    yield from demo.turn_to_size(person, SHORT_TURNING)


def short_bush(person: Person) -> Steps:
    yield from demo.chuck_bar(person)
    yield from demo.touch_both(person)
    yield from demo.face_clean(person, demo.FACING)
    yield from person.touch_off("Z", 0.0, last_pass=True)
    yield from demo.turn_to_size(person, SHORT_TURNING)


@dataclass
class Onlooker:
    """A display beside the lathe, with figures as coarse as a scale's; it can be blinded for a while."""

    script: Script = short_bush
    settings: Settings = field(default_factory=Settings)
    blind: bool = False
    job: Job | None = None
    acts: list[dict[str, Any]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.world = World(self.script, self.settings, 1, press=self.press, look=self.look)

    def press(self, act: dict[str, Any]) -> Event:
        self.acts.append(act)
        if act["act"] == "choose_operation":
            self.job = Job(**act["operation"])
        taken = Event()
        taken.set()
        return taken

    def look(self) -> tuple[float | None, float | None]:
        if self.blind or self.job is None:
            return None, None
        person, job = self.world.person, self.job
        to_go = job.sense * (job.end_mm - person.reads_mm(job.feed_axis))
        remaining = person.reads_mm(job.held_axis) - job.next_target_mm(person.surface_mm[job.held_axis])
        return round(to_go / 0.005) * 0.005, round(remaining / 0.005) * 0.005

    def run_until_cutting(self, words: str) -> None:
        while not (self.world.person.words == words and self.world.lathe.contact.depth_mm > 0.1):
            self.world.tick()
            assert self.world.t_s < 400

    def run_to_the_end(self) -> None:
        while not self.world.finished:
            self.world.tick()
            assert self.world.t_s < 900

    def travel_mm(self, seconds: float) -> float:
        slides, gone = self.world.lathe.slides, 0.0
        for _ in range(round(seconds / TICK_S)):
            before = [slide.position_mm for slide in slides.values()]
            self.world.tick()
            gone += sum(abs(s.position_mm - b) for s, b in zip(slides.values(), before, strict=True))
        return gone

    def finished_diameter_mm(self) -> float:
        return self.world.lathe.stock.diameter_mm(self.world.person.zero_mm["Z"] - 3.0)


def test_by_the_display_the_bush_comes_out_within_limits() -> None:
    onlooker = Onlooker()
    onlooker.run_to_the_end()
    assert onlooker.finished_diameter_mm() == pytest.approx(22.4, abs=0.016)
    assert onlooker.world.lathe.stock.face_clean()
    assert [done.role for done in onlooker.world.person.passes].count("spring") == 1


def test_struck_through_figures_stop_the_hand_at_once_and_it_waits() -> None:
    onlooker = Onlooker()
    onlooker.run_until_cutting("Turns towards the shoulder.")
    onlooker.blind = True
    # Reaction time, at 1.4 mm/s, and a hand that has to stop.
    assert 0.05 < onlooker.travel_mm(0.6) < 0.7
    assert onlooker.travel_mm(4.0) < 1e-6
    onlooker.blind = False
    assert onlooker.travel_mm(2.0) > 0.5


@pytest.mark.parametrize("words", ["Turns towards the shoulder.", "Faces towards the centre."])
def test_after_long_doubt_the_person_touches_off_again_and_finishes(words: str) -> None:
    onlooker = Onlooker()
    onlooker.run_until_cutting(words)
    touched = [act["act"] for act in onlooker.acts].count("touch_off")
    onlooker.blind = True
    while [act["act"] for act in onlooker.acts].count("touch_off") < touched + 2:
        onlooker.world.tick()
        assert onlooker.world.t_s < 400
    onlooker.blind = False
    onlooker.run_to_the_end()
    assert onlooker.finished_diameter_mm() == pytest.approx(22.4, abs=0.025)
    assert onlooker.world.lathe.stock.face_clean()
    assert [done.completed for done in onlooker.world.person.passes].count(False) == 1


def test_without_any_figure_the_work_is_given_up_not_the_lathe() -> None:
    onlooker = Onlooker(SCRIPTS["compound_depth"], blind=True)
    onlooker.run_to_the_end()
    assert "Gives up" in onlooker.world.person.words
    onlooker.world.tick()


@pytest.mark.parametrize("style", ["smooth", "uneven", "jerky"])
def test_whatever_the_manner_speeds_are_human_and_the_size_is_reached(style: Style) -> None:
    onlooker = Onlooker(short_turning, Settings(hand=HandSettings(style=style)))
    slides = onlooker.world.lathe.slides
    fastest = 0.0
    while not onlooker.world.finished:
        before = [slide.position_mm for slide in slides.values()]
        onlooker.world.tick()
        moved = (abs(s.position_mm - b) for s, b in zip(slides.values(), before, strict=True))
        fastest = max(fastest, *moved)
        assert onlooker.world.t_s < 600
    assert 5 < fastest / TICK_S < 60
    turned = [done for done in onlooker.world.person.passes if done.role != "spring"]
    assert turned[-1].held_mm == pytest.approx(SHORT_TURNING.target_mm, abs=0.01)
    assert all(abs(done.to_mm - SHORT_TURNING.end_mm) < 0.08 for done in turned)


def test_counts_follow_the_true_slides_all_the_time() -> None:
    onlooker = Onlooker(SCRIPTS["dwell_and_return"])
    world, scales = onlooker.world, onlooker.world.settings.scales
    start = [world.lathe.slides[scale.slide].position_mm for scale in scales]
    first = world.board.counts
    worst = 0.0
    while not world.finished:
        world.tick()
        for scale, at, zero, count in zip(scales, start, first, world.board.counts, strict=True):
            by_scale = (count - zero) * scale.direction * scale.resolution_um * 1e-3
            worst = max(worst, abs(by_scale - (world.lathe.slides[scale.slide].position_mm - at)))
    # A count, twice the periodic error, and 25 micrometres a metre over 20 mm.
    assert 0.003 < worst < 0.005 + 0.002 + 0.0005


@pytest.mark.parametrize(
    ("surface_mm", "passes"),
    [(12.0, [11.43, 10.86, 10.29, 9.72, 9.15, 9.0]), (9.3, [9.15, 9.0]), (9.17, [9.0]), (9.0, [9.0])],
)
def test_depths_are_equal_and_end_on_size(surface_mm: float, passes: list[float]) -> None:
    job = replace(demo.TURNING, target_mm=9.0, depth_mm=0.58, finish_mm=0.15)
    targets = [surface_mm]
    for _ in passes:
        targets.append(job.next_target_mm(targets[-1]))
    assert targets[1:] == pytest.approx(passes)
    assert all(a >= b for a, b in itertools.pairwise(targets))
