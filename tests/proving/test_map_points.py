"""Error maps from places that are known: averages, outliers, what is left, and what is refused."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from waytell.documents.proving import ScaleMap
from waytell.engine.error_map import correction_mm
from waytell.engine.student_t import coverage_factor
from waytell.proving.map_points import MapFound, map_points
from waytell.proving.not_enough import NotEnough

COUNT_MM = 0.005
Pairs = list[tuple[float, float]]


def captured(places: Sequence[float], error: Callable[[float], float], count_mm: float = COUNT_MM) -> Pairs:
    """(shown, said) at a scale that adds `error` to the truth and shows whole counts."""
    return [(round((at + error(at)) / count_mm) * count_mm, at) for at in places]


def bowed(at: float) -> float:
    return 0.04 * math.sin(math.pi * at / 200)


def as_map(found: MapFound) -> ScaleMap:
    return ScaleMap(
        at_mm=tuple(one.shown_mm for one in found.places), add_mm=tuple(one.deviation_mm for one in found.places)
    )


def places(n: int, step: float = 20.0) -> list[float]:
    return [step * one for one in range(n)]


def test_a_map_makes_its_own_places_true_and_leaves_only_its_residuals_between_them() -> None:
    found = map_points(captured(places(11) * 2, bowed), COUNT_MM)
    told = as_map(found)
    worst = 0.0
    for at in np.linspace(0, 200, 401):
        shown = float(at) + bowed(float(at))
        worst = max(worst, abs(shown + correction_mm(told, shown) - at))
    # Half a count for the zero, half for the place; between places the bow over a straight piece.
    bow = 0.04 * (math.pi / 200) ** 2 * 20**2 / 8
    assert worst <= COUNT_MM + bow
    for pair in captured(places(11), bowed):
        assert pair[0] + correction_mm(told, pair[0]) == pytest.approx(pair[1], abs=COUNT_MM)


@given(st.lists(st.integers(-8, 8), min_size=3, max_size=12), st.integers(1, 3), st.floats(-50, 50))
def test_a_map_leaves_nothing_but_rounding_at_its_own_places(counts: list[int], runs: int, start: float) -> None:
    ats = [start + at for at in places(len(counts))]
    found = map_points([(at + COUNT_MM * one, at) for at, one in zip(ats, counts, strict=True)] * runs, COUNT_MM)
    told = as_map(found)
    first = found.places[0]
    for one in found.places:
        way = one.shown_mm - first.shown_mm
        added = correction_mm(told, one.shown_mm) - correction_mm(told, first.shown_mm)
        assert way + added == pytest.approx(one.said_mm - first.said_mm, abs=1e-12)


def test_the_bow_between_places_is_bounded_by_how_the_map_bends() -> None:
    fine = 1e-5
    found = map_points(captured(places(11), bowed, fine), fine)
    assert found.between_mm == pytest.approx(0.04 * (math.pi / 200) ** 2 * 20**2 / 8, rel=0.02)
    assert map_points(captured(places(5), lambda at: 1e-4 * at, fine), fine).between_mm < 2 * fine


@given(st.lists(st.integers(-8, 8), min_size=6, max_size=6), st.integers(1, 4), st.randoms())
def test_the_order_of_captures_changes_nothing_but_where_the_zero_is(
    counts: list[int], runs: int, chance: random.Random
) -> None:
    pairs = [(place + COUNT_MM * one, place) for place, one in zip(places(6), counts, strict=True)] * runs
    other = list(pairs)
    chance.shuffle(other)
    before, after = map_points(pairs, COUNT_MM), map_points(other, COUNT_MM)
    assert [one.shown_mm for one in before.places] == pytest.approx([one.shown_mm for one in after.places])
    moved = before.places[0].deviation_mm - after.places[0].deviation_mm
    assert [one.deviation_mm - moved for one in before.places] == pytest.approx(
        [one.deviation_mm for one in after.places], abs=1e-9
    )
    assert after.sd_mm == pytest.approx(before.sd_mm)
    assert after.line.slope == pytest.approx(before.line.slope, abs=1e-12)


@given(st.integers(0, 2**32 - 1), st.floats(0.1, 50.0))
def test_in_other_units_the_same_map_is_found(seed: int, unit: float) -> None:
    noise = np.random.default_rng(seed).normal(0, 0.004, 18)
    pairs = [(at + bowed(at) + float(e), at) for at, e in zip(places(6) * 3, noise, strict=True)]
    one = map_points(pairs, COUNT_MM)
    other = map_points([(unit * shown, unit * said) for shown, said in pairs], unit * COUNT_MM)
    assert other.outliers == one.outliers
    assert other.sd_mm == pytest.approx(unit * one.sd_mm)
    assert other.straightness_mm == pytest.approx(unit * one.straightness_mm)
    assert other.line.slope == pytest.approx(one.line.slope)


def test_the_spread_is_that_of_repeats_with_the_step_of_the_scale() -> None:
    """Against numpy: pooled variance of the groups."""
    rng = np.random.default_rng(7)
    pairs = [(at + bowed(at) + float(rng.normal(0, 0.004)), at) for at in places(6) * 5]
    found = map_points(pairs, COUNT_MM)
    assert found.outliers == ()
    assert found.repeated
    by_place = [[said - shown for shown, said in pairs if said == at] for at in places(6)]
    inside = float(np.mean([np.var(one, ddof=1) for one in by_place]))
    assert found.sd_mm == pytest.approx(math.sqrt(inside + COUNT_MM**2 / 12))
    assert found.degrees == 24


def test_without_repeats_the_spread_is_how_roughly_places_follow_and_a_bow_is_hardly_in_it() -> None:
    """Second differences of pure noise have the variance of the noise, once divided by their root of squares."""
    found = []
    for seed in range(200):
        rng = np.random.default_rng(seed)
        pairs = [(at + bowed(at) + float(rng.normal(0, 0.006)), at) for at in places(11)]
        one = map_points(pairs, COUNT_MM)
        assert not one.repeated
        found.append(one.sd_mm)
    assert math.sqrt(float(np.mean(np.square(found)))) == pytest.approx(0.006, rel=0.1)


@pytest.mark.parametrize("ats", [places(3), places(4), places(5), places(11), [0.0, 5.0, 30.0, 41.0, 90.0, 100.0]])
def test_kinks_that_share_places_count_for_fewer_degrees_of_freedom(ats: list[float]) -> None:
    """Against their covariance as a matrix: square of its trace over the trace of its square (Satterthwaite)."""
    rows = np.zeros((len(ats) - 2, len(ats)))
    for one, row in enumerate(rows):
        for at in range(one, one + 3):
            # Of each of the three places alone: what a deviation of 1 there makes of the second difference.
            row[at] = np.interp(ats[one + 1], ats[one : one + 3 : 2], np.eye(3)[at - one][::2]) - (at == one + 1)
    rows /= np.linalg.norm(rows, axis=1, keepdims=True)
    covariance = rows @ rows.T
    free = np.trace(covariance) ** 2 / np.trace(covariance @ covariance)
    found = map_points([(at, at) for at in ats], COUNT_MM)
    assert found.degrees == pytest.approx(float(free))


@pytest.mark.parametrize("n", [3, 5, 8, 11])
def test_u_of_a_capture_without_repeats_covers_as_often_as_it_claims(n: int) -> None:
    held = 0
    for seed in range(2000):
        *noise, next_one = np.random.default_rng(seed).normal(0, 0.006, n + 1)
        found = map_points([(at + float(e), at) for at, e in zip(places(n), noise, strict=True)], 1e-5)
        held += abs(next_one) <= coverage_factor(found.degrees) * found.sd_mm
    # From three standard deviations below 95 % of 2000; with very few places the effective degrees cover more.
    assert 1871 <= held <= 1960


def test_repeats_that_agree_to_the_count_leave_its_step() -> None:
    found = map_points(captured(places(4) * 3, lambda at: 1e-4 * at), COUNT_MM)
    assert found.sd_mm == pytest.approx(COUNT_MM / math.sqrt(12))


def test_the_factor_is_the_line_and_what_is_crooked_is_told_apart() -> None:
    found = map_points(captured(places(11), lambda at: -3e-4 * at, 1e-4), 1e-4)
    # It shows too little by 0.03 %, so as much is to be added.
    assert found.line.slope == pytest.approx(3e-4, rel=1e-2)
    assert found.straightness_mm < 1e-4
    assert map_points(captured(places(11), bowed, 1e-4), 1e-4).straightness_mm == pytest.approx(
        max(abs(bowed(at) - float(np.mean([bowed(x) for x in places(11)]))) for at in places(11)), rel=0.01
    )


# -- outliers ------------------------------------------------------------------------------------------------------


def test_one_count_is_no_outlier_however_well_the_others_agree() -> None:
    pairs = captured(places(5) * 3, bowed)
    pairs[6] = (pairs[6][0] + COUNT_MM, pairs[6][1])
    assert map_points(pairs, COUNT_MM).outliers == ()


@given(st.integers(0, 14), st.sampled_from([-0.1, -0.05, 0.05, 0.1]))
def test_a_capture_unlike_the_others_of_its_place_is_left_out(which: int, by: float) -> None:
    pairs = captured(places(5) * 3, bowed)
    pairs[which] = (pairs[which][0] + by, pairs[which][1])
    found = map_points(pairs, COUNT_MM)
    assert found.outliers == (which,)
    assert found.sd_mm < 2 * COUNT_MM


@given(st.integers(0, 7), st.sampled_from([-0.2, 0.2]))
def test_a_slip_at_a_place_captured_once_shows_against_the_line_of_the_others(which: int, by: float) -> None:
    """A dial misread by a tenth, twice."""
    pairs = captured(places(8), bowed)
    pairs[which] = (pairs[which][0] + by, pairs[which][1])
    assert map_points(pairs, COUNT_MM).outliers == (which,)
    # What repeats is no slip.
    again = map_points([*pairs, pairs[which]], COUNT_MM)
    assert again.outliers == ()
    assert max(abs(one.deviation_mm) for one in again.places) > 0.15


def test_of_two_that_disagree_the_one_off_the_line_of_the_others_is_left_out() -> None:
    pairs = captured(places(5) * 2, bowed)
    pairs[7] = (pairs[7][0] + 0.06, pairs[7][1])
    assert map_points(pairs, COUNT_MM).outliers == (7,)


def by_hand(seed: int, ats: Sequence[float]) -> Pairs:
    """Wound by hand to about each place and read as counts, with a little noise: no two captures are alike."""
    rng = np.random.default_rng(seed)
    said = [at + float(rng.uniform(-0.02, 0.02)) for at in ats]
    return [(round((at + float(rng.normal(0, 0.002))) / COUNT_MM) * COUNT_MM, at) for at in said]


@given(st.integers(0, 9), st.sampled_from([-1.0, -0.06, 0.06, 1.0]), st.integers(0, 2**32 - 1))
def test_of_two_that_disagree_the_wrong_one_is_left_out_at_the_ends_too(which: int, by: float, seed: int) -> None:
    pairs = by_hand(seed, places(5) * 2)
    pairs[which] = (pairs[which][0] + by, pairs[which][1])
    assert map_points(pairs, COUNT_MM).outliers == (which,)


@given(st.integers(0, 2**32 - 1), st.sampled_from([1, 2, 3, 5]), st.sampled_from([30.0, 50.0]), st.data())
def test_a_capture_that_is_a_millimetre_off_is_named(seed: int, runs: int, step: float, data: st.DataObject) -> None:
    pairs = by_hand(seed, places(7, step) * runs)
    which, by = data.draw(st.integers(0, len(pairs) - 1)), data.draw(st.sampled_from([-1.0, 1.0]))
    pairs[which] = (pairs[which][0] + by, pairs[which][1])
    assert map_points(pairs, COUNT_MM).outliers == (which,)


@pytest.mark.parametrize("which", range(7))
def test_a_millimetre_between_places_near_to_one_another_is_refused_by_their_names(which: int) -> None:
    """A tenth of the way is no error of a scale, so the person is asked."""
    pairs = by_hand(3, places(7, 10.0))
    pairs[which] = (pairs[which][0] + 1.0, pairs[which][1])
    with pytest.raises(NotEnough, match="no scale is that wrong") as refused:
        map_points(pairs, COUNT_MM)
    assert f"{round(pairs[which][1], 3):g}" in str(refused.value)


@given(st.floats(-1e-3, 1e-3), st.floats(5.0, 40.0), st.integers(3, 12), st.integers(1, 5), st.integers(0, 2**32 - 1))
def test_the_step_of_the_scale_alone_makes_no_outlier(slope: float, step: float, n: int, runs: int, seed: int) -> None:
    """Each time the slide stands anywhere within the count."""
    within = np.random.default_rng(seed).uniform(0, 1, n * runs)
    ats = places(n, step) * runs
    pairs = [(math.floor(at * (1 + slope) / COUNT_MM + e) * COUNT_MM, at) for at, e in zip(ats, within, strict=True)]
    assert map_points(pairs, COUNT_MM).outliers == ()


def test_where_no_two_agree_all_stay_and_the_spread_tells() -> None:
    pairs = [*captured(places(5) * 3, bowed), *[(20.0 + by, 20.0) for by in (0.3, 0.3, 0.3)]]
    found = map_points(pairs, COUNT_MM)
    assert found.outliers == ()
    assert found.sd_mm > 0.05


def test_a_step_in_the_scale_itself_is_no_slip() -> None:
    found = map_points(captured(places(8), lambda at: 0.03 if at > 70 else 0.0, 0.001), 0.001)
    assert found.outliers == ()
    assert [round(one.deviation_mm, 3) for one in found.places] == [0, 0, 0, 0, -0.03, -0.03, -0.03, -0.03]


@given(st.integers(0, 2**32 - 1))
def test_honest_noise_is_seldom_called_an_outlier(seed: int) -> None:
    rng = np.random.default_rng(seed)
    pairs = [(at + bowed(at) + float(rng.normal(0, 0.003)), at) for at in places(8) * 3]
    assert len(map_points(pairs, COUNT_MM).outliers) <= 2


# -- places --------------------------------------------------------------------------------------------------------


def test_captures_a_few_hundredths_apart_are_of_one_place() -> None:
    """A slide wound by hand to a dial never stands at the same count twice."""
    pairs = [(at + by + 2e-4 * (at + by), at + by) for by in (0.0, 0.013, -0.021) for at in places(5)]
    found = map_points(pairs, COUNT_MM)
    assert [one.captures for one in found.places] == [3] * 5
    assert found.line.slope == pytest.approx(-2e-4, rel=1e-3)


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ([], "A map needs 3 places or more; captured: 0."),
        ([(0.0, 0.0), (10.0, 10.0), (10.0, 10.0)], "captured: 2"),
        ([(0.0, 0.0), (10.0, 10.0), (10.05, 10.05)], "10 and 10.05 mm are too near"),
        ([(0.0, 0.0), (10.0, 20.0), (20.0, 10.0)], "Between 0 and 20 mm 10.000 mm are shown"),
        ([(0.0, 0.0), (10.0, -10.0), (20.0, -20.0)], "the places go back"),
        ([(0.0, 0.0), (10.0, 10.0), (20.0, 30.0)], "Between 10 and 30 mm 10.000 mm are shown: no scale is that wrong"),
        ([(0.0, 0.0), (2.5, 10.0), (5.0, 20.0)], "no scale is that wrong"),
        ([(0.0, 0.0), (0.0, 10.0), (0.0, 20.0)], "no scale is that wrong"),
    ],
)
def test_what_cannot_be_a_map_is_refused_with_what_to_do(pairs: Pairs, words: str) -> None:
    with pytest.raises(NotEnough) as refused:
        map_points(pairs, COUNT_MM)
    assert words in str(refused.value)
    assert refused.value.do.endswith(".")
