"""What goes wrong, how the tests make it go wrong, and what the person sees. A part of DEVELOPERS.md is made from it.

Each row is caused for real by at least one test that bears its name (see `causes`), and each test names only rows that
there are. Within so many milliseconds a figure that the fault makes doubtful is struck through on the page.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest

SOON_MS = 300


class Fault(NamedTuple):
    caused: str
    seen: str
    within_ms: int | None = None
    """None where no figure becomes doubtful, or where the fault is found as the program starts."""


FAULTS = {
    "cable pulled": Fault(
        "the simulated board's line is closed and opened again",
        "figures struck through, then good and true again",
        SOON_MS,
    ),
    "board silent": Fault("the board says nothing on an open line", "figures struck through", SOON_MS),
    "half lines": Fault(
        "a relay cuts every line in half", "figures struck through until lines are whole again", SOON_MS
    ),
    "stuck byte": Fault("a relay puts zeros for all bytes", "figures struck through until sound lines come", SOON_MS),
    "line repeated": Fault(
        "a relay sends one sound line again and again", "figures struck through: the board's own clock stands", SOON_MS
    ),
    "wrong baud rate": Fault(
        "the bytes make no sense", "figures struck through; asked whether the speed is the board's", SOON_MS
    ),
    "flood": Fault("40 lines of rubbish for each sound one", "figures true or struck through, never wrong"),
    "bytes spoilt now and then": Fault(
        "a flipped bit in three lines of ten", "figures true or struck through, never wrong"
    ),
    "one report wrong": Fault(
        "one sound line tells a count that is 20 mm off", "never that figure as good: at most a struck one for a moment"
    ),
    "board restarted": Fault(
        "the board starts again from 0", "struck through until the axis is touched off again", SOON_MS
    ),
    "board restarted, counts kept": Fault(
        "the board starts again with its counts", "struck through until the person confirms the figures", SOON_MS
    ),
    "board lost power": Fault("board and line are off for a second", "struck through, also after it is back", SOON_MS),
    "edges missed": Fault("a scale's edges go by unseen", "struck through until touched off again", SOON_MS),
    "jump": Fault("a slide moves faster than a hand can wind", "struck through, told in these words", SOON_MS),
    "scale dead": Fault(
        "a scale's head sends no edges any more",
        "its figure stands while the wheel is turned, the guide goes on asking for the move, no pass is told: "
        "counts alone cannot tell it from a slide that stands",
    ),
    "held slide moved": Fault("the clamped carriage gives way by 0.05 mm", "warning with slide and amount", SOON_MS),
    "board's clock begins anew": Fault("its 32 bits are full during a move", "nothing: figures go on, true"),
    "count begins anew": Fault("a count's 32 bits are full during a move", "nothing: figures go on, true"),
    "fewer scales": Fault("the board tells of fewer scales than are set up", "struck through, what to check is said"),
    "port in use": Fault("another program reads the same port", "told in words, with what to do"),
    "two boards mixed": Fault("lines of two boards come on one line", "figures struck through", SOON_MS),
    "absurd configuration": Fault(
        "sizes that are no numbers, endless, negative or too large",
        "refused with the place in the file; nothing changes",
    ),
    "computer's clock put": Fault(
        "the wall clock that the program sees is put a day on and two days back",
        "nothing: figures true, history in order",
    ),
    "computer asleep": Fault(
        "the server's process is stopped, and goes on",
        "struck through; once awake no reading of before is shown as good",
        SOON_MS,
    ),
    "power cut at any write": Fault(
        "the journal's last writes reach the disk in part, at 120 places", "all that was confirmed before is there"
    ),
    "killed at any moment": Fault("kill -9, 200 times", "nothing that was confirmed is lost or doubled"),
    "killed during a pass": Fault("kill -9 in a pass, and a start", "the pass is told whole and once"),
    "server gone": Fault("kill -9 with a page open", "struck through; back without loading the page again", SOON_MS),
    "disk full": Fault(
        "the journal's file cannot grow", "said with what to do; figures go on; stored once there is room"
    ),
    "database locked": Fault("another program holds the journal", "said with what to do; stored once it is free"),
    "disk read-only": Fault("the disk is mounted read-only", "said; stored once it can be written"),
    "journal damaged": Fault(
        "its file is overwritten or cut off, at rest and while written to", "said; nothing more is written to it"
    ),
    "two programs, one journal": Fault("a second program writes to it", "told apart; the second is refused"),
    "broker gone": Fault("the broker is stopped", "all machines struck through; back with it"),
    "network cut": Fault("nothing passes between bridge and broker", "struck through; the pass meanwhile is not lost"),
    "network slow": Fault("6 kB a second pass", "no old figure as live"),
    "messages doubled and out of order": Fault("each is sent again, shuffled", "no figure changes"),
    "two bridges, one name": Fault("a second bridge claims the machine", "struck through until one stops"),
    "bridge killed": Fault("kill -9 of the bridge", "struck through; another takes its place"),
    "slow display": Fault(
        "a page's processor is slowed to an eightieth", "struck through while it draws late; other displays as ever"
    ),
    "dead display": Fault("five displays never answer", "other displays as ever; two states at most wait for each"),
    "tab asleep": Fault("the browser freezes the page and wakes it", "no figure of before is shown as good"),
    "display with an old script": Fault("a page doubles all radii", "it is struck through, and all are told", SOON_MS),
    "two operators at once": Fault("two people press keys at once", "one history, the same after a restart"),
}


def causes(*names: str) -> pytest.MarkDecorator:
    """Marks a test that causes these rows of the table."""
    unknown = set(names) - FAULTS.keys()
    if unknown:
        raise ValueError(f"not in the table of faults: {', '.join(sorted(unknown))}")
    return pytest.mark.fault(*names)
