"""What a position is uncertain by, each contribution reckoned by hand after the GUM (JCGM 100:2008).

Rectangular half-widths are divided by the root of 3 (4.3.7); a count entering twice is the root of 2 of a rectangle of
half a count; U keeps two digits (7.2.6).
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from engine.lathe import Lathe, configured
from waytell.documents.base import Axis
from waytell.documents.proving import ScaleMap, Trust
from waytell.engine.proved import Zero
from waytell.engine.uncertainty import contributions, decimals

CROSS = {"channel": 0, "slide": "cross", "resolution_um": 5.0, "accuracy_um": 12.0, "expansion_um_m_k": 10.0}
WAY = {"channel": 1, "slide": "carriage", "resolution_um": 1.0, "accuracy_um": 9.0}
COMPOUND = {"channel": 2, "slide": "compound", "resolution_um": 2.0, "accuracy_um": 6.0}
TRAVEL_MM = 200.0


def lathe_of(*scales: dict[str, Any], **parts: Any) -> Lathe:
    return Lathe(configured(scales=list(scales), **parts))


def found(
    lathe: Lathe, axis: Axis = "X", noise_mm: float = 0.0, travel_mm: float = TRAVEL_MM, counts: tuple[int, ...] = ()
) -> dict[str, list[tuple[float, float]]]:
    """(standard uncertainty in um, degrees of freedom) by name."""
    told: dict[str, list[tuple[float, float]]] = {}
    for one in contributions(lathe.engine.known, axis, noise_mm, travel_mm, counts):
        told.setdefault(one.name, []).append((round(one.standard_mm * 1e3, 6), one.degrees))
    return told


def rely(lathe: Lathe, slide: str, *trust: Trust) -> None:
    lathe.engine.known.proved.trust[slide] = {one.name: one for one in trust}  # type: ignore[index]


def um(value: float, degrees: float = math.inf) -> list[Any]:
    return [(pytest.approx(value, abs=1e-6), degrees)]


def test_an_unproved_scale_is_off_by_what_stands_in_its_configuration() -> None:
    assert found(lathe_of(CROSS), noise_mm=0.001) == {
        "resolution": um(5 / math.sqrt(6)),
        "scale": um(12 / math.sqrt(3)),
        # 2 K of doubt at 10 um/(m K) over 0.2 m.
        "expansion": um(10 * 2 * 0.2 / math.sqrt(3)),
        "noise": um(math.sqrt(2)),
    }


def test_a_warm_scale_is_off_by_what_is_not_known_of_its_expansion_as_well() -> None:
    warm = found(lathe_of(CROSS, machine={"temperature_c": 30.0}))
    # 2 K of doubt, and a tenth of 10 K: both of 10 um/(m K).
    assert warm["expansion"] == um(math.hypot(10 * 2, 0.1 * 10 * 10) * 0.2 / math.sqrt(3))
    assert found(lathe_of(CROSS), travel_mm=0.0)["expansion"] == um(0.0)


@pytest.mark.parametrize(("how", "half_um"), [("touch", 20), ("measured", 5), ("shim", 10)])
def test_the_touch_that_set_the_datum_counts_with_its_half_width(how: str, half_um: float) -> None:
    lathe = lathe_of(CROSS, WAY)
    assert "touch" not in found(lathe), "no datum, no touch"
    lathe.touch("X", 12.0, how=how, shim_mm=0.05 if how == "shim" else 0.0)
    assert found(lathe)["touch"] == um(half_um / math.sqrt(3))
    assert "touch" not in found(lathe, "Z")


def test_another_tool_s_touch_adds_its_own() -> None:
    lathe = lathe_of(CROSS, WAY)
    lathe.act("choose_tool", tool="one")
    lathe.touch("X", 12.0, how="measured")
    assert found(lathe)["touch"] == um(5 / math.sqrt(3))
    lathe.act("choose_tool", tool="two")
    assert found(lathe)["touch"] == um(math.hypot(5, 20) / math.sqrt(3))


def test_what_a_check_found_takes_the_place_of_what_was_assumed() -> None:
    lathe = lathe_of(CROSS)
    rely(
        lathe, "cross",
        Trust(name="straightness", standard_um=8.0), Trust(name="factor", standard_um=30.0, degrees=9),
        Trust(name="repeatability", standard_um=2.0, degrees=11), Trust(name="reversal", standard_um=4.0, degrees=5),
        Trust(name="noise", standard_um=1.5), Trust(name="noise_running", standard_um=2.5),
    )  # fmt: skip
    told = found(lathe, noise_mm=0.002)
    assert told["scale"] == um(8.0), "more than the 12 / sqrt 3 that was assumed"
    assert told["reference"] == um(30 * 0.2, 9)
    assert told["repeatability"] == um(2.0, 11)
    assert told["reversal"] == um(4.0, 5)
    assert told["noise"] == um(2.5 * math.sqrt(2)), "the worst that was seen"
    assert found(lathe, noise_mm=0.003)["noise"] == um(3.0 * math.sqrt(2))
    rely(lathe, "cross", Trust(name="straightness", standard_um=3.0), Trust(name="factor", standard_um=30.0))
    assert found(lathe)["scale"] == um(12 / math.sqrt(3)), "a few places tell less than its maker's limit"
    assert found(lathe)["reference"] == um(30 * 0.2), "told, not repeated"


def test_a_map_takes_the_place_of_the_scale_s_error_where_datum_and_figure_lie_on_it() -> None:
    lathe = lathe_of(CROSS)
    rely(
        lathe, "cross", Trust(name="map", standard_um=1.0, degrees=6), Trust(name="reference", standard_um=0.7),
        Trust(name="straightness", standard_um=8.0),
    )  # fmt: skip
    proved = lathe.engine.known.proved
    proved.maps["cross"] = ScaleMap(at_mm=(0.0, 20.0, 50.0), add_mm=(0.0, 0.02, 0.01))
    proved.zeros[0] = Zero(0, 0)
    assert "scale" not in found(lathe, counts=(2000,)), "at 10 mm, and no datum that could lie elsewhere"
    lathe.touch("X", 12.0, how="measured")  # where the slide stands at 20 mm
    on_the_map = found(lathe, counts=(2000,))
    assert (on_the_map["map"], on_the_map["reference"]) == (um(1.0, 6), um(0.7))
    for beyond in ((11_000,), (10_210,), (-210,), ()):
        told = found(lathe, counts=beyond)
        assert (told["scale"], "map" in told) == (um(8.0), False), beyond
    for hardly_beyond in ((10_190,), (-190,)):
        assert "map" in found(lathe, counts=hardly_beyond), "not a millimetre beyond its ends"
    proved.zeros[0] = Zero(20_000, 0)
    assert "map" not in found(lathe, counts=(21_000,)), "the datum was set where nobody looked"


def test_of_a_compound_slide_only_what_goes_along_the_axis_counts() -> None:
    lathe = lathe_of(CROSS, WAY, COMPOUND, compound={"angle_deg": 30.0})
    rely(
        lathe, "compound", Trust(name="repeatability", standard_um=2.0, degrees=11), Trust(name="noise", standard_um=8),
        Trust(name="reversal", standard_um=3.0, degrees=5),
    )  # fmt: skip
    told = found(lathe)
    # sine of 30 degrees along X
    assert told["resolution"] == [*um(5 / math.sqrt(6)), *um(0.5 * 2 / math.sqrt(6))]
    assert told["scale"] == [*um(12 / math.sqrt(3)), *um(0.5 * 6 / math.sqrt(3))]
    assert told["repeatability"] == um(1.0, 11)
    assert told["reversal"] == um(1.5, 5)
    alike = found(lathe_of(CROSS, WAY, COMPOUND, compound={"angle_deg": 90.0}))["expansion"]
    assert told["expansion"] == [alike[0], (pytest.approx(0.5 * alike[1][0], abs=1e-5), math.inf)]
    assert told["noise"] == um(4.0 * math.sqrt(2))
    assert found(lathe, "Z")["repeatability"] == um(2.0 * math.cos(math.radians(30)), 11)


def test_a_map_of_the_compound_slide_counts_as_far_as_it_leans() -> None:
    lathe = lathe_of(CROSS, WAY, COMPOUND, compound={"angle_deg": 30.0})
    rely(lathe, "compound", Trust(name="map", standard_um=3.0, degrees=6))
    proved = lathe.engine.known.proved
    proved.maps["compound"], proved.zeros[2] = ScaleMap(at_mm=(0.0, 20.0), add_mm=(0.0, 0.01)), Zero(0, 0)
    assert found(lathe, counts=(0, 0, 100))["map"] == um(1.5, 6)


def test_what_a_count_was_found_to_be_leans_nothing() -> None:
    assert found(lathe_of(CROSS | {"scale_factor": 0.95}))["scale"] == um(12 / math.sqrt(3))


@pytest.mark.parametrize(
    ("u_mm", "resolution_mm", "unit_mm", "digits"),
    [
        (0.0, 0.0, 1.0, 3), (0.013, 0.0, 1.0, 3), (1e-9, 0.0, 1.0, 5), (0.0, 0.01, 1.0, 3),
        (50.0, 0.0, 1.0, 0), (500.0, 0.0, 1.0, 0), (0.0885, 0.0, 1.0, 3), (0.0895, 0.0, 1.0, 2),
        (0.09, 0.001, 1.0, 2), (0.11, 0.001, 1.0, 2), (0.08, 0.001, 1.0, 3),
        # 0.01 mm of U is 0.4 thousandths of an inch; half a count of 0.0002 inch is a ten-thousandth.
        (0.01, 0.001, 25.4, 5), (0.001, 0.00508, 25.4, 4),
    ],
)  # fmt: skip
def test_digits(u_mm: float, resolution_mm: float, unit_mm: float, digits: int) -> None:
    assert decimals(u_mm, resolution_mm, unit_mm) == digits


def test_digits_are_of_millimetres_unless_it_is_said_otherwise() -> None:
    assert decimals(0.09, 0.001) == 2
