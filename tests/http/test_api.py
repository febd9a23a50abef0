"""The JSON API of a real process that listens to a simulated lathe by hand."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from openapi_spec_validator import validate

from support.running import Waytell, figure, waytell

OPERATION = {
    "name": "turn the seat", "kind": "turning", "start_mm": 0.0, "end_mm": -10.0, "target_mm": 9.0, "depth_mm": 0.5,
}  # fmt: skip


@pytest.fixture(scope="module")
def lathe(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Waytell]:
    with waytell("run", "--source", "simulated:by_hand", "--data", str(tmp_path_factory.mktemp("data"))) as running:
        running.wait_for(lambda state: state["link"]["condition"] == "live" and state["link"]["boot"])
        yield running


@pytest.fixture(autouse=True)
def heard(lathe: Waytell) -> None:
    """Readings that come late for a moment are a busy computer's affair."""
    lathe.wait_for(lambda state: all(doubt["code"] != "stale" for doubt in state["doubts"]))


def test_state_is_the_document_that_the_openapi_document_describes(lathe: Waytell) -> None:
    document = lathe.client.get("/api/openapi.json").json()
    validate(document)
    assert set(document["paths"]) >= {"/api/state", "/api/passes", "/api/events", "/api/acts", "/healthz"}
    described = document["components"]["schemas"]["LiveState"]["properties"]
    assert set(described) == set(lathe.state())


def test_health_says_that_the_link_is_live(lathe: Waytell) -> None:
    lathe.wait_until_live()
    assert lathe.client.get("/healthz").json() == {"ok": True, "link": "live", "stored": True}


def test_an_axis_not_touched_off_is_never_good(lathe: Waytell) -> None:
    lathe.act("new_set_up")
    told = lathe.wait_for(lambda now: now["link"]["condition"] == "live")
    assert figure(told, "Z") == {"good": False, "last_mm": None, "reasons": ["not_referenced"]}


def test_touching_off_makes_a_good_figure_with_its_uncertainty(lathe: Waytell) -> None:
    lathe.done("touch_off", axis="Z", at_mm=1.5)
    position = figure(lathe.wait_for(lambda now: figure(now, "Z")["good"]), "Z")
    assert position["value_mm"] == pytest.approx(1.5, abs=1e-9)
    assert 0.0 < position["u_mm"] < 0.1


def test_an_act_answers_with_its_event_and_the_event_list_has_it(lathe: Waytell) -> None:
    answer = lathe.act("choose_operation", operation=OPERATION).json()
    event = answer["events"][0]
    assert event["kind"] == "act"
    assert event["words"] == "Operation turn the seat"
    after = lathe.client.get("/api/events", params={"after": event["number"] - 1}).json()["events"]
    assert after[0] == event


def test_undo_takes_back_the_operation_and_says_so(lathe: Waytell) -> None:
    lathe.act("choose_operation", operation=OPERATION)
    lathe.act("set_target", target_mm=8.0)
    state = lathe.state()
    assert state["operation"]["target_mm"] == 8.0
    assert state["undo"] == "Size diameter 16.000 mm"
    lathe.act("undo")
    assert lathe.state()["operation"]["target_mm"] == 9.0


BAD_ACTS: list[tuple[dict[str, Any], int, str]] = [
    ({"act": "dance"}, 422, "dance"),
    ({"act": "touch_off", "axis": "Y", "at_mm": 1}, 422, "axis"),
    ({"act": "touch_off", "axis": "X", "at_mm": "NaN"}, 422, "at_mm"),
    ({"act": "touch_off", "axis": "X", "at_mm": 1e9}, 422, "at_mm"),
    ({"act": "touch_off", "axis": "X", "at_mm": 1, "how": "shim"}, 422, "shim_mm"),
    ({"act": "set_depth", "depth_mm": -1}, 422, "depth_mm"),
    ({"act": "clamp", "axis": "Z"}, 422, "held"),
    ({"act": "clamp", "axis": "Z", "held": True, "extra": 1}, 422, "extra"),
    ({"act": "choose_tool", "tool": "spoon"}, 409, "spoon"),
    ({"act": "choose_operation", "operation": {**OPERATION, "end_mm": 0.0}}, 422, "nothing to feed"),
    ({"act": "choose_operation", "operation": {**OPERATION, "target_mm": -3.0}}, 422, "radius"),
]


@pytest.mark.parametrize(("body", "status", "names"), BAD_ACTS)
def test_a_bad_act_is_refused_with_what_is_wrong_and_changes_nothing(
    lathe: Waytell, body: dict[str, Any], status: int, names: str
) -> None:
    before = lathe.state()["events"]
    answer = lathe.client.post("/api/acts", json=body)
    assert answer.status_code == status
    assert names in answer.json()["error"]
    assert answer.json()["do"]
    assert lathe.state()["events"] == before


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b'"act"', b"\xff\xfe", b"null"])
def test_a_body_that_is_no_act_is_refused_in_words(lathe: Waytell, content: bytes) -> None:
    answer = lathe.client.post("/api/acts", content=content, headers={"content-type": "application/json"})
    assert 400 <= answer.status_code < 500
    assert answer.json()["error"]


def test_an_act_from_another_site_is_refused(lathe: Waytell) -> None:
    answer = lathe.client.post("/api/acts", json={"act": "undo"}, headers={"origin": "http://elsewhere.example"})
    assert answer.status_code == 403


def test_last_pass_cannot_be_measured_before_there_is_one(lathe: Waytell) -> None:
    answer = lathe.act("touch_off", axis="X", at_mm=9.0, how="measured", where="last_pass")
    assert answer.status_code == 409
    assert "No pass was turned" in answer.json()["error"]


def test_the_page_and_its_files_come_with_a_strict_policy(lathe: Waytell) -> None:
    page = lathe.client.get("/")
    assert page.status_code == 200
    assert "default-src 'self'" in page.headers["content-security-policy"]
    assert lathe.client.get("/static/../app.py").status_code == 404
    assert lathe.client.get("/nothing").status_code == 404


def test_an_unknown_fault_of_the_demonstration_is_refused(lathe: Waytell) -> None:
    assert lathe.client.post("/api/demo", json={"fault": "earthquake"}).status_code == 409


def test_a_second_program_on_the_same_port_says_what_to_do(lathe: Waytell, tmp_path: Path) -> None:
    port = str(httpx.URL(lathe.url).port)
    with pytest.raises(AssertionError, match="Is Waytell running already"):
        Waytell("run", "--source", "simulated:by_hand", "--data", str(tmp_path), "--port", port)
