"""Sizes over the API of a real process, at a simulated lathe where three passes were wound by hand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from support.at_lathe import Hands, listening, set_up
from support.running import Waytell
from waytell.documents.sizes import SizeTried
from waytell_bridge.simulated.serving import BoardServer

SEAT = {
    "name": "turn the seat", "kind": "turning", "start_mm": 0.0, "end_mm": -8.0, "target_mm": 10.5, "depth_mm": 0.5,
    "tolerance_mm": 0.02,
}  # fmt: skip
# Where the slide is wound to, and what the micrometer says then: invented, 0.004 mm and a twentieth of the depth more.
SIZES = ((11.5, 11.529), (11.3, 11.315))
LAST_MM = 10.7


@pytest.fixture(scope="module")
def lathe(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Waytell]:
    with BoardServer(seed=7) as board:
        running = listening(board, tmp_path_factory.mktemp("data"))
        set_up(running, board, SEAT)
        hands = Hands(board)
        for place, size in SIZES:
            hands.turn(place)
            running.done("measured", operation=SEAT["name"], axis="X", at_mm=size, u_mm=0.002)
        hands.turn(LAST_MM)
        running.wait_for(lambda state: state["passes"] == len(SIZES) + 1)
        yield running
        running.stop()


def tried(lathe: Waytell, **asked: Any) -> SizeTried:
    answer = lathe.client.post("/api/measured/try", json={"axis": "X", **asked})
    return SizeTried.model_validate(answer.raise_for_status().json())


def test_the_state_carries_what_was_learned(lathe: Waytell) -> None:
    learned = lathe.state()["learned"]
    assert learned["sizes"] == 2
    # 0.5 deep left 0.029 mm and 0.229 deep 0.015: about the same again for what is left.
    assert learned["advised_mm"] == pytest.approx(10.5 - 0.014, abs=0.006)
    assert learned["words"].startswith("Wind to diameter 20.9")


def test_a_size_is_tried_against_readout_and_limits_and_nothing_is_stored(lathe: Waytell) -> None:
    before = lathe.state()["events"], lathe.state()["learned"]
    found = tried(lathe, operation=SEAT["name"], at_mm=10.712, u_mm=0.002, low_mm=10.7, high_mm=10.713)
    assert found.difference_mm == pytest.approx(0.012, abs=0.006), "the scale's count is 0.005 mm"
    assert found.u_mm is not None
    assert found.u_mm > 0.002
    assert (found.verdict, found.verdict_words) == ("open", "too near a limit to tell")
    assert found.learned is not None
    assert found.learned.sizes == 3
    assert (lathe.state()["events"], lathe.state()["learned"]) == before


def test_without_an_operation_it_is_the_size_of_the_last_pass(lathe: Waytell) -> None:
    assert tried(lathe, at_mm=10.712).difference_mm == pytest.approx(0.012, abs=0.006)
    assert tried(lathe, at_mm=10.712).verdict == "no_limits"


def test_where_nothing_is_known_to_compare_with_the_difference_is_null_and_the_words_say_why(lathe: Waytell) -> None:
    found = tried(lathe, operation="another seat", at_mm=9.0)
    assert (found.difference_mm, found.u_mm) == (None, None)
    assert "no readout to compare with" in found.difference_words


@pytest.mark.parametrize(
    ("asked", "names"),
    [
        ({"at_mm": 1e9}, "at_mm"),
        ({"at_mm": 9.0, "u_mm": -1}, "u_mm"),
        ({"at_mm": 9.0, "axis": "Y"}, "axis"),
        ({"at_mm": 9.0, "low_mm": 2.0, "high_mm": 1.0}, "must not be above"),
        ({"at_mm": 9.0, "act": "measured"}, "act"),
    ],
)
def test_a_question_that_is_none_is_refused_in_words(lathe: Waytell, asked: dict[str, Any], names: str) -> None:
    answer = lathe.client.post("/api/measured/try", json={"axis": "X", **asked})
    assert answer.status_code == 422
    assert names in answer.json()["error"]


def test_another_site_may_not_ask(lathe: Waytell) -> None:
    asked = {"axis": "X", "at_mm": 9.0}
    answer = lathe.client.post("/api/measured/try", json=asked, headers={"origin": "http://elsewhere.example"})
    assert answer.status_code == 403


def test_the_history_tells_the_decision(lathe: Waytell) -> None:
    limits = {"u_mm": 0.002, "low_mm": 10.69, "high_mm": 10.72}
    answer = lathe.act("measured", operation=SEAT["name"], axis="X", at_mm=10.71, **limits)
    assert answer.json()["events"][0]["words"] == "turn the seat measured: diameter 21.420 mm, proved within its limits"
    lathe.done("undo")
