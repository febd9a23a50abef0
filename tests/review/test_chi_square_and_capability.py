"""Chi-square against scipy and published tables; capability against the NIST handbook's example and scipy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from waytell.review.capability import cp, cpk
from waytell.review.chi_square import probability, quantile

# NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4, critical values of chi-square, from memory.
TABLE = [
    (0.975, 19, 32.852),
    (0.025, 19, 8.907),
    (0.95, 1, 3.841),
    (0.95, 10, 18.307),
    (0.05, 10, 3.940),
    (0.99, 30, 50.892),
]


@pytest.mark.parametrize(("share", "degrees", "value"), TABLE)
def test_quantile_equals_the_published_table(share: float, degrees: int, value: float) -> None:
    assert quantile(share, degrees) == pytest.approx(value, abs=6e-4)


@given(st.floats(1e-4, 1 - 1e-4), st.integers(1, 400))
def test_quantile_equals_scipy(share: float, degrees: int) -> None:
    assert quantile(share, degrees) == pytest.approx(stats.chi2.ppf(share, degrees), rel=1e-9, abs=1e-12)


@given(st.floats(0.0, 900.0), st.integers(1, 400))
def test_probability_equals_scipy(value: float, degrees: int) -> None:
    assert probability(value, degrees) == pytest.approx(stats.chi2.cdf(value, degrees), abs=1e-11)


@pytest.mark.parametrize(("share", "degrees"), [(0.0, 5), (1.0, 5), (0.5, 0)])
def test_a_quantile_that_is_none_is_refused(share: float, degrees: int) -> None:
    with pytest.raises(ValueError, match="no chi-square quantile"):
        quantile(share, degrees)


def test_indices_equal_the_handbooks_example() -> None:
    # NIST/SEMATECH e-Handbook, 6.1.6: limits 8 and 20, mean 16, standard deviation 2: Cp 1.0, Cpk 0.6667 (from memory).
    wide, near = cp(8, 20, 2, 50), cpk(8, 20, 16, 2, 50)
    assert wide is not None
    assert near is not None
    assert wide.value == pytest.approx(1.0)
    assert near.value == pytest.approx(0.6667, abs=5e-5)


def test_limits_of_cp_equal_the_textbook_example() -> None:
    # D. C. Montgomery, Introduction to Statistical Quality Control, confidence interval on Cp: limits 38 and 62,
    # s = 1.75, n = 20 give 2.29, and 1.57 to 3.01 (from memory).
    index = cp(38, 62, 1.75, 20)
    assert index is not None
    # The book goes on with figures rounded to two places.
    assert [index.value, index.low, index.high] == pytest.approx([2.29, 1.57, 3.01], abs=0.006)


def test_limits_of_cpk_equal_bissells_formula_on_its_published_form() -> None:
    # R. N. Rodriguez, Journal of Quality Technology 24 (1992), gives Bissell's limits as
    # Cpk [1 +- 1.96 sqrt(1 / (9 n Cpk^2) + 1 / (2 (n - 1)))].
    index = cpk(8.0, 20.0, 15.0, 1.25, 30)
    assert index is not None
    half = 1.96 * (1 / (9 * 30 * index.value**2) + 1 / (2 * 29)) ** 0.5
    assert index.low == pytest.approx(index.value * (1 - half), rel=1e-4)
    assert index.high == pytest.approx(index.value * (1 + half), rel=1e-4)


def test_limits_of_cp_hold_the_true_value_as_often_as_they_claim() -> None:
    low, high, sigma, parts, held = -3.0, 3.0, 1.0, 10, 0
    for seed in range(1000):
        sample = np.random.default_rng(seed).normal(0.0, sigma, parts)
        index = cp(low, high, float(sample.std(ddof=1)), parts)
        assert index is not None
        held += index.low <= (high - low) / (6 * sigma) <= index.high
    # Three standard deviations of a count of 1000 with 95 %.
    assert 929 <= held <= 971


@pytest.mark.parametrize(("parts", "meaningful"), [(2, False), (49, False), (50, True)])
def test_few_parts_are_said_to_mean_little(parts: int, meaningful: bool) -> None:
    for index in (cp(8, 20, 2, parts), cpk(8, 20, 16, 2, parts)):
        assert index is not None
        assert index.meaningful is meaningful


def test_one_part_or_no_spread_has_no_index() -> None:
    assert cp(8, 20, 2, 1) is None
    assert cp(8, 20, 0.0, 9) is None
    assert cpk(8, 20, 16, 0.0, 9) is None
    assert cpk(8, 20, 16, 2.0, 1) is None


def test_a_mean_outside_its_limits_has_an_index_below_nothing() -> None:
    index = cpk(8, 20, 21, 2, 50)
    assert index is not None
    assert index.value < 0
