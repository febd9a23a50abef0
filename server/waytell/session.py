"""One machine at work: the only place where bridge, engine, journal and displays meet.

Everything that changes state, a board event or an act, runs on the event loop's thread, one after the other in the
order in which it came: no locks, and the same order for the journal and every display.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime, timedelta

from waytell.documents.acts import Act, NewSetUp
from waytell.documents.config import Config
from waytell.documents.plan import PlanNow
from waytell.documents.proving import ProvingNow
from waytell.documents.sizes import SizeAsked, SizeTried
from waytell.documents.state import Demo, DoubtCode, Event, LiveState
from waytell.engine.doubt import in_words
from waytell.engine.engine import Engine
from waytell.engine.happening import Happening
from waytell.engine.live_state import Outside, build
from waytell.engine.shown import Shown, struck, to_be_shown
from waytell.engine.trying import tried
from waytell.journal.writer import Journal, Piece
from waytell.plan_keeper import PlanKeeper, chucked
from waytell.proving_keeper import ProvingKeeper
from waytell.recording import places_known, set_up_known
from waytell_bridge.bridge import Recorder
from waytell_bridge.reading import BoardEvent, Reading

TICK_S = 0.02
HEARTBEAT_S = 0.1
# More often than a display can draw, less often than a fast board reports.
LEAST_BETWEEN_S = 0.004
# With the time that writing takes, no more than two seconds of readings are lost in a crash.
LONGEST_PIECE_S = 1.5

UNDO_TOLD = 10


class NotStored(Exception):  # noqa: N818 - the act was done; its record waits for the disk
    """Carried out and shown, but not on disk yet."""


class Latest:
    """The newest state, numbered. Built when a display wants it, once for all displays."""

    def __init__(self, build_state: Callable[[int], LiveState]) -> None:
        self._build = build_state
        self._text = ""
        self._right: dict[str, Shown] = {}
        self._text_seq = 0
        self._changed = asyncio.Event()
        self.seq = 1
        self.published_s = 0.0
        self.differing: dict[object, str] = {}
        """Displays that show other figures than they were sent, and what they show."""

    @property
    def display_words(self) -> str | None:
        return next(iter(self.differing.values()), None)

    def publish(self) -> None:
        self.seq += 1
        self.published_s = time.monotonic()
        changed, self._changed = self._changed, asyncio.Event()
        changed.set()

    async def newer_than(self, seq: int) -> int:
        """Wait for a state newer than one already had; its number."""
        while self.seq <= seq:
            await self._changed.wait()
        return self.seq

    def state(self) -> LiveState:
        return self._build(self.seq)

    def text(self) -> str:
        """The newest state as JSON."""
        self._bring_up()
        return self._text

    def right(self) -> dict[str, Shown]:
        """What a display must show of the newest state."""
        self._bring_up()
        return self._right

    def struck_text(self, why: DoubtCode) -> str:
        """The newest state for a display that cannot be relied on."""
        return struck(self.state(), in_words(why, "")).model_dump_json()

    def _bring_up(self) -> None:
        if self._text_seq != self.seq:
            state = self.state()
            self._text, self._right = state.model_dump_json(), to_be_shown(state)
            self._text_seq = self.seq


class Session:
    """`deliver` may be called from any thread; everything else belongs to the loop that called `start`."""

    def __init__(
        self, journal: Journal | None, past: list[Event], tail: Iterable[Reading] = (),
        demo: Callable[[], Demo | None] = lambda: None, recorder: Recorder | None = None, name: str | None = None,
        tick_s: float = TICK_S,
    ) -> None:  # fmt: skip
        """`past` are the events of the journal, `tail` the readings since a pass could last have been under way.

        `name` is what the machine is called, where its configuration does not tell.
        """
        self._name, self._tick_s = name, tick_s
        self._journal = journal
        self._demo = demo
        self._recorder = recorder
        self._engine = Engine()
        self._found = self._engine.restore(happenings(past), tail)
        self._proving = ProvingKeeper(self._engine)
        self._proving.follow()
        self._plan = PlanKeeper()
        self._plan.follow(self._engine.known)
        self._events = list(past)
        self._readings: list[Reading] = []
        """Those that the journal has not been handed yet: all since the newest event, or for a while."""
        self.latest = Latest(self._state)
        self._loop: asyncio.AbstractEventLoop | None = None
        self._ticker: asyncio.TimerHandle | None = None
        self._due: asyncio.TimerHandle | None = None
        self._drawn_counts: tuple[int, ...] = ()
        self._places_owed = False
        """The recording does not know yet where the tool stands."""

    def start(self) -> None:
        self._loop = asyncio.get_running_loop()
        self._stamp()
        if self._events and self._recorder is not None:
            self._record(set_up_known(self._engine.known))
            self._places_owed = True
        self._keep(self._found)
        self._keep([self._engine.happened("started", "Waytell started", {})])
        self._tick()

    def stop(self) -> None:
        for timer in (self._ticker, self._due):
            if timer is not None:
                timer.cancel()
        self._hand_readings()

    # -- in --------------------------------------------------------------------------------------------------------

    def deliver(self, events: list[BoardEvent]) -> None:
        """Board events from the bridge's thread."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self.take, events)

    def take(self, events: list[BoardEvent]) -> None:
        """Board events, on the loop."""
        engine, told, came = self._engine, False, False
        for event in events:
            happened = engine.feed(event)
            self._proving.take(event)
            if isinstance(event, Reading):
                came = True
                self._readings.append(event)
            else:
                told = True
            if happened:
                told = True
                self._keep(happened)
        # Readings that were long on their way are old when they come: what stands must say so from the first.
        was_stale = engine.doubts.stale
        engine.note_age(time.monotonic(), came=came)
        # At rest nothing new is to be drawn; the heartbeat says that readings still come.
        if told or engine.doubts.stale != was_stale or engine.place.counts != self._drawn_counts:
            self._publish_soon()

    async def act(self, act: Act) -> list[Event]:
        """Carry out an act; returns when it is on disk.

        Raises:
            ActRefused: nothing has changed.
            NotStored: it was carried out, but the journal could not be written.
        """
        now_s = time.monotonic()
        self._stamp()
        if isinstance(act, NewSetUp):
            act = chucked(act, self._engine.known)
        act = self._proving.filled_in(act)
        happened = self._engine.act(act, now_s)
        self._record([act])
        stored = asyncio.get_running_loop().create_future()
        events = self._keep(happened, stored)
        self._publish()
        trouble = await stored
        if trouble:
            raise NotStored(trouble)
        return events

    # -- out -------------------------------------------------------------------------------------------------------

    @property
    def name(self) -> str:
        """What the machine is called."""
        return self._name or self._engine.known.config.machine.name

    @property
    def config(self) -> Config:
        return self._engine.known.config

    def events(self, after: int = 0) -> list[Event]:
        return self._events[after:]

    def plan(self) -> PlanNow:
        """The part in use, and its plan as it is now."""
        known = self._engine.known
        undo = tuple(words for _, words in reversed(known.undoable[-UNDO_TOLD:]))
        return PlanNow(part=known.drawing, set_up=known.drawing_set_up, planned=self._plan.planned, undo=undo)

    def proving(self) -> ProvingNow:
        """The check under way, what was found, and how far positions can be relied on."""
        return self._proving.now()

    def try_size(self, asked: SizeAsked) -> SizeTried:
        return tried(self._engine, asked)

    def _state(self, seq: int) -> LiveState:
        kept = self._journal.trouble if self._journal is not None else None
        recorded = self._recorder.failed if self._recorder is not None else None
        known = self._engine.known
        chosen = known.operation.name if known.operation is not None else ""
        return build(
            self._engine,
            Outside(
                self.name,
                seq,
                self._demo(),
                disk_words=kept or recorded,
                replanned=self._plan.change_of(chosen),
                planned=self._plan.next_step(chosen),
                display_words=self.latest.display_words,
                check=self._proving.live(),
            ),
        )

    # -- inside ----------------------------------------------------------------------------------------------------

    def _tick(self) -> None:
        loop = asyncio.get_running_loop()
        now_s = time.monotonic()
        self._stamp()
        was_stale = self._engine.doubts.stale
        self._engine.tick(now_s)
        if self._places_owed:
            self._record_places()
        became_stale = self._engine.doubts.stale and not was_stale
        # A source that is faster than the clock, such as a recording, is ahead of it.
        if self._readings and max(now_s, self._readings[-1].t_s) - self._readings[0].t_s >= LONGEST_PIECE_S:
            self._hand_readings()
        if became_stale or now_s - self.latest.published_s >= HEARTBEAT_S:
            self._publish()
        self._ticker = loop.call_later(self._tick_s, self._tick)

    def _record_places(self) -> None:
        places = places_known(self._engine)
        self._record(places)
        self._places_owed = not places

    def _record(self, acts: Sequence[Act]) -> None:
        if self._recorder is not None:
            for act in acts:
                self._recorder.act(time.monotonic(), act.model_dump_json())

    def _publish_soon(self) -> None:
        if self._due is not None:
            return
        wait_s = self.latest.published_s + LEAST_BETWEEN_S - time.monotonic()
        if wait_s <= 0:
            self._publish()
        else:
            self._due = asyncio.get_running_loop().call_later(wait_s, self._publish)

    def _publish(self) -> None:
        if self._due is not None:
            self._due.cancel()
            self._due = None
        self._drawn_counts = self._engine.place.counts
        self.latest.publish()

    def _stamp(self) -> None:
        self._engine.label = wall_label(datetime.now(UTC))

    def _keep(self, happened: list[Happening], stored: asyncio.Future[str | None] | None = None) -> list[Event]:
        events = [
            Event(
                number=h.number, t_s=h.t_s, wall=h.wall or self._engine.label, kind=h.kind, words=h.words, body=h.body
            )
            for h in happened
        ]
        if events:
            self._hand_readings()
        self._events += events
        told = _nobody if stored is None else _settling(stored)
        if self._journal is None:
            told(None)
        else:
            self._journal.append(events, told)
        if events:
            self._proving.follow()
            # Last: a plan is a help, and must never keep an event from being stored.
            self._plan.follow(self._engine.known)
        return events

    def _hand_readings(self) -> None:
        """To the journal, before an event is added: what it says of them holds for all alike."""
        readings, self._readings = self._readings, []
        if self._journal is not None and readings:
            began = datetime.now(UTC) - timedelta(seconds=time.monotonic() - readings[0].t_s)
            self._journal.trace(Piece(len(self._events), wall_label(began), readings))


def _nobody(trouble: str | None) -> None:
    """Waits for the events to be stored; trouble is told by the state."""


def _settling(stored: asyncio.Future[str | None]) -> Callable[[str | None], None]:
    """Hands on to the loop what is told in another thread."""
    loop = stored.get_loop()

    def settle(trouble: str | None) -> None:
        if not stored.done():
            stored.set_result(trouble)

    def told(trouble: str | None) -> None:
        loop.call_soon_threadsafe(settle, trouble)

    return told


def happenings(events: Iterable[Event]) -> list[Happening]:
    """Events of the journal as the engine knows them."""
    return [Happening(e.number, e.t_s, e.wall, e.kind, e.words, e.body) for e in events]


def wall_label(moment: datetime) -> str:
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")
