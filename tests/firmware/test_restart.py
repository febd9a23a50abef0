"""What a reset keeps and what a loss of power does not."""

import random
from pathlib import Path

from firmware.board_bench import END, STARTED, Bench, Run

MOVED = f"{STARTED}move x 12345 50000\nmove z -678 5000\nsettle\nwait 20000\n"


def starts(run: Run) -> list[str]:
    """What each start said about kept counts."""
    return list({hello["boot"]: hello["kept"] for hello in run.hellos}.values())


def test_a_reset_keeps_the_counts_and_says_so(bench: Bench) -> None:
    run = bench.run(f"{MOVED}reset\n{STARTED}{END}")
    assert starts(run) == ["0", "1"]
    assert run.last.counts == (12345, -678)
    assert run.last.flags == 0
    assert run.last.t_us < 100_000


def test_a_loss_of_power_starts_from_nothing(bench: Bench) -> None:
    for noise in range(5):
        run = bench.run(f"{MOVED}power {noise}\n{STARTED}{END}")
        assert starts(run) == ["0", "0"]
        assert run.last.counts == (0, 0)


def test_a_watchdog_left_running_is_turned_off(bench: Bench) -> None:
    """Left on, it would reset the board every 16 ms for ever."""
    run = bench.run(f"{MOVED}dog\nwait 500000\n{END}")
    assert starts(run) == ["0", "1"]
    assert run.last.counts == (12345, -678)


def test_a_dip_of_the_supply_voids_the_counts_even_if_ram_survived(bench: Bench) -> None:
    """The scales lost power with the board."""
    run = bench.run(f"{MOVED}dip\n{STARTED}{END}")
    assert starts(run) == ["0", "0"]
    assert run.last.counts == (0, 0)


def test_each_start_has_another_boot_id(bench: Bench, tmp_path: Path) -> None:
    eeprom = tmp_path / "eeprom.bin"
    boots: list[str] = []
    for _ in range(3):
        run = bench.run(f"{STARTED}reset\n{STARTED}power 7\n{STARTED}reset\n{STARTED}{END}", eeprom=eeprom)
        boots += {hello["boot"]: None for hello in run.hellos}
    assert len(boots) == 12
    assert len(set(boots)) == 12


def test_one_start_keeps_its_boot_id(bench: Bench) -> None:
    run = bench.run(f"wait 5000000\nsend Q\nwait 100000\n{END}")
    assert len(run.hellos) == 5
    assert len({hello["boot"] for hello in run.hellos}) == 1


def test_a_reset_at_any_moment_keeps_the_counts_of_a_slide_that_stands(bench: Bench) -> None:
    rng = random.Random(5)
    script = MOVED
    for _ in range(150):
        script += f"reset\nwait {14_000 + rng.random() * 9_000:.3f}\n"
    run = bench.run(f"{script}{STARTED}{END}")
    assert starts(run) == ["0"] + 150 * ["1"]
    assert run.last.counts == (12345, -678)
    assert run.last.flags == 0


def test_a_slide_that_moves_during_a_reset_loses_at_most_the_gap(bench: Bench) -> None:
    """The record is a few milliseconds old at most, and the program starts within 40 ms without a boot loader."""
    run = bench.run(f"{STARTED}move x 50000 50000\nwait 500000\nreset\nsettle\n{STARTED}truth\n{END}")
    assert run.hellos[-1]["kept"] == "1"
    assert 0 <= run.truths[0].counts[0] - run.last.counts[0] < 0.04 * 50_000


def test_one_step_across_a_reset_is_counted_and_a_jump_is_a_missed_edge(bench: Bench) -> None:
    step = bench.run(f"{MOVED}reset\nmove x 1 1000000\n{STARTED}{END}")
    assert step.last.counts == (12346, -678)
    assert step.last.flags == 0
    jump = bench.run(f"{MOVED}reset\njump z\n{STARTED}{END}")
    assert jump.last.counts == (12345, -678)
    assert jump.last.flags == 2
