"""Limits and fits of ISO 286: what "H7/g6" means at a nominal size, in mm.

Sizes are as they are measured: a diameter, a width; never a radius. A lower-case letter is a shaft, an upper-case one a
hole. The numbers are those of `limits_tables`; by the rules of ISO 286-1:

- shafts c to h: the upper deviation is the table's, the lower one lies the standard tolerance below it; k to u: the
  lower deviation is the table's. k has it in grades 5 to 7 only, else 0. js lies half to either side (the standard lets
  odd widths of js7 to js11 be rounded to even ones; it is not done here);
- holes C to H mirror the shaft of the same letter. K and M up to grade 8, N up to grade 8 and P to U up to grade 7
  mirror it too, raised over 3 mm by delta = IT(n) - IT(n-1); above these grades M and P to U are not raised, N is 0
  over 3 mm. K above grade 8 is left out, for the standard has it up to 3 mm only.

That delta is the difference of two neighbouring grades is from memory; the tests compare what it gives with published
tables of K, M, N, P, R, S, T and U.
"""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

from waytell.planning.limits_tables import shaft_deviation_um, standard_tolerance_um

SHAFTS = ("c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s", "t", "u")
HOLES = tuple(letter.upper() for letter in SHAFTS)
GRADES = range(5, 14)
LARGEST_MM = 250.0
COVERED = (
    f"Covered are holes {' '.join(HOLES)} and shafts {' '.join(SHAFTS)}, grades {GRADES[0]} to {GRADES[-1]}, sizes "
    f"over 0 up to {LARGEST_MM:g} mm; K only up to grade 8, N from grade 9 only over 1 mm, T and t only over 24 mm."
)

Kind = Literal["clearance", "transition", "interference"]


class NotCovered(ValueError):  # noqa: N818 - it says what is the matter, as the other errors do
    """The class or the size is not in the tables here; the words say what is."""


class Deviations(NamedTuple):
    """From the nominal size to the limits, with sign."""

    lower_mm: float
    upper_mm: float


class Fit(NamedTuple):
    """A hole and a shaft of one nominal size; a clearance below 0 is an interference."""

    hole: Deviations
    shaft: Deviations
    least_clearance_mm: float
    most_clearance_mm: float
    kind: Kind
    words: str


def tolerance_mm(nominal_mm: float, grade: int) -> float:
    """Width of the standard tolerance IT5 to IT13. Raises NotCovered."""
    return _tolerance_um(nominal_mm, grade) / 1000


def deviations(nominal_mm: float, tolerance_class: str) -> Deviations:
    """Limits of a class such as "h7" (a shaft) or "H8" (a hole). Raises NotCovered."""
    lower_um, upper_um = _deviations_um(nominal_mm, tolerance_class)
    return Deviations(lower_um / 1000, upper_um / 1000)


def fit(nominal_mm: float, designation: str) -> Fit:
    """What a fit such as "H7/g6" leaves between hole and shaft. Raises NotCovered."""
    hole, shaft = _hole_and_shaft(designation)
    # Whole and half micrometres are exact, so nothing is rounded before the last step.
    hole_um, shaft_um = _deviations_um(nominal_mm, hole), _deviations_um(nominal_mm, shaft)
    least, most = (hole_um[0] - shaft_um[1]) / 1000, (hole_um[1] - shaft_um[0]) / 1000
    kind = _kind(least, most)
    return Fit(
        deviations(nominal_mm, hole), deviations(nominal_mm, shaft), least, most, kind, _fit_words(kind, least, most)
    )


def told_mm(length_mm: float) -> str:
    """A length to the micrometre, or to a tenth of it where the limits lie on halves."""
    return f"{length_mm:.4f}".removesuffix("0")


def _kind(least_mm: float, most_mm: float) -> Kind:
    if least_mm >= 0.0:
        return "clearance"
    return "interference" if most_mm <= 0.0 else "transition"


def _fit_words(kind: Kind, least_mm: float, most_mm: float) -> str:
    if kind == "clearance":
        return f"clearance fit: {told_mm(least_mm)} to {told_mm(most_mm)} mm of clearance"
    if kind == "interference":
        return f"interference fit: {told_mm(abs(most_mm))} to {told_mm(-least_mm)} mm of interference"
    return f"transition fit: from {told_mm(-least_mm)} mm of interference to {told_mm(most_mm)} mm of clearance"


def _hole_and_shaft(designation: str) -> tuple[str, str]:
    hole, slash, shaft = (part.strip() for part in designation.partition("/"))
    if not slash or not hole.isupper() or not shaft.islower():
        raise NotCovered(
            f'{designation!r} is not a fit: write the hole, a slash and the shaft, as in "H7/g6". {COVERED}'
        )
    return hole, shaft


def _deviations_um(nominal_mm: float, tolerance_class: str) -> tuple[float, float]:
    letter, grade = _letter_and_grade(tolerance_class)
    width = _tolerance_um(nominal_mm, grade)
    if letter in {"js", "JS"}:
        lower = -width / 2
    elif letter.islower():
        near = _shaft_um(nominal_mm, letter, grade)
        lower = near - width if letter <= "h" else near
    else:
        near = _hole_um(nominal_mm, letter, grade)
        lower = near if letter <= "H" else near - width
    if nominal_mm + lower / 1000 <= 0.0:
        raise NotCovered(
            f"{tolerance_class} would let a size of {nominal_mm:g} mm be {nominal_mm + lower / 1000:.4f} mm. "
            "Choose a finer grade, a letter nearer to h, or a larger size."
        )
    return lower, lower + width


def _letter_and_grade(tolerance_class: str) -> tuple[str, int]:
    found = re.fullmatch(r"([A-Za-z]{1,2})([0-9]{1,2})", tolerance_class.strip())
    if found is None:
        raise NotCovered(f'{tolerance_class!r} is not a tolerance class such as "H7" or "g6". {COVERED}')
    letter, grade = found[1], int(found[2])
    if letter not in SHAFTS and letter not in HOLES:
        raise NotCovered(f"There is no {letter} in the tables here ({tolerance_class}). {COVERED}")
    if letter == "K" and grade > 8:
        raise NotCovered(f"There is no {tolerance_class} in the tables here. {COVERED}")
    return letter, grade


def _tolerance_um(nominal_mm: float, grade: int) -> int:
    if grade not in GRADES:
        raise NotCovered(f"There is no grade {grade} in the tables here. {COVERED}")
    # Written so that what is not a number is refused too.
    if not 0.0 < nominal_mm <= LARGEST_MM:
        raise NotCovered(f"The tables here have no size of {nominal_mm:g} mm. {COVERED}")
    return standard_tolerance_um(nominal_mm, grade)


def _shaft_um(nominal_mm: float, letter: str, grade: int) -> int:
    if letter == "k" and grade > 7:
        return 0
    return _mirrored_um(nominal_mm, letter)


def _hole_um(nominal_mm: float, letter: str, grade: int) -> int:
    if letter == "N" and grade > 8 and nominal_mm <= 1.0:
        raise NotCovered(f"The standard has no N{grade} at {nominal_mm:g} mm. {COVERED}")
    if letter == "N" and grade > 8 and nominal_mm > 3.0:
        return 0
    return _delta_um(nominal_mm, letter, grade) - _mirrored_um(nominal_mm, letter.lower())


def _mirrored_um(nominal_mm: float, letter: str) -> int:
    near = shaft_deviation_um(nominal_mm, letter)
    if near is None:
        raise NotCovered(f"The standard has no {letter} or {letter.upper()} at {nominal_mm:g} mm. {COVERED}")
    return near


def _delta_um(nominal_mm: float, letter: str, grade: int) -> int:
    """By how much a hole lies above the mirror image of its shaft."""
    last = {"K": 8, "M": 8, "N": 8}.get(letter, 7)
    if letter <= "H" or grade > last or nominal_mm <= 3.0:
        return 0
    return standard_tolerance_um(nominal_mm, grade) - standard_tolerance_um(nominal_mm, grade - 1)
