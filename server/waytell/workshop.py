"""Any number of machines that are heard over a broker: each gets a session, a journal and pages of its own.

The one connection to the broker and all sessions live on one loop. A machine is there once its bridge is heard, or
where its journal is kept in the data folder from before.
"""

from __future__ import annotations

import asyncio
import time
import uuid
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import aiomqtt
import click

from waytell.documents.state import HEARD
from waytell.documents.workshop import WorkshopHealth, WorkshopNow, in_order, machine_now
from waytell.journal.trouble import JournalError
from waytell.journal.writer import JournalWriter
from waytell.running import close_journal, open_journal
from waytell.session import Session
from waytell_bridge.mqtt.address import Broker, read_all_that_came, straight_to
from waytell_bridge.mqtt.messages import MACHINE, ROOT, TOPICS, parted, topic
from waytell_bridge.mqtt.reaching import reach_for_ever
from waytell_bridge.mqtt.remote_board import RemoteBoard
from waytell_bridge.reading import BoardEvent

TICK_S = 0.05
FRESH_S = 0.2
GATHER_S, GATHER_MORE_S, LONGEST_GATHER_S = 0.014, 0.002, 0.06
"""Each message costs a server the same, whatever is in it: the more machines, the fewer messages."""
MOST_MACHINES = 200
MOST_WAITING = 20_000
"""Events of a machine kept while its journal is opened."""


class Machine:
    """A machine that was heard; its session comes once its journal is open."""

    def __init__(self, name: str, asker: str) -> None:
        self.name = name
        self.board = RemoteBoard(name, asker, time.monotonic())
        self.session: Session | None = None
        self._waiting: list[BoardEvent] = []

    def take(self, events: list[BoardEvent]) -> None:
        if self.session is not None:
            self.session.take(events)
        elif len(self._waiting) < MOST_WAITING:
            self._waiting += events

    def opened(self, session: Session) -> None:
        self.session = session
        waiting, self._waiting = self._waiting, []
        session.take(waiting)


class Workshop:
    """`folder` keeps a journal for each machine; `machines` are shown though nothing is heard of them yet;
    `only` those, so that several servers can share a workshop.
    """

    def __init__(
        self, broker: Broker, folder: Path, machines: tuple[str, ...] = (), journal: str | None = None,
        *, only: bool = False,
    ) -> None:  # fmt: skip
        self._broker, self._folder, self._journal, self._only = broker, folder, journal, only
        self._asker = uuid.uuid4().hex
        self._closing = ExitStack()
        self._opening: set[asyncio.Task[None]] = set()
        self.machines: dict[str, Machine] = {}
        self.broker_words: str | None = f"Connecting to the message broker {broker}."
        self._named = machines
        self._seq = 0
        self._made_s, self._text = -FRESH_S, ""

    async def run(self) -> None:
        """Listen until cancelled.

        Raises:
            ValueError: the broker's address leads nowhere that could be tried.
        """
        try:
            for name in self._named:
                self._machine(name)
            async with asyncio.TaskGroup() as tasks:
                tasks.create_task(reach_for_ever(self._listen, self._lost), name="workshop.broker")
                tasks.create_task(self._tick(), name="workshop.tick")
        finally:
            for task in self._opening:
                task.cancel()
            self._closing.close()

    def text(self) -> str:
        """What the overview shows, as JSON, at most so old: made once for all displays."""
        now_s = time.monotonic()
        if now_s - self._made_s >= FRESH_S:
            self._made_s, self._text = now_s, self._now().model_dump_json()
        return self._text

    def health(self) -> WorkshopHealth:
        states = [one.session.latest.state() for one in self.machines.values() if one.session is not None]
        stored = all(alarm.code != "disk" for state in states for alarm in state.alarms)
        heard = sum(state.link.condition in HEARD for state in states)
        reached = self.broker_words is None
        return WorkshopHealth(
            ok=reached and stored, broker=reached, stored=stored, machines=len(self.machines), heard=heard
        )

    def _now(self) -> WorkshopNow:
        self._seq += 1
        shown = [
            machine_now(one.name, place_of(one.name), one.session.latest.state())
            for one in self.machines.values()
            if one.session is not None
        ]
        return WorkshopNow(seq=self._seq, broker=self.broker_words, machines=in_order(shown))

    # -- machines --------------------------------------------------------------------------------------------------

    def _machine(self, name: str) -> Machine | None:
        """The machine of that name; a new one where it is heard for the first time."""
        found = self.machines.get(name)
        if found is None and len(self.machines) < MOST_MACHINES:
            found = self.machines[name] = Machine(name, self._asker)
            if self.broker_words is None:
                found.board.connected(time.monotonic())
            task = asyncio.create_task(self._open(found), name=f"workshop.open[{name}]")
            self._opening.add(task)
            task.add_done_callback(self._opening.discard)
        return found

    async def _open(self, machine: Machine) -> None:
        folder = self._folder / machine.name
        try:
            if self._journal is None:
                folder.mkdir(parents=True, exist_ok=True)
            opened = await asyncio.to_thread(open_journal, folder, machine.name, self._journal)
        except (OSError, JournalError) as error:
            click.echo(f"{machine.name} is not shown: {error}", err=True)
            return
        if isinstance(opened.journal, JournalWriter):
            self._closing.callback(close_journal, opened.journal)
        session = Session(*opened, name=machine.name, tick_s=TICK_S)
        session.start()
        self._closing.callback(session.stop)
        machine.opened(session)

    async def _tick(self) -> None:
        while True:
            now_s = time.monotonic()
            for machine in self.machines.values():
                told = machine.board.tick(now_s)
                if told:
                    machine.take(told)
            await asyncio.sleep(TICK_S)

    # -- the broker ------------------------------------------------------------------------------------------------

    def _lost(self, why: str) -> None:
        words = f"The message broker {self._broker} {why}"
        if self.broker_words != words:
            click.echo(words, err=True)
        self.broker_words = words
        now_s = time.monotonic()
        for machine in self.machines.values():
            machine.take(machine.board.disconnected(now_s, words))

    async def _listen(self) -> None:
        name, queue = f"waytell-server-{self._asker[:12]}", straight_to(self._hear)
        async with self._broker.client(reads_much=True, identifier=name, queue_type=queue) as client:
            read_all_that_came(client)
            self.broker_words, now_s = None, time.monotonic()
            for machine in self.machines.values():
                machine.board.connected(now_s)
            for name in self._named if self._only else ("+",):
                told: list[tuple[str, Any]] = [
                    (f"{ROOT}/{name}/{leaf}", kind.qos) for leaf, kind in TOPICS.items() if kind.sender == "bridge"
                ]
                await client.subscribe(told)
            async with asyncio.TaskGroup() as tasks:
                tasks.create_task(_until_lost(client), name="workshop.hear")
                tasks.create_task(self._ask(client), name="workshop.ask")

    def _hear(self, message: aiomqtt.Message) -> None:
        found = parted(str(message.topic))
        if found is None or not isinstance(message.payload, bytes):
            return
        machine = self._machine(found[0])
        if machine is not None:
            events = machine.board.heard(found[1], message.payload, time.monotonic(), retained=bool(message.retain))
            if events:
                machine.take(events)

    async def _ask(self, client: aiomqtt.Client) -> None:
        while True:
            gather_s = min(LONGEST_GATHER_S, GATHER_S + GATHER_MORE_S * len(self.machines))
            for machine in list(self.machines.values()):
                question = machine.board.ask(time.monotonic(), gather_s)
                if question is not None:
                    await client.publish(topic(machine.name, "ask"), question)
            await asyncio.sleep(TICK_S)


async def _until_lost(client: aiomqtt.Client) -> None:
    """All that comes is taken before it gets here.

    Raises:
        MqttError: the connection is lost.
    """
    async for _ in client.messages:
        pass


def place_of(machine: str) -> str:
    """Where the pages of a machine are, from the overview on."""
    from urllib.parse import quote  # noqa: PLC0415

    return f"at/{quote(machine)}/"


def kept_machines(folder: Path) -> tuple[str, ...]:
    """Machines whose journals a data folder keeps."""
    if not folder.is_dir():
        return ()
    return tuple(sorted(one.name for one in folder.iterdir() if one.is_dir() and MACHINE.fullmatch(one.name)))
