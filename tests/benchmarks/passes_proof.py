"""Precision and recall of the passes found over `--days` (500) random days of an invented turner, and their errors.

The turner shares no code with the engine: hands that dwell, ripple, slip, knock and wander, at lathes of 50 to 100
reports a second and 1 to 10 um. A true pass is found where one of the same kind lies over the same time; a found one is
right where it lies over a true one of its kind. Aim: 0.999 of both. As reference the same days are read with every
tenth report lost.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random

from benchmarks.table import percentile, print_table
from turners.board import Bench, wire_log
from turners.day import Day, bench_of
from turners.judge import BEGIN_S, differences
from turners.truth import TruePass
from waytell.documents.state import Pass
from waytell.replay import replay

Spoil = Callable[[list[str]], list[str]]


@dataclass
class Tally:
    true: int = 0
    found: int = 0
    matched: int = 0
    alike: int = 0
    """Days without any difference at all, also of times, feeds and roles, in the bands of the tests."""
    errors_um: dict[str, list[float]] = field(default_factory=lambda: {"held": [], "end": [], "depth": [], "creep": []})

    def take(self, was: list[TruePass], passes: list[Pass], bench: Bench) -> None:
        self.true, self.found = self.true + len(was), self.found + len(passes)
        self.alike += not differences(was, passes, bench)
        left = list(passes)
        for one in was:
            match = next((other for other in left if same(one, other)), None)
            if match is not None:
                left.remove(match)
                self.matched += 1
                self.measure(one, match)

    def measure(self, was: TruePass, one: Pass) -> None:
        low, high = was.end_mm
        self.errors_um["end"].append(max(low - one.end_mm, one.end_mm - high, 0.0) * 1000)
        for name, right, got in (
            ("held", was.held_mm, one.held_mm), ("depth", was.depth_mm, one.depth_mm),
            ("creep", was.creep_mm, one.creep_mm),
        ):  # fmt: skip
            if right is not None and got is not None:
                self.errors_um[name].append(abs(got - right) * 1000)


def same(was: TruePass, one: Pass) -> bool:
    """Of the same kind, and over the middle of the same time."""
    if one.kind not in (was.kind, was.or_kind):
        return False
    begins_s, ends_s = one.t_start_s - BEGIN_S, one.t_end_s - BEGIN_S
    until_s = was.t_end_s[1] if was.t_end_s is not None else was.t_start_s + 1.0
    return begins_s < (was.t_start_s + until_s) / 2 < ends_s + 0.5


def a_tenth_lost(lines: list[str]) -> list[str]:
    chance = Random(1)
    return [line for line in lines if " < P " not in line or chance.random() > 0.1]


def lived(days: int, spoil: Spoil | None = None) -> Tally:
    tally = Tally()
    for seed in range(days):
        day, bench = Day(seed), bench_of(seed)
        day.lives()
        lines = wire_log(day.turner, bench)
        replayed = replay(spoil(lines) if spoil is not None else lines, bench.name)
        tally.take(day.turner.passes, replayed.passes, bench)
    return tally


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--days", type=int, default=500)
    days = ask.parse_args().days
    began_s = time.process_time()
    tallies = {"as told": lived(days), "a tenth of reports lost": lived(days, a_tenth_lost)}
    rows = [
        (
            name, str(one.true), str(one.found), f"{one.matched / one.found:.4f}", f"{one.matched / one.true:.4f}",
            f"{one.alike} of {days}",
        )
        for name, one in tallies.items()
    ]  # fmt: skip
    print_table(
        f"Passes of {days} random days ({time.process_time() - began_s:.0f} s of processor), aim 0.999",
        ("log", "true", "found", "precision", "recall", "days without any difference"), rows,
    )  # fmt: skip
    errors_of = [
        (
            f"{log}: {name}", str(len(errors)), *(f"{percentile(errors, share):.1f}" for share in (0.5, 0.99)),
            f"{max(errors):.1f}",
        )
        for log, one in tallies.items() for name, errors in one.errors_um.items()
    ]  # fmt: skip
    print_table("Errors, um (scales of 1 to 10 um)", ("figure", "passes", "p50", "p99", "worst"), errors_of)


if __name__ == "__main__":
    main()
