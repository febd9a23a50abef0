"""How far proved figures can be trusted: scales that are wrong in a known way, proved by the checks, held to the truth.

Each run draws a carriage scale of 5 um counts with its errors, takes the checks (at rest, error map, positioning) as a
person would, uses the map, touches off by a measured size, and winds to random places. The figure on the display less
the true place is then compared with its U: of all figures 95 % should lie within. Beside it, in the same run: numpy's
interpolation for the correction of a reading, and scipy's Student t for the factor k.

    python -m benchmarks.proving_truth [RUNS]
"""

from __future__ import annotations

import math
import random
import sys
import time
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from scipy.stats import t as student

from benchmarks.table import percentile, print_table
from proving.bench import Bench, configured
from waytell.documents.proving import Proof, ScaleMap
from waytell.documents.state import GoodFigure
from waytell.engine.error_map import correction_mm
from waytell.engine.student_t import quantile
from waytell.proving.references import gauge_block_limit_um

PLACES_MM = [10.0 * n for n in range(7)]
CONTACT_UM = 1.0
TOUCHED_WITHIN_MM = 0.005
LOOKS = 5
RATE_HZ = 50


class Wrong(NamedTuple):
    """What a scale is truly wrong by."""

    linear: float = 0.0
    periodic_mm: float = 0.0
    period_mm: float = 40.0
    phase: float = 0.0
    play_mm: float = 0.0
    noise_counts: int = 0
    drift: float = 0.0
    """Of its length, from warming between the checks and the work."""

    def at(self, mm: float) -> float:
        wave = self.periodic_mm * math.sin(2 * math.pi * mm / self.period_mm + self.phase)
        return self.linear * mm + wave


class Looked(NamedTuple):
    error_mm: float
    u_mm: float


class Run(NamedTuple):
    before: list[Looked]
    after: list[Looked]
    recovered: dict[str, tuple[float, float]]
    """What was found and what is true, in um."""


def draw(rng: random.Random, kinds: frozenset[str]) -> Wrong:
    return Wrong(
        linear=rng.uniform(-2e-4, 2e-4) if "linear" in kinds else 0.0,
        periodic_mm=rng.uniform(0.0, 0.008) if "periodic" in kinds else 0.0,
        period_mm=rng.uniform(20.0, 60.0), phase=rng.uniform(0.0, 2 * math.pi),
        play_mm=rng.uniform(0.0, 0.01) if "play" in kinds else 0.0,
        noise_counts=rng.choice((0, 1)) if "noise" in kinds else 0,
        drift=rng.uniform(-2.0, 2.0) * 1e-5 if "drift" in kinds else 0.0,
    )  # fmt: skip


def hard(rng: random.Random, **wrong: float) -> Wrong:
    """As bad as it gets, with nothing left to chance but the phase."""
    return Wrong(phase=rng.uniform(0.0, 2 * math.pi))._replace(**wrong)  # type: ignore[arg-type]


class WrongLathe(Bench):
    def __init__(self, wrong: Wrong, rng: random.Random) -> None:
        super().__init__(configured(), rate_hz=RATE_HZ)
        self.wrong, self.warm = wrong, 0.0
        self.error["carriage"] = lambda at_mm: wrong.at(at_mm) + self.warm * at_mm
        self.play_mm["carriage"] = wrong.play_mm
        self.noise = lambda: rng.randint(-wrong.noise_counts, wrong.noise_counts)

    def come_to(self, at_mm: float, way: int) -> None:
        self.to(z=at_mm - way * 2.0, speed=40)
        self.to(z=at_mm, speed=20)


def checked(lathe: WrongLathe, rng: random.Random) -> tuple[Proof, Proof, Proof]:
    """The three checks; true places are off by what gauge blocks may be, and by how the slide meets them."""
    lathe.begin("rest")
    lathe.rest(11)
    rest = lathe.finish()
    blocks = {one: one + rng.uniform(-1, 1) * 1e-3 * gauge_block_limit_um(max(one, 1.0), 2) * (one > 0)
              for one in PLACES_MM}  # fmt: skip
    lathe.begin("positioning", slide="carriage", reference={"kind": "gauge_block"})
    lathe.to(z=-5.0, speed=40)
    for _ in range(3):
        for way, places in ((1, PLACES_MM[::2]), (-1, PLACES_MM[::-2])):
            lathe.to(z=places[0] - way * 5.0, speed=40)
            for place in places:
                lathe.capture(place, z=blocks[place] + rng.uniform(-1, 1) * 1e-3 * CONTACT_UM)
    positioning = lathe.finish()
    lathe.begin("map", slide="carriage", reference={"kind": "gauge_block"})
    for _ in range(3):
        lathe.to(z=-5.0, speed=40)
        for place in PLACES_MM:
            lathe.capture(place, z=blocks[place] + rng.uniform(-1, 1) * 1e-3 * CONTACT_UM)
    return rest, positioning, lathe.finish()


def looks(lathe: WrongLathe, rng: random.Random, *, both_sides: bool) -> list[Looked]:
    lathe.come_to(rng.uniform(5.0, 55.0), 1)
    lathe.rest(0.3)
    lathe.act("touch_off", axis="Z", how="measured", at_mm=lathe.z_mm + rng.uniform(-1, 1) * TOUCHED_WITHIN_MM)
    found = []
    for _ in range(LOOKS):
        lathe.come_to(rng.uniform(5.0, 55.0), rng.choice((1, -1)) if both_sides else 1)
        lathe.rest(0.1)
        figure = next(one.position for one in lathe.state().axes if one.axis == "Z")
        assert isinstance(figure, GoodFigure)
        found.append(Looked(figure.value_mm - lathe.z_mm, figure.u_mm))
    return found


def run(wrong: Wrong, rng: random.Random, *, both_sides: bool) -> Run:
    lathe = WrongLathe(wrong, rng)
    lathe.touch_both()
    before = looks(lathe, rng, both_sides=both_sides)
    rest, positioning, mapped = checked(lathe, rng)
    lathe.act("use_proof", proof=lathe.found.number)
    lathe.warm = wrong.drift
    after = looks(lathe, rng, both_sides=both_sides)
    sd = math.sqrt(((2 * wrong.noise_counts + 1) ** 2 - 1) / 12) * 5.0
    slope, crooked = _straight(wrong)
    found = {
        "linear error, um/m": (-_value(mapped, "slope"), slope * 1e6),
        "periodic error, um": (_value(mapped, "straightness"), crooked * 1e3),
        "reversal error, um": (_value(positioning, "mean B"), wrong.play_mm * 1e3),
        "noise, um": (_value(rest, "sd carriage"), sd),
    }
    return Run(before, after, found)


def _straight(wrong: Wrong) -> tuple[float, float]:
    """Slope of the line through the true errors at the places of the map, and what departs most from it there."""
    errors = [wrong.at(place) for place in PLACES_MM]
    slope, start = np.polyfit(PLACES_MM, errors, 1)
    return float(slope), float(np.max(np.abs(errors - slope * np.array(PLACES_MM) - start)))


def _value(proof: Proof, key: str) -> float:
    return next(one.value for one in proof.quantities if one.key == key)


def row(name: str, looked: list[Looked]) -> list[str]:
    errors = [abs(one.error_mm) * 1e3 for one in looked]
    covered = sum(abs(one.error_mm) <= one.u_mm for one in looked) / len(looked)
    mean_u = sum(one.u_mm for one in looked) / len(looked) * 1e3
    return [name, f"{percentile(errors, 0.95):.1f}", f"{max(errors):.1f}", f"{mean_u:.1f}", f"{100 * covered:.1f} %"]


KINDS = ("linear", "periodic", "play", "noise", "drift")
HARD: dict[str, tuple[dict[str, float], bool]] = {
    "noise of one count either way": ({"noise_counts": 1}, False),
    "play of 10 um, from either side": ({"play_mm": 0.01}, True),
    "8 um over 20 mm, two places a period": ({"periodic_mm": 0.008, "period_mm": 20.0}, False),
    "8 um over 25 mm, 2.5 places a period": ({"periodic_mm": 0.008, "period_mm": 25.0}, False),
    "8 um over 40 mm, four places a period": ({"periodic_mm": 0.008, "period_mm": 40.0}, False),
}
Case = tuple[str, Callable[[random.Random], Wrong], bool, int]


def cases(runs: int) -> list[Case]:
    def drawn(*kinds: str) -> Callable[[random.Random], Wrong]:
        return lambda rng: draw(rng, frozenset(kinds))

    def fixed(wrong: dict[str, float]) -> Callable[[random.Random], Wrong]:
        return lambda rng: hard(rng, **wrong)

    few, some = max(20, runs // 10), max(50, runs // 5)
    alone: list[Case] = [(kind, drawn(kind), False, few) for kind in KINDS]
    worst: list[Case] = [(name, fixed(wrong), both, few) for name, (wrong, both) in HARD.items()]
    return [*alone, *worst, ("all, from either side", drawn(*KINDS), True, some),
            ("all at once", drawn(*KINDS), False, runs)]  # fmt: skip


def trust(runs: int) -> None:
    rows: list[list[str]] = []
    recovered: dict[str, list[tuple[float, float]]] = {}
    for name, wrong, both_sides, times in cases(runs):
        rng = random.Random(name)
        found = [run(wrong(rng), rng, both_sides=both_sides) for _ in range(times)]
        rows.append(row(f"{name}, {times} scales, before", [one for each in found for one in each.before]))
        rows.append(row(f"{name}, {times} scales, proved", [one for each in found for one in each.after]))
        recovered = {key: [each.recovered[key] for each in found] for key in found[0].recovered}
        print(f"  {name}: done", file=sys.stderr)
    head = ["figure less true place", "95 % within, um", "worst, um", "mean U, um", "within U (aim 95 %)"]
    print_table("Proved figures held to the truth", head, rows)
    print_table(
        "What the checks recover, all errors at once",
        ["", "mean difference", "95 % within", "worst", "largest true"],
        [_recovered(key, pairs) for key, pairs in recovered.items()],
    )


def _recovered(key: str, pairs: list[tuple[float, float]]) -> list[str]:
    off = [found - true for found, true in pairs]
    far = sorted(map(abs, off))
    largest = max(abs(true) for _, true in pairs)
    return [key, f"{sum(off) / len(off):+.2f}", f"{percentile(far, 0.95):.2f}", f"{far[-1]:.2f}", f"{largest:.1f}"]


def distances(runs: int) -> None:
    """The stated U of the ratio that a known distance gives."""
    rng, within = random.Random(3), 0
    for _ in range(runs):
        wrong = Wrong(linear=rng.uniform(-2e-3, 2e-3), noise_counts=rng.choice((0, 1)))
        lathe = WrongLathe(wrong, rng)
        block_mm = 50.0 + rng.uniform(-1, 1) * 1e-3 * gauge_block_limit_um(50.0, 2)
        lathe.begin("distance", slide="carriage", length_mm=50.0)
        for _ in range(3):
            lathe.to(z=-2.0, speed=40)
            lathe.capture(0.0, z=rng.uniform(-1, 1) * 1e-3 * CONTACT_UM)
            lathe.capture(50.0, z=block_mm + rng.uniform(-1, 1) * 1e-3 * CONTACT_UM)
        ratio = next(one for one in lathe.finish().quantities if one.key == "ratio")
        within += abs(ratio.value - 1 / (1 + wrong.linear)) <= (ratio.u or 0.0)
    print_table("A known distance of 50 mm", ["", "within U (aim 95 %)"],
                [[f"true over shown, {runs} scales", f"{100 * within / runs:.1f} %"]])  # fmt: skip


def cost() -> None:
    one = ScaleMap(at_mm=tuple(PLACES_MM), add_mm=tuple(0.001 * n for n in range(len(PLACES_MM))))
    places, adds = np.array(one.at_mm), np.array(one.add_mm)
    ours = _each_us(lambda: correction_mm(one, 33.3))
    theirs = _each_us(lambda: np.interp(33.3, places, adds))
    k_ours = _each_us(lambda: quantile(0.975, 7.25))
    k_theirs = _each_us(lambda: student.ppf(0.975, 7.25))
    print_table("Cost", ["", "us", "reference, us", "ratio"], [
        ["correction of a reading by a map; numpy.interp", f"{ours:.2f}", f"{theirs:.2f}", f"{ours / theirs:.2f}"],
        ["factor k, asked again; scipy.stats.t.ppf", f"{k_ours:.2f}", f"{k_theirs:.2f}", f"{k_ours / k_theirs:.4f}"],
    ])  # fmt: skip


def _each_us(work: Callable[[], object], times: int = 20_000) -> float:
    work()
    began = time.perf_counter()
    for _ in range(times):
        work()
    return (time.perf_counter() - began) / times * 1e6


if __name__ == "__main__":
    asked = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    trust(asked)
    distances(asked)
    cost()
