"""How fast the counter board counts and what a report costs, beside what the processor could do at most.

Runs the real image in the simulator (tests/firmware/peer). Give it the folder of a build, or it makes one:

    python tests/benchmarks/firmware_rates.py [--build FOLDER]
"""

import argparse
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests"))

from firmware.board_bench import END, FIRMWARE, HERE, STARTED, Bench, Run  # noqa: E402  the path comes first

CLOCK_HZ = 16_000_000
# An interrupt for each edge can do no better than its own shortest path and one instruction of the program:
# entry 4, jump 3, body 27, return 4 (all but the body from the datasheet, "Interrupt Response Time"), and 1.
CYCLES_OF_AN_EDGE_INTERRUPT = 4 + 3 + 27 + 4 + 1
SECONDS = 2


def build(folder: Path) -> Path:
    """Makes the peer and three images; prints nothing unless it fails."""
    work = [(HERE, folder, ()), (FIRMWARE, folder / "two", ()), (FIRMWARE, folder / "three", ("SCALES=3",))]
    for source, target, options in work:
        command = ["make", "-C", str(source), f"BUILD={target}", *options]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return folder


def is_clean(bench: Bench, rates: tuple[float, ...], jitter: float) -> bool:
    """Every scale runs at its rate for SECONDS: exact in the end, and never flagged."""
    moves = "".join(
        f"move {axis} {int(rate * SECONDS)} {rate} {jitter}\n" for axis, rate in zip("xzu", rates, strict=False)
    )
    run = bench.run(f"{STARTED}spindle 20000\n{moves}settle\nwait 9000\ntruth\n{END}")
    true = run.truths[-1].counts[: len(run.last.counts)]
    return run.last.counts == true and run.last.flags == 0


def highest(is_good: Callable[[float], bool], low: float, high: float) -> float:
    """To a thousandth of the range; what is good at a rate is taken to be good below it."""
    for _ in range(10):
        middle = (low + high) / 2
        low, high = (middle, high) if is_good(middle) else (low, middle)
    return low


def rates_of(bench: Bench, scales: int) -> list[tuple[str, float]]:
    def clean_at(jitter: float, count: int) -> Callable[[float], bool]:
        # Detuned, so that the scales drift through every phase against each other and the samples.
        return lambda rate: is_clean(bench, tuple(rate * (1 - 0.003 * i) for i in range(count)), jitter)

    found = [("one scale, steady", highest(clean_at(0, 1), 50_000, 400_000))]
    for jitter in (0, 10, 20):
        name = f"all {scales} scales, " + (f"{jitter} % jitter" if jitter else "steady")
        found.append((name, highest(clean_at(jitter, scales), 30_000, 400_000)))
    return found


def busy(bench: Bench) -> Run:
    """Longest numbers, all inputs working, the highest rate the board agrees to."""
    return bench.run(
        f"{STARTED}clock 3000000\nshift x -2000000000\nshift z -2000000000\nshift u -2000000000\nspindle 5000\n"
        f"send R 1000\nmove x -100000 100000\nmove z -100000 99000\nsettle\n{END}"
    )


def print_rates(name: str, bench: Bench, scales: int) -> None:
    run = busy(bench)
    cycles = run.stats["isr_cycles_least"]
    sample_cycles = CLOCK_HZ * run.stats["seconds"] / run.stats["samples"]
    spacing = round(sample_cycles / 16) * 16
    print(f"\n{name}")
    print(f"  {'edges a second and scale to the first missed count':<56}{'':>10}")
    for what, rate in rates_of(bench, scales):
        print(f"    {what:<54}{rate:>10,.0f}")
    print(f"    {'one edge a sample: the limit of any sampling':<54}{CLOCK_HZ / spacing:>10,.0f}")
    print(f"    {'an interrupt an edge, main loop all but dead':<54}{CLOCK_HZ / CYCLES_OF_AN_EDGE_INTERRUPT:>10,.0f}")
    print(f"    {'promised in the hello (max=)':<54}{int(run.hellos[0]['max']):>10,}")
    print(f"  {'cycles of a sample of all scales, of ' + str(spacing):<56}{cycles:>10.0f}")
    for share in (0.5, 0.9):
        per_edge = cycles / (scales * share)
        print(f"  {f'cycles an edge, each scale at {share:.1f} edges a sample':<56}{per_edge:>10.1f}")
    print(f"  {'share of the processor that samples':<56}{run.stats['isr_load']:>10.1%}")
    print(f"  {'widest gap between two samples, microseconds':<56}{run.stats['sample_gap_most'] / 16:>10.2f}")


def print_reports(bench: Bench) -> None:
    resting = bench.run(f"wait 2000000\n{END}")
    full = busy(bench)
    print("\nreports of two scales at 500 kbaud (50 000 bytes a second)")
    for name, run in (("at rest near zero", resting), ("longest numbers, all busy", full)):
        lengths = [len(line) + len("*0000\n") for line in run.lines if line.startswith("P ")]
        steps = [(b.t_us - a.t_us) % 2**32 for a, b in zip(run.positions[20:], run.positions[21:], strict=False)]
        hz = 1e6 * len(steps) / sum(steps)
        used = run.stats["bytes_out"] / run.stats["seconds"] / 50_000
        print(f"  {name:<28}{sum(lengths) / len(lengths):>6.1f} bytes a report, {hz:>6.1f} Hz, line {used:>5.1%} full")
    print(f"  highest rate the board agrees to: {full.hellos[-1]['hz']} Hz")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--build", type=Path, help="folder to build in and keep")
    wanted = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = build((wanted.build or Path(scratch)).resolve())
        benches = {
            name: Bench(folder / "peer", folder / name / "waytell_board.elf", Path(scratch))
            for name in ("two", "three")
        }
        print("Counter board, ATmega328P at 16 MHz, simulated; no silicon was measured.")
        print_rates("two scales, a sample every 4 us", benches["two"], 2)
        print_rates("three scales, a sample every 6 us", benches["three"], 3)
        print_reports(benches["two"])


if __name__ == "__main__":
    main()
