"""Limits of a size against published tables, and what the tables do not cover."""

from __future__ import annotations

import pytest

from waytell.documents.part import Dimension
from waytell.planning.sizes import limits_of, middle_mm, width_mm


@pytest.mark.parametrize(
    ("size", "wanted"),
    [
        # ISO 286-2: h8 over 10 up to 18 is 0 and -27 micrometres; H7 over 6 up to 10 is +15 and 0; js7 over 10 up to
        # 18 is 9 either way; g6 over 10 up to 18 is -6 and -17.
        ({"mm": 18.0, "tolerance_class": "h8"}, (18.0 - 0.027, 18.0, "h8")),
        ({"mm": 10.0, "tolerance_class": "H7"}, (10.0, 10.015, "H7")),
        ({"mm": 12.0, "tolerance_class": "js7"}, (11.991, 12.009, "js7")),
        ({"mm": 12.0, "tolerance_class": "g6"}, (11.983, 11.994, "g6")),
        ({"mm": 22.0, "upper_mm": 0.3, "lower_mm": -0.1}, (21.9, 22.3, "as given")),
        # ISO 2768-1, medium: 0.1 from 0.5 up to 6, 0.2 over 6 up to 30, 0.3 over 30 up to 120.
        (6.0, (5.9, 6.1, "medium")),
        (6.5, (6.3, 6.7, "ISO 2768-1")),
        (30.5, (30.2, 30.8, "medium")),
    ],
)
def test_limits_come_from_the_class_the_deviations_or_the_general_tolerance(
    size: object, wanted: tuple[float, float, str]
) -> None:
    found = limits_of(Dimension.model_validate(size), "m")
    assert (found.low_mm, found.high_mm) == pytest.approx(wanted[:2])
    assert wanted[2] in found.words
    assert middle_mm(found) == pytest.approx(sum(wanted[:2]) / 2)
    assert width_mm(found) == pytest.approx(wanted[1] - wanted[0])


@pytest.mark.parametrize(
    ("size", "words"),
    [
        ({"mm": 300.0, "tolerance_class": "h7"}, "250"),
        ({"mm": 10.0, "tolerance_class": "zz9"}, "zz"),
        (0.3, "0.5"),
        (4500.0, "4000"),
    ],
)
def test_what_the_tables_do_not_cover_is_said(size: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        limits_of(Dimension.model_validate(size), "m")
