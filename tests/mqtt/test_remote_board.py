"""What a server makes of a bridge's messages: what comes twice, late, out of order or from two is not believed."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waytell_bridge.mqtt.messages import TOPICS, Answer, Ask, Event, Hello, Presence, Readings, State
from waytell_bridge.mqtt.remote_board import RemoteBoard
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

RUN, OTHER = "a" * 12, "b" * 12
AHEAD_S = 1000.0
"""The server's clock shows so much more than the bridge's."""
HELLO: dict[str, Any] = {
    "boot": "B1", "model": "counter", "scales": 2, "rate_hz": 250, "firmware": "1", "pulses_per_rev": 1, "switches": 2,
    "kept": False, "max_edges_s": None, "kinds": "ii",
}  # fmt: skip


class Server:
    """A remote board, told by a bridge whose messages take `way_s`."""

    def __init__(self, way_s: float = 0.002) -> None:
        self.now_s, self.way_s = AHEAD_S + 10.0, way_s
        self.board = RemoteBoard("lathe", "server-1", self.now_s)
        self.board.connected(self.now_s)
        self.events: list[BoardEvent] = []
        self._seq = 0

    def say(self, message: Any, *, retained: bool = False) -> list[BoardEvent]:
        leaf = next(name for name, kind in TOPICS.items() if kind.payload is type(message))
        return self.take(self.board.heard(leaf, message.model_dump_json().encode(), self.now_s, retained=retained))

    def take(self, events: list[BoardEvent]) -> list[BoardEvent]:
        self.events += events
        return events

    def read(self, *counts: int, run: str = RUN, boot: str = "B1", seq: int | None = None) -> list[BoardEvent]:
        self._seq = self._seq + 1 if seq is None else seq
        t_s = self.now_s - self.way_s - AHEAD_S
        told = tuple((t_s, t_s + 5, (count, 0), 0) for count in counts)
        return self.say(Readings(run=run, seq=self._seq, boot=boot, readings=told))

    def answered(self, run: str = RUN) -> None:
        self.say(Presence(run=run, online=True, source="port"))
        assert self.answers(run)

    def answers(self, run: str = RUN) -> bool:
        """As a bridge does, where it is asked."""
        question = self.board.ask(self.now_s)
        if question is None:
            return False
        asked = Ask.model_validate_json(question)
        self.now_s += 2 * self.way_s
        clock_s = self.now_s - self.way_s - AHEAD_S
        self.say(Answer(run=run, asker=asked.asker, number=asked.number, clock_s=clock_s))
        return True

    def state(self, run: str = RUN, **more: Any) -> list[BoardEvent]:
        told: dict[str, Any] = {
            "condition": "live", "words": "The board reports.", "source": "port", "checked": True, "reports": 1,
            "lost_reports": 0, "damaged_lines": 0, "rate_hz": 250.0, "spread_s": 0.0,
        }  # fmt: skip
        return self.say(State(run=run, t_s=self.now_s - AHEAD_S, **(told | more)))

    def hello(self, run: str = RUN, **more: Any) -> list[BoardEvent]:
        return self.say(Hello(run=run, t_s=self.now_s - AHEAD_S, **(HELLO | more)), retained=True)

    def greeted(self) -> None:
        self.answered()
        self.hello()
        self.state()

    def wait(self, seconds: float) -> LinkReport:
        self.now_s += seconds
        self.take(self.board.tick(self.now_s))
        return self.link

    @property
    def link(self) -> LinkReport:
        """The newest word on it."""
        return next(one for one in reversed(self.events) if isinstance(one, LinkReport))


def readings(events: list[BoardEvent]) -> list[Reading]:
    return [one for one in events if isinstance(one, Reading)]


def test_what_a_board_tells_comes_out_as_it_went_in_by_the_servers_clock() -> None:
    server = Server()
    server.greeted()
    (one,) = readings(server.read(7))
    assert one.counts == (7, 0)
    assert one.t_s == pytest.approx(server.now_s - server.way_s, abs=server.way_s + 1e-6)
    assert one.board_s == pytest.approx(server.now_s - AHEAD_S - server.way_s + 5)
    hello = next(one for one in server.events if isinstance(one, BoardHello))
    assert (hello.boot, hello.scales, hello.rate_hz) == ("B1", 2, 250)
    assert server.wait(0.01).condition is LinkCondition.LIVE
    t_s = server.now_s - AHEAD_S
    said = server.say(Readings(run=RUN, seq=9, boot="B1", readings=(), pulses=((t_s, 0.05),)))
    assert [one.period_s for one in said if isinstance(one, SpindlePulse)] == [0.05]


def test_nothing_is_passed_on_before_it_is_known_how_old_it_is() -> None:
    server = Server()
    server.say(Presence(run=RUN, online=True))
    server.hello()
    server.state()
    assert readings(server.read(1, 2)) == []
    server.answered()
    assert len(readings(server.read(3))) == 1


@pytest.mark.parametrize("seq", [3, 2, 1])
def test_what_comes_twice_or_late_does_not_stand_again(seq: int) -> None:
    server = Server()
    server.greeted()
    for count in (1, 2, 3):
        assert len(readings(server.read(count))) == 1
    assert readings(server.read(99, seq=seq)) == []
    assert len(readings(server.read(4, seq=4))) == 1


def test_what_is_lost_on_the_way_is_counted() -> None:
    server = Server()
    server.greeted()
    server.read(1, seq=1)
    server.read(2, seq=4)
    assert server.wait(0.6).lost_reports == 2


def test_counts_that_began_anew_wait_for_the_boards_hello() -> None:
    server = Server()
    server.greeted()
    server.read(50_000)
    assert readings(server.read(0, boot="B2")) == []
    server.hello(boot="B2")
    assert len(readings(server.read(0, boot="B2"))) == 1


def test_two_bridges_of_one_name_are_believed_neither() -> None:
    server = Server()
    server.greeted()
    server.read(1)
    server.say(Presence(run=OTHER, online=True))
    assert readings(server.read(2)) == []
    server.read(70, run=OTHER)
    assert server.link.condition == "unreadable"
    assert "2 bridges send as lathe" in server.link.words
    # The other stops: as soon as it cannot be heard any more, the first is believed again.
    for _ in range(30):
        server.now_s += 0.1
        server.answers()
        server.state()
        server.read(3)
    assert len(readings(server.read(4))) == 1
    assert server.link.condition is LinkCondition.LIVE


def test_a_bridge_that_was_started_again_is_followed_once_the_old_one_is_gone() -> None:
    server = Server()
    server.greeted()
    server.read(1)
    server.say(Presence(run=RUN, online=False))
    assert server.wait(0.0).condition is LinkCondition.LOST
    server.answered(OTHER)
    server.hello(OTHER)
    server.state(OTHER)
    assert len(readings(server.read(2, run=OTHER, seq=1))) == 1


def test_what_the_broker_kept_of_a_bridge_that_is_gone_makes_no_rival() -> None:
    server = Server()
    server.say(Presence(run=OTHER, online=True), retained=True)
    server.say(State(run=OTHER, t_s=1.0, condition="live", words="", source="", checked=True, reports=1,
                     lost_reports=0, damaged_lines=0, rate_hz=1.0, spread_s=0.0), retained=True)  # fmt: skip
    server.greeted()
    assert len(readings(server.read(1))) == 1
    assert server.wait(0.0).condition is LinkCondition.LIVE


def test_events_come_once_and_totals_make_good_what_was_lost() -> None:
    server = Server()
    server.greeted()

    def told(seq: int, what: Any, value: int) -> list[BoardEvent]:
        return server.say(Event(run=RUN, seq=seq, t_s=server.now_s - AHEAD_S, what=what, scale=1, value=value))

    assert [one[1:] for one in told(1, "missed", 3)] == [(1, 3)]
    assert told(1, "missed", 3) == []
    assert isinstance(told(2, "mark", 40)[0], ReferenceMark)
    assert isinstance(told(3, "switches", 1)[0], SwitchInputs)
    assert told(2, "switches", 0) == []
    totals = server.state(missed={1: 8}, switches=1)
    assert [one.total for one in totals if isinstance(one, MissedEdges)] == [8]


def test_silence_a_bridge_without_answer_and_a_lost_broker_are_told_apart() -> None:
    server = Server()
    server.greeted()
    assert "Nothing came from the bridge" in server.wait(1.1).words
    for _ in range(40):
        server.now_s += 0.1
        server.state()
        server.read(1)
    assert server.link.condition is LinkCondition.UNREADABLE
    assert "does not answer" in server.link.words
    server.take(server.board.disconnected(server.now_s, "The broker is gone."))
    assert (server.link.condition, server.link.words) == (LinkCondition.LOST, "The broker is gone.")


def test_a_slow_network_is_told_as_late_and_quick_again_as_live() -> None:
    server = Server(way_s=0.4)
    server.greeted()
    server.read(1)
    assert server.wait(0.01).condition is LinkCondition.LATE
    server.way_s = 0.002
    for _ in range(40):
        server.now_s += 0.1
        server.answers()
        server.state()
        server.read(2)
    assert server.link.condition is LinkCondition.LIVE


@given(st.sampled_from(sorted(TOPICS)), st.one_of(st.binary(max_size=200), st.text().map(str.encode)))
def test_what_is_no_message_is_counted_and_changes_nothing(leaf: str, payload: bytes) -> None:
    server = Server()
    server.greeted()
    server.read(5)
    before = server.wait(0.6).damaged_lines
    assert not readings(server.take(server.board.heard(leaf, payload, server.now_s)))
    assert server.wait(0.6).damaged_lines == before + (TOPICS[leaf].sender == "bridge")


@given(
    ahead_s=st.floats(-1e6, 1e6), drift=st.floats(-1e-4, 1e-4),
    ways=st.lists(st.tuples(st.floats(0, 2), st.floats(0, 2), st.floats(0.1, 10)), min_size=1, max_size=20),
)  # fmt: skip
def test_a_reading_is_never_placed_later_than_it_was_and_earlier_by_no_more_than_the_way(
    ahead_s: float, drift: float, ways: list[tuple[float, float, float]]
) -> None:
    clock, now_s = RemoteClock(), 1e6

    def bridges_s(at_s: float) -> float:
        return (at_s - ahead_s) * (1 + drift)

    for number, (there_s, back_s, rest_s) in enumerate(ways):
        clock.asked(number, now_s)
        answered_s = now_s + there_s + back_s
        assert clock.answered(number, bridges_s(now_s + there_s), answered_s)
        now_s = answered_s
        ahead = clock.ahead_s(now_s)
        assert ahead is not None
        placed_s = bridges_s(now_s) + ahead
        assert placed_s <= now_s + 1e-6
        # The newest question alone bounds it so; those before can only bind tighter.
        assert placed_s >= now_s - (there_s + back_s) - 3e-4 * (there_s + back_s) - 1e-6
        now_s += rest_s


def test_an_answer_to_nothing_that_was_asked_is_no_answer() -> None:
    clock = RemoteClock()
    assert not clock.answered(1, 5.0, 10.0)
    clock.asked(1, 10.0)
    assert clock.answered(1, 5.0, 10.1)
    assert not clock.answered(1, 500.0, 10.2)
    assert clock.ahead_s(10.0) == pytest.approx(5.0)
