"""Fits against numpy; shapes against samples made with a known shape, and the words for them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from review.work import PASS, TURNED
from waytell.documents.config import Units
from waytell.documents.review import FaceShape, LengthShape
from waytell.documents.state import Pass
from waytell.review.fits import FEWEST, fit, smallest_step_mm
from waytell.review.shape import Sample, shape_of, shape_words
from waytell.review.traces import creep_um, short, speed_mm_min

MM, INCH = Units(), Units(length="inch")
FACED, TURNING = Pass.model_validate(PASS), Pass.model_validate(TURNED)


def faced(z_of_x: Any, count: int = 200, step_mm: float = 0.0) -> tuple[Sample, ...]:
    """Samples from the rim to the centre at an even feed; Z in whole steps of a scale where one is given."""
    places = np.linspace(12.0, 0.0, count)
    return tuple((0.1 * n, float(x), _counted(z_of_x(x), step_mm)) for n, x in enumerate(places))


def turned(x_of_z: Any, count: int = 200, step_mm: float = 0.0) -> tuple[Sample, ...]:
    places = np.linspace(0.0, -30.0, count)
    return tuple((0.1 * n, _counted(x_of_z(z), step_mm), float(z)) for n, z in enumerate(places))


def _counted(value: float, step_mm: float) -> float:
    return float(round(value / step_mm) * step_mm if step_mm else value)


# -- fits --------------------------------------------------------------------------------------------------------------


@given(st.lists(st.floats(-0.1, 0.1), min_size=FEWEST, max_size=60), st.floats(-50, 50), st.floats(1.0, 60.0))
def test_slope_and_bow_equal_numpys_polynomials(values: list[float], start: float, span: float) -> None:
    places = np.linspace(start, start + span, len(values))
    found = fit(list(places), values)
    assert found is not None
    u = (places - places.mean()) / (span / 2)
    assert found.slope * span / 2 == pytest.approx(np.polyfit(u, values, 1)[0], abs=1e-9)
    # The middle of c2 u^2 lies c2 below the chord between u = -1 and u = 1.
    assert found.bow_mm == pytest.approx(np.polyfit(u, values, 2)[0], abs=1e-9)


def test_standard_error_equals_numpys_covariance() -> None:
    rng = np.random.default_rng(4)
    places = np.linspace(0, 10, 40)
    values = 0.002 * places + rng.normal(0, 0.003, 40)
    found = fit(list(places), list(values))
    assert found is not None
    error = np.sqrt(np.polyfit(places, values, 1, cov=True)[1][0, 0])
    assert found.least_mm == pytest.approx(max(2 * error * 10, smallest_step_mm(list(values))))


def test_too_few_samples_or_one_place_give_no_fit() -> None:
    assert fit([1.0, 2.0, 3.0], [0.0, 0.0, 0.0]) is None
    assert fit([1.0] * 20, [0.0] * 20) is None
    assert fit([], []) is None


def test_a_step_is_not_told_as_more_than_it_is_high() -> None:
    found = fit(list(np.linspace(0, 10, 100)), [0.0] * 50 + [0.04] * 50)
    assert found is not None
    assert found.slope * 10 > 0.055
    assert found.rise_mm == pytest.approx(0.04)


# -- faces -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("deeper_at_centre_mm", "form"), [(0.03, "concave"), (-0.03, "convex")])
def test_a_face_deeper_at_its_centre_is_concave(deeper_at_centre_mm: float, form: str) -> None:
    shape = shape_of(FACED, faced(lambda x: -deeper_at_centre_mm * (1 - x / 12), step_mm=0.005))
    assert isinstance(shape, FaceShape)
    assert shape.form == form
    assert shape.height_mm == pytest.approx(deeper_at_centre_mm, abs=0.003)
    assert shape.slope == pytest.approx(deeper_at_centre_mm / 12, abs=0.0002)
    assert form.capitalize() in shape_words(FACED, shape, MM)


def test_one_count_of_the_scale_makes_no_shape() -> None:
    shape = shape_of(FACED, faced(lambda x: 0.0 if x > 7 else 0.005))
    assert isinstance(shape, FaceShape)
    assert shape.form == "flat"
    assert shape_words(FACED, shape, MM) == "Flat within 0.005 mm, as far as the scale can tell."


def test_a_face_that_did_not_move_at_all_is_flat() -> None:
    shape = shape_of(FACED, faced(lambda _: -0.25))
    assert isinstance(shape, FaceShape)
    assert shape.form == "flat"
    assert [shape.height_mm, shape.bow_mm] == pytest.approx([0.0, 0.0], abs=1e-12)


def test_a_hollow_between_rim_and_centre_is_told_beside_the_slope() -> None:
    # z = 0 at rim and centre, 0.02 mm deeper half way: sagitta 0.02.
    shape = shape_of(FACED, faced(lambda x: -0.02 * (1 - ((x - 6) / 6) ** 2)))
    assert isinstance(shape, FaceShape)
    assert shape.form == "flat"
    assert shape.bow_mm == pytest.approx(0.02, abs=1e-3)
    assert "Hollow between by 0.020 mm" in shape_words(FACED, shape, MM)


def test_what_runs_past_the_centre_is_left_out() -> None:
    beyond = tuple((30.0 + n, -0.1 * n, 5.0) for n in range(1, 20))
    samples = faced(lambda x: 0.0025 * x) + beyond
    shape = shape_of(FACED, samples)
    assert isinstance(shape, FaceShape)
    assert shape.height_mm == pytest.approx(0.03)
    assert shape.inner_mm == 0.0


# -- lengths -----------------------------------------------------------------------------------------------------------


def test_taper_is_told_as_diameter_over_the_length_and_on_100_mm() -> None:
    # The radius grows by 0.01 mm over 30 mm away from the headstock: 0.02 mm of diameter, 0.0667 mm on 100 mm.
    shape = shape_of(TURNING, turned(lambda z: 9.0 + 0.01 * (z + 30) / 30))
    assert isinstance(shape, LengthShape)
    assert shape.form == "wider_at_free_end"
    assert shape.taper_mm == pytest.approx(0.02)
    assert shape.per_100_mm == pytest.approx(0.0667, abs=1e-4)
    assert shape_words(TURNING, shape, MM) == (
        "Tapered: wider at the free end by 0.020 mm of diameter over 30.00 mm, 0.067 mm on 100 mm."
    )
    assert "0.0008 in of diameter over 1.1811 in, 0.00067 in an inch" in shape_words(TURNING, shape, INCH)


def test_a_length_that_held_is_straight() -> None:
    shape = shape_of(TURNING, turned(lambda _: 9.0))
    assert isinstance(shape, LengthShape)
    assert shape.form == "straight"
    # Not one step was seen: no length is claimed that the samples cannot show.
    assert shape_words(TURNING, shape, MM) == "Straight: the scale showed no step."


def test_a_cone_is_told_by_its_angle() -> None:
    # A taper of 1 in 20 of diameter has a half angle of atan(1 / 40) = 1.4321 degrees (ISO 1119).
    cone = TURNING.model_copy(update={"kind": "taper", "fed_by": "compound"})
    samples = turned(lambda z: 9.0 - z / 40)
    shape = shape_of(cone, samples)
    assert isinstance(shape, LengthShape)
    assert abs(shape.half_angle_deg) == pytest.approx(1.4321, abs=1e-4)
    assert shape_words(cone, shape, MM) == "A cone of 1.43 degrees to the centre line, narrower at the free end."
    assert creep_um(cone, samples) == ()


@pytest.mark.parametrize("kind", ["grooving", "parting", "drilling"])
def test_no_shape_is_told_where_none_is_left(kind: str) -> None:
    passed = FACED.model_copy(update={"kind": kind})
    assert shape_of(passed, faced(lambda _: 0.0)) is None
    assert kind in shape_words(passed, None, MM)


def test_no_samples_and_a_pass_in_the_air_give_words_instead() -> None:
    assert shape_of(FACED, ()) is None
    assert "too few samples" in shape_words(FACED, None, MM)
    air = FACED.model_copy(update={"role": "air"})
    assert shape_of(air, faced(lambda x: x)) is None
    assert "air" in shape_words(air, None, MM)


# -- traces ------------------------------------------------------------------------------------------------------------


def test_speed_is_that_of_the_motion_and_negative_where_it_went_back() -> None:
    forth: tuple[Sample, ...] = tuple((0.1 * n, 12 - 0.06 * n, 0.0) for n in range(50))
    back = tuple((5.0 + 0.1 * n, forth[-1][1] + 0.03 * n, 0.0) for n in range(1, 20))
    found = speed_mm_min(FACED, forth + back)
    # 0.06 mm in 0.1 s inwards is 36 mm/min; back at half of it.
    assert list(found[10]) == pytest.approx([12 - 0.6, 36.0])
    assert found[-3][1] == pytest.approx(-18.0)


def test_creep_is_counted_in_micrometres_from_where_the_pass_began() -> None:
    found = creep_um(TURNING, turned(lambda z: 9.0 + (0.02 if z < -15 else 0.0)))
    assert found[0] == (0.0, 0.0)
    assert list(found[-1]) == pytest.approx([-30.0, 20.0])


@given(st.lists(st.floats(-100, 100), max_size=300).map(tuple))
def test_a_short_trace_loses_no_peak(values: tuple[float, ...]) -> None:
    made = short(values)
    assert len(made) <= 32
    assert max(made, key=abs, default=0) == max(values, key=abs, default=0)
