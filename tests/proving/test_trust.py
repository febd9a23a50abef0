"""Each contribution that a check gives, against how far figures really scatter at a lathe that is wrong in that way."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from proving.bench import Bench, configured
from waytell.documents.proving import Proof
from waytell.engine.error_map import correction_mm

FINE = {"scales": [{"channel": 1, "slide": "carriage", "resolution_um": 1.0}]}


def fine_lathe() -> Bench:
    return Bench(configured(**FINE), rate_hz=50)


def standard_um(proof: Proof, name: str) -> float:
    return next(one.standard_um for one in proof.gives.trust if one.name == name)


def come_to(lathe: Bench, at_mm: float, way: int) -> None:
    lathe.to(z=at_mm - way, speed=20)
    lathe.to(z=at_mm, speed=20)


def test_noise_is_in_the_datum_as_well_as_in_the_figure() -> None:
    chance = random.Random(5)
    lathe = fine_lathe()
    lathe.noise = lambda: chance.randint(-30, 30)
    lathe.begin("rest")
    lathe.rest(11)
    lathe.finish()
    off = []
    for _ in range(400):
        lathe.step()
        lathe.touch("Z", lathe.z_mm, how="measured")
        lathe.step()
        off.append(lathe.position("Z") - lathe.z_mm)
    budget = lathe.engine.place.budget(lathe.engine.known, "Z")
    noise = next(one.standard_mm for one in budget.contributions if one.name == "noise")
    assert noise == pytest.approx(float(np.sqrt(np.mean(np.square(off)))), rel=0.15)


def test_play_comes_in_whole_or_not_at_all() -> None:
    lathe = fine_lathe()
    lathe.play_mm["carriage"] = 0.03
    lathe.begin("positioning", slide="carriage", reference={"kind": "gauge_block"})
    for way, places in ((1, (0.0, 10.0)), (-1, (10.0, 0.0))) * 3:
        come_to(lathe, places[0], way)
        lathe.capture(places[0])
        lathe.capture(places[1], z=places[1])
    reversal_um = standard_um(lathe.finish(), "reversal")
    come_to(lathe, 5.0, 1)
    lathe.touch("Z", 5.0, how="measured")
    off = []
    for at_mm, way in ((2.0, 1), (3.0, -1), (7.0, 1), (9.0, -1)):
        come_to(lathe, at_mm, way)
        off.append((lathe.position("Z") - at_mm) * 1e3)
    assert reversal_um == pytest.approx(math.sqrt(float(np.mean(np.square(off)))), rel=0.05)


@pytest.mark.parametrize("phase", [0.0, 0.7, 1.4, 2.1])
@pytest.mark.parametrize("period_mm", [35.0, 45.0, 60.0])
def test_what_a_map_misses_between_its_places_counts_at_the_datum_and_at_the_figure(
    period_mm: float, phase: float
) -> None:
    def error(at_mm: float) -> float:
        return 0.02 * math.sin(2 * math.pi * at_mm / period_mm + phase)

    lathe = fine_lathe()
    lathe.error["carriage"] = error
    lathe.begin("map", slide="carriage")
    for place in (0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0) * 2:
        lathe.capture(place, z=place)
    found = lathe.finish()
    assert found.gives.map is not None
    assert any("half as far apart" in one for one in found.notes)
    shown = [float(at) + error(float(at)) - error(0.0) for at in np.linspace(0, 60, 601)]
    left = [one + correction_mm(found.gives.map, one) for one in shown] - np.linspace(0, 60, 601)
    # Datum and figure anywhere: the variance of a difference is twice that of one.
    twice_um = math.sqrt(2) * float(np.std(left)) * 1e3
    assert 0.6 < twice_um / standard_um(found, "map") < 1.1


def test_a_straight_scale_asks_for_no_nearer_places() -> None:
    lathe = fine_lathe()
    lathe.error["carriage"] = lambda at_mm: 2e-4 * at_mm
    lathe.begin("map", slide="carriage")
    for place in (0.0, 10.0, 20.0, 30.0) * 2:
        lathe.capture(place, z=place)
    assert not any("half as far apart" in one for one in lathe.finish().notes)
