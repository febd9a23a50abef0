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
from concurrent.futures import wait
from pathlib import Path

import click

from waytell.documents.acts import Act
from waytell.documents.config import Config
from waytell.engine.doubt import STALE_S
from waytell.engine.happening import ActRefused
from waytell.log_steps import LogSteps, Step
from waytell.opening import Place
from waytell.running import Lathe
from waytell.session import NotStored, Session
from waytell_bridge.bridge import Deliver, Recorder, Telling
from waytell_bridge.reading import BoardEvent, Reading

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
        loop, acts = asyncio.get_running_loop(), _Acts(session)

        def act(act: Act, fresh: Reading | None, stopping: threading.Event) -> None:
            taken = asyncio.run_coroutine_threadsafe(acts.take(act, fresh), loop)
            # What the board told next waits until the act is done; not for the disk, or the readings would grow stale.
            while not taken.done() and not stopping.is_set():
                wait([taken], timeout=0.2)

        steps = LogSteps(self._address, self._given)
        return Player(steps, self._lines, session.deliver, act, self._pace)


class _Acts:
    """Acts under way: done at once, and told of when they cannot be."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._under_way: set[asyncio.Task[None]] = set()

    async def take(self, act: Act, fresh: Reading | None) -> None:
        """Returns when it is done or refused, though not yet on disk.

        Where this computer was busy since the newest reading, the act must not find that stale: in the log it is not.
        """
        now_s = time.monotonic()
        if fresh is not None and now_s - fresh.t_s > FARTHEST_BEHIND_S:
            self._session.deliver([fresh._replace(t_s=now_s)])
            await asyncio.sleep(0)
        task = asyncio.create_task(self._carry_out(act))
        self._under_way.add(task)
        task.add_done_callback(self._under_way.discard)
        # The task goes as far as the disk before this one goes on.
        await asyncio.sleep(0)

    async def _carry_out(self, act: Act) -> None:
        try:
            await self._session.act(act)
        except (ActRefused, NotStored) as trouble:
            click.echo(f"The recorded act {act.act} was not taken: {trouble}", err=True)


class Player(Telling):
    """Takes the steps of a log at their time."""

    def __init__(
        self, steps: LogSteps, lines: Iterable[str], deliver: Deliver,
        act: Callable[[Act, Reading | None, threading.Event], None], pace: float,
    ) -> None:  # fmt: skip
        super().__init__("recording", deliver)
        self._steps, self._lines, self._act = steps, lines, act
        self._pace = pace
        self._began_s = 0.0
        self._newest: Reading | None = None

    def _run(self) -> None:
        self._began_s = time.monotonic()
        for step in self._steps.of(self._lines):
            self._wait_for(step)
            if self._stopping.is_set():
                return
            t_s, events, act = step
            if events:
                self._deliver([self._moved(event) for event in events])
                self._newest = next((event for event in reversed(events) if isinstance(event, Reading)), self._newest)
            if act is not None:
                self._act(act, self._fresh(t_s), self._stopping)
        if self._steps.first_s is None:
            click.echo("The log holds no entry: there is nothing to show.", err=True)
        else:
            self._deliver([self._moved(self._steps.ended())])
            click.echo("The recording has ended. What it came to stays on the page until Ctrl-C.", err=True)

    def _fresh(self, t_s: float) -> Reading | None:
        """The newest reading, where it was not stale in the log."""
        newest = self._newest
        return newest._replace(t_s=self._now_s(newest.t_s)) if newest and t_s - newest.t_s < STALE_S else None

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
