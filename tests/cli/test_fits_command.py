"""`waytell fits` as a person uses it: a real process, its words and its exit code."""

from __future__ import annotations

import json

import pytest

from support.running import told


def test_a_fit_is_told_with_the_limits_of_both_and_what_is_between_them() -> None:
    said = told("fits", "24", "H7/g6")
    assert said.returncode == 0, said.stderr
    # Hole and shaft of 18 to 30 mm as in "Fit tolerances", Sakagami: H7 +21/0, g6 -7/-20.
    assert said.stdout.splitlines() == [
        "hole  H7    24.000 to 24.021 mm  (0.000 to +0.021)",
        "shaft g6    23.980 to 23.993 mm  (-0.020 to -0.007)",
        "clearance fit: 0.007 to 0.041 mm of clearance",
    ]


@pytest.mark.parametrize(
    ("size", "tolerance_class", "line"),
    [
        ("24", "h7", "shaft h7    23.979 to 24.000 mm  (-0.021 to 0.000)"),
        ("24", "H8", "hole  H8    24.000 to 24.033 mm  (0.000 to +0.033)"),
        ("8", "js6", "shaft js6   7.9955 to 8.0045 mm  (-0.0045 to +0.0045)"),
        ("6.35", "h9", "shaft h9    6.314 to 6.350 mm  (-0.036 to 0.000)"),
    ],
)
def test_one_class_is_told_alone(size: str, tolerance_class: str, line: str) -> None:
    assert told("fits", size, tolerance_class).stdout == f"{line}\n"


def test_programs_get_a_document() -> None:
    assert json.loads(told("fits", "24", "H7/s6", "--json").stdout) == {
        "nominal_mm": 24.0,
        "hole": {"class": "H7", "lower_mm": 0.0, "upper_mm": 0.021, "least_mm": 24.0, "most_mm": 24.021},
        "shaft": {"class": "s6", "lower_mm": 0.035, "upper_mm": 0.048, "least_mm": 24.035, "most_mm": 24.048},
        "least_clearance_mm": -0.048,
        "most_clearance_mm": -0.014,
        "kind": "interference",
        "words": "interference fit: 0.014 to 0.048 mm of interference",
    }
    assert set(json.loads(told("fits", "24", "h7", "--json").stdout)) == {"nominal_mm", "shaft"}


@pytest.mark.parametrize(
    ("size", "wrong", "names"),
    [
        ("24", "H7/z6", "There is no z"),
        ("24", "g6/H7", "write the hole, a slash and the shaft"),
        ("24", "seven", "is not a tolerance class"),
        ("300", "H7/g6", "no size of 300 mm"),
        ("0", "h7", "no size of 0 mm"),
        ("nan", "h7", "no size of nan mm"),
    ],
)
def test_what_is_not_covered_is_told_with_what_is(size: str, wrong: str, names: str) -> None:
    said = told("fits", size, wrong)
    assert said.returncode == 1
    assert said.stdout == ""
    assert names in said.stderr
    assert "Covered are holes C D E" in said.stderr
    assert "sizes over 0 up to 250 mm" in said.stderr


def test_a_size_that_is_no_number_is_told() -> None:
    said = told("fits", "24,5", "h7")
    assert said.returncode == 2
    assert "NOMINAL" in said.stderr
    assert "'24,5' is not a valid float" in said.stderr


def test_help_shows_how() -> None:
    assert "waytell fits 24 H7/g6" in told("fits", "--help").stdout
    assert "fits" in told("--help").stdout
