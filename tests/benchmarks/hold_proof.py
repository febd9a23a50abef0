"""Whether the hold watch cries wolf, and whether it ever misses a creep.

Part 1: `--hours` (1 000) of a held slide that trembles by 2 counts (standard deviation), 250 reports a second, limits
as the engine sets them from counts and noise: alarms. The hours go through a copy of the judgement in numpy, because
the watch itself takes 3 s for an hour; both judge the same quarter of an hour first, and any difference ends the run.
Part 2: creeps of 1.2 to 5 limits that set in within 0 to 2 s, through the watch itself: found or not, and how long
after the slide truly passed the limit. The least possible is a report, and half of the window whose median is judged.
Part 3: the same for other limits, as multiples of the noise: what an other choice than 4 would cost.
"""

from __future__ import annotations

import argparse
import random

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from benchmarks.table import percentile, print_table
from waytell.engine.hold_watch import NOISE_FACTOR, HoldWatch, Limits, limits_mm

COUNT_MM = 0.001
RATE_HZ = 250
WINDOW = 6
"""Reports within 20 ms, both ends included."""
WARNING_MM, LIMIT_MM = 0.01, 0.02


def settled(limits: Limits) -> HoldWatch:
    """A watch of a slide that was clamped at 0 and is being cut with."""
    watch = HoldWatch("Z", limits)
    for step in range(WINDOW):
        watch.step(step / RATE_HZ, 0.0, 0.0, judged=False)
    watch.clamp("person")
    watch.begin(watched_only=False)
    return watch


def trembling(chance: np.random.Generator, counts: float, seconds: float) -> np.ndarray:
    """Positions in mm of a slide at rest, by its scale."""
    return np.rint(chance.normal(0, counts, round(seconds * RATE_HZ))) * COUNT_MM


def worst_mm(held_mm: np.ndarray) -> np.ndarray:
    """Size of the median that the watch judges, report for report, as soon as its window is full."""
    medians = np.partition(sliding_window_view(held_mm, WINDOW), WINDOW // 2, axis=1)[:, WINDOW // 2]
    return np.abs(medians)


def copy_judges_alike(chance: np.random.Generator) -> None:
    """Low limits, so that there is much to agree on."""
    for counts in (1.0, 2.0, 4.0):
        held_mm = trembling(chance, counts, 300)
        watch = HoldWatch("Z", Limits(9.0, 9.0))
        watch.step(-1.0, 0.0, 0.0, judged=False)
        watch.clamp("person")
        watch.begin(watched_only=False)
        sizes = []
        for step, place in enumerate(held_mm.tolist()):
            # Milliseconds as binary fractions: the window's edge does not depend on rounding.
            watch.step(step / 256, place, 0.0, judged=True)
            sizes.append(abs(watch.deviation_mm))
        if not np.allclose(sizes[WINDOW - 1 :], worst_mm(held_mm), atol=1e-12):
            raise SystemExit("the copy in numpy does not judge as the hold watch does")


def false_alarms(chance: np.random.Generator, hours: int, counts: float, limits: Limits) -> tuple[int, int, float]:
    """Hours with a warning, hours with an alarm, and the largest median met, in mm."""
    warned = alarmed = 0
    most_mm = 0.0
    for _ in range(hours):
        largest = float(worst_mm(trembling(chance, counts, 3600)).max())
        warned += largest >= limits.warning_mm
        alarmed += largest >= limits.limit_mm
        most_mm = max(most_mm, largest)
    return warned, alarmed, most_mm


def creep(chance: random.Random, counts: float, limits: Limits) -> float | None:
    """Seconds from the true passing of the limit to the alarm; None where it was missed."""
    watch = settled(limits)
    size_mm = limits.limit_mm * chance.uniform(1.2, 5.0) * chance.choice((-1, 1))
    over_s = chance.uniform(0.0, 2.0)
    passed_s = over_s * limits.limit_mm / abs(size_mm)
    for step in range(WINDOW, round((over_s + 1.0) * RATE_HZ)):
        t_s = (step - WINDOW) / RATE_HZ + chance.uniform(0, 0.3) / RATE_HZ
        true_mm = size_mm * min(1.0, t_s / over_s if over_s else 1.0)
        held_mm = round(true_mm / COUNT_MM + chance.gauss(0, counts)) * COUNT_MM
        watch.step(step / RATE_HZ, held_mm, 0.0, judged=True)
        if watch.state == "limit":
            return t_s - passed_s
    return None


def delays(counts: float, limits: Limits, trials: int) -> tuple[list[float], int]:
    chance = random.Random(11)
    found = [creep(chance, counts, limits) for _ in range(trials)]
    return [one for one in found if one is not None], found.count(None)


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--hours", type=int, default=1000)
    ask.add_argument("--creeps", type=int, default=2000)
    asked = ask.parse_args()
    chance = np.random.default_rng(20261127)
    copy_judges_alike(chance)
    rows = []
    for counts in (1.0, 2.0, 4.0):
        limits = limits_mm(WARNING_MM, LIMIT_MM, COUNT_MM, counts * COUNT_MM)
        hours = asked.hours if counts == 2.0 else max(1, asked.hours // 10)
        warned, alarmed, most_mm = false_alarms(chance, hours, counts, limits)
        found, missed = delays(counts, limits, asked.creeps)
        rows.append((
            f"{counts:.0f}", f"{limits.warning_mm * 1000:.0f}/{limits.limit_mm * 1000:.0f} um", str(hours), str(warned),
            str(alarmed), f"{most_mm * 1000:.0f} um", f"{len(found)} of {asked.creeps}", str(missed),
            f"{percentile(found, 0.5) * 1000:.0f}", f"{percentile(found, 0.99) * 1000:.0f}", f"{max(found) * 1000:.0f}",
        ))  # fmt: skip
    print_table(
        f"Hold watch with the limits the engine sets, {RATE_HZ} reports a second, count {COUNT_MM * 1000:.0f} um",
        ("noise, counts", "warning/limit", "hours", "with a warning", "with an alarm", "largest median", "creeps found",
         "missed", "delay p50 ms", "p99", "worst"),
        rows,
    )  # fmt: skip
    other = []
    for factor in (1.0, 1.5, 2.0, 3.0, 4.0, 6.0):
        for counts in (1.0, 2.0, 4.0):
            limit_mm = factor * counts * COUNT_MM
            limits = Limits(limit_mm, limit_mm)
            hours = max(1, asked.hours // 50)
            _, alarmed, _ = false_alarms(chance, hours, counts, limits)
            found, missed = delays(counts, limits, asked.creeps // 4)
            other.append((
                f"{factor:g}" + (" (chosen)" if factor == NOISE_FACTOR else ""), f"{counts:.0f}",
                f"{limit_mm * 1000:.0f} um", f"{alarmed / hours:.2f}", f"{len(found) / (len(found) + missed):.3f}",
                f"{percentile(found, 0.5) * 1000:.0f}",
            ))  # fmt: skip
    print_table(
        "What other limits would cost",
        ("limit/noise", "noise, counts", "limit", "hours with a false alarm", "creeps found", "delay p50 ms"), other,
    )  # fmt: skip


if __name__ == "__main__":
    main()
