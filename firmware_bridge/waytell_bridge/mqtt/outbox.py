"""What a bridge still has to send: gathered from its listener, handed out in the order in which it must go. No I/O.

Readings may be thinned where the network is too slow for all of them, never the newest; everything else is kept.
"""

from __future__ import annotations

from collections import deque
from typing import NamedTuple

from waytell_bridge.mqtt.messages import MOST_READINGS, Event, Hello, Message, Presence, Readings, State
from waytell_bridge.reading import (
    BoardEvent,
    BoardHello,
    LinkReport,
    MissedEdges,
    Reading,
    ReferenceMark,
    SpindlePulse,
    SwitchInputs,
)

KEPT_READINGS = 30_000
"""Two minutes at 250 a second, for a network that was cut."""
KEPT_EVENTS = 1000


class Parcel(NamedTuple):
    leaf: str
    payload: bytes


class Outbox:
    """`run` names this start of the bridge; `source` is where it listens."""

    def __init__(self, run: str, source: str) -> None:
        self._run, self._source = run, source
        self._readings: deque[Reading] = deque(maxlen=KEPT_READINGS)
        self._pulses: deque[SpindlePulse] = deque(maxlen=MOST_READINGS)
        self._left_out = 0
        self._events: deque[Event] = deque(maxlen=KEPT_EVENTS)
        self._event_seq = self._seq = 0
        self._hello: BoardHello | None = None
        self._link: LinkReport | None = None
        self._missed: dict[int, int] = {}
        self._switches = 0
        self._hello_due = self._state_due = False

    def put(self, events: list[BoardEvent]) -> list[Parcel]:
        """Take what a listener told; parcels of readings that belong to an earlier start of the board."""
        before: list[Parcel] = []
        for event in events:
            if isinstance(event, Reading):
                self._put_reading(event)
            elif isinstance(event, SpindlePulse):
                self._pulses.append(event)
            elif isinstance(event, LinkReport):
                self._link, self._state_due = event, True
            elif isinstance(event, BoardHello):
                before += self._put_hello(event)
            else:
                self._put_event(event)
        return before

    def _put_reading(self, reading: Reading) -> None:
        if len(self._readings) == KEPT_READINGS:
            self._left_out += 1
        self._readings.append(reading)

    def _put_hello(self, hello: BoardHello) -> list[Parcel]:
        """What was read before a restart must go as what it was."""
        before = []
        if self._hello is not None and hello.boot != self._hello.boot:
            while self._readings:
                before += self.readings(MOST_READINGS)
            self._missed.clear()
        self._hello, self._hello_due, self._state_due = hello, True, True
        return before

    def _put_event(self, event: MissedEdges | ReferenceMark | SwitchInputs) -> None:
        self._event_seq += 1
        common = {"run": self._run, "seq": self._event_seq, "t_s": event.t_s}
        if isinstance(event, MissedEdges):
            self._missed[event.scale] = event.total
            self._events.append(Event(**common, what="missed", scale=event.scale, value=event.total))
        elif isinstance(event, ReferenceMark):
            self._events.append(Event(**common, what="mark", scale=event.scale, value=event.at_count))
        else:
            self._switches = event.bits
            self._events.append(Event(**common, what="switches", value=event.bits))
        self._state_due = True

    @property
    def waiting(self) -> int:
        """Readings not sent yet."""
        return len(self._readings)

    def anew(self) -> list[Parcel]:
        """What a broker must know first at each connection: it may have forgotten all that was said before."""
        self._hello_due, self._state_due = self._hello is not None, self._link is not None
        return [_parcel("presence", Presence(run=self._run, online=True, source=self._source)), *self.told()]

    def gone(self) -> Parcel:
        """The last will."""
        return _parcel("presence", Presence(run=self._run, online=False, source=self._source))

    def told(self) -> list[Parcel]:
        """All but readings that is to be sent now."""
        out = []
        if self._hello_due and self._hello is not None:
            fields = {name: getattr(self._hello, name) for name in Hello.model_fields if name != "run"}
            out.append(_parcel("hello", Hello(run=self._run, **fields)))
        out += [_parcel("events", event) for event in self._events]
        if self._state_due and self._link is not None:
            fields = self._link._asdict() | {"missed": dict(self._missed), "switches": self._switches}
            out.append(_parcel("state", State(run=self._run, **fields)))
        self._events.clear()
        self._hello_due = self._state_due = False
        return out

    def readings(self, at_most: int) -> list[Parcel]:
        """All readings that wait in one parcel, thinned evenly to so many; the newest always goes."""
        if not self._readings and not self._pulses:
            return []
        waiting, pulses = list(self._readings), list(self._pulses)
        self._readings.clear()
        self._pulses.clear()
        every = -(-len(waiting) // max(1, min(at_most, MOST_READINGS)))
        kept = waiting[::-1][:: max(1, every)][::-1]
        self._seq += 1
        message = Readings(
            run=self._run, seq=self._seq, boot=self._hello.boot if self._hello is not None else "",
            left_out=self._left_out + len(waiting) - len(kept),
            readings=tuple((r.t_s, r.board_s, r.counts, r.flags) for r in kept),
            pulses=tuple((pulse.t_s, pulse.period_s) for pulse in pulses),
        )  # fmt: skip
        self._left_out = 0
        return [_parcel("readings", message)]


def _parcel(leaf: str, message: Message) -> Parcel:
    return Parcel(leaf, message.model_dump_json().encode())
