"""A start of the program in the middle of the work: passes come out as if it had never stopped.

What the journal keeps is the history and the readings since the newest event that ended what was under way. The
journal itself is tested elsewhere; here both are handed over directly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest

from waytell.documents.acts import ACT
from waytell.engine.engine import Engine, resumes_after
from waytell.engine.happening import Happening
from waytell_bridge.listener import BoardListener
from waytell_bridge.reading import Reading
from waytell_bridge.simulated.recording import Recording, record
from waytell_bridge.simulated.settings import Settings
from waytell_bridge.simulated.short_scripts import SCRIPTS
from waytell_bridge.wire_log import Entry, read_entries, unescape

FIELDS = ("kind", "role", "start_mm", "end_mm", "held_mm", "depth_mm", "creep_mm")


@cache
def recording(script: str) -> Recording:
    plain = Settings()
    return record(SCRIPTS[script], replace(plain, board=replace(plain.board, rate_hz=100)), 5)


class Kept:
    """History and readings, as a journal would have them."""

    def __init__(self) -> None:
        self.history: list[Happening] = []
        self.readings: list[tuple[int, Reading]] = []

    def run(self, lines: Sequence[str], lose: int) -> None:
        """Start, take up, work through lines, and be killed; the newest `lose` readings were not written yet."""
        engine = Engine()
        after = resumes_after(self.history)
        engine.restore(self.history, [reading for number, reading in self.readings if number >= after])
        listener = BoardListener("log")
        for entry in read_entries(lines):
            assert isinstance(entry, Entry)
            t_s = entry.t_ns * 1e-9
            if entry.mark == "!":
                engine.act(ACT.validate_json(entry.text), t_s)
                continue
            for event in listener.listen(unescape(entry.text) + b"\n", t_s).events:
                if isinstance(event, Reading):
                    self.readings.append((len(engine.history), event))
                engine.feed(event)
        del self.readings[len(self.readings) - lose :]
        self.history = engine.history

    def passes(self) -> list[list[object]]:
        bodies = [one.body["pass"] for one in self.history if one.kind == "pass_finished"]
        return [[body[name] for name in FIELDS] for body in bodies]


def quiet(lines: Sequence[str], index: int) -> int:
    """A place from which the person says nothing for a while: no act is taken before readings come again."""
    while any(" ! " in line for line in lines[index : index + 200]):
        index += 1
    return index


@pytest.mark.parametrize("script", ["dwell_and_return", "facing_only"])
@pytest.mark.parametrize("parts", [2, 5, 9])
@pytest.mark.parametrize("lose", [0, 150])
def test_a_start_in_the_middle_gives_the_same_passes(script: str, parts: int, lose: int) -> None:
    lines = recording(script).lines
    whole, stopped = Kept(), Kept()
    whole.run(lines, 0)
    cuts = [0, *(quiet(lines, part * len(lines) // parts) for part in range(1, parts)), len(lines)]
    for start, end in pairwise(cuts):
        stopped.run(lines[start:end], lose if end < len(lines) else 0)
    assert len(whole.passes()) >= 3
    assert [one[:2] for one in stopped.passes()] == [one[:2] for one in whole.passes()]
    for found, meant in zip(stopped.passes(), whole.passes(), strict=True):
        # In the air no edge of the work tells where a pass began or ended: a gap in the readings moves it.
        if meant[1] != "air" or not lose:
            assert found[2:] == pytest.approx(meant[2:], abs=0.011)
    assert [one.number for one in stopped.history] == list(range(1, len(stopped.history) + 1))
