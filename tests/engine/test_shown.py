"""What a display says that it shows, held against what it was sent."""

from __future__ import annotations

import pytest

from engine.lathe import FACING, TURNING, Lathe, configured
from waytell.documents.state import DoubtfulFigure
from waytell.engine.doubt import in_words
from waytell.engine.shown import DIFFERS, Shown, differs, struck, to_be_shown


@pytest.fixture
def lathe() -> Lathe:
    lathe = Lathe()
    lathe.set_up_work(FACING)
    lathe.to(x=12.5, z=-0.3, speed=30)
    return lathe


def test_each_figure_is_told_in_the_units_and_the_sense_of_the_person(lathe: Lathe) -> None:
    right = to_be_shown(lathe.state())
    assert {name: round(one.value, 6) for name, one in right.items()} == {
        "position-X": 25.0, "position-Z": -0.3, "to-go": 25.0,
    }  # fmt: skip
    lathe.act("choose_units", units={"length": "inch", "x_as": "radius"})
    assert to_be_shown(lathe.state())["to-go"].value == pytest.approx(12.5 / 25.4)


def test_each_figure_has_the_digits_of_its_own_axis_and_unit() -> None:
    scales = [
        {"channel": 0, "slide": "cross", "resolution_um": 50.0},
        {"channel": 1, "slide": "carriage", "resolution_um": 1.0},
    ]
    lathe = Lathe(configured(scales=scales))
    lathe.set_up_work(FACING)
    for length, digits in (("mm", "decimals_mm"), ("inch", "decimals_inch")):
        lathe.act("choose_units", units={"length": length, "x_as": "radius"})
        state = lathe.state()
        x, z = (getattr(axis, digits) for axis in state.axes)
        assert x != z
        assert {name: one.decimals for name, one in to_be_shown(state).items()} == {
            "position-X": x, "position-Z": z, "to-go": x,
        }  # fmt: skip
        assert {axis.decimals_mm != axis.decimals_inch for axis in state.axes} == {True}


def test_past_the_end_the_number_has_no_sign(lathe: Lathe) -> None:
    lathe.act("choose_operation", operation=TURNING)
    lathe.to(z=-9.0, speed=30)
    assert to_be_shown(lathe.state())["to-go"].value == pytest.approx(1.0, abs=0.003)


def test_half_a_digit_and_one_held_steady_are_no_difference(lathe: Lathe) -> None:
    right = to_be_shown(lathe.state())
    digit = 10.0 ** -right["position-Z"].decimals
    for off in (0.0, 1.0, -1.0):
        assert differs(right, {"position-Z": f"\N{MINUS SIGN}{0.3 - off * digit:.4f}"}) is None
    words = differs(right, {"position-Z": f"\N{MINUS SIGN}{0.3 + 2 * digit:.4f}"})
    assert words is not None
    assert "is right" in words


@pytest.mark.parametrize(("value", "same"), [(12.34551, True), (12.34540, False)])
def test_one_and_a_half_of_the_last_digit_is_the_most(value: float, same: bool) -> None:
    assert (differs({"to-go": Shown(value, 3)}, {"to-go": "12.347"}) is None) is same


@pytest.mark.parametrize("text", ["12.500", "25,0", "", "nan", "25.0 mm"])
def test_what_is_no_number_or_another_one_differs(lathe: Lathe, text: str) -> None:
    assert differs(to_be_shown(lathe.state()), {"to-go": text}) is not None


def test_a_figure_in_doubt_must_not_be_shown_as_good() -> None:
    assert differs(to_be_shown(Lathe().state()), {"position-X": "0.00"}) is not None


def test_nothing_in_a_struck_state_passes_for_good(lathe: Lathe) -> None:
    lathe.to(x=0.0, speed=30)
    assert lathe.state().reached
    state = struck(lathe.state(), in_words(DIFFERS, ""))
    assert not state.reached
    figures = [axis.position for axis in state.axes] + [state.to_go]
    assert state.remaining is not None
    figures += [state.remaining.this_pass, state.remaining.total]
    assert all(isinstance(one, DoubtfulFigure) and one.reasons == (DIFFERS,) for one in figures)
    assert to_be_shown(state) == {}
    assert type(state).model_validate(state.model_dump()) == state
