"""The live stream of a real process, heard by a WebSocket client."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from typing import Any

import pytest
from websockets.exceptions import InvalidStatus
from websockets.sync.client import ClientConnection, connect

from support.running import Waytell, waytell


@pytest.fixture(scope="module")
def lathe(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Waytell]:
    """A lathe whose person always winds: every reading is a new state."""
    with waytell("demo", "--data", str(tmp_path_factory.mktemp("data"))) as running:
        running.wait_for(lambda state: state["link"]["condition"] == "live")
        yield running


def open_stream(lathe: Waytell, **options: Any) -> ClientConnection:
    stream: ClientConnection = connect(lathe.url.replace("http", "ws") + "/live", **options)
    return stream


def heard(stream: ClientConnection, within_s: float = 1.0) -> dict[str, Any]:
    return dict(json.loads(stream.recv(timeout=within_s)))


def drew(stream: ClientConnection, state: dict[str, Any]) -> None:
    stream.send(json.dumps({"drawn": state["seq"]}))


def test_the_stream_sends_the_same_document_as_the_api(lathe: Waytell) -> None:
    with open_stream(lathe) as stream:
        assert set(heard(stream)) == set(lathe.state())


def test_no_more_than_two_states_are_on_their_way(lathe: Waytell) -> None:
    with open_stream(lathe) as stream:
        heard(stream)
        heard(stream)
        with pytest.raises(TimeoutError):
            stream.recv(timeout=0.5)


def test_a_display_that_stalled_gets_the_newest_state_at_once(lathe: Waytell) -> None:
    with open_stream(lathe) as stream:
        first = heard(stream)
        second = heard(stream)
        time.sleep(1.0)
        drew(stream, first)
        now = heard(stream)
        assert now["seq"] - second["seq"] >= 5, "states that passed meanwhile are not sent later"
        assert lathe.state()["t_s"] - now["t_s"] < 0.5


def test_saying_that_more_was_drawn_than_was_sent_gains_nothing(lathe: Waytell) -> None:
    with open_stream(lathe) as stream:
        first, second = heard(stream), heard(stream)
        for number in range(1, 40):
            stream.send(json.dumps({"drawn": second["seq"] + number}))
        for _ in range(20):
            drew(stream, first)
        heard(stream)
        with pytest.raises(TimeoutError):
            stream.recv(timeout=0.4)


@pytest.mark.parametrize("nonsense", ["", "{}", "[]", '{"drawn": "x"}', "null", "drawn", '{"drawn": null}'])
def test_nonsense_from_a_display_is_passed_over(lathe: Waytell, nonsense: str) -> None:
    with open_stream(lathe) as stream:
        state = heard(stream)
        stream.send(nonsense)
        drew(stream, state)
        assert heard(stream)["seq"] > state["seq"]


def test_states_come_at_least_every_tenth_of_a_second_and_in_order(lathe: Waytell) -> None:
    with open_stream(lathe) as stream:
        last, latest_s = 0, time.monotonic()
        for _ in range(40):
            state = heard(stream)
            now_s = time.monotonic()
            assert state["seq"] > last
            assert now_s - latest_s < 0.25, "a heartbeat comes every 0.1 s; the rest is for a busy machine"
            last, latest_s = state["seq"], now_s
            drew(stream, state)


def test_a_page_of_another_site_is_not_served(lathe: Waytell) -> None:
    with pytest.raises(InvalidStatus) as refusal:
        open_stream(lathe, origin="http://elsewhere.example")
    assert refusal.value.response.status_code == 403


def alarms(state: dict[str, Any]) -> list[str]:
    return [alarm["code"] for alarm in state["alarms"]]


def until(stream: ClientConnection, holds: Any) -> dict[str, Any]:
    """Draw state after state until one is as it should be."""
    for _ in range(60):
        state = heard(stream)
        drew(stream, state)
        if holds(state):
            return state
    raise AssertionError(f"never came: {state}")


def test_a_display_that_shows_other_figures_gets_none_and_the_others_are_told(lathe: Waytell) -> None:
    with open_stream(lathe) as good, open_stream(lathe) as wrong:
        state = heard(wrong)
        wrong.send(json.dumps({"drawn": state["seq"], "shown": {"to-go": "4321.1" + 500 * "0"}}))
        told = until(good, lambda state: "display" in alarms(state))
        words = " ".join(alarm["words"] for alarm in told["alarms"])
        assert "A display shows 4321.1" in words
        assert len(words) < 500, "no more is told on than a figure has"
        assert [doubt["code"] for doubt in told["doubts"]] != ["display_differs"], "its own figures are right"
        struck = until(wrong, lambda state: state["doubts"][:1] and state["doubts"][0]["code"] == "display_differs")
        assert all(axis["position"]["reasons"] == ["display_differs"] for axis in struck["axes"])
        wrong.close()
        until(good, lambda state: "display" not in alarms(state))


def codes(state: dict[str, Any]) -> list[str]:
    return [doubt["code"] for doubt in state["doubts"]]


def test_a_display_that_draws_late_gets_struck_figures_until_it_keeps_up(lathe: Waytell) -> None:
    with open_stream(lathe) as slow, open_stream(lathe) as other:
        for _ in range(4):
            state = heard(slow)
            time.sleep(0.3)
            drew(slow, state)
        struck = until(slow, lambda state: codes(state) == ["display_late"])
        assert not any(axis["position"]["good"] for axis in struck["axes"])
        assert "display_late" not in codes(heard(other))
        began_s = time.monotonic()
        while "display_late" in codes(state := heard(slow)):
            drew(slow, state)
            assert time.monotonic() - began_s < 5
