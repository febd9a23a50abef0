"""The lines: what is said when, what is understood, what is ignored."""

from itertools import pairwise

import pytest

from firmware.board_bench import END, SEEN, STARTED, Bench, Run, with_crc


@pytest.fixture
def resting(bench: Bench) -> Run:
    """Five seconds of a board that nothing happens to."""
    return bench.run(f"wait 5000000\n{END}")


def test_the_first_line_is_a_hello(resting: Run) -> None:
    hello = resting.hellos[0]
    assert resting.lines[0].startswith("W ")
    assert len(hello.pop("boot")) == 8
    assert hello == {
        "version": "1",
        "model": "m328p",
        "axes": "2",
        "hz": "250",
        "fw": "1.0.0",
        "tach": "1",
        "in": "2",
        "kept": "0",
        "max": "120000",
        "kinds": "qq",
    }


def test_a_hello_is_readable_after_a_line_that_a_reset_cut_off(bench: Bench) -> None:
    for cut_us in range(40_000, 44_000, 250):
        run = bench.run(f"wait {cut_us}\nreset\nwait 15000\n{END}")
        assert len({hello["boot"] for hello in run.hellos}) == 2
        assert len(run.damaged) <= 1


def test_every_line_is_whole_and_short_enough(resting: Run) -> None:
    assert resting.damaged == []
    assert len(resting.lines) > 1200
    assert max(len(line) for line in resting.lines) + len("*0000\n") <= 120


def test_reports_come_at_their_rate_without_a_gap_in_seq(resting: Run) -> None:
    positions = resting.positions
    assert [position.seq for position in positions] == list(range(len(positions)))
    spacings = [b.t_us - a.t_us for a, b in pairwise(positions)]
    assert abs(sum(spacings) / len(spacings) - 4000) < 5
    # One other line of the longest kind may stand before a report.
    assert max(spacings[5:]) < 4000 + 5000


def test_whatever_a_lost_line_would_hide_is_repeated(resting: Run) -> None:
    assert len(resting.hellos) == 4  # the first is said twice
    assert len(resting.missed(0)) == len(resting.missed(1)) == 4
    assert len(resting.fields("I")) == 5
    assert [fields[1] for fields in resting.fields("S")] == ["0"] * 4


def test_a_question_is_answered_with_hello_missed_edges_and_switches(bench: Bench) -> None:
    run = bench.run(f"wait 1500000\nsend Q\nwait 120000\n{END}")
    asked = [line[0] for line in run.lines if line[0] != "P"][-4:]
    assert asked == ["W", "E", "E", "I"]


@pytest.mark.parametrize(("asked", "kept"), [(10, 10), (100, 100), (333, 333), (370, 370), (1000, 370), (3, 10)])
def test_the_rate_asked_for_is_kept_or_the_hello_says_which_is(bench: Bench, asked: int, kept: int) -> None:
    run = bench.run(f"{STARTED}send R {asked}\nwait 5000\nsend Q\nwait 1000000\nwait 1000000\n{END}")
    assert run.hellos[-1]["hz"] == str(kept)
    after = [position for position in run.positions if position.t_us > 100_000]
    rate = (len(after) - 1) / (after[-1].t_us - after[0].t_us) * 1e6
    assert abs(rate - kept) < 0.02 * kept


@pytest.mark.parametrize(
    "line",
    [
        r"Q*AB25\n",
        r"Q*ab24\n",
        r"Q*AB2\n",
        r"Q\n",
        r"R 500*6A61\n",
        r"R 500\n",
        r"R 5\x0300*6A60\n",
        r"\xff\xfe\x00Q*AB24\n",
        "x" * 300 + r"\n",
        r"\n\n\n",
        r"\!Q*AB24\n",
        r"R 50\!0*6A60\n",
    ],
)
def test_a_damaged_command_changes_nothing_and_the_next_is_heard(bench: Bench, line: str) -> None:
    run = bench.run(f"{STARTED}raw {line}\nwait 100000\nsay now\nsend R 100\nwait 100000\n{END}")
    assert [hello["hz"] for hello in run.hellos[1:]] == ["250", "100"]
    assert run.damaged == []


def test_letters_of_a_later_version_are_passed_over(bench: Bench) -> None:
    run = bench.run(f"{STARTED}send X 1 2 3\nsend R 100 later=1\nwait 100000\n{END}")
    assert [hello["hz"] for hello in run.hellos[1:]] == ["250", "100"]


def test_commands_back_to_back_are_all_heard(bench: Bench) -> None:
    commands = "".join(f"send R {hz}\nwait 12000\n" for hz in range(100, 150))
    run = bench.run(f"{STARTED}move x 100000 100000\n{commands}wait 20000\n{END}")
    assert [hello["hz"] for hello in run.hellos[2:52]] == [str(hz) for hz in range(100, 150)]
    burst = "send R 50\nsend R 60\nsend R 70\nsend Q\n"
    assert bench.run(f"{STARTED}{burst}wait 20000\n{END}").hellos[-1]["hz"] == "70"


def test_positions_on_a_line_too_slow_for_them_do_not_silence_the_rest(bench: Bench) -> None:
    """The baud rate divider is made 16 times larger behind the firmware's back, so every position is overdue."""
    run = bench.run(f"{STARTED}poke C4 63\nwait 6000000\n{END}")
    assert run.damaged == []
    assert len(run.positions) > 500
    assert len(run.hellos) >= 4
    assert len(run.missed(0)) >= 5
    assert len(run.missed(1)) >= 5
    assert len(run.fields("I")) >= 5


def test_a_carriage_return_before_the_newline_is_welcome(bench: Bench) -> None:
    run = bench.run(rf"{STARTED}raw {with_crc('R 50')}\r\n" + f"\nwait 100000\n{END}")
    assert run.hellos[-1]["hz"] == "50"


def test_the_clock_wraps_without_a_stumble(bench: Bench) -> None:
    run = bench.run(f"{STARTED}clock 500000\nspindle 30000 2000\nmove x 100000 100000\n{SEEN}truth\n{END}")
    positions = run.positions[10:]
    steps = [(b.t_us - a.t_us) % 2**32 for a, b in pairwise(positions)]
    assert any(b.t_us < a.t_us for a, b in pairwise(positions))
    assert max(steps) < 10_000
    periods = {int(fields[1]) for fields in run.fields("S")[2:]}
    assert periods <= {29_999, 30_000, 30_001}
    assert run.last.counts == run.truths[0].counts[:2] == (100_000, 0)
    assert run.last.flags == 0


def test_counts_wrap_both_ways(bench: Bench) -> None:
    run = bench.run(
        f"{STARTED}shift x 2147483000\nshift z -2147483000\nmove x 5000 50000\nmove z -5000 50000\nsettle\n"
        f"wait 9000\ntruth\nmove x -5000 50000\nmove z 5000 50000\nsettle\nwait 9000\ntruth\n{END}"
    )
    there, back = run.truths
    assert there.counts[:2] == (2147483000 + 5000 - 2**32, -2147483000 - 5000 + 2**32)
    assert there.counts[:2] in {position.counts for position in run.positions}
    assert run.last.counts == back.counts[:2] == (2147483000, -2147483000)
    assert run.last.flags == 0
