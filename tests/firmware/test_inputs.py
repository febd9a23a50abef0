"""Spindle, switches and reference marks."""

from collections.abc import Callable

from firmware.board_bench import END, SEEN, STARTED, Bench

# How long the loop may take to look at the line again.
TACH_LOOK_US = 150

TURNING = f"{STARTED}spindle 20000 1000\nwait 1000000\n"


def test_the_spindle_period_is_right_to_a_microsecond(bench: Bench) -> None:
    for period_us in (2_000, 20_000, 123_456, 1_900_000):
        run = bench.run(f"{STARTED}spindle {period_us} 500\nwait {6 * period_us + 1_000_000}\n{END}")
        periods = {int(period) for _, period in run.fields("S")} - {0}
        assert periods
        assert all(abs(period - period_us) <= 1 for period in periods)


def test_the_time_of_a_pulse_is_the_time_of_its_edge(bench: Bench) -> None:
    run = bench.run(f"{TURNING}{END}")
    times = [int(t_us) for t_us, period in run.fields("S") if period != "0"]
    offsets = {t_us % 20_000 for t_us in times}
    assert max(offsets) - min(offsets) <= 1
    assert len(times) > 15


def test_pulses_are_said_at_most_twenty_times_a_second(bench: Bench) -> None:
    run = bench.run(f"{STARTED}spindle 2000 200\nwait 3000000\n{END}")
    times = [int(t_us) for t_us, _ in run.fields("S")]
    assert 55 <= len(times) <= 61


def test_a_stop_is_said_after_two_seconds_and_repeated(bench: Bench) -> None:
    run = bench.run(f"{TURNING}spindle 0\nwait 5000000\n{END}")
    last_pulse = max(int(t_us) for t_us, period in run.fields("S") if period != "0")
    stopped = [fields for fields in run.fields("S") if fields[1] == "0" and int(fields[0]) >= last_pulse]
    assert len(stopped) >= 3
    assert {int(t_us) - last_pulse < 25_000 for t_us, _ in stopped} == {True}


def test_sparks_on_the_spindle_line_do_not_change_the_period(bench: Bench) -> None:
    """Only one that follows an edge before the loop has looked again can move it, and by no more than that."""
    for width_us in (1, 5, 20, 40):
        sparks = f"pulses B0 150 {width_us} 6170\n"
        run = bench.run(f"{STARTED}spindle 20000 1000\nwait 100000\n{sparks}settle\n{END}")
        periods = [int(period) for _, period in run.fields("S")]
        assert len(periods) > 15
        assert all(abs(period - 20_000) <= width_us + TACH_LOOK_US for period in periods if period)


def test_a_board_without_a_tach_says_so_and_no_more_about_it(bench_of: Callable[[str], Bench]) -> None:
    run = bench_of("slow").run(f"{STARTED}spindle 20000\n{SEEN}{END}")
    assert run.hellos[0]["tach"] == "0"
    assert run.fields("S") == []


def test_a_switch_is_said_once_it_has_stood_still(bench: Bench) -> None:
    run = bench.run(
        f"{STARTED}pulses D2 20 700 1400\nsettle\nswitch 0 closed\nwait 20000\nswitch 1 closed\n"
        f"wait 20000\nswitch 0 open\nwait 20000\n{END}"
    )
    assert [bits for bits, _ in run.fields("I")] == ["0", "1", "3", "2"]


def test_a_switch_is_said_five_milliseconds_after_it_changed(bench: Bench) -> None:
    """A mark at the same moment tells the time by the board's clock."""
    run = bench.run(f"{STARTED}mark x 300\nswitch 0 closed\nsettle\nwait 20000\n{END}")
    changed_us = int(run.fields("M")[0][2]) - 300
    bits, t_us = run.fields("I")[-1]
    assert bits == "1"
    assert 5_000 - TACH_LOOK_US < int(t_us) - changed_us < 9_000


def test_a_reference_mark_carries_the_count_it_was_crossed_at(bench: Bench) -> None:
    run = bench.run(f"{STARTED}move x 777 20000\nsettle\nmark x 300\nsettle\nmark z 300\nsettle\nwait 20000\n{END}")
    assert [(axis, count) for axis, count, _ in run.fields("M")] == [("0", "777"), ("1", "0")]


def test_a_mark_crossed_in_motion_is_sampled_within_the_stated_time(bench: Bench) -> None:
    """At 10 000 counts a second, 200 us are two counts."""
    script = STARTED + "move x 20000 10000\n"
    for _ in range(20):
        script += "wait 41237\nmark x 400\nwait 400\ntruth\n"
    run = bench.run(f"{script}settle\n{END}")
    marks = [int(count) for _, count, _ in run.fields("M")]
    truths = [truth.counts[0] for truth in run.truths]
    assert len(marks) == len(truths) == 20
    assert all(0 <= mark - true <= 2 for mark, true in zip(marks, truths, strict=True))
