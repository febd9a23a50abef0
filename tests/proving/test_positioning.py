"""The quantities of ISO 230-2:2014 by hand, against another reckoning, and by what must hold for any of them."""

from __future__ import annotations

from math import sqrt
from statistics import mean, stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waytell.proving.not_enough import NotEnough
from waytell.proving.positioning import positioning

# No public worked example of the standard was found: a vector of our own whose every quantity can be checked by hand
# (five targets, five runs each way, um); the formulas are from memory of ISO 230-2:2014.
UP = [[0, 1, 0, -1, 0], [2, 3, 2, 1, 2], [5, 6, 5, 4, 5], [4, 4, 6, 4, 2], [7, 8, 9, 8, 8]]
DOWN = [[-4, -3, -4, -5, -4], [-3, -2, -3, -4, -3], [0, 1, 0, -1, 0], [0, 0, 2, 0, -2], [3, 4, 5, 4, 4]]


def test_the_quantities_of_the_standard_by_hand() -> None:
    found = positioning(UP, DOWN)
    assert [one.up.mean for one in found.targets] == [0, 2, 5, 4, 8]
    assert [one.down.mean for one in found.targets] == [-4, -3, 0, 0, 4]
    assert [one.up.sd for one in found.targets] == pytest.approx([sqrt(0.5)] * 3 + [sqrt(2), sqrt(0.5)])
    assert [one.reversal for one in found.targets] == [4, 5, 5, 4, 4]
    assert [found.reversal, found.mean_reversal] == pytest.approx([5, 4.4])
    assert found.mean_deviation_range == 8
    assert (found.systematic, found.systematic_up, found.systematic_down) == (12, 8, 8)
    assert found.repeatability_up == pytest.approx(4 * sqrt(2))
    assert found.repeatability_down == pytest.approx(4 * sqrt(2))
    assert found.repeatability == pytest.approx(4 + 4 * sqrt(2))
    assert found.accuracy == pytest.approx(12 + 2 * sqrt(2))
    assert found.accuracy_up == pytest.approx(8 + 2 * sqrt(2))
    assert found.accuracy_down == pytest.approx(8 + 2 * sqrt(2))
    # Pooled over ten sets of five: eight with variance 1/2, two with 2.
    assert [found.sd, found.degrees] == pytest.approx([sqrt(0.8), 40])


RUNS = st.lists(st.floats(-50, 50), min_size=2, max_size=5)
SIDES = st.lists(st.tuples(RUNS, RUNS), min_size=2, max_size=6)
Sides = list[tuple[list[float], list[float]]]


def both(sides: Sides) -> tuple[list[list[float]], list[list[float]]]:
    return [up for up, _ in sides], [down for _, down in sides]


@given(SIDES)
def test_any_numbers_of_runs_agree_with_another_reckoning(sides: Sides) -> None:
    found = positioning(*both(sides))
    ends = [(mean(runs) - 2 * stdev(runs), mean(runs) + 2 * stdev(runs)) for pair in sides for runs in pair]
    assert found.accuracy == pytest.approx(max(high for _, high in ends) - min(low for low, _ in ends), abs=1e-9)
    assert found.reversal == pytest.approx(max(abs(mean(up) - mean(down)) for up, down in sides), abs=1e-9)
    middles = [(mean(up) + mean(down)) / 2 for up, down in sides]
    assert found.mean_deviation_range == pytest.approx(max(middles) - min(middles), abs=1e-9)


@given(SIDES)
def test_what_must_hold_between_the_quantities(sides: Sides) -> None:
    found = positioning(*both(sides))
    hair = 1e-9
    assert abs(found.mean_reversal) <= found.reversal + hair
    assert found.mean_deviation_range <= found.systematic + hair
    assert max(found.systematic_up, found.systematic_down, found.reversal) <= found.systematic + hair
    assert found.systematic <= found.accuracy + hair
    assert max(found.accuracy_up, found.accuracy_down) <= found.accuracy + hair
    assert max(found.repeatability_up, found.repeatability_down) <= found.repeatability + hair
    # Across one target both lie within R, and R within A.
    assert found.repeatability <= found.accuracy + hair


@given(SIDES, st.floats(-100, 100), st.floats(0.01, 100))
def test_an_offset_changes_nothing_and_another_unit_only_the_unit(sides: Sides, offset: float, unit: float) -> None:
    one = positioning(*both(sides))
    moved = [([unit * (a + offset) for a in up], [unit * (b + offset) for b in down]) for up, down in sides]
    assert list(positioning(*both(moved))[1:14]) == pytest.approx([unit * value for value in one[1:14]], abs=1e-6)


@given(SIDES)
def test_the_other_way_round_the_reversal_changes_its_sign_only(sides: Sides) -> None:
    up, down = both(sides)
    one, other = positioning(up, down), positioning(down, up)
    assert other.mean_reversal == pytest.approx(-one.mean_reversal, abs=1e-9)
    assert other.reversal == pytest.approx(one.reversal)
    assert other.accuracy == pytest.approx(one.accuracy)


@pytest.mark.parametrize(
    ("up", "down", "do"),
    [([[0.0, 1.0]], [[0.0, 1.0]], "two places"), ([[0.0, 1.0], [2.0]], [[0.0, 1.0], [2.0, 3.0]], "twice"),
     ([[0.0, 1.0], [2.0, 3.0]], [[0.0, 1.0], []], "twice"), ([[0.0, 1.0], [2.0, 3.0]], [[0.0, 1.0]], "two places")],
)  # fmt: skip
def test_too_little_is_refused_with_what_to_do(up: list[list[float]], down: list[list[float]], do: str) -> None:
    with pytest.raises(NotEnough) as refused:
        positioning(up, down)
    assert do in refused.value.do
