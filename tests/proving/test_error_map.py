"""What a map adds to a scale, against numpy and by what must hold for any map."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from waytell.documents.proving import ScaleMap
from waytell.engine.error_map import Mapped, correction_mm

AT = st.lists(st.integers(-3000, 3000), min_size=2, max_size=20, unique=True).map(sorted)
MAPS = AT.flatmap(
    lambda at: st.lists(st.floats(-0.2, 0.2), min_size=len(at), max_size=len(at)).map(
        lambda add: ScaleMap(at_mm=tuple(one / 10 for one in at), add_mm=tuple(add))
    )
)


@given(MAPS, st.floats(-400, 400))
def test_a_correction_equals_numpys_interpolation(scale_map: ScaleMap, at_mm: float) -> None:
    assert correction_mm(scale_map, at_mm) == pytest.approx(
        float(np.interp(at_mm, scale_map.at_mm, scale_map.add_mm)), abs=1e-12
    )


@given(MAPS)
def test_at_its_own_places_a_map_adds_what_it_says(scale_map: ScaleMap) -> None:
    assert [correction_mm(scale_map, at) for at in scale_map.at_mm] == list(scale_map.add_mm)


@given(MAPS, st.floats(-400, 400), st.floats(-400, 400))
def test_nothing_is_added_beyond_the_largest_entry_and_it_never_jumps(
    scale_map: ScaleMap, one: float, other: float
) -> None:
    assert min(scale_map.add_mm) - 1e-12 <= correction_mm(scale_map, one) <= max(scale_map.add_mm) + 1e-12
    steepest = float(np.max(np.abs(np.diff(scale_map.add_mm) / np.diff(scale_map.at_mm))))
    assert abs(correction_mm(scale_map, one) - correction_mm(scale_map, other)) <= steepest * abs(one - other) + 1e-12


@given(
    MAPS, st.integers(-(2**31), 2**31 - 1), st.integers(-60_000, 60_000), st.sampled_from([0.005, -0.001]),
    st.floats(-1, 1),
)  # fmt: skip
def test_it_is_looked_up_by_counts_from_its_zero_and_turns_with_the_compound(
    scale_map: ScaleMap, zero: int, gone: int, count_mm: float, share: float
) -> None:
    """Counts of 32 bits wrap round; a count may run against the slide."""
    mapped = Mapped(1, zero, count_mm, share, scale_map)
    now = (zero + gone + 2**31) % 2**32 - 2**31
    added = share * float(np.interp(gone * count_mm, scale_map.at_mm, scale_map.add_mm))
    assert mapped.add_mm((12345, now)) == pytest.approx(added, abs=1e-12)
