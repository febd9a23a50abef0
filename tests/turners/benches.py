"""The lathes that the stories are told at: rates, resolutions, directions and counts of every usual kind."""

from __future__ import annotations

import pytest

from turners.board import Bench

PLAIN = Bench("plain")
SLOW = Bench("slow", rate_hz=50, directions=(-1, 1, -1), first_counts=(2**31 + 2000, 40, 12), clock_ppm=-50.0)
TURNED_ROUND = Bench(
    "turned-round",
    rate_hz=60,
    directions=(-1, -1, -1),
    first_counts=(-(2**31) + 300, 2**31 + 60, 9),
    clock_start_us=2**32 - 20_000_000,
)
FINE = Bench(
    "fine", rate_hz=75, resolution_um=1.0, directions=(1, -1, 1), first_counts=(-77, 2**31 - 5_000, 2**31 - 3_000)
)
FAST = Bench("fast", rate_hz=1000, resolution_um=1.0, directions=(-1, 1, 1), first_counts=(5, -(2**31) + 6_000, 3))
COARSE = Bench("coarse", rate_hz=60, resolution_um=10.0, directions=(1, -1, -1), first_counts=(123_456, -654_321, 0))
SWITCHED = Bench("switched", resolution_um=2.0, rate_hz=100, directions=(-1, 1, 1), switch=True, swapped=True)

at_every_bench = pytest.mark.parametrize("bench", [PLAIN, SLOW, SWITCHED], ids=lambda bench: bench.name)
at_two_benches = pytest.mark.parametrize("bench", [SLOW, FINE], ids=lambda bench: bench.name)
at_three_benches = pytest.mark.parametrize("bench", [SLOW, TURNED_ROUND, COARSE], ids=lambda bench: bench.name)
RATES = [Bench(f"{rate}Hz", rate_hz=rate) for rate in (50, 250, 1000)]
