"""Plays a recorded wire log to the display: its lines and its acts in their order, at the pace of the recording.

The listener hears the lines with the times at which they were recorded, so what is found is what `replay` finds; only
then are the times moved to now. A journal of its own keeps what was recorded apart from the person's real work.
"""

from __future__ import annotations

import asyncio
import tempfile
import threading
import time
from collections.abc import Callable, Iterable
from pathlib import Path

import click

from waytell.documents.acts import Act
from waytell.documents.config import Config
from waytell.engine.happening import ActRefused
from waytell.log_steps import LogSteps, Step
from waytell.running import Lathe, Place
from waytell.session import NotStored, Session
from waytell_bridge.bridge import Recorder
from waytell_bridge.reading import BoardEvent

FARTHEST_BEHIND_S = 0.05  # a pace that this computer cannot keep up with is not caught up on


def play(lines: Iterable[str], name: str, config: Config | None, place: Place, pace: float) -> None:
    """Serve the display while a log plays, and after it until told to stop.

    Raises:
        CannotListen, JournalError: with what to do.
    """
    with tempfile.TemporaryDirectory(prefix="waytell-replay-", ignore_cleanup_errors=True) as temporary:
        folder = place.data or Path(temporary)
        asyncio.run(_RecordedLathe(lines, name, config, place, folder, pace).run())


class _RecordedLathe(Lathe):
    def __init__(
        self, lines: Iterable[str], name: str, config: Config | None, place: Place, folder: Path, pace: float
    ) -> None:
        super().__init__(name, config, place, folder)
        self._lines, self._pace = lines, pace
        self._given = config
        self._from_file = False  # the steps carry it out, before the log's own acts

    def _bridge(self, session: Session, recorder: Recorder | None) -> Player:
        del recorder  # what is played is recorded already
        loop = asyncio.get_running_loop()

        def act(act: Act, stopping: threading.Event) -> None:
            _in_its_place(asyncio.run_coroutine_threadsafe(session.act(act), loop).result, act, stopping)

        steps = LogSteps(self._address, self._given)
        return Player(steps, self._lines, session.deliver, act, self._pace)


def _in_its_place(done: Callable[[float], object], act: Act, stopping: threading.Event) -> None:
    """What the board told next waits until the act is done."""
    while not stopping.is_set():
        try:
            done(0.2)
        except TimeoutError:
            continue
        except (ActRefused, NotStored) as trouble:
            click.echo(f"The recorded act {act.act} was not taken: {trouble}", err=True)
        return


class Player:
    """A thread that takes the steps of a log at their time, between `start` and `stop`."""

    def __init__(
        self, steps: LogSteps, lines: Iterable[str], deliver: Callable[[list[BoardEvent]], None],
        act: Callable[[Act, threading.Event], None], pace: float,
    ) -> None:  # fmt: skip
        self._steps, self._lines = steps, lines
        self._deliver, self._act = deliver, act
        self._pace = pace
        self._began_s = 0.0
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._run, name="recording", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        self._stopping.set()
        if self._thread.ident is not None:
            self._thread.join(timeout=5)

    def _run(self) -> None:
        self._began_s = time.monotonic()
        for step in self._steps.of(self._lines):
            self._wait_for(step)
            if self._stopping.is_set():
                return
            _, events, act = step
            if events:
                self._deliver([self._moved(event) for event in events])
            if act is not None:
                self._act(act, self._stopping)
        if self._steps.first_s is None:
            click.echo("The log holds no entry: there is nothing to show.", err=True)
        else:
            self._deliver([self._moved(self._steps.ended())])
            click.echo("The recording has ended. What it came to stays on the page until Ctrl-C.", err=True)

    def _now_s(self, t_s: float) -> float:
        """Time of this computer at which a time of the log is due."""
        return self._began_s + (t_s - (self._steps.first_s or 0.0)) / self._pace

    def _moved(self, event: BoardEvent) -> BoardEvent:
        return event._replace(t_s=self._now_s(event.t_s))

    def _wait_for(self, step: Step) -> None:
        wait_s = self._now_s(step[0]) - time.monotonic()
        if wait_s > 0:
            self._stopping.wait(wait_s)
        elif wait_s < -FARTHEST_BEHIND_S:
            self._began_s -= wait_s
