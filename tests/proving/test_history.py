"""What drifted between two findings of a check: told when it is more than chance explains, and never otherwise."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from waytell.documents.config import Units
from waytell.documents.proving import Check, DistanceCheck, PositioningCheck, Proof, Quantity, Reference, RestCheck
from waytell.documents.proving import TemperatureCheck as Warmth
from waytell.proving.history import SHARE, WARMER_K, compared, drifts, key_of
from waytell.proving.quantity_words import texts

CROSS = PositioningCheck(kind="positioning", slide="cross")
CARRIAGE = PositioningCheck(kind="positioning", slide="carriage")


def found(*quantities: Quantity, check: Check = CROSS, **more: Any) -> Proof:
    return Proof(check=check, verdict=more.pop("verdict", "good"), words="Invented.", quantities=quantities, **more)


def reversal(value: float, u: float | None = None, **more: Any) -> Quantity:
    return Quantity.model_validate(
        {"key": "reversal", "name": "reversal error", "value": value, "unit": "um", "u": u} | more
    )


values = st.floats(-1000, 1000).map(lambda value: round(value, 1))
sure = st.floats(0.5, 100)


@given(values, sure | st.none())
def test_nothing_drifts_from_itself(value: float, u: float | None) -> None:
    one = found(reversal(value, u), temperature_c=18.0, resolution_um=5.0)
    assert compared(one, one) == ()


@given(values, sure, sure, st.floats(0, 0.98), st.sampled_from([-1, 1]))
def test_what_both_uncertainties_explain_is_no_drift(was: float, u1: float, u2: float, part: float, way: int) -> None:
    # JCGM 100:2008, 5.1.2: the variances of independent quantities add in their difference.
    now = was + way * part * math.sqrt(u1**2 + u2**2)
    assert compared(found(reversal(now, u1)), found(reversal(was, u2))) == ()


@given(values, sure, sure, st.floats(1.01, 50), st.sampled_from([-1, 1]))
def test_what_they_do_not_explain_is_told_with_both_values(
    was: float, u1: float, u2: float, part: float, way: int
) -> None:
    now = was + way * part * math.sqrt(u1**2 + u2**2)
    (words,) = compared(found(reversal(now, u1)), found(reversal(was, u2)))
    before, after = (texts(reversal(one), Units()).value for one in (was, now))
    assert words.startswith(f"Reversal error was {before} µm, now {after} µm: it ")


@given(values, values, sure | st.none(), sure | st.none())
def test_back_and_forth_are_the_same_change(one: float, other: float, u1: float | None, u2: float | None) -> None:
    first, second = found(reversal(one, u1)), found(reversal(other, u2))
    there, back = drifts(first, second), drifts(second, first)
    assert [one.times for one in there] == pytest.approx([one.times for one in back])


@given(st.floats(1, 1000), st.floats(0, 0.9))
def test_without_uncertainties_a_stated_share_counts(was: float, less: float) -> None:
    now = was * (1 - less)
    assume(abs(less - SHARE) > 1e-6)
    assume(was - now > 0.51)
    told = compared(found(reversal(now)), found(reversal(was)))
    assert bool(told) is (less > SHARE)


def test_one_step_of_the_last_digit_is_rounding() -> None:
    assert compared(found(reversal(0.24, 0.01)), found(reversal(0.16, 0.01))) == ()
    assert compared(found(reversal(0.5, 0.01)), found(reversal(0.1, 0.01))) != ()


def test_half_a_micrometre_of_which_nobody_knows_how_sure_it_is_says_nothing() -> None:
    assert compared(found(reversal(0.6)), found(reversal(0.2))) == ()
    assert compared(found(reversal(0.9)), found(reversal(0.2))) != ()


def test_an_uncertainty_that_is_missing_is_taken_as_large_as_the_other() -> None:
    # sqrt(2) times 1 is 1.41.
    assert compared(found(reversal(5.3, 1.0)), found(reversal(4.0))) == ()
    assert compared(found(reversal(5.5, 1.0)), found(reversal(4.0))) != ()


@pytest.mark.parametrize(
    ("was", "now", "says"),
    [(4.1, 6.3, "it grew"), (6.3, 4.1, "it became less"), (-4.1, -6.3, "it grew"), (-3.0, 3.0, "it changed its sign")],
)
def test_it_says_which_way_it_went(was: float, now: float, says: str) -> None:
    (words,) = compared(found(reversal(now, 0.5)), found(reversal(was, 0.5)))
    assert f": {says}." in words


def test_what_grew_comes_with_what_to_look_for_and_what_became_less_does_not() -> None:
    small, large = (found(reversal(value, 0.5, key="B")) for value in (4.1, 6.3))
    assert compared(large, small) == (
        "Reversal error was 4.1 µm, now 6.3 µm: it grew. Look for play in the clamp of the reading head.",
    )
    assert compared(small, large) == ("Reversal error was 6.3 µm, now 4.1 µm: it became less.",)
    noisy, still = (
        found(reversal(value, key="sd carriage", name="carriage, standard deviation"), check=RestCheck(kind="rest"))
        for value in (9.0, 2.0)
    )
    assert "Look for what is new near the cable" in compared(noisy, still)[0]


def test_the_same_told_twice_is_told_once_and_another_length_is_not_compared() -> None:
    twice = [found(reversal(value, 0.5, key="mean B"), reversal(value, 0.5, key="B")) for value in (1.0, 9.0)]
    assert len(compared(twice[1], twice[0])) == 1
    short, long = (DistanceCheck(kind="distance", slide="cross", length_mm=length) for length in (10.0, 25.0))
    over = {"key": "error", "name": "shown too much"}
    told = compared(found(reversal(9, 0.5, **over), check=long), found(reversal(1, 0.5, **over), check=short))
    assert all("compared with" in words for words in told)


def test_the_largest_drift_comes_first_and_each_figure_is_compared_with_its_own() -> None:
    other = Quantity(key="repeatability", name="repeatability", value=9.0, unit="um", u=0.5)
    before = found(reversal(1.0, 0.5), other.model_copy(update={"value": 3.0}))
    first, second = compared(found(reversal(3.0, 0.5), other), before)
    assert first.startswith("Repeatability was 3.0 µm, now 9.0 µm")
    assert second.startswith("Reversal error was 1.0 µm, now 3.0 µm")
    assert compared(found(other), found(reversal(1.0))) == (), "a figure that was not there before drifted from nothing"


def test_only_the_same_check_on_the_same_slide_is_compared() -> None:
    off, on = RestCheck(kind="rest"), RestCheck(kind="rest", motor="on")
    assert compared(found(reversal(9.0)), found(reversal(1.0), check=CARRIAGE)) == ()
    assert compared(found(reversal(9.0), check=off), found(reversal(1.0), check=on)) == ()
    assert len({key_of(one) for one in (CROSS, CARRIAGE, off, on)}) == 4


def test_counts_of_another_length_are_not_compared_and_it_says_so() -> None:
    noise: dict[str, Any] = {"key": "noise", "name": "noise", "unit": "counts"}
    now = found(reversal(8.0, **noise), resolution_um=1.0)
    (words,) = compared(now, found(reversal(2.0, **noise), resolution_um=5.0))
    assert "A count was 5 µm then and is 1 µm now" in words


@given(st.floats(-20, 60), st.floats(-20, 60))
def test_another_temperature_is_told_where_it_matters(was_c: float, now_c: float) -> None:
    assume(abs(abs(now_c - was_c) - WARMER_K) > 1e-9)
    told = compared(found(temperature_c=now_c), found(temperature_c=was_c))
    assert bool(told) is (abs(now_c - was_c) > WARMER_K)
    assert all(f"{was_c:g} °C then" in words and f"{now_c:g} °C now" in words for words in told)


def test_what_the_temperature_does_is_no_drift() -> None:
    cold, warm = (Warmth(kind="temperature", slide="carriage", temperature_c=one) for one in (10.0, 20.0))
    assert compared(found(reversal(0.0, 0.1), check=warm), found(reversal(9.0, 0.1), check=cold)) == ()


def test_another_verdict_and_another_reference_are_told() -> None:
    blocks = DistanceCheck(kind="distance", slide="cross", length_mm=25.0)
    bar = DistanceCheck(
        kind="distance", slide="cross", length_mm=100.0, reference=Reference(kind="setting_bar", u_um=3)
    )
    told = compared(found(check=bar, verdict="bad"), found(check=blocks))
    assert told == (
        "It was good before; now it is bad.",
        "It was compared with a gauge block of grade 2, 25 mm long then, with a setting bar (± 3 µm), 100 mm long now.",
    )


def test_an_inch_person_reads_inches() -> None:
    # 4.1 / 25 400 = 0.000161, 6.3 / 25 400 = 0.000248.
    (words,) = compared(found(reversal(6.3, 0.2)), found(reversal(4.1, 0.2)), Units(length="inch"))
    assert "was 0.00016 inch, now 0.00025 inch" in words


@given(values, st.floats(0, 100), st.integers(0, 4), st.sampled_from(["mm", "inch"]))
def test_an_uncertainty_is_never_told_smaller_than_it_is(value: float, u: float, decimals: int, unit: Any) -> None:
    told = texts(reversal(value, u, decimals=decimals), Units(length=unit))
    in_unit = u if unit == "mm" else u / 25.4
    assert float(told.u) >= in_unit - 1e-6
    assert len(told.u.partition(".")[2]) == len(told.value.partition(".")[2]) == decimals + (unit == "inch")
