"""Student's t against a published table, closed forms and scipy."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from waytell.engine.student_t import coverage_factor, probability, quantile

# GUM (JCGM 100:2008), table G.2, values of t for 95 % and 99 % and so many degrees of freedom, from memory.
TABLE_G2 = [(0.95, 1, 12.71), (0.95, 2, 4.30), (0.95, 3, 3.18), (0.95, 4, 2.78), (0.95, 5, 2.57), (0.95, 10, 2.23),
            (0.95, 16, 2.12), (0.95, 20, 2.09), (0.95, 50, 2.01), (0.95, math.inf, 1.960),
            (0.99, 1, 63.66), (0.99, 16, 2.92), (0.99, 50, 2.68), (0.99, math.inf, 2.576)]  # fmt: skip


@pytest.mark.parametrize(("within", "degrees", "t"), TABLE_G2)
def test_quantile_equals_the_table_of_the_gum(within: float, degrees: float, t: float) -> None:
    assert quantile((1 + within) / 2, degrees) == pytest.approx(t, abs=0.005)


@given(st.floats(1e-4, 1 - 1e-4), st.floats(0.5, 1e5))
def test_quantile_equals_scipy(share: float, degrees: float) -> None:
    assert quantile(share, degrees) == pytest.approx(stats.t.ppf(share, degrees), rel=1e-8, abs=1e-9)


@given(st.floats(-50, 50), st.floats(0.5, 1e5))
def test_probability_equals_scipy(value: float, degrees: float) -> None:
    assert probability(value, degrees) == pytest.approx(stats.t.cdf(value, degrees), abs=5e-10)


@given(st.floats(0.5, 500), st.floats(0.01, 500))
def test_more_degrees_of_freedom_need_a_smaller_factor(degrees: float, more: float) -> None:
    assert coverage_factor(degrees) >= coverage_factor(degrees + more) >= coverage_factor(math.inf)


@pytest.mark.parametrize(("share", "degrees"), [(0.0, 5.0), (1.0, 5.0), (0.975, 0.0), (0.975, -1.0)])
def test_a_quantile_that_is_none_is_refused(share: float, degrees: float) -> None:
    with pytest.raises(ValueError, match="no quantile"):
        quantile(share, degrees)


# With one degree of freedom it is Cauchy's distribution, with two a root: elementary calculus, no source.
@pytest.mark.parametrize("value", [-1e6, -30.0, -2.5, -1.0, -1e-3, 0.0, 1e-3, 0.7, 1.0, 4.0, 31.0, 1e6])
def test_probability_equals_the_closed_forms(value: float) -> None:
    assert probability(value, 1) == pytest.approx(0.5 + math.atan(value) / math.pi, abs=1e-15)
    assert probability(value, 2) == pytest.approx(0.5 + value / (2 * math.hypot(math.sqrt(2), value)), abs=1e-15)


@pytest.mark.parametrize("share", [1e-9, 1e-3, 0.3, 0.4999, 0.5, 0.5001, 0.75, 0.975, 0.9999, 1 - 1e-9])
def test_a_quantile_equals_the_closed_forms(share: float) -> None:
    assert quantile(share, 1) == pytest.approx(math.tan(math.pi * (share - 0.5)), rel=1e-7, abs=1e-14)
    assert quantile(share, 2) == pytest.approx(
        (2 * share - 1) / math.sqrt(2 * share * (1 - share)), rel=1e-7, abs=1e-14
    )


@pytest.mark.parametrize("degrees", [0.5, 1.5, 3, 7.25, 40, 333, 1e5])
def test_a_quantile_has_all_its_digits(degrees: float) -> None:
    for share in (0.01, 0.2, 0.6, 0.975, 0.995):
        assert probability(quantile(share, degrees), degrees) == pytest.approx(share, rel=1e-13)


@pytest.mark.parametrize("value", [-3.0, -0.5, 0.0, 1.96, 5.0])
def test_without_end_of_freedom_it_is_the_normal_distribution(value: float) -> None:
    assert probability(value, math.inf) == pytest.approx(stats.norm.cdf(value), rel=1e-12)
    assert quantile(stats.norm.cdf(value), math.inf) == pytest.approx(value, rel=1e-8, abs=1e-12)
