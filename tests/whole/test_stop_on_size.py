"""The main job, end to end: a simulated person turns a bush and sees the lathe only through Waytell's state.

Serial bytes over TCP through pyserial, the engine, the journal and HTTP; acts are posted as the page posts them. What
is judged is the hidden truth: the finished part as it would be measured, with deflection, run-out and ripple.
"""

from __future__ import annotations

from typing import Any

import httpx
import pytest

from support.running import Waytell
from waytell_bridge.simulated.demo import TURNING
from waytell_bridge.simulated.serving import BoardServer
from waytell_bridge.simulated.short_scripts import SCRIPTS

# 18 h8 by ISO 286: IT8 over 10 to 18 mm is 27 micrometres (table: ISO system of limits and fits, IT1 to IT18).
LARGEST_MM, SMALLEST_MM = 18.000, 17.973
# Faster than life for the sake of time; on a busy machine a much faster person loses sight of the figures.
PACE = 2.5


class Person:
    """What the simulated person has of Waytell: keys to press, and figures to look at."""

    def __init__(self) -> None:
        self.waytell: Waytell | None = None

    def press(self, act: dict[str, Any]) -> None:
        assert self.waytell is not None
        self.waytell.client.post("/api/acts", json=act).raise_for_status()

    def look(self) -> tuple[float | None, float | None]:
        if self.waytell is None:
            return None, None
        try:
            state = self.waytell.state()
        except httpx.HTTPError:
            return None, None
        return good(state["to_go"]), good(state["remaining"] and state["remaining"]["this_pass"])


def good(figure: dict[str, Any] | None) -> float | None:
    return float(figure["value_mm"]) if figure and figure["good"] else None


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """One bush turned; passes as recorded, true passes, true outline."""
    person = Person()
    ready: list[bool] = []
    done: list[bool] = []

    def bush(worker: Any) -> Any:
        # The board counts from the start; the person begins once the machine is set up.
        while not ready:
            yield
        yield from SCRIPTS["one_bush"](worker)
        done.append(True)
        while True:
            yield

    board = BoardServer(bush, seed=11, press=person.press, look=person.look, pace=PACE)
    folder = str(tmp_path_factory.mktemp("data"))
    board_url = board.start()
    person.waytell = running = Waytell("run", "--source", board_url, "--data", folder)
    try:
        running.done("use_config", config=board.config)
        ready.append(True)
        running.wait_for(lambda _: done, within_s=240)
        return {
            "passes": running.passes(), "true": board.passes(), "truth": board.truth(), "refused": board.refused,
            "events": running.client.get("/api/events").json()["events"],
        }  # fmt: skip
    finally:
        board.stop()
        running.stop()


def test_the_finished_diameter_is_within_its_limits(finished: dict[str, Any]) -> None:
    last = [one for one in finished["true"] if one.kind == "turning"][-1]
    diameter = 2 * (last.metal_mm + last.x_zero_mm)
    assert SMALLEST_MM <= diameter <= LARGEST_MM


def test_the_shoulder_is_where_it_should_be(finished: dict[str, Any]) -> None:
    turned = [one for one in finished["true"] if one.kind == "turning" and one.role != "air"]
    for one in turned:
        # At this pace the person's reaction and the way of a figure through HTTP count four times over.
        assert one.end_mm == pytest.approx(TURNING.end_mm, abs=0.05 * PACE)


def test_every_true_pass_was_recorded_once_with_its_place_and_depth(finished: dict[str, Any]) -> None:
    true = [one for one in finished["true"] if one.role != "air"]
    recorded = [one for one in finished["passes"] if one["role"] != "air"]
    assert [one["kind"] for one in recorded] == [one.kind for one in true]
    for found, meant in zip(recorded, true, strict=True):
        assert found["end_mm"] == pytest.approx(meant.end_mm, abs=0.015)
        assert found["depth_mm"] == pytest.approx(meant.set_depth_mm, abs=0.02)
        assert found["creep_mm"] == pytest.approx(meant.creep_mm, abs=0.012)


def test_no_act_of_the_person_was_refused(finished: dict[str, Any]) -> None:
    assert finished["refused"] == []


def test_a_carriage_that_stayed_clamped_raised_no_alarm(finished: dict[str, Any]) -> None:
    assert [event["words"] for event in finished["events"] if event["kind"] == "hold"] == []
