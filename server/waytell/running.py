"""Puts the parts together for one lathe: journal, session, bridge and server, and takes them down again in order."""

from __future__ import annotations

import asyncio
import tempfile
import webbrowser
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import NamedTuple

import click

from waytell.documents.acts import ACT, UseConfig
from waytell.documents.config import Config
from waytell.documents.state import Demo, Event
from waytell.engine.engine import resumes_after
from waytell.engine.happening import ActRefused
from waytell.http.serving import made_server, pages_of, run_server
from waytell.journal.store import Store, data_folder, journal_url
from waytell.journal.trouble import JournalError, NewerJournalError
from waytell.journal.writer import Journal, JournalWriter, NoJournal
from waytell.opening import Place, opened, tell_where
from waytell.session import NotStored, Session, happenings
from waytell_bridge.bridge import Bridge, Recorder, Telling
from waytell_bridge.line_protocol import CLOCK_SPAN_US
from waytell_bridge.reading import Reading
from waytell_bridge.sources.simulated_board import PREFIX, board_server


def run_lathe(address: str, config: Config | None, place: Place) -> None:
    """Listen to a board until told to stop; a simulated lathe is started first.

    Raises:
        CannotListen, JournalError: with what to do.
        ValueError: the address of a simulated lathe is not one.
    """
    if address.startswith(PREFIX):
        with tempfile.TemporaryDirectory(prefix="waytell-demo-", ignore_cleanup_errors=True) as temporary:
            asyncio.run(_SimulatedLathe(address, config, place, place.data or Path(temporary)).run())
        return
    asyncio.run(Lathe(address, config, place, data_folder(place.data)).run())


class Lathe:
    """One lathe from its journal to its page, with a board that is heard through a bridge."""

    def __init__(self, address: str, config: Config | None, place: Place, folder: Path) -> None:
        self._address = address
        self._config = config or Config()
        self._from_file = config is not None
        self._place = place
        self._folder = folder
        self._demo: Callable[[], Demo | None] = lambda: None
        self._cause_fault: Callable[[str], None] | None = None

    async def run(self) -> None:
        with ExitStack() as closing:
            opening = opened(self._place, self._folder)
            closing.callback(opening.listener.close)
            recorder = self._recorder(closing)
            session = self._session(closing, recorder)
            session.start()
            closing.callback(session.stop)
            await self._use_config(session)
            server = made_server(pages_of(session, self._cause_fault), opening)
            self._started(session, closing)
            bridge = self._bridge(session, recorder)
            closing.callback(bridge.stop)
            bridge.start()
            tell_where(opening, self._config.machine.name)
            if self._place.browser:
                asyncio.get_running_loop().run_in_executor(None, webbrowser.open, opening.url)
            await run_server(server, opening)

    def _started(self, session: Session, closing: ExitStack) -> None:
        """For the demonstration, which has a lathe to start as well."""

    def _recorder(self, closing: ExitStack) -> Recorder | None:
        if self._place.record is None:
            return None
        try:
            # Appended to, so that nothing recorded before is lost.
            return Recorder(closing.enter_context(self._place.record.open("a", encoding="utf-8")))
        except OSError as error:
            raise JournalError(
                f"The recording {self._place.record} cannot be written: {error.strerror}. Name another file."
            ) from error

    def _session(self, closing: ExitStack, recorder: Recorder | None) -> Session:
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise JournalError(
                f"The data folder {self._folder} cannot be made: {error.strerror}. Name another with --data."
            ) from error
        opened = open_journal(self._folder, self._config.machine.name, self._place.journal)
        if isinstance(opened.journal, JournalWriter):
            closing.callback(close_journal, opened.journal)
        return Session(*opened, lambda: self._demo(), recorder)  # noqa: PLW0108 - set later

    async def _use_config(self, session: Session) -> None:
        """The file sets the machine up when it is new; what was changed on the page since stays."""
        if not self._from_file or session.config == self._config:
            return
        if _was_used(session.events(), self._config):
            click.echo("The configuration file was used before; what was set up since holds, not the file.", err=True)
            return
        try:
            await session.act(UseConfig(act="use_config", config=self._config))
        except NotStored as trouble:
            click.echo(str(trouble), err=True)

    def _bridge(self, session: Session, recorder: Recorder | None) -> Telling:
        board = session.config.board
        return Bridge(
            self._address, session.deliver, baud=board.baud, pattern=board.line_pattern, scale=board.line_scale,
            recorder=recorder,
        )  # fmt: skip


class Opened(NamedTuple):
    """A journal and what it holds of a machine: its events, and the readings since a pass may have been under way."""

    journal: Journal
    past: list[Event]
    tail: list[Reading]


def open_journal(folder: Path, machine: str, url: str | None = None) -> Opened:
    """The journal of a data folder, or at an address of its own; one that stores nothing, and says why, where that
    cannot be read.

    Raises:
        NewerJournalError: a newer program made it.
    """
    past: list[Event] = []
    tail: list[Reading] = []
    try:
        store = Store(url or journal_url(folder))
        past = store.load(machine)
        tail = _as_read_anew(store.tail(machine, resumes_after(happenings(past))))
        return Opened(JournalWriter(store, machine), past, tail)
    except NewerJournalError:
        raise
    except JournalError as error:
        # Not even events that could be read may be added to: the file stays as it is, and the figures go on.
        click.echo(str(error), err=True)
        return Opened(NoJournal(str(error)), past, tail)


def _as_read_anew(tail: list[Reading]) -> list[Reading]:
    """With the board's clock as a start of the program reads it: from its 32 bits, whatever went before.

    Readings that come from now on follow upon these, so that nothing seems to have jumped in no time.
    """
    span_s = CLOCK_SPAN_US * 1e-6
    before_s = tail[-1].board_s // span_s * span_s if tail else 0.0
    return [reading._replace(board_s=reading.board_s - before_s) for reading in tail] if before_s else tail


def close_journal(journal: JournalWriter) -> None:
    journal.close()
    if journal.not_stored:
        click.echo(f"{journal.not_stored} events could not be stored. {journal.trouble}", err=True)


def _was_used(events: list[Event], config: Config) -> bool:
    # Read anew: one that was stored by an older program lacks what is new since.
    return any(
        Config.model_validate(event.body["act"]["config"]) == config
        for event in events
        if event.kind == "act" and event.body["act"]["act"] == "use_config"
    )


class _SimulatedLathe(Lathe):
    """The lathe is simulated, and so is the person, who looks at the display and presses its keys."""

    def __init__(self, address: str, config: Config | None, place: Place, folder: Path) -> None:
        self._loop: asyncio.AbstractEventLoop | None = None
        self._working: Session | None = None
        self._board = board_server(address, press=self._press, look=self._look)
        fitted = Config.model_validate(self._board.config)
        super().__init__(address, config or fitted, place, folder)
        self._demo = self._what
        self._cause_fault = self._board.fault

    def _started(self, session: Session, closing: ExitStack) -> None:
        self._working, self._loop = session, asyncio.get_running_loop()
        closing.callback(self._board.stop)
        self._address = self._board.start()

    def _press(self, act: dict[str, object]) -> None:
        """In the person's thread; a refused act is the person's mistake, seen by the words on the page."""
        if self._working is None or self._loop is None:
            return
        work = self._working.act(ACT.validate_python(act))
        try:
            asyncio.run_coroutine_threadsafe(work, self._loop).result(timeout=5)
        except ActRefused as refusal:
            click.echo(f"The simulated person's act {act['act']} was refused: {refusal}", err=True)
            raise
        except (NotStored, TimeoutError) as trouble:
            # It is done, or may still be: pressed again it would be done twice.
            click.echo(f"The simulated person's act {act['act']}: {trouble}", err=True)

    def _look(self) -> tuple[float | None, float | None]:
        """To go and left for this pass, as the display shows them: nothing where they are struck through."""
        if self._working is None or self._loop is None:
            return None, None

        async def see() -> tuple[float | None, float | None]:
            assert self._working is not None
            state = self._working.latest.state()
            to_go = state.to_go.value_mm if state.to_go is not None and state.to_go.good else None
            left = state.remaining.this_pass if state.remaining is not None else None
            return to_go, left.value_mm if left is not None and left.good else None

        try:
            return asyncio.run_coroutine_threadsafe(see(), self._loop).result(timeout=2)
        except TimeoutError:
            return None, None

    def _what(self) -> Demo:
        return Demo(words=self._board.words, faults=tuple(name for name, _ in self._board.faults))
