"""One machine's board as a server hears it over the broker: payloads and their times of arrival in, events out. No I/O.

Nothing is taken on trust: messages may come twice, late, out of order or from two bridges at once, and the bridge's
clock is its own. Where it is not known how old a reading is, or whose it is, none is passed on and the link says why.
"""

from __future__ import annotations

from typing import Any

from pydantic import ValidationError

from waytell_bridge.mqtt.messages import TOPICS, Answer, Ask, Event, Hello, Presence, Readings, State
from waytell_bridge.mqtt.remote_clock import RemoteClock
from waytell_bridge.reading import (
    BoardEvent,
    BoardHello,
    LinkCondition,
    LinkReport,
    MissedEdges,
    Reading,
    ReferenceMark,
    SpindlePulse,
    SwitchInputs,
)

ASK_EVERY_S = 1.0
ASK_SOON_S = 0.25
"""Before the first answer."""
SILENT_AFTER_S = 1.0
UNANSWERED_S = 3.0
RIVAL_S = 2.0
"""A bridge that was not heard for so long is no rival of another."""
REPORT_EVERY_S = 0.5
LATE_S = 0.15
"""As old as a reading may be and still count as live."""
TOO_EARLY_S = 2.0
HEARD = (LinkCondition.LIVE, LinkCondition.FLOODED, LinkCondition.LATE)


class RemoteBoard:
    """`asker` names this server to the bridges; there may be others."""

    def __init__(self, machine: str, asker: str, now_s: float) -> None:
        self.machine = machine
        self._asker = asker
        self._asks = 0
        self._ask_due_s = now_s
        self._heard_s: dict[str, float] = {}
        """When each bridge that calls itself by this machine's name was heard last."""
        self._broker_words: str | None = "Waiting for the message broker."
        self._since_s = now_s
        self._report_s = now_s - REPORT_EVERY_S
        self._told: tuple[LinkCondition, str] | None = None
        self._lost = self._damaged = 0
        self._last_s = 0.0
        self._follow("")

    def _follow(self, run: str) -> None:
        """Listen to another start of the bridge, or another bridge: nothing of the one before holds for it."""
        self._run = run
        self._clock = RemoteClock()
        self._online = True
        self._state: State | None = None
        self._boot: str | None = None
        self._hello: Hello | None = None
        self._seq: dict[str, int] = {}
        self._late_s = 0.0

    # -- from the broker -------------------------------------------------------------------------------------------

    def connected(self, now_s: float) -> None:
        self._broker_words, self._since_s, self._ask_due_s = None, now_s, now_s

    def disconnected(self, now_s: float, words: str) -> list[BoardEvent]:
        """The broker is not reached: nothing that comes now could be heard."""
        self._broker_words = words
        return self._judged(now_s)

    def heard(self, leaf: str, payload: bytes, now_s: float, *, retained: bool = False) -> list[BoardEvent]:
        """A message of this machine. What the broker kept (`retained`) says nothing of whether its bridge still is."""
        known = TOPICS.get(leaf)
        if known is None or known.sender != "bridge":
            return []
        try:
            message: Any = known.payload.model_validate_json(payload)
        except ValidationError:
            self._damaged += 1
            return []
        if not retained and not (isinstance(message, Presence) and not message.online):
            self._heard_s[message.run] = now_s
        self._choose(message.run, now_s)
        if message.run != self._run:
            return []
        return [*_TAKE[type(message)](self, message, now_s), *self._judged(now_s)]

    def _choose(self, run: str, now_s: float) -> None:
        """Which bridge to follow: the one that is, until another is alone."""
        if run == self._run:
            return
        mine_s, other_s = self._heard_s.get(self._run), self._heard_s.get(run)
        gone = not self._online or mine_s is None or now_s - mine_s > RIVAL_S
        if gone and (other_s is not None or not self._run):
            self._since_s = now_s
            self._heard_s = {one: at_s for one, at_s in self._heard_s.items() if one == run}
            self._follow(run)
            self._ask_due_s = now_s

    @property
    def _rivals(self) -> int:
        newest = max(self._heard_s.values(), default=0.0)
        return sum(newest - at_s <= RIVAL_S for at_s in self._heard_s.values())

    def ask(self, now_s: float, gather_s: float = 0.016) -> bytes | None:
        """A question to send, where one is due, and how long readings should be gathered."""
        if self._broker_words is not None or not self._run or now_s < self._ask_due_s:
            return None
        self._asks += 1
        self._ask_due_s = now_s + (ASK_SOON_S if self._clock.answered_s is None else ASK_EVERY_S)
        self._clock.asked(self._asks, now_s)
        return Ask(asker=self._asker, number=self._asks, gather_s=gather_s).model_dump_json().encode()

    def tick(self, now_s: float) -> list[BoardEvent]:
        """Time passed."""
        return self._judged(now_s)

    # -- what was said ---------------------------------------------------------------------------------------------

    def _presence(self, message: Presence, now_s: float) -> list[BoardEvent]:
        if message.online and not self._online:
            self._ask_due_s = self._since_s = now_s
        self._online = message.online
        return []

    def _answer(self, message: Answer, now_s: float) -> list[BoardEvent]:
        first = self._clock.answered_s is None
        if message.asker == self._asker and self._clock.answered(message.number, message.clock_s, now_s) and first:
            # What was said before could not be placed in time.
            return [*self._greeted(now_s), *self._totals(now_s)]
        return []

    def _take_hello(self, message: Hello, now_s: float) -> list[BoardEvent]:
        if self._hello == message:
            return []
        self._hello = message
        return self._greeted(now_s)

    def _greeted(self, now_s: float) -> list[BoardEvent]:
        if self._hello is None or self._ahead_s(now_s) is None:
            return []
        self._boot = self._hello.boot
        fields = self._hello.model_dump(exclude={"run", "t_s"})
        return [BoardHello(t_s=self._placed(self._hello.t_s, now_s), restarted=False, **fields)]

    def _take_state(self, message: State, now_s: float) -> list[BoardEvent]:
        if self._state is not None and message.t_s < self._state.t_s:
            return []
        self._state = message
        return self._totals(now_s)

    def _totals(self, now_s: float) -> list[BoardEvent]:
        """Totals again, for whoever missed the message that told one."""
        state = self._state
        if state is None or self._ahead_s(now_s) is None:
            return []
        t_s = self._placed(state.t_s, now_s)
        missed: list[BoardEvent] = [MissedEdges(t_s, scale, total) for scale, total in state.missed.items()]
        return [*missed, SwitchInputs(t_s, state.switches)]

    def _take_event(self, message: Event, now_s: float) -> list[BoardEvent]:
        if not self._newer("events", message.seq) or self._ahead_s(now_s) is None:
            return []
        t_s = self._placed(message.t_s, now_s)
        if message.what == "missed":
            return [MissedEdges(t_s, message.scale, message.value)]
        if message.what == "mark":
            return [ReferenceMark(t_s, message.scale, message.value)]
        return [SwitchInputs(t_s, message.value)]

    def _newer(self, kind: str, seq: int) -> bool:
        if seq <= self._seq.get(kind, 0):
            return False
        self._seq[kind] = seq
        return True

    def _take_readings(self, message: Readings, now_s: float) -> list[BoardEvent]:
        before = self._seq.get("readings")
        # What comes twice or late is older than what stands already: it must not stand again.
        if not self._newer("readings", message.seq):
            return []
        self._lost += message.left_out + (message.seq - before - 1 if before is not None else 0)
        ahead_s = self._ahead_s(now_s)
        # Another start of the board: its hello is on its way, and without it counts that began anew look like a jump.
        if ahead_s is None or self._rivals > 1 or message.boot != (self._boot or ""):
            return []
        out: list[BoardEvent] = []
        for t_s, board_s, counts, flags in message.readings:
            placed_s = min(now_s, max(self._last_s, t_s + ahead_s))
            self._last_s = placed_s
            out.append(Reading(placed_s, board_s, counts, flags))
        out += [SpindlePulse(min(now_s, t_s + ahead_s), period_s) for t_s, period_s in message.pulses]
        if message.readings:
            self._late_s = max(0.9 * self._late_s, now_s - self._last_s)
        return out

    def _ahead_s(self, now_s: float) -> float | None:
        return self._clock.ahead_s(now_s)

    def _placed(self, t_s: float, now_s: float) -> float:
        return min(now_s, t_s + (self._ahead_s(now_s) or 0.0))

    # -- the link --------------------------------------------------------------------------------------------------

    def _judged(self, now_s: float) -> list[BoardEvent]:
        condition, words = self._link(now_s)
        changed = self._told is None or condition != self._told[0]
        if not changed and now_s - self._report_s < REPORT_EVERY_S:
            return []
        # A link that was lost and is back has to be greeted anew: the board may be another by now.
        greeting = self._greeted(now_s) if changed and condition in HEARD else []
        self._told, self._report_s = (condition, words), now_s
        state = self._state
        report = LinkReport(
            now_s, condition, words, state.source if state else self.machine, state.checked if state else True,
            state.reports if state else 0, (state.lost_reports if state else 0) + self._lost,
            (state.damaged_lines if state else 0) + self._damaged, state.rate_hz if state else 0.0, self._late_s,
        )  # fmt: skip
        return [report, *greeting]

    def _link(self, now_s: float) -> tuple[LinkCondition, str]:
        """How it is, the reason that explains most first."""
        name, state = self.machine, self._state
        told = self._network(now_s) or self._bridge(now_s) or self._age(now_s)
        if told is not None:
            return told
        if state is None:
            return LinkCondition.OPENING, f"Waiting to hear how the bridge of {name} is."
        late_s = max(self._late_s, self._clock.way_s)
        if state.condition in ("live", "flooded") and late_s > LATE_S:
            return LinkCondition.LATE, f"The network is slow: what the board of {name} tells comes {late_s:.1f} s late."
        return LinkCondition(state.condition), state.words

    def _network(self, now_s: float) -> tuple[LinkCondition, str] | None:
        name, heard_s = self.machine, self._heard_s.get(self._run)
        if self._broker_words is not None:
            return LinkCondition.LOST, self._broker_words
        if self._rivals > 1:
            return LinkCondition.UNREADABLE, (
                f"{self._rivals} bridges send as {name}, and which of them is at this lathe cannot be told. Stop the "
                "other, or give it a name of its own."
            )
        if self._run and heard_s is not None:
            return None
        if now_s - self._since_s < TOO_EARLY_S:
            return LinkCondition.OPENING, f"Listening for the bridge of {name}."
        return LinkCondition.LOST, f"The bridge of {name} is not heard. Is it running, and in the network?"

    def _bridge(self, now_s: float) -> tuple[LinkCondition, str] | None:
        quiet_s = now_s - self._heard_s.get(self._run, now_s)
        if not self._online:
            return LinkCondition.LOST, f"The bridge of {self.machine} has stopped, or was cut off from the broker."
        if quiet_s > SILENT_AFTER_S:
            return LinkCondition.LOST, (
                f"Nothing came from the bridge of {self.machine} for {quiet_s:.0f} s. Check the network between it and "
                "the broker."
            )
        return None

    def _age(self, now_s: float) -> tuple[LinkCondition, str] | None:
        answered_s = self._clock.answered_s
        if answered_s is not None and now_s - answered_s <= UNANSWERED_S:
            return None
        if now_s - self._since_s < TOO_EARLY_S:
            return LinkCondition.OPENING, f"Asking the bridge of {self.machine} for its clock."
        return LinkCondition.UNREADABLE, (
            f"The bridge of {self.machine} does not answer, so how old its readings are is not known. May it hear "
            "the server's questions?"
        )


# Private to this module, which is where the names lead.
# ruff: noqa: SLF001
_TAKE: dict[type, Any] = {
    Presence: RemoteBoard._presence,
    Answer: RemoteBoard._answer,
    Hello: RemoteBoard._take_hello,
    State: RemoteBoard._take_state,
    Event: RemoteBoard._take_event,
    Readings: RemoteBoard._take_readings,
}
