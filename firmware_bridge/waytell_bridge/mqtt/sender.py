"""The end of a bridge: sends what a board tells to the broker, and answers what its clock says.

A thin shell: what is to be sent is the outbox's. A message is only sent once the one before has left, so that on a slow
network readings wait here, where they can be thinned, and not in buffers where they only grow old.
"""

from __future__ import annotations

import asyncio
import time
import uuid
from collections.abc import Callable
from contextlib import suppress

import aiomqtt
from pydantic import ValidationError

from waytell_bridge.mqtt.address import Broker
from waytell_bridge.mqtt.messages import MOST_READINGS, TOPICS, Answer, Ask, topic
from waytell_bridge.mqtt.outbox import Outbox, Parcel
from waytell_bridge.mqtt.reaching import reach_for_ever
from waytell_bridge.reading import BoardEvent

GATHER_S = 0.016
"""Readings of a frame of the display go together, until a server asks for more or less at a time."""
ON_THEIR_WAY_S = 0.08
"""A parcel of readings should not take longer to leave."""
FEWEST = 4


class Sender:
    """`deliver` may be called from any thread; `say` is told, in words, how the broker is reached."""

    def __init__(self, machine: str, source: str, broker: Broker, say: Callable[[str], None]) -> None:
        self.run = uuid.uuid4().hex
        self._machine, self._broker, self._say = machine, broker, say
        self._outbox = Outbox(self.run, source)
        self._before: list[Parcel] = []
        self._loop: asyncio.AbstractEventLoop | None = None
        self._wake = asyncio.Event()
        self._at_most = MOST_READINGS
        self._rivals: set[str] = set()
        self._gather_s = GATHER_S

    def deliver(self, events: list[BoardEvent]) -> None:
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._put, events)

    def _put(self, events: list[BoardEvent]) -> None:
        self._before += self._outbox.put(events)
        self._wake.set()

    async def run_for_ever(self) -> None:
        """Until cancelled; then says that it leaves.

        Raises:
            ValueError: the broker's address leads nowhere that could be tried.
        """
        self._loop = asyncio.get_running_loop()
        await reach_for_ever(
            self._connected, lambda words: self._say(f"The message broker {self._broker} {words} Trying again.")
        )

    async def _connected(self) -> None:
        gone = self._outbox.gone()
        will = aiomqtt.Will(topic(self._machine, gone.leaf), gone.payload, qos=1, retain=True)
        async with self._broker.client(identifier=f"waytell-bridge-{self.run[:12]}", will=will) as client:
            for leaf in ("ask", "presence"):
                await client.subscribe(topic(self._machine, leaf))
            await self._send(client, self._outbox.anew())
            self._say(f"Readings of {self._machine} go to the broker {self._broker}.")
            try:
                async with asyncio.TaskGroup() as tasks:
                    tasks.create_task(self._send_on(client), name="mqtt.send")
                    tasks.create_task(self._answer(client), name="mqtt.answer")
            except asyncio.CancelledError:
                with suppress(aiomqtt.MqttError):
                    await self._send(client, [gone])
                raise

    async def _send_on(self, client: aiomqtt.Client) -> None:
        while True:
            await self._wake.wait()
            self._wake.clear()
            before, self._before = self._before, []
            await self._send(client, before)
            await self._send(client, self._outbox.told())
            waiting, began_s = self._outbox.waiting, time.monotonic()
            await self._send(client, self._outbox.readings(self._at_most))
            took_s = time.monotonic() - began_s
            if waiting:
                sent = min(waiting, self._at_most)
                fitting = int(sent * ON_THEIR_WAY_S / max(took_s, 1e-4))
                self._at_most = max(FEWEST, min(MOST_READINGS, fitting if took_s > ON_THEIR_WAY_S else 2 * fitting))
            await asyncio.sleep(max(0.0, self._gather_s - took_s))

    async def _send(self, client: aiomqtt.Client, parcels: list[Parcel]) -> None:
        for leaf, payload in parcels:
            kind = TOPICS[leaf]
            await client.publish(topic(self._machine, leaf), payload, qos=kind.qos, retain=kind.retained)

    async def _answer(self, client: aiomqtt.Client) -> None:
        async for message in client.messages:
            if str(message.topic).endswith("/presence"):
                self._look_for_rivals(message.payload)
                continue
            with suppress(ValidationError):
                ask = Ask.model_validate_json(message.payload)
                self._gather_s = ask.gather_s
                answer = Answer(run=self.run, asker=ask.asker, number=ask.number, clock_s=time.monotonic())
                await self._send(client, [Parcel("answer", answer.model_dump_json().encode())])

    def _look_for_rivals(self, payload: bytes) -> None:
        with suppress(ValidationError):
            presence = TOPICS["presence"].payload.model_validate_json(payload).model_dump()
            if presence["run"] == self.run:
                return
            if not presence["online"]:
                self._rivals.discard(presence["run"])
            elif presence["run"] not in self._rivals:
                self._rivals.add(presence["run"])
                self._say(
                    f"Another bridge sends as {self._machine} ({presence['source']}), or did when it was lost. Two at "
                    "once make the figures of both doubtful: stop one, or give it another name."
                )
