"""Counts against the truth: rates, jitter, overload, noise, and the interrupt against its rule."""

import random
from collections.abc import Callable

import pytest

from firmware.board_bench import END, SEEN, STARTED, Bench

PROMISED = 120_000


@pytest.mark.parametrize("rate", [100, 5_000, 60_000, 120_000, 180_000])
def test_a_move_of_known_length_comes_back_to_where_it_began(bench: Bench, rate: int) -> None:
    edges = max(50, rate // 2)
    script = (
        f"{STARTED}move x {edges} {rate}\nmove z {-edges} {rate}\nsettle\nwait 10000\ntruth\n"
        f"move x {-edges} {rate}\nmove z {edges} {rate}\nsettle\nwait 10000\ntruth\n{END}"
    )
    run = bench.run(script)
    assert [truth.counts[:2] for truth in run.truths] == [(edges, -edges), (0, 0)]
    assert run.last.counts == (0, 0)
    assert max(position.counts[0] for position in run.positions) == edges
    assert min(position.counts[1] for position in run.positions) == -edges
    assert {position.flags for position in run.positions} == {0}


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_both_scales_at_180000_edges_a_second_lose_nothing(bench: Bench, seed: int) -> None:
    """Steady, slightly detuned so that the two drift through every phase, at 250 Hz and 500 kbaud."""
    script = (
        f"{STARTED}move x 540000 180000\nmove z -538{seed}00 179{seed}00\nspindle 20000\nsettle\n{SEEN}truth\n{END}"
    )
    run = bench.run(script, seed=seed)
    assert run.last.counts == run.truths[0].counts[:2]
    assert {position.flags for position in run.positions} == {0}
    assert run.damaged == []
    assert run.hellos[0]["hz"] == "250"
    assert len(run.positions) >= 249 * 5


@pytest.mark.parametrize("seed", range(1, 7))
def test_both_scales_at_the_promised_rate_with_a_fifth_of_jitter_lose_nothing(bench: Bench, seed: int) -> None:
    """Each edge lies anywhere within 20 % of the spacing before or after its even place."""
    edges = 3 * PROMISED
    script = (
        f"{STARTED}move x {edges} {PROMISED} 20\nmove z {-edges} {PROMISED - 400} 20\nspindle 20000\n"
        f"settle\n{SEEN}truth\n{END}"
    )
    run = bench.run(script, seed=seed)
    assert run.last.counts == run.truths[0].counts[:2] == (edges, -edges)
    assert {position.flags for position in run.positions} == {0}
    assert run.hellos[-1]["max"] == str(PROMISED)
    assert run.damaged == []


def test_every_report_shows_where_the_slide_was_at_its_own_time(bench: Bench) -> None:
    rate = 50_000
    run = bench.run(f"{STARTED}move x 100000 {rate}\nsettle\nwait 10000\n{END}")
    moving = [position for position in run.positions if 100 < position.counts[0] < 99_900]
    assert len(moving) > 450
    offsets = [position.counts[0] - position.t_us * rate / 1e6 for position in moving]
    # A sample may be 4 us old and late by most of another; at this rate an edge comes every 20 us.
    assert max(offsets) - min(offsets) < 1.5


def test_a_jump_of_both_lines_is_one_missed_edge_on_its_own_scale(bench: Bench) -> None:
    jumps = "jump x\nwait 1000\n" * 5 + "jump z\nwait 1000\n" * 300
    run = bench.run(f"{STARTED}{jumps}{SEEN}{END}")
    assert (run.missed(0)[-1], run.missed(1)[-1]) == (5, 300)
    assert run.last.flags == 3
    assert run.last.counts == (0, 0)


def test_a_flag_names_its_scale_only(bench: Bench) -> None:
    run = bench.run(f"{STARTED}jump z\n{SEEN}{END}")
    assert run.last.flags == 2
    assert (run.missed(0)[-1], run.missed(1)[-1]) == (0, 1)


def test_missed_edges_are_said_at_most_ten_times_a_second(bench: Bench) -> None:
    run = bench.run(f"{STARTED}move x 600000 300000\nsettle\n{END}")
    assert 15 <= len(run.missed(0)) <= 21
    assert sorted(run.missed(0)) == run.missed(0)


def overload(rng: random.Random) -> str:
    """A slide that speeds up from a readable rate to a random one, in either direction, and slows down again."""
    top = rng.uniform(100_000, 550_000)
    edges = rng.choice([-1, 1]) * rng.randint(2_000, 8_000)
    jitter = rng.choice([0, 10, 20])
    axis = rng.choice("xz")
    return (
        f"move {axis} {edges} 20000 {jitter} {top:.0f}\nsettle\nmove {axis} {edges} {top:.0f} {jitter} 20000\nsettle\n"
    )


def test_an_overload_is_never_a_silently_wrong_count(bench: Bench) -> None:
    """Every wrong count has its flag; and the readable ones, mostly, have none."""
    wrong, flagged, right = 0, 0, 0
    for seed in range(12):
        rng = random.Random(seed)
        # One power-up per case: the flag never clears.
        cases = [f"power {case}\ntrue x\ntrue z\n{STARTED}{overload(rng)}wait 9000\ntruth\n" for case in range(20)]
        for case in cases:
            run = bench.run(case + END, seed=seed)
            true, shown, flags = run.truths[0].counts, run.last.counts, run.last.flags
            for axis in (0, 1):
                is_wrong = shown[axis] != true[axis]
                is_flagged = bool(flags >> axis & 1)
                assert is_flagged or not is_wrong, f"seed {seed}: {case}"
                wrong += is_wrong
                flagged += is_flagged
                right += not is_wrong and not is_flagged
    assert wrong > 50
    assert flagged >= wrong
    assert right > 200


@pytest.mark.parametrize("edges_per_sample", [2, 3, 5])
def test_a_slide_that_starts_at_whole_edges_a_sample_is_flagged(bench: Bench, edges_per_sample: int) -> None:
    """No slide does; but two are illegal, three look like one back, and five like one forward."""
    rate = 250_000 * edges_per_sample
    run = bench.run(f"{STARTED}move x {rate // 50} {rate}\nsettle\nwait 9000\n{END}")
    assert run.last.flags == 1


@pytest.mark.parametrize("line", ["C0", "C1", "C2", "C3"])
@pytest.mark.parametrize("width_us", [0.5, 2.5, 30])
def test_pulses_of_noise_on_a_resting_line_do_not_drift(bench: Bench, line: str, width_us: float) -> None:
    run = bench.run(f"{STARTED}pulses {line} 2000 {width_us} 97.3\nsettle\nwait 9000\n{END}")
    assert run.last.counts == (0, 0)
    assert run.last.flags == 0


def test_noise_on_both_lines_at_once_may_flag_but_never_drifts_silently(bench: Bench) -> None:
    storm = "".join(f"pulses C{line} 3000 {3 + line} {61 + 7 * line}\n" for line in range(4))
    run = bench.run(f"{STARTED}{storm}settle\nwait 9000\n{END}")
    for axis in (0, 1):
        assert run.last.counts[axis] == 0 or run.last.flags >> axis & 1


@pytest.mark.parametrize(
    ("name", "scales", "samples"), [("two", 2, 65_536 + 3 + 1_000_000), ("three", 3, 4_096 + 1 + 1_000_000)]
)
def test_the_interrupt_counts_what_the_rule_says(
    bench_of: Callable[[str], Bench], name: str, scales: int, samples: int
) -> None:
    """Two scales: each string of four port states, so all 65 536 pairs of transitions. Then a million at random."""
    run = bench_of(name).run(f"{STARTED}prove {scales} 1000000\nwait 1\n{END}")
    assert run.said == [f"proof {samples} 0"]


def test_a_sample_costs_what_the_readme_says_and_is_never_late(bench: Bench) -> None:
    lines = "send Q\nwait 5000\n" * 20
    run = bench.run(f"{STARTED}move x 240000 120000 20\nmove z 240000 120000 20\nspindle 10000\n{lines}settle\n{END}")
    assert run.stats["isr_cycles_least"] == 41
    assert run.stats["isr_cycles_most"] <= 60
    assert run.stats["sample_gap_most"] <= 64 + 12
    assert run.stats["overruns"] == 0


@pytest.mark.parametrize("name", ["two", "everything"])
def test_the_stack_never_comes_near_the_variables(bench_of: Callable[[str], Bench], name: str) -> None:
    commands = "send Q\nsend R 200\nwait 30000\n" * 20
    run = bench_of(name).run(
        f"{STARTED}clock 300000\nspindle 5000\nmark x\nmark z\ncaliper 123456 200\npulses D2 9 8000 20000\n"
        f"move x 50000 200000 20\nmove z -50000 200000\n{commands}settle\nunused\n{END}"
    )
    unused = int(run.said[0].split()[1])
    print(f"{name}: {unused} bytes of RAM never used")
    assert 100 < unused < 1500


def test_in_the_worst_case_the_counters_are_taken_over_in_time(bench: Bench) -> None:
    """Longest numbers, every input busy, the fastest reports: a late take-over would flag both scales."""
    script = (
        f"{STARTED}clock 3000000\nshift x -2000000000\nshift z -2000000000\nspindle 5000\nsend R 1000\n"
        "pulses D2 100 8000 20000\nmove x -240000 120000\nmove z -240000 119000\n"
    )
    script += "send Q\nwait 20000\n" * 50
    run = bench.run(f"{script}settle\nwait 10000\ntruth\n{END}")
    assert {position.flags for position in run.positions} == {0}
    assert run.last.counts == run.truths[0].counts[:2]
    assert run.damaged == []
