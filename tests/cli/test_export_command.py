"""`waytell export` as a person uses it: on a journal that a real run left, and its words where it cannot."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import ezdxf.filemanagement
import pytest

from support.running import told, waytell
from waytell.documents.review import WorkRecord


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The journal of a simulated pass and of a size that was measured."""
    folder = tmp_path_factory.mktemp("data")
    with waytell("run", "--source", "simulated:dwell_and_return?pace=8", "--data", str(folder)) as running:
        running.wait_for(lambda state: state["passes"] >= 1, within_s=40)
        answer = running.act(
            "measured", operation="turn one size down", axis="X", at_mm=11.0, u_mm=0.005, low_mm=10.9, high_mm=11.1
        )
        assert answer.status_code == 200, answer.text
        assert running.act("part_done", part="bush").status_code == 200
    return folder


def test_help_names_every_ending() -> None:
    words = told("export", "--help").stdout
    assert all(ending in words for ending in (".csv", ".json", ".dxf", ".html"))


def test_the_section_comes_as_a_drawing_of_the_turned_bar(data: Path, tmp_path: Path) -> None:
    file = tmp_path / "section.dxf"
    assert told("export", file, "--data", data, "--pass", "1").returncode == 0
    outline = ezdxf.filemanagement.readfile(file).modelspace().query("LWPOLYLINE")[0]
    radii = [y for _, y, *_ in outline.get_points()]
    # The invented bar is 24 mm thick, and the first pass turned its front end down.
    assert max(radii) == pytest.approx(12.0, abs=0.05)
    assert len({round(radius, 2) for radius in radii}) >= 3


def test_the_passes_come_as_a_table(data: Path, tmp_path: Path) -> None:
    file = tmp_path / "passes.csv"
    done = told("export", file, "--data", data)
    assert done.returncode == 0, done.stderr
    with file.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert rows[0]["kind"] == "turning"
    assert rows[0]["part_name"] == "bush"
    assert b"\r\n" in file.read_bytes()
    assert b"\r\r\n" not in file.read_bytes()


def test_the_whole_record_comes_as_its_document(data: Path, tmp_path: Path) -> None:
    file = tmp_path / "record.json"
    assert told("export", file, "--data", data).returncode == 0
    record = WorkRecord.model_validate(json.loads(file.read_text(encoding="utf-8")))
    assert record.parts[0].name == "bush"
    assert record.parts[0].sizes[0].verdict == "within"
    assert len(record.passes) >= 1


def test_the_report_comes_as_one_page(data: Path, tmp_path: Path) -> None:
    file = tmp_path / "report.html"
    assert told("export", file, "--data", data, "--part", "1").returncode == 0
    assert "turn one size down" in file.read_text(encoding="utf-8")


def test_a_file_is_written_over_only_on_demand(data: Path, tmp_path: Path) -> None:
    file = tmp_path / "passes.csv"
    file.write_text("mine")
    refused = told("export", file, "--data", data)
    assert refused.returncode != 0
    assert "--overwrite" in refused.stderr
    assert file.read_text() == "mine"
    assert told("export", file, "--data", data, "--overwrite").returncode == 0
    assert file.read_text() != "mine"


def test_what_cannot_be_exported_is_said_with_what_to_do(data: Path, tmp_path: Path) -> None:
    for arguments, words in (
        (("record.txt",), ".csv, .json, .dxf, .html"),
        (("record.json", "--data", str(tmp_path / "none")), "--data"),
        (("record.json", "--data", str(data), "--machine", "the other"), "the other"),
        (("report.html", "--data", str(data), "--part", "99"), "no part 99"),
        (("section.dxf", "--data", str(data), "--pass", "99"), "no pass 99"),
    ):
        refused = told("export", tmp_path / arguments[0], *arguments[1:])
        assert refused.returncode != 0
        assert words in refused.stderr
        assert "Traceback" not in refused.stderr
        assert not (tmp_path / arguments[0]).exists()
    assert not (tmp_path / "none").exists()
