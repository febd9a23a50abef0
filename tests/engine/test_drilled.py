"""A hole drilled from a tailstock without a scale, as the person tells it."""

from __future__ import annotations

import math

import pytest

from engine.lathe import Lathe, restored
from waytell.documents.state import Event
from waytell.review.record import read


def drilled() -> Lathe:
    lathe = Lathe()
    lathe.set_up_work()
    lathe.act("drilled", diameter_mm=8.0, to_mm=-12.0)
    return lathe


def told(lathe: Lathe) -> list[Event]:
    return [Event.model_validate(one._asdict()) for one in lathe.engine.history]


def test_it_is_a_pass_with_the_size_and_depth_that_were_told() -> None:
    (one,) = drilled().passes
    assert (one.kind, one.start_mm, one.end_mm, one.depth_mm) == ("drilling", 0.0, -12.0, 12.0)
    # A cylinder and the cone of a 118 degree point.
    cone = math.pi * 16 * (4 / math.tan(math.radians(59))) / 3
    assert one.volume_mm3 == pytest.approx(math.pi * 16 * 12 + cone)


def test_the_work_has_the_hole_also_after_a_start_of_the_program() -> None:
    lathe = drilled()
    again = restored(lathe.engine.history)
    for engine in (lathe.engine, again):
        section = engine.known.section
        assert section is not None
        assert section.bore_at(-6.0) == pytest.approx(4.0)
    assert lathe.state().work.bore != ()


def test_it_is_told_before_its_act_and_numbers_go_on() -> None:
    lathe = drilled()
    assert [one.kind for one in lathe.events[-2:]] == ["pass_finished", "act"]
    lathe.act("drilled", diameter_mm=9.0, to_mm=-12.0)
    assert [one.number for one in lathe.passes] == [1, 2]


def test_taken_back_it_was_never_drilled() -> None:
    lathe = Lathe()
    lathe.set_up_work()
    before = lathe.state().work
    lathe.act("drilled", diameter_mm=8.0, to_mm=-12.0)
    lathe.act("undo")
    assert lathe.events[-1].words.startswith("Undone: ")
    again = restored(lathe.engine.history)
    for engine in (lathe.engine, again):
        section = engine.known.section
        assert section is not None
        assert section.bore_at(-6.0) == 0.0
        assert engine.known.last_pass is None
    assert lathe.state().work == before
    assert read(told(lathe)).passes == []


def test_the_number_of_one_taken_back_is_not_given_again() -> None:
    lathe = drilled()
    lathe.act("undo")
    lathe.act("drilled", diameter_mm=9.0, to_mm=-12.0)
    (stands,) = read(told(lathe)).passes
    assert stands.number == 2
    assert stands.volume_mm3 == lathe.passes[-1].volume_mm3
    assert restored(lathe.engine.history).known.numbered == 2
