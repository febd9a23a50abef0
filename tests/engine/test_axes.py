"""Counts to lengths: wrapping, direction, expansion, the compound slide."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.lathe import Lathe, configured
from waytell.documents.config import Scale
from waytell.engine.axes import (
    Term,
    axis_terms,
    compound_shift_mm,
    mm_per_count,
    moved_mm,
    quill_terms,
    signed_difference,
    warm_mm,
)

COUNTS = st.integers(min_value=-(2**31), max_value=2**31 - 1)


def wrapped(number: int) -> int:
    """As the board sends it, worked out by the representation in four bytes."""
    return int.from_bytes((number % 2**32).to_bytes(4, "little"), "little", signed=True)


@given(start=COUNTS, moved=COUNTS)
def test_any_move_of_less_than_half_the_span_is_found_across_the_wrap(start: int, moved: int) -> None:
    assert signed_difference(wrapped(start + moved), start) == moved


@pytest.mark.parametrize(
    ("newer", "older", "expected"),
    [(5, 3, 2), (3, 5, -2), (-(2**31), 2**31 - 1, 1), (2**31 - 1, -(2**31), -1), (0, 2**31 - 1, -(2**31) + 1)],
)
def test_differences_are_signed(newer: int, older: int, expected: int) -> None:
    assert signed_difference(newer, older) == expected


@pytest.mark.parametrize(
    ("direction", "um", "factor", "expected_mm"),
    [(1, 5.0, 1.0, 5.0), (-1, 5.0, 1.0, -5.0), (1, 1.0, 1.0, 1.0), (1, 5.0, 1.001, 5.005), (-1, 10.0, 0.999, -9.99)],
)
def test_a_thousand_counts_are_a_length(direction: int, um: float, factor: float, expected_mm: float) -> None:
    scale = Scale.model_validate(
        {"channel": 0, "slide": "cross", "resolution_um": um, "direction": direction, "scale_factor": factor}
    )
    assert 1000 * mm_per_count(scale, 20.0) == pytest.approx(expected_mm, abs=1e-12)


# Expansion: steel 11.5 and aluminium 23.1 parts in a million a kelvin (Swyt, J. Res. NIST 99, 31 (1994)); glass is
# "somewhere between 0 and 10" (NIST Engineering Metrology Toolbox, temperature), here 8.5. Reference 20 degrees (ISO 1:
# Phillips et al., J. Res. NIST 121 (2016)). The differences follow by arithmetic.
@pytest.mark.parametrize(("work_um_m_k", "differs_um"), [(11.5, 1.5), (23.1, 7.3), (8.5, 0.0)])
def test_a_glass_scale_and_warm_work_differ_by_the_difference_of_their_expansions(
    work_um_m_k: float, differs_um: float
) -> None:
    scale = Scale(channel=0, slide="carriage", resolution_um=1.0, expansion_um_m_k=8.5)
    shown_mm = 100_000 * mm_per_count(scale, 25.0)
    assert (warm_mm(100.0, work_um_m_k, 25.0) - shown_mm) * 1e3 == pytest.approx(differs_um, abs=0.02)


def test_at_the_reference_temperature_nothing_is_corrected() -> None:
    scale = Scale(channel=0, slide="cross", resolution_um=5.0, expansion_um_m_k=11.5)
    assert mm_per_count(scale, 20.0) == pytest.approx(0.005, abs=1e-15)
    assert warm_mm(100.0, 23.1, 20.0) == 100.0


def test_warm_work_is_cut_larger_so_that_it_is_right_when_cold() -> None:
    lathe = Lathe(configured(machine={"temperature_c": 30.0}))
    lathe.act("new_set_up", stock={"diameter_mm": 100.0, "length_mm": 50.0, "expansion_um_m_k": 23.1})
    lathe.touch_both()
    lathe.act(
        "choose_operation",
        operation={"name": "t", "kind": "turning", "start_mm": 0, "end_mm": -10, "target_mm": 45.0, "depth_mm": 1.0},
    )
    remaining = lathe.state().remaining
    assert remaining is not None
    assert remaining.total.good
    assert remaining.total.value_mm == pytest.approx(20.0 - 45.0 * (1 + 23.1e-6 * 10), abs=1e-9)


# The relations of an angled compound slide by geometry: 5.739170 degrees = asin 0.1 moves the tool one tenth of what
# is wound, square to the axis (atan 0.1 = 5.7106 is the common error). 30 degrees from the ways for a 60 degree
# centre: U.S. Army course OD1645, Lathe Operations.
@pytest.mark.parametrize(
    ("angle_deg", "x_share", "z_share"),
    [
        (0.0, 0.0, 1.0),
        (90.0, 1.0, 0.0),
        (30.0, 0.5, math.sqrt(3) / 2),
        (5.739170, 0.1, math.sqrt(0.99)),
        (-30.0, -0.5, math.sqrt(3) / 2),
    ],
)
def test_winding_the_compound_in_takes_the_tool_to_the_headstock_and_by_the_angle_to_the_centre_line(
    angle_deg: float, x_share: float, z_share: float
) -> None:
    assert compound_shift_mm("X", 1.0, angle_deg) == pytest.approx(-x_share, abs=1e-6)
    assert compound_shift_mm("Z", 1.0, angle_deg) == pytest.approx(-z_share, abs=1e-6)


def test_a_drill_is_carried_along_by_the_tailstock_s_scale_alone() -> None:
    config = configured(
        scales=[*SCALED_COMPOUND, {"channel": 3, "slide": "tailstock", "resolution_um": 10.0, "direction": -1}]
    )
    assert quill_terms(config) == {"X": (), "Z": (Term(3, -0.01),)}
    assert quill_terms(configured()) == {"X": (), "Z": ()}
    assert all(term.channel != 3 for terms in axis_terms(config).values() for term in terms)


def test_ten_to_one_is_not_the_angle_whose_tangent_is_a_tenth() -> None:
    assert compound_shift_mm("X", 1.0, math.degrees(math.atan(0.1))) != pytest.approx(-0.1, abs=1e-4)


SCALED_COMPOUND = [
    {"channel": 0, "slide": "cross", "resolution_um": 5.0},
    {"channel": 1, "slide": "carriage", "resolution_um": 5.0, "direction": -1},
    {"channel": 2, "slide": "compound", "resolution_um": 1.0},
]


def test_a_scale_on_the_compound_adds_its_shares_to_both_axes() -> None:
    terms = axis_terms(configured(scales=SCALED_COMPOUND, compound={"angle_deg": 30.0}))
    # Wound in by 1 mm: the compound's count falls, as the tool goes away from neither.
    moved = {axis: moved_mm(terms[axis], (0, 0, -1000), (0, 0, 0)) for axis in terms}
    assert moved == {"X": pytest.approx(-0.5), "Z": pytest.approx(-math.sqrt(3) / 2)}
    everything = {axis: moved_mm(terms[axis], (200, 100, -1000), (0, 0, 0)) for axis in terms}
    assert everything == {"X": pytest.approx(0.5), "Z": pytest.approx(-0.5 - math.sqrt(3) / 2)}


@pytest.mark.parametrize(("angle_deg", "x_terms", "z_terms"), [(0.0, 1, 2), (90.0, 2, 1), (30.0, 2, 2)])
def test_a_compound_square_to_an_axis_is_no_part_of_it(angle_deg: float, x_terms: int, z_terms: int) -> None:
    terms = axis_terms(configured(scales=SCALED_COMPOUND, compound={"angle_deg": angle_deg}))
    assert (len(terms["X"]), len(terms["Z"])) == (x_terms, z_terms)


def test_what_is_wound_on_a_compound_without_a_scale_is_taken_at_the_persons_word() -> None:
    lathe = Lathe(configured(compound={"angle_deg": 30.0}))
    lathe.set_up_work()
    lathe.act("compound_wound", wound_in_mm=0.2)
    assert lathe.position("X") == pytest.approx(20.0 - 0.1)
    assert lathe.position("Z") == pytest.approx(10.0 - 0.2 * math.cos(math.pi / 6))
    lathe.touch("Z", 5.0)
    assert lathe.position("Z") == pytest.approx(5.0), "what was wound before touching off is in the datum"
    lathe.act("compound_wound", wound_in_mm=-0.2)
    assert lathe.position("Z") == pytest.approx(5.0 + 0.2 * math.cos(math.pi / 6))


@given(start=COUNTS, moved=st.integers(-200_000, 200_000), direction=st.sampled_from([1, -1]))
def test_positions_follow_the_counts_across_the_wrap(start: int, moved: int, direction: int) -> None:
    scales = [{"channel": 0, "slide": "cross", "resolution_um": 5.0, "direction": direction}]
    lathe = Lathe(configured(scales=scales))
    lathe.report((start,))
    lathe.touch("X", 3.0)
    # In steps that a hand can wind.
    for step in range(1, 401):
        lathe.t_s += 0.05
        lathe.report((wrapped(start + moved * step // 400),))
    assert lathe.position("X") == pytest.approx(3.0 + direction * moved * 0.005)
