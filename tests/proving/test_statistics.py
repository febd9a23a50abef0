"""Budgets, spreads and straight lines against certified data, published examples and other libraries."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
import uncertainties  # type: ignore[import-untyped]
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import optimize, stats

from waytell.engine.budget import Contribution, combined, rectangular
from waytell.engine.student_t import coverage_factor, quantile
from waytell.proving.spread import pooled, spread
from waytell.proving.straight_line import straight_line

# -- budgets -------------------------------------------------------------------------------------------------------

# GUM (JCGM 100:2008), H.1, calibration of an end gauge: inputs as a national laboratory's documentation of the example
# gives them (GTC, GUM H.1), degrees of freedom from memory of table H.1. In nm, but the unit does not matter.
LENGTH_NM = 50.000623e6
END_GAUGE = (
    Contribution("reference", 25.0, 18),
    Contribution("repeatability", 5.8, 24),
    Contribution("resolution", 3.9, 5),
    Contribution("noise", 6.7, 8),
    Contribution("expansion", LENGTH_NM * 0.1 * rectangular(1e-6), 50),
    Contribution("touch", LENGTH_NM * 11.5e-6 * rectangular(0.05), 2),
)


def test_a_budget_equals_the_end_gauge_of_the_gum() -> None:
    found = combined(END_GAUGE)
    assert found.standard_mm == pytest.approx(32, abs=0.5)
    # The GUM takes the three parts of the comparison together first (9.7 nm with 25.6), and finds 16.7.
    assert found.degrees == pytest.approx(16.7, abs=0.3)
    # It truncates to 16 and gives 93 nm for 99 %.
    assert quantile(0.995, math.floor(found.degrees)) * found.standard_mm == pytest.approx(93, abs=1)


def test_a_budget_equals_first_order_propagation_by_another_library() -> None:
    end, difference = uncertainties.ufloat(LENGTH_NM, 25.0), uncertainties.ufloat(215.0, math.hypot(5.8, 3.9, 6.7))
    warm, steel = uncertainties.ufloat(-0.1, 0.41), uncertainties.ufloat(11.5e-6, rectangular(2e-6))
    unlike, warmer = uncertainties.ufloat(0.0, rectangular(1e-6)), uncertainties.ufloat(0.0, rectangular(0.05))
    gauge = end + difference - end * (unlike * warm + steel * warmer)
    assert gauge.nominal_value == pytest.approx(50.000838e6, abs=1)
    assert combined(END_GAUGE).standard_mm == pytest.approx(gauge.std_dev, rel=1e-6)


@pytest.mark.parametrize(
    ("parts", "standard", "degrees"),
    [
        # 5^4 / (3^4/9 + 4^4/16) = 625/25.
        ([(3.0, 9), (4.0, 16)], 5.0, 25.0),
        # Alike, they add up: 4/(1/10 + 1/10).
        ([(1.0, 10), (1.0, 10)], math.sqrt(2), 20.0),
        # 3^4 / (1/1 + 2^4/8 + 2^4/16) = 81/4.
        ([(1.0, 1), (2.0, 8), (2.0, 16)], 3.0, 20.25),
        # What is known without repeats only dilutes: 5^4 / (3^4/9).
        ([(3.0, 9), (4.0, math.inf)], 5.0, 625 / 9),
        ([(2.0, math.inf)], 2.0, math.inf),
    ],
)
def test_effective_degrees_of_freedom_by_hand(
    parts: list[tuple[float, float]], standard: float, degrees: float
) -> None:
    """Welch and Satterthwaite (GUM, JCGM 100:2008, G.4.1), the fourth powers reckoned by hand."""
    found = combined([Contribution("noise", u, free) for u, free in parts])
    assert (found.standard_mm, found.degrees) == pytest.approx((standard, degrees))
    assert found.k == pytest.approx(stats.t.ppf(0.975, degrees), abs=1e-4)
    assert found.expanded_mm == pytest.approx(found.k * standard)


NAME = st.sampled_from(["resolution", "touch", "noise"])
KNOWN = st.builds(Contribution, NAME, st.floats(1e-3, 1.0), st.just(math.inf))
CONTRIBUTION = st.one_of(KNOWN, st.builds(Contribution, NAME, st.floats(1e-6, 1.0), st.floats(1.0, 200.0)))


@given(st.lists(KNOWN, min_size=1, max_size=6), st.floats(1.01, 10))
def test_any_contribution_makes_it_larger(parts: list[Contribution], times: float) -> None:
    """With few degrees of freedom it need not: another surer contribution then makes the factor smaller."""
    before = combined(parts)
    assert before.k == pytest.approx(1.959964, abs=1e-6)
    grown = [parts[0]._replace(standard_mm=times * parts[0].standard_mm), *parts[1:]]
    assert combined(grown).expanded_mm > before.expanded_mm
    assert combined([*parts, Contribution("noise", 0.1, math.inf)]).expanded_mm > before.expanded_mm


@given(st.lists(CONTRIBUTION, min_size=1, max_size=6), st.floats(1e-3, 1e3))
def test_a_budget_in_other_units_is_the_same_budget(parts: list[Contribution], unit: float) -> None:
    one = combined(parts)
    other = combined([part._replace(standard_mm=unit * part.standard_mm) for part in parts])
    assert other.standard_mm == pytest.approx(unit * one.standard_mm)
    assert other.degrees == pytest.approx(one.degrees)
    least = min(part.degrees for part in parts)
    assert least * (1 - 1e-9) <= one.degrees
    assert one.degrees <= sum(part.degrees for part in parts) * (1 + 1e-9)


def test_no_contribution_is_no_uncertainty() -> None:
    assert combined([]).expanded_mm == 0.0
    assert combined([Contribution("noise", 0.0, 4.0)]).expanded_mm == 0.0


@given(st.floats(0.01, 10.0), st.integers(0, 2**32 - 1))
def test_half_width_to_standard_uncertainty_is_that_of_a_rectangle(half: float, seed: int) -> None:
    drawn = np.random.default_rng(seed).uniform(-half, half, 20_000)
    assert rectangular(half) == pytest.approx(float(drawn.std()), rel=0.03)


# -- spreads -------------------------------------------------------------------------------------------------------

# NIST StRD, univariate: Mavro, 50 values in units of 0.0001 above 2.0013; certified mean and standard deviation.
MAVRO = [2.0013 + 1e-4 * one for one in (
    5, 4, 5, 6, 5, 4, 2, 1, 2, 2, 4, 5, 5, 6, 6, 8, 7, 3, 1, 0, 0, 2, 2, 3, 2, 1, 0, 1, 2, 1, 2, 3, 2, 3, 6, 7, 7, 8, 9,
    10, 11, 12, 14, 13, 13, 13, 14, 13, 12, 11,
)]  # fmt: skip


def test_spread_equals_certified_values() -> None:
    mavro = spread(MAVRO)
    assert mavro.mean == pytest.approx(2.001856, rel=1e-14)
    assert mavro.sd == pytest.approx(0.000429123454003053, rel=1e-11)
    # NIST StRD, NumAcc1 to NumAcc4, made as their descriptions say.
    assert spread([10000001.0, 10000003.0, 10000002.0])[:2] == (10000002.0, 1.0)
    for centre, digits in ((1.2, 1e-13), (1000000.2, 1e-9), (10000000.2, 1e-8)):
        found = spread([centre] + [centre - 0.1, centre + 0.1] * 500)
        assert found.mean == pytest.approx(centre, rel=1e-15)
        assert found.sd == pytest.approx(0.1, rel=digits)


VALUES = st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=30)


@given(VALUES, st.floats(-1e6, 1e6))
def test_spread_equals_numpy_wherever_the_values_lie(values: list[float], away: float) -> None:
    moved = [value + away for value in values]
    found = spread(moved)
    assert found.mean == pytest.approx(float(np.mean(moved)), rel=1e-12, abs=1e-9)
    assert found.sd == pytest.approx(float(np.std(moved, ddof=1)), rel=1e-9, abs=1e-9)


@given(VALUES, st.floats(-100, 100), st.sampled_from([-25.4, 1e-3, 2.0]))
def test_values_moved_and_in_other_units_have_the_same_spread(values: list[float], away: float, unit: float) -> None:
    one, other = spread(values), spread([unit * (value + away) for value in values])
    assert other.mean == pytest.approx(unit * (one.mean + away), abs=1e-9)
    assert other.sd == pytest.approx(abs(unit) * one.sd, rel=1e-9, abs=1e-9)


@given(st.lists(VALUES, min_size=1, max_size=5))
def test_pooled_spread_is_what_is_left_of_analysis_of_variance(groups: list[list[float]]) -> None:
    left = np.concatenate([np.array(group) - np.mean(group) for group in groups])
    free = sum(len(group) - 1 for group in groups)
    found = pooled(spread(group) for group in groups)
    assert found is not None
    assert found.degrees == free
    assert found.sd == pytest.approx(math.sqrt(float(left @ left) / free), rel=1e-9, abs=1e-9)


def test_one_value_has_no_spread() -> None:
    with pytest.raises(ValueError, match="two values or more"):
        spread([1.0])
    assert pooled([]) is None


# -- straight lines ------------------------------------------------------------------------------------------------

# NIST StRD, linear regression: Norris, (y, x).
NORRIS = [
    (0.1, 0.2), (338.8, 337.4), (118.1, 118.2), (888.0, 884.6), (9.2, 10.1), (228.1, 226.5), (668.5, 666.3),
    (998.5, 996.3), (449.1, 448.6), (778.9, 777.0), (559.2, 558.2), (0.3, 0.4), (0.1, 0.6), (778.1, 775.5),
    (668.8, 666.9), (339.3, 338.0), (448.9, 447.5), (10.8, 11.6), (557.7, 556.0), (228.3, 228.1), (998.0, 995.8),
    (888.8, 887.6), (119.6, 120.2), (0.3, 0.3), (0.6, 0.3), (557.6, 556.8), (339.3, 339.1), (888.0, 887.2),
    (998.5, 999.0), (778.9, 779.0), (10.2, 11.1), (117.6, 118.3), (228.9, 229.2), (668.4, 669.1), (449.2, 448.9),
    (0.2, 0.5),
]  # fmt: skip


def test_a_line_equals_certified_values() -> None:
    line = straight_line([x for _, x in NORRIS], [y for y, _ in NORRIS])
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-14)
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-12)
    assert line.u_slope == pytest.approx(0.429796848199937e-03, rel=1e-12)
    assert line.u_intercept == pytest.approx(0.232818234301152, rel=1e-12)
    assert line.residual_sd == pytest.approx(0.884796396144373, rel=1e-12)
    assert line.r_squared == pytest.approx(0.999993745883712, rel=1e-14)
    assert line.degrees == 34


def test_a_line_equals_the_thermometer_of_the_gum() -> None:
    # GUM (JCGM 100:2008), H.3: corrections of a thermometer against its reading less 20 degrees, from memory.
    at = [1.521, 2.012, 2.512, 3.003, 3.507, 3.999, 4.513, 5.002, 5.503, 6.010, 6.511]
    add = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]
    line = straight_line(at, add)
    assert [line.intercept, line.slope] == pytest.approx([-0.1712, 0.00218], abs=5e-5)
    assert [line.u_intercept, line.u_slope] == pytest.approx([0.0029, 0.00067], abs=5e-5)
    assert line.residual_sd == pytest.approx(0.0035, abs=5e-5)
    # Carried on to 30 degrees.
    assert [line.at(10.0), line.u_at(10.0)] == pytest.approx([-0.1494, 0.0041], abs=5e-5)


POINTS = st.lists(
    st.tuples(st.integers(-500, 500), st.floats(-10, 10), st.floats(0.1, 10)), min_size=3, max_size=20,
    unique_by=lambda one: one[0],
)  # fmt: skip


@given(POINTS)
def test_a_line_equals_scipy(points: list[tuple[int, float, float]]) -> None:
    xs, ys, _ = (np.array(one, float) for one in zip(*points, strict=True))
    line, other = straight_line(list(xs), list(ys)), stats.linregress(xs, ys)
    assert line.slope == pytest.approx(other.slope, rel=1e-8, abs=1e-10)
    assert line.intercept == pytest.approx(other.intercept, rel=1e-8, abs=1e-8)
    assert line.u_slope == pytest.approx(other.stderr, rel=1e-5, abs=1e-8)
    assert line.u_intercept == pytest.approx(other.intercept_stderr, rel=1e-5, abs=1e-6)


@given(POINTS, st.floats(0.1, 10))
def test_a_weighted_line_equals_numpy_and_only_ratios_of_weights_count(
    points: list[tuple[int, float, float]], times: float
) -> None:
    xs, ys, ws = (np.array(one, float) for one in zip(*points, strict=True))
    line = straight_line(list(xs), list(ys), list(ws))
    slope, intercept = np.polyfit(xs, ys, 1, w=np.sqrt(ws))
    assert line.slope == pytest.approx(float(slope), rel=1e-7, abs=1e-9)
    assert line.intercept == pytest.approx(float(intercept), rel=1e-7, abs=1e-7)
    other = straight_line(list(xs), list(ys), list(times * ws))
    assert [other.slope, other.u_slope] == pytest.approx([line.slope, line.u_slope], rel=1e-9, abs=1e-12)


def straight(x: np.ndarray, intercept: float, slope: float) -> np.ndarray:
    return intercept + slope * x


@given(POINTS, st.floats(-1000, 1000))
def test_the_uncertainty_at_a_place_equals_that_of_two_other_libraries(
    points: list[tuple[int, float, float]], place: float
) -> None:
    """Covariance of intercept and slope by scipy's fit, carried to the place by uncertainties."""
    xs, ys, ws = (np.array(one, float) for one in zip(*points, strict=True))
    line = straight_line(list(xs), list(ys), list(ws))
    assume(line.residual_sd > 1e-3)
    best, covariance = optimize.curve_fit(
        straight, xs, ys, sigma=1 / np.sqrt(ws), jac=lambda x, *_: np.stack([np.ones_like(x), x], axis=1)
    )
    intercept, slope = uncertainties.correlated_values(best, covariance)
    at = intercept + slope * place
    assert line.at(place) == pytest.approx(at.nominal_value, rel=1e-6, abs=1e-6)
    assert line.u_at(place) == pytest.approx(at.std_dev, rel=1e-4)


@given(POINTS, st.floats(-100, 100), st.sampled_from([-25.4, 0.01, 2.0]))
def test_points_moved_and_in_other_units_lie_on_the_same_line(
    points: list[tuple[int, float, float]], away: float, unit: float
) -> None:
    xs, ys, ws = ([float(value) for value in one] for one in zip(*points, strict=True))
    one = straight_line(xs, ys, ws)
    up = straight_line([x + away for x in xs], [unit * y + away for y in ys], ws)
    assert up.slope == pytest.approx(unit * one.slope, rel=1e-7, abs=1e-9)
    assert up.u_slope == pytest.approx(abs(unit) * one.u_slope, rel=1e-5, abs=1e-8)
    for x in (-50.0, 0.0, 700.0):
        assert up.at(x + away) == pytest.approx(unit * one.at(x) + away, rel=1e-7, abs=1e-6)
        assert up.u_at(x + away) == pytest.approx(abs(unit) * one.u_at(x), rel=1e-5, abs=1e-6)


def test_what_a_line_says_of_itself_holds_as_often_as_it_claims() -> None:
    """U of the line at a place, with the factor for its degrees of freedom, covers the truth in 95 % of the cases."""
    held, places = 0, [0.0, 10.0, 20.0, 30.0, 40.0]
    for seed in range(2000):
        noise = np.random.default_rng(seed).normal(0.0, 0.003, len(places))
        line = straight_line(places, [0.01 + 2e-4 * x + e for x, e in zip(places, noise, strict=True)])
        held += abs(line.at(55.0) - (0.01 + 2e-4 * 55.0)) <= coverage_factor(line.degrees) * line.u_at(55.0)
    # Three standard deviations of a count of 2000 with 95 %.
    assert 1871 <= held <= 1929


def test_two_points_make_a_line_that_says_nothing_of_its_uncertainty() -> None:
    line = straight_line([0.0, 10.0], [1.0, 2.0])
    assert line.at(5.0) == pytest.approx(1.5)
    assert line.degrees == 0
    assert math.isinf(line.u_slope)
    assert math.isnan(line.residual_sd)


@pytest.mark.parametrize(
    ("xs", "ys", "weights"),
    [([1.0], [1.0], None), ([1.0, 1.0], [1.0, 2.0], None), ([1.0, 2.0], [1.0], None),
     ([1.0, 2.0, 3.0], [1.0, 2.0, 3.0], [1.0, 0.0, 1.0]), ([1.0, 2.0], [1.0, 2.0], [1.0])],
)  # fmt: skip
def test_no_line_without_two_places(xs: Sequence[float], ys: Sequence[float], weights: Sequence[float] | None) -> None:
    with pytest.raises(ValueError, match="a straight line needs"):
        straight_line(xs, ys, weights)
