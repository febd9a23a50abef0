"""ISO 286 against published tables (see `published_limits`), a second implementation and the standard's formulas."""

from __future__ import annotations

import math
from itertools import pairwise

import pressfit  # type: ignore[import-untyped]
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planning import published_limits as published
from planning.published_limits import Cell, cells
from waytell.planning.limits_fits import (
    COVERED,
    GRADES,
    HOLES,
    SHAFTS,
    Deviations,
    NotCovered,
    deviations,
    fit,
    told_mm,
    tolerance_mm,
)
from waytell.planning.limits_tables import FINE_STEPS_MM, standard_tolerance_um

CLASSES = cells(
    published.SHAFTS,
    published.MORE_SHAFTS,
    published.HOLES,
    published.RAISED_HOLES,
    published.MORE_HOLES,
    published.PRESS_FITS,
    published.KEYWAYS,
)


def um(limits: Deviations) -> tuple[float, float]:
    return limits.lower_mm * 1000, limits.upper_mm * 1000


def name(cell: Cell) -> str:
    return f"{cell.over_mm:g}-{cell.to_mm:g} {cell.column}"


@pytest.mark.parametrize("cell", cells(published.GRADES), ids=name)
def test_standard_tolerances_are_those_published(cell: Cell) -> None:
    for size in cell.sizes_mm:
        assert tolerance_mm(size, int(cell.column)) == float(cell.text) / 1000


@pytest.mark.parametrize("cell", cells(published.GRADE_4), ids=name)
def test_the_grade_below_the_finest_is_that_published(cell: Cell) -> None:
    assert [standard_tolerance_um(size, 4) for size in cell.sizes_mm] == [int(cell.text)] * 3


@pytest.mark.parametrize("cell", CLASSES, ids=name)
def test_limits_are_those_published(cell: Cell) -> None:
    for size in cell.sizes_mm:
        assert um(deviations(max(size, 0.1), cell.column)) == pytest.approx(cell.limits_um, abs=1e-9)


@pytest.mark.parametrize("cell", cells(published.SHAFT_LOWER), ids=name)
def test_shafts_over_the_line_have_the_published_lower_deviation_in_every_grade(cell: Cell) -> None:
    for size, grade in zip(cell.sizes_mm, (5, 9, 13), strict=True):
        assert um(deviations(size, f"{cell.column}{grade}"))[0] == pytest.approx(float(cell.text))


@pytest.mark.parametrize("cell", cells(published.HOLE_NEAR), ids=name)
def test_holes_over_the_size_have_the_published_lower_deviation_in_every_grade(cell: Cell) -> None:
    for size, grade in zip(cell.sizes_mm, (5, 9, 13), strict=True):
        assert um(deviations(size, f"{cell.column}{grade}"))[0] == pytest.approx(float(cell.text))
        assert um(deviations(size, f"{cell.column.lower()}{grade}"))[1] == pytest.approx(-float(cell.text))


@pytest.mark.parametrize("cell", cells(published.HOLE_ABOVE_7), ids=name)
def test_holes_under_the_size_have_the_published_upper_deviation_above_grade_7(cell: Cell) -> None:
    for size, grade in zip(cell.sizes_mm, (8, 10, 13), strict=True):
        assert um(deviations(size, f"{cell.column}{grade}"))[1] == pytest.approx(-float(cell.text))
        assert um(deviations(size, f"{cell.column.lower()}{grade}"))[0] == pytest.approx(float(cell.text))


@pytest.mark.parametrize("cell", cells(published.RAISED_BY), ids=name)
def test_holes_are_raised_by_the_published_amount(cell: Cell) -> None:
    grade = int(cell.column)
    for letter, unraised_um in {"K": -4, "M": -17, "N": -31, "P": -50}.items():
        if letter == "P" and grade > 7:
            continue
        upper_um = um(deviations(220, f"{letter}{grade}"))[1]
        assert upper_um == pytest.approx(unraised_um + float(cell.text)), letter


# "Machinery's Handbook", 31st edition, table 6a (BS 4500:1969), Industrial Press: above grade 8 M as unraised, N 0.
@pytest.mark.parametrize(
    ("size", "m_um", "n_um"), [(2, -2, -4), (5, -4, 0), (10, -6, 0), (18, -7, 0), (30, -8, 0), (50, -9, 0)]
)
def test_m_and_n_above_grade_8(size: float, m_um: float, n_um: float) -> None:
    for grade in (9, 11):
        assert um(deviations(size, f"M{grade}"))[1] == pytest.approx(m_um)
        assert um(deviations(size, f"N{grade}"))[1] == pytest.approx(n_um)


# ISO 286-2:1988, Technical corrigendum 1 (2006): the two cells of it that are covered here.
def test_what_the_standard_itself_corrected() -> None:
    assert um(deviations(100, "E8"))[1] == pytest.approx(126)
    assert um(deviations(24, "R10"))[1] == pytest.approx(-28)


# Wrong numbers met in public: a table of h6 for bars, one of h8, and a package's f6 and K6. The right ones are in
# Pfeffer, Sakagami and DME.
def test_wrong_numbers_met_elsewhere_are_not_repeated() -> None:
    assert [um(deviations(size, "h6"))[0] for size in (8, 14, 24, 40)] == pytest.approx([-9, -11, -13, -16])
    assert um(deviations(40, "h8")) == pytest.approx((-39, 0))
    assert um(deviations(150, "f6")) == pytest.approx((-68, -43))
    assert um(deviations(8, "K6")) == pytest.approx((-7, 2))


def sizes() -> list[float]:
    """Both sides of every step, and amid them."""
    ends = [0.5, *map(float, FINE_STEPS_MM)]
    return ends + [end + 0.001 for end in ends[:-1]] + [(a + b) / 2 for a, b in pairwise(ends)]


@pytest.mark.parametrize("letter", ["c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "s", "u"])
def test_shafts_and_basic_holes_agree_with_pressfit(letter: str) -> None:
    checked = 0
    for size in sizes():
        for grade in range(5, 12):
            theirs = pressfit.fit(f"H{grade}/{letter}{grade}", size)
            assert um(deviations(size, f"{letter}{grade}")) == pytest.approx((theirs.shaft_ei_um, theirs.shaft_es_um))
            assert um(deviations(size, f"H{grade}")) == pytest.approx((theirs.hole_ei_um, theirs.hole_es_um))
            ours = fit(size, f"H{grade}/{letter}{grade}")
            assert (ours.least_clearance_mm * 1000, ours.most_clearance_mm * 1000) == pytest.approx(theirs.clearance_um)
            assert ours.kind == theirs.kind
            checked += 1
    assert checked > 350


# The formulas of the standard only show slips: the table is the truth. i = 0.45 D^(1/3) + 0.001 D and its multiples
# ("International tolerance grades", Engineers Edge); D is the geometric mean of the step, of 1 and 3 in the smallest.
def test_tolerances_lie_near_the_formula_of_the_standard() -> None:
    for cell in cells(published.GRADES):
        middle_mm = math.sqrt(max(cell.over_mm, 1.0) * cell.to_mm)
        i_um = 0.45 * middle_mm ** (1 / 3) + 0.001 * middle_mm
        multiple = dict(zip(GRADES, (7, 10, 16, 25, 40, 64, 100, 160, 250), strict=True))[int(cell.column)]
        table_um = tolerance_mm(cell.to_mm, int(cell.column)) * 1000
        within = 0.133 if cell.to_mm <= 3 else 0.084 if cell.to_mm <= 6 else 0.053
        assert abs(multiple * i_um / table_um - 1) <= within + 0.0005, name(cell)


# Table 15.4, "Machine Drawing", New Age International: es and ei of 10 to 120 mm lie within 1.5 um of these.
@pytest.mark.parametrize(
    ("letter", "factor", "power"),
    [("d", -16, 0.44), ("e", -11, 0.41), ("f", -5.5, 0.41), ("g", -2.5, 0.34), ("k", 0.6, 1 / 3), ("n", 5, 0.34)],
)
def test_deviations_lie_near_the_formula_of_the_standard(letter: str, factor: float, power: float) -> None:
    for over, to in ((10, 18), (18, 30), (30, 50), (50, 80), (80, 120)):
        lower_um, upper_um = um(deviations(to, f"{letter}6"))
        near_um = upper_um if letter < "h" else lower_um
        assert near_um == pytest.approx(factor * math.sqrt(over * to) ** power, abs=1.5)


# A worked example in print: 64 H8/f7, hole and shaft pair, Byju's question bank.
def test_a_worked_example_of_others() -> None:
    example = fit(64, "H8/f7")
    assert example.hole == (0.0, 0.046)
    assert example.shaft == (-0.060, -0.030)
    assert (example.least_clearance_mm, example.kind) == (0.030, "clearance")


# ANSI B4.2-1978, table 12, preferred hole-basis clearance fits: hole most and least, shaft most and least, fit most and
# least, in mm.
@pytest.mark.parametrize(
    ("size", "designation", "hole", "shaft", "clearance"),
    [
        (1, "H11/c11", (1.060, 1.000), (0.940, 0.880), (0.180, 0.060)),
        (1, "H9/d9", (1.025, 1.000), (0.980, 0.955), (0.070, 0.020)),
        (1, "H8/f7", (1.014, 1.000), (0.994, 0.984), (0.030, 0.006)),
        (1, "H7/g6", (1.010, 1.000), (0.998, 0.992), (0.018, 0.002)),
        (4, "H11/c11", (4.075, 4.000), (3.930, 3.855), (0.220, 0.070)),
        (4, "H9/d9", (4.030, 4.000), (3.970, 3.940), (0.090, 0.030)),
        (4, "H8/f7", (4.018, 4.000), (3.990, 3.978), (0.040, 0.010)),
        (4, "H7/g6", (4.012, 4.000), (3.996, 3.988), (0.024, 0.004)),
        (4, "H7/h6", (4.012, 4.000), (4.000, 3.992), (0.020, 0.000)),
        (5, "H8/f7", (5.018, 5.000), (4.990, 4.978), (0.040, 0.010)),
    ],
)
def test_preferred_fits_of_ansi_b4_2(
    size: float,
    designation: str,
    hole: tuple[float, float],
    shaft: tuple[float, float],
    clearance: tuple[float, float],
) -> None:
    ours = fit(size, designation)
    assert (size + ours.hole.upper_mm, size + ours.hole.lower_mm) == pytest.approx(hole)
    assert (size + ours.shaft.upper_mm, size + ours.shaft.lower_mm) == pytest.approx(shaft)
    assert (ours.most_clearance_mm, ours.least_clearance_mm) == pytest.approx(clearance)
    assert ours.kind == "clearance"


def test_a_step_goes_over_its_start_up_to_and_including_its_end() -> None:
    assert tolerance_mm(18, 7) == 0.018
    assert tolerance_mm(18.001, 7) == 0.021


def test_kinds_of_fit_in_words() -> None:
    assert fit(24, "H7/g6").words == "clearance fit: 0.007 to 0.041 mm of clearance"
    assert fit(24, "H7/k6").words == "transition fit: from 0.015 mm of interference to 0.019 mm of clearance"
    assert fit(24, "H7/s6").words == "interference fit: 0.014 to 0.048 mm of interference"
    assert fit(24, "JS7/h6").words == "transition fit: from 0.0105 mm of interference to 0.0235 mm of clearance"
    # "Description of preferred fits", "Machinery's Handbook", 25th edition: H7/p6 is a transition fit up to 3 mm.
    assert (fit(3, "H7/p6").kind, fit(3.1, "H7/p6").kind) == ("transition", "interference")


def test_a_hole_that_is_always_as_small_as_the_shaft_is_no_transition() -> None:
    # The hole ends where the shaft begins: no clearance is ever left.
    assert fit(3, "H8/s5")[2:5] == (-0.018, 0.0, "interference")
    assert fit(24, "H7/h6").kind == "clearance"


@pytest.mark.parametrize(
    ("size", "wrong"),
    [
        (24, "z6"),
        (24, "B9"),
        (24, "h4"),
        (24, "h14"),
        (24, "js"),
        (24, "Js7"),
        (24, "7h"),
        (24, ""),
        (24, "H7/g6"),
        (24, "K9"),
        (24, "t6"),
        (24, "T7"),
        (1, "N9"),
        (0, "h7"),
        (-3, "h7"),
        (250.001, "h7"),
        (math.nan, "h7"),
        (math.inf, "H7"),
    ],
)
def test_what_is_not_covered_is_refused_and_told_what_is(size: float, wrong: str) -> None:
    with pytest.raises(NotCovered) as refused:
        deviations(size, wrong)
    assert COVERED in str(refused.value)


def test_what_is_covered_is_named() -> None:
    assert "holes C D E F G H JS K M N P R S T U and shafts c d e f g h js k m n p r s t u" in COVERED
    assert "grades 5 to 13, sizes over 0 up to 250 mm" in COVERED
    for letter in HOLES + SHAFTS:
        assert deviations(60, f"{letter}7").lower_mm < deviations(60, f"{letter}7").upper_mm


@pytest.mark.parametrize("wrong", ["H7", "g6/H7", "H7/", "/g6", "h7/g6", "H7/G6", "H7-g6", "H7/g6/h6", "H7/z6"])
def test_a_fit_is_a_hole_and_a_shaft(wrong: str) -> None:
    with pytest.raises(NotCovered, match="Covered are holes"):
        fit(24, wrong)


def test_grades_outside_are_refused() -> None:
    for grade in (4, 14):
        with pytest.raises(NotCovered, match=f"no grade {grade}"):
            tolerance_mm(24, grade)


def test_a_size_that_could_vanish_is_refused() -> None:
    with pytest.raises(NotCovered, match="larger size"):
        deviations(0.1, "c11")


@given(
    st.floats(1.001, 250, allow_nan=False),
    st.sampled_from(["C", "D", "E", "F", "G", "H", "JS", "M", "N", "P", "R", "S", "U"]),
    st.sampled_from(GRADES),
    st.sampled_from([letter for letter in SHAFTS if letter != "t"]),
    st.sampled_from(GRADES),
)
def test_every_fit_is_as_wide_as_its_two_tolerances(
    size: float, hole: str, hole_grade: int, shaft: str, grade: int
) -> None:
    ours = fit(size, f"{hole}{hole_grade}/{shaft}{grade}")
    both_mm = tolerance_mm(size, hole_grade) + tolerance_mm(size, grade)
    assert ours.most_clearance_mm - ours.least_clearance_mm == pytest.approx(both_mm)
    assert ours.least_clearance_mm == pytest.approx(ours.hole.lower_mm - ours.shaft.upper_mm)
    assert ours.words.startswith(f"{ours.kind} fit: ")
    assert (ours.least_clearance_mm >= 0) == (ours.kind == "clearance")


def test_lengths_are_told_to_the_micrometre_or_its_half() -> None:
    assert [told_mm(0.0), told_mm(0.0105), told_mm(23.98)] == ["0.000", "0.0105", "23.980"]
