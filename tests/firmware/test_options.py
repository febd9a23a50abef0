"""What a build may choose."""

from collections.abc import Callable
from itertools import pairwise

import pytest

from firmware.board_bench import END, SEEN, STARTED, Bench


def caliper_bits(size: int, *, negative: bool = False, inch: bool = False) -> str:
    return f"{size | negative << 20 | inch << 23:06X}"


def test_three_scales_count_at_their_promised_rate_with_jitter(bench_of: Callable[[str], Bench]) -> None:
    rate = 80_000
    moves = f"move x 240000 {rate} 20\nmove z -240000 {rate - 300} 20\nmove u 240000 {rate - 700} 20\n"
    run = bench_of("three").run(f"{STARTED}{moves}spindle 20000\nsettle\n{SEEN}truth\n{END}")
    assert run.hellos[0]["axes"] == "3"
    assert run.hellos[0]["kinds"] == "qqq"
    assert run.hellos[0]["max"] == str(rate)
    assert run.last.counts == run.truths[0].counts == (240_000, -240_000, 240_000)
    assert {position.flags for position in run.positions} == {0}
    assert run.damaged == []
    assert len(run.positions) > 249 * 5


def test_overload_of_the_third_scale_flags_the_third_scale(bench_of: Callable[[str], Bench]) -> None:
    run = bench_of("three").run(f"{STARTED}move u 50000 260000\nsettle\n{SEEN}{END}")
    assert run.last.flags == 4
    assert run.missed(2)[-1] > 0
    assert run.last.counts[:2] == (0, 0)


@pytest.mark.parametrize(
    ("bits", "count"),
    [
        (caliper_bits(2540), 254_000),
        (caliper_bits(2540, negative=True), -254_000),
        (caliper_bits(2000, inch=True), 254_000),
        (caliper_bits(1, inch=True, negative=True), -127),
    ],
)
def test_a_caliper_burst_is_read_in_either_unit(bench_of: Callable[[str], Bench], bits: str, count: int) -> None:
    run = bench_of("caliper").run(f"{STARTED}caliper {bits} 200\nwait 100000\n{END}")
    assert run.hellos[0]["kinds"] == "qqc"
    assert run.last.counts == (0, 0, count)
    assert run.last.flags == 0


def test_caliper_bursts_are_read_while_both_slides_run(bench_of: Callable[[str], Bench]) -> None:
    """Half clocks of 150 us and more; counts as always."""
    script = f"{STARTED}move x 350000 120000 20\nmove z -350000 120000 20\nspindle 20000\n"
    for burst in range(20):
        script += f"caliper {caliper_bits(1000 + burst)} {150 + 10 * burst}\nwait 150000\n"
    run = bench_of("caliper").run(f"{script}settle\nwait 9000\ntruth\n{END}")
    seen = {position.counts[2] for position in run.positions}
    assert seen == {0} | {100 * (1000 + burst) for burst in range(20)}
    assert run.last.flags == 0
    assert run.last.counts[:2] == run.truths[0].counts[:2]


def test_a_caliper_that_falls_silent_or_stutters_is_flagged(bench_of: Callable[[str], Bench]) -> None:
    silent = bench_of("caliper").run(f"{STARTED}wait 3500000\n{END}")
    assert silent.last.flags == 4
    assert silent.missed(2)[-1] == 3
    stutter = bench_of("caliper").run(f"{STARTED}caliper 123456 200 17\nwait 100000\n{END}")
    assert stutter.last.flags == 4
    assert stutter.last.counts == (0, 0, 0)


def test_a_slow_line_lowers_the_rate_and_says_so(bench_of: Callable[[str], Bench]) -> None:
    run = bench_of("slow").run(
        f"{STARTED}clock 3000000\nshift x -2000000000\nshift z -2000000000\nsend R 1000\n{SEEN}{END}"
    )
    kept = int(run.hellos[-1]["hz"])
    assert 150 <= kept <= 210
    after = run.positions[20:]
    steps = [(b.t_us - a.t_us) % 2**32 for a, b in pairwise(after)]
    assert abs(1e6 * len(steps) / sum(steps) - kept) < 0.02 * kept
    assert run.damaged == []


def test_a_hung_program_with_the_watchdog_comes_back_with_its_counts(bench_of: Callable[[str], Bench]) -> None:
    hang = f"{STARTED}move x 500 10000\nsettle\nwait 20000\nhang\nwait 400000\n"
    run = bench_of("watchdog").run(f"{hang}{END}")
    assert len({hello["boot"] for hello in run.hellos}) == 2
    assert run.hellos[-1]["kept"] == "1"
    assert run.last.counts == (500, 0)


def test_pull_ups_are_on_when_asked_for(bench_of: Callable[[str], Bench], bench: Bench) -> None:
    """The data direction stays input; only the port register differs."""
    assert bench_of("pullups").run(f"{STARTED}io 28\n{END}").said == ["io 15"]
    assert bench.run(f"{STARTED}io 28\n{END}").said == ["io 0"]
