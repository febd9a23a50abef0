"""The line through (depth, difference): against scipy's least squares, and how often its uncertainty is right."""

from __future__ import annotations

import math
import random
from statistics import fmean

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from scipy.optimize import curve_fit

from waytell.engine.learning import ONE_DEPTH_MM, Line, Observation, fitted

# Invented sizes: depth, difference and standard uncertainty, mm. Their scatter is less than stated.
CALM = [
    Observation(0.50, 0.0412, 0.003),
    Observation(0.30, 0.0291, 0.002),
    Observation(0.20, 0.0224, 0.004),
    Observation(0.10, 0.0160, 0.002),
]
WILD = [one._replace(difference_mm=one.difference_mm + off) for one, off in zip(CALM, (0.02, -0.03, 0.01, 0.02))]  # noqa: B905
SETTING_MM = 0.0025


def line_of(observations: list[Observation]) -> Line:
    found = fitted(observations)
    assert found is not None
    return found


def by_scipy(observations: list[Observation]) -> tuple[np.ndarray, np.ndarray]:
    """Offset and slope with their covariance, the uncertainties taken as they are stated."""
    x, y, u = (np.array(column) for column in zip(*observations, strict=True))
    found, covariance = curve_fit(lambda x, a, b: a + b * x, x, y, sigma=u, absolute_sigma=True)
    return found, covariance


@pytest.mark.parametrize("observations", [CALM, WILD, CALM[:2], CALM[:3]])
def test_the_line_is_that_of_scipy(observations: list[Observation]) -> None:
    (offset, slope), _ = by_scipy(observations)
    line = line_of(observations)
    assert line.slope == pytest.approx(slope, rel=1e-5)
    for depth in (0.05, 0.1, 0.4, 1.0):
        assert line.difference_at(depth) == pytest.approx(offset + slope * depth, abs=1e-7)


@pytest.mark.parametrize("depth", [0.05, 0.15, 0.6])
def test_the_uncertainty_of_the_next_pass_is_that_of_the_line_and_of_the_pass_itself(depth: float) -> None:
    _, covariance = by_scipy(CALM)
    of_line = np.array([1.0, depth]) @ covariance @ np.array([1.0, depth])
    normal = stats.norm.ppf(0.975)
    assert line_of(CALM).factor == 1.0, "the scatter is no larger than stated"
    assert line_of(CALM).u_mm(depth, SETTING_MM) == pytest.approx(normal * math.sqrt(of_line + SETTING_MM**2), rel=1e-5)


def test_more_scatter_than_stated_makes_it_less_sure_by_student_s_t() -> None:
    (offset, slope), covariance = by_scipy(WILD)
    rest = sum(((y - offset - slope * x) / u) ** 2 for x, y, u in WILD)
    factor = rest / 2
    # Welch-Satterthwaite (GUM G.2b): what was stated is sure, the excess has two degrees of freedom.
    degrees = factor**2 / ((factor - 1) ** 2 / 2)
    of_line = np.array([1.0, 0.15]) @ covariance @ np.array([1.0, 0.15])
    # What is not explained is put down to the passes: as much of it as one size has on the average.
    of_pass = SETTING_MM**2 + (factor - 1) * 4 / sum(1 / one.u_mm**2 for one in WILD)
    expected = stats.t.ppf(0.975, degrees) * math.sqrt(factor * of_line + of_pass)
    assert line_of(WILD).u_mm(0.15, SETTING_MM) == pytest.approx(expected, rel=1e-5)
    assert line_of(WILD).u_mm(0.15, SETTING_MM) > 4 * line_of(CALM).u_mm(0.15, SETTING_MM)


def test_sizes_of_one_depth_tell_a_mean_and_no_slope() -> None:
    same = [Observation(0.3 + off, 0.02 + off, 0.002) for off in (-0.01, 0.0, 0.02)]
    line = line_of(same)
    assert line.one_depth
    assert line.slope == 0.0
    assert line.difference_at(0.1) == line.difference_at(0.5) == pytest.approx(fmean(one[1] for one in same))
    assert not line_of([*same, Observation(0.3 - 2 * ONE_DEPTH_MM, 0.01, 0.002)]).one_depth


@pytest.mark.parametrize("sizes", [2, 3])
def test_the_scatter_of_sizes_of_one_depth_has_a_degree_of_freedom_less_than_there_are(sizes: int) -> None:
    same = [Observation(0.3, 0.02 + off, 0.002) for off in (-0.01, 0.01, 0.0)[:sizes]]
    factor = sum(((one.difference_mm - 0.02) / 0.002) ** 2 for one in same) / (sizes - 1)
    degrees = (sizes - 1) * factor**2 / (factor - 1) ** 2
    of_mean, of_pass = factor * 0.002**2 / sizes, SETTING_MM**2 + (factor - 1) * 0.002**2
    expected = stats.t.ppf(0.975, degrees) * math.sqrt(of_mean + of_pass)
    assert line_of(same).u_mm(0.3, SETTING_MM) == pytest.approx(expected, rel=1e-5)


def test_nothing_measured_tells_nothing() -> None:
    assert fitted([]) is None


OBSERVED = st.lists(
    st.builds(Observation, st.floats(0.02, 1.0), st.floats(-0.1, 0.1), st.floats(0.001, 0.01)), min_size=1, max_size=8
)


@given(OBSERVED, st.floats(-0.2, 0.2), st.floats(0.02, 1.0))
def test_a_datum_that_moves_moves_the_prediction_by_as_much_and_makes_it_no_less_sure(
    observations: list[Observation], by_mm: float, depth: float
) -> None:
    line = line_of(observations)
    moved = line_of([one._replace(difference_mm=one.difference_mm + by_mm) for one in observations])
    assert moved.difference_at(depth) == pytest.approx(line.difference_at(depth) + by_mm, abs=1e-6)
    assert moved.u_mm(depth, SETTING_MM) == pytest.approx(line.u_mm(depth, SETTING_MM), rel=1e-3)


@given(OBSERVED, st.randoms(use_true_random=False), st.floats(0.02, 1.0))
def test_the_order_of_the_sizes_does_not_matter(
    observations: list[Observation], chance: random.Random, depth: float
) -> None:
    mixed = chance.sample(observations, len(observations))
    assert line_of(mixed).difference_at(depth) == pytest.approx(line_of(observations).difference_at(depth), abs=1e-6)


@given(OBSERVED, st.floats(0.02, 1.0))
def test_it_is_never_surer_than_the_pass_itself_and_the_surest_size_allow(
    observations: list[Observation], depth: float
) -> None:
    total = sum(1 / one.u_mm**2 for one in observations)
    assert line_of(observations).u_mm(depth, SETTING_MM) >= 1.95 * math.hypot(SETTING_MM, total**-0.5)


RUNS = 2000
SURE_MM = 0.0015
"""Standard uncertainty of the micrometer, as a radius, in the runs."""
AGAIN_MM = 0.002
"""Standard deviation with which a pass comes out, in the runs."""


def covered(sizes: int, scatter: float, seed: int) -> tuple[float, float]:
    """Share of runs whose next pass comes out within U, and the mean error of what was predicted.

    The truth is an offset, a push-off that grows with the depth, and a scatter of the passes; `scatter` times as much
    of it as is stated.
    """
    chance = random.Random(seed)
    hits, errors = 0, []
    for _ in range(RUNS):
        offset, slope = chance.uniform(-0.05, 0.05), chance.uniform(0.0, 0.15)
        depths = [0.5, *(chance.uniform(0.05, 0.6) for _ in range(sizes - 2)), 0.2]
        again = scatter * AGAIN_MM
        observations = [
            Observation(
                depth,
                offset + slope * depth + chance.gauss(0, again) + chance.gauss(0, SURE_MM),
                math.hypot(AGAIN_MM, SURE_MM),
            )
            for depth in depths
        ]
        depth, line = chance.uniform(0.05, 0.3), line_of(observations)
        error = line.difference_at(depth) - (offset + slope * depth + chance.gauss(0, again))
        hits += abs(error) <= line.u_mm(depth, AGAIN_MM)
        errors.append(error)
    return hits / RUNS, fmean(errors)


@pytest.mark.parametrize("sizes", [2, 3, 5, 10])
def test_what_is_stated_as_95_percent_is_right_so_often(sizes: int) -> None:
    share, error = covered(sizes, 1.0, sizes)
    # Three standard deviations of a share of 0.95 in 2000 runs are 0.015; uncertainty is never scaled down, only up.
    assert 0.935 <= share <= 0.985
    assert abs(error) < 0.0005, "no bias"


@pytest.mark.parametrize(("sizes", "least"), [(3, 0.80), (5, 0.87), (10, 0.90)])
def test_passes_that_scatter_twice_as_much_as_stated_are_mostly_found_out(sizes: int, least: float) -> None:
    """Two sizes lie on every line and cannot tell; from three on the scatter itself speaks."""
    assert covered(sizes, 2.0, sizes)[0] >= least
