"""A gauge block that is warm is longer than what is engraved on it, and a warm scale counts too little of it."""

from __future__ import annotations

import math

import pytest

from proving.bench import Bench, configured
from waytell.documents.config import Scale
from waytell.documents.proving import Proof, Quantity, Reference
from waytell.proving.references import compared_um, standard_um, true_length_mm

BLOCK, BAR, DIAL = Reference(), Reference(kind="setting_bar"), Reference(kind="dial")
SCALE = Scale(channel=1, slide="carriage", resolution_um=1.0, expansion_um_m_k=8.5)
WARM_C = 30.0
# Steel: Swyt, Journal of Research of NIST 99, 31 (1994).
STEEL = 11.5e-6


@pytest.mark.parametrize(("reference", "alpha"), [(BLOCK, STEEL), (BAR, STEEL), (DIAL, 0.0)])
def test_steel_grows_and_a_dial_tells_what_the_slide_goes(reference: Reference, alpha: float) -> None:
    assert true_length_mm(reference, 100.0, WARM_C) == pytest.approx(100.0 * (1 + alpha * 10), abs=1e-9)
    assert true_length_mm(reference, 100.0, 20.0) == 100.0


def test_the_temperature_enters_by_what_block_and_scale_differ() -> None:
    """At 20 degrees, known to a half-width of 2 K: 3 um a metre and kelvin over 100 mm."""
    own = standard_um(BLOCK, 100.0)
    assert compared_um(BLOCK, 100.0, SCALE, 20.0) == pytest.approx(math.hypot(own, 0.3 * 2 / math.sqrt(3)))
    alike = SCALE.model_copy(update={"expansion_um_m_k": 11.5})
    assert compared_um(BLOCK, 100.0, alike, 20.0) == pytest.approx(own)
    assert compared_um(BLOCK, 100.0, alike, WARM_C) > own


def quantity(proof: Proof, key: str) -> Quantity:
    return next(one for one in proof.quantities if one.key == key)


def warm_lathe() -> Bench:
    """Everything at 30 degrees: the scale has stretched, so that a count is more."""
    scales = [
        {"channel": 0, "slide": "cross", "resolution_um": 1.0},
        {"channel": 1, "slide": "carriage", "resolution_um": 1.0, "expansion_um_m_k": 8.5},
    ]
    lathe = Bench(configured(machine={"temperature_c": WARM_C}, scales=scales))
    lathe.act("use_config", config=configured(machine={"temperature_c": WARM_C}, scales=scales).model_dump(mode="json"))
    lathe.count_um["carriage"] = 1.0 * (1 + 8.5e-6 * 10)
    return lathe


def test_a_true_scale_agrees_with_a_warm_block() -> None:
    """Taken as cold, the block would seem 11.5 um too short, ten times as much as the check can tell."""
    lathe = warm_lathe()
    start_mm = lathe.z_mm
    lathe.begin("distance", slide="carriage", length_mm=100.0, reference=BLOCK.model_dump(mode="json"))
    for _ in range(3):
        lathe.capture(0.0, z=start_mm)
        lathe.capture(100.0, z=start_mm + 100.0 * (1 + STEEL * 10))
    proof = lathe.finish()
    assert proof.verdict == "good"
    assert abs(quantity(proof, "error").value) <= 1.0
    assert (quantity(proof, "error").u or 99.0) < 5.0


def test_a_true_scale_has_a_flat_map_from_warm_blocks() -> None:
    lathe = warm_lathe()
    start_mm = lathe.z_mm
    lathe.begin("map", slide="carriage", reference=BLOCK.model_dump(mode="json"))
    for said in (0.0, 25.0, 50.0, 75.0, 100.0) * 2:
        lathe.capture(said, z=start_mm + said * (1 + STEEL * 10))
    assert quantity(lathe.finish(), "span").value <= 1.0
