"""Parts, plans, part files and tables over the API of a real process with a simulated lathe (invented part)."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

import pytest

from support.running import Waytell, waytell
from waytell_bridge.simulated.serving import BoardServer

BUSH: dict[str, Any] = {
    "name": "axle bush (invented)",
    "material": "phosphor bronze",
    "bar": {"diameter_mm": 24.0},
    "set_ups": [{"out_mm": 40.0}, {"out_mm": 15.0}],
    "features": [
        {"kind": "face"},
        {"kind": "turned", "diameter": {"mm": 18.0, "tolerance_class": "h8"}, "to": 22.0},
        {"kind": "hole", "diameter_mm": 9.5, "to_mm": 32.0},
        {"kind": "part_off", "at_mm": 30.5},
        {"kind": "face", "set_up": 2, "length": 30.0},
    ],
}


@pytest.fixture(scope="module")
def lathe(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Waytell]:
    with (
        BoardServer(seed=3) as board,
        waytell("run", "--source", board.url, "--data", str(tmp_path_factory.mktemp("data"))) as running,
    ):
        running.wait_until_live()
        running.done("use_config", config=board.config)
        yield running


def plan_now(lathe: Waytell) -> dict[str, Any]:
    return dict(lathe.client.get("/api/plan").raise_for_status().json())


def test_without_a_part_there_is_no_plan(lathe: Waytell) -> None:
    now = plan_now(lathe)
    assert (now["part"], now["planned"], now["set_up"]) == (None, None, 0)
    for file in ("part.toml", "set-up-sheet.html"):
        answer = lathe.client.get(f"/api/export/{file}")
        assert answer.status_code == 404
        assert "Plan" in answer.json()["do"]
    refused = lathe.act("new_set_up", of_part=1)
    assert refused.status_code == 409
    assert "No part is in use" in refused.json()["error"]


def test_a_part_being_typed_is_planned_and_nothing_is_stored(lathe: Waytell) -> None:
    before = lathe.state()["events"]
    planned = lathe.client.post("/api/plan/try", json=BUSH).raise_for_status().json()
    kinds = [step["operation"]["kind"] for step in planned["plan"]["steps"]]
    assert kinds == ["facing", "turning", "drilling", "turning", "parting", "facing"]
    assert lathe.state()["events"] == before


def test_what_contradicts_what_is_told_instead_of_a_plan(lathe: Waytell) -> None:
    wide = {**BUSH, "features": [{"kind": "face"}, {"kind": "turned", "diameter": 26.0, "to": 22.0}]}
    planned = lathe.client.post("/api/plan/try", json={**wide, "set_ups": [{"out_mm": 40.0}]}).json()
    assert planned["plan"] is None
    assert planned["contradictions"][0]["features"] == [2]
    assert "24" in planned["contradictions"][0]["words"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"features": [{"kind": "thread"}]}, "kind"),
        ({"bar": {"diameter_mm": -1}}, "bar.diameter_mm"),
        ({"features": [{"kind": "turned", "diameter": "wide", "to": 3}]}, "diameter"),
        ({"set_ups": []}, "set_ups"),
    ],
)
def test_what_is_no_part_is_refused_with_its_place(lathe: Waytell, change: dict[str, Any], words: str) -> None:
    answer = lathe.client.post("/api/plan/try", json={**BUSH, **change})
    assert answer.status_code == 422
    assert words in answer.json()["error"]


def test_a_step_with_other_depths(lathe: Waytell) -> None:
    asked = {"part": BUSH, "step": 2}
    found = lathe.client.post("/api/plan/what_if", json=asked).raise_for_status().json()
    forces = [point["force_n"] for point in found["points"]]
    assert forces == sorted(forces)
    assert found["planned_mm"] > 0
    drilling = lathe.client.post("/api/plan/what_if", json={"part": BUSH, "step": 3})
    assert drilling.status_code == 409
    assert "one go" in drilling.json()["error"]
    assert lathe.client.post("/api/plan/what_if", json={"part": BUSH, "step": 99}).status_code == 409


def test_tables_name_their_sources_and_the_persons_own_come_first(lathe: Waytell) -> None:
    tables = lathe.client.get("/api/plan/tables").raise_for_status().json()
    assert all(one["kc11_n_mm2"]["source"] for one in tables["materials"])
    bronze = next(one for one in tables["materials"] if one["name"] == "phosphor bronze")
    own = {**bronze, "density_kg_m3": {"value": 8700.0, "source": "weighed (invented)"}}
    config = {**tables["config"], "materials": [own]}
    lathe.done("use_config", config=config)
    again = lathe.client.get("/api/plan/tables").json()["materials"]
    assert again[0]["density_kg_m3"] == own["density_kg_m3"]
    assert [one["name"] for one in again].count("phosphor bronze") == 1
    lathe.done("undo")


def test_a_part_in_use_is_kept_exported_read_back_and_undone(lathe: Waytell) -> None:
    lathe.done("use_part", part=BUSH)
    now = plan_now(lathe)
    assert now["part"]["name"] == BUSH["name"]
    assert now["undo"][0] == "Part axle bush (invented)"
    text = lathe.client.get("/api/export/part.toml").raise_for_status().text
    assert tomllib.loads(text)["features"][1]["diameter"]["tolerance_class"] == "h8"
    read = lathe.client.post("/api/plan/read", content=text, headers={"Content-Type": "application/toml"})
    assert read.raise_for_status().json() == now["part"]
    sheet = lathe.client.get("/api/export/set-up-sheet.html").raise_for_status()
    assert "axle bush" in sheet.text
    assert "<script" not in sheet.text
    lathe.done("undo")
    assert plan_now(lathe)["part"] is None


@pytest.mark.parametrize("text", ["", "name = ", "\x00\xff", "format = 'waytell-part'\nversion = 99\n"])
def test_what_is_no_part_file_is_refused_with_words(lathe: Waytell, text: str) -> None:
    answer = lathe.client.post(
        "/api/plan/read", content=text.encode("latin-1"), headers={"Content-Type": "application/toml"}
    )
    assert answer.status_code == 422
    assert answer.json()["do"]


def test_the_bar_and_the_part_turned_round_go_in_the_chuck_as_they_are(lathe: Waytell) -> None:
    lathe.done("use_part", part=BUSH)
    lathe.done("new_set_up", of_part=1)
    work = lathe.state()["work"]
    assert work["stock"]["diameter_mm"] == pytest.approx(24.0)
    assert work["outline"][-1] == pytest.approx([1.0, 12.0])
    assert plan_now(lathe)["set_up"] == 1
    lathe.done("new_set_up", of_part=2)
    now = plan_now(lathe)
    states = {step["number"]: (step["set_up"], step["state"]) for step in now["planned"]["plan"]["steps"]}
    assert all(state == "done" for set_up, state in states.values() if set_up == 1)
    assert [state for set_up, state in states.values() if set_up == 2] == ["next"]
    # 30.5 mm were parted off, and 30 are to be left: half a millimetre stands in front of the face.
    assert lathe.state()["work"]["outline"][-1][0] == pytest.approx(0.5)
    for _ in range(3):
        lathe.done("undo")
