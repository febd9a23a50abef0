"""What goes out: read back by what others use to read such files, and marked where it is in doubt."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path
from typing import Any

import ezdxf.filemanagement
import pytest
from shapely.geometry import Polygon

from export.elements import Elements
from review.work import AFTER, BEFORE, TURNED, Journal
from waytell.documents.review import WorkRecord
from waytell.export.missing import CAUTION, Missing
from waytell.export.report import report
from waytell.export.section_choice import review_by_number, section_after
from waytell.export.section_dxf import section_dxf
from waytell.export.tables import passes_table, samples_table, sizes_table
from waytell.export.work_record import work_record
from waytell.review.record import Record, read

MADE = "2031-05-04T12:00:00Z"
SAMPLES = [[round(0.1 * n, 6), 9.0, round(-0.15 * n, 6)] for n in range(200)]


def bush(**changes: Any) -> Journal:
    journal = Journal()
    journal.passed(TURNED, samples=SAMPLES, outline_before=BEFORE, outline_after=AFTER, **changes)
    journal.measured(8.991)
    journal.act("part_done", part="bush")
    return journal


def recorded(journal: Journal) -> Record:
    return read(journal.events)


# -- tables ------------------------------------------------------------------------------------------------------------


def test_the_table_of_passes_is_read_back_as_it_was() -> None:
    journal = bush(operation='turn "the", bush\nµ', doubts=["jump", "stale"])
    text = passes_table(recorded(journal))
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert len(rows) == 1
    assert rows[0]["operation"] == 'turn "the", bush\nµ'
    assert float(rows[0]["held_mm"]) == 9.0
    assert rows[0]["doubts"] == "jump stale"
    assert rows[0]["part_name"] == "bush"
    assert rows[0]["came_back"] == "false"
    assert rows[0]["rpm"] == ""


def test_lines_end_and_quotes_double_as_rfc_4180_says() -> None:
    text = passes_table(recorded(bush(operation='say "when"')))
    assert text.count("\r\n") == 2
    assert text.replace("\r\n", "").count("\n") == 0
    assert '"say ""when"""' in text


def test_text_that_a_spreadsheet_would_carry_out_is_made_plain() -> None:
    for evil in ('=HYPERLINK("x")', "@SUM(A1)", "+1", "-1"):
        rows = list(csv.DictReader(io.StringIO(passes_table(recorded(bush(operation=evil))), newline="")))
        assert rows[0]["operation"] == f"'{evil}"
    assert ",-30.0," in passes_table(recorded(bush()))


def test_every_length_in_a_header_names_its_unit() -> None:
    journal = bush()
    record = recorded(journal)
    for text in (passes_table(record), sizes_table(record), samples_table(review_by_number(record, 1))):
        head = text.split("\r\n")[0].split(",")
        for name in head:
            if re.search(r"start|end|held|depth|creep|overrun|time|at|low|high|radius", name):
                assert re.search(r"_(mm|s|min|mm2|mm3|m|rev|axis)$", name) or name in (
                    "came_back",
                    "operation",
                    "rate",
                ), name


def test_the_samples_of_a_pass_come_in_their_order() -> None:
    rows = list(csv.reader(io.StringIO(samples_table(review_by_number(recorded(bush()), 1)), newline="")))
    assert rows[0] == ["time_s", "x_radius_mm", "z_mm"]
    assert [[float(cell) for cell in row] for row in rows[1:]] == SAMPLES


# -- the record --------------------------------------------------------------------------------------------------------


def test_the_record_is_the_document_that_its_schema_describes() -> None:
    text = work_record(recorded(bush(doubts=["jump"])), MADE).model_dump_json()
    again = WorkRecord.model_validate_json(text)
    assert again.passes[0].samples[3] == (0.3, 9.0, -0.45)
    assert again.passes[0].doubted[0].code == "jump"
    assert again.parts[0].sizes[0].at_mm == 8.991
    assert set(json.loads(text)) == set(WorkRecord.model_json_schema()["properties"])


# -- the drawing -------------------------------------------------------------------------------------------------------


def read_dxf(text: str, tmp_path: Path) -> Any:
    file = tmp_path / "section.dxf"
    file.write_text(text, encoding="utf-8")
    return ezdxf.filemanagement.readfile(file)


def test_the_drawing_is_one_closed_outline_in_millimetres_with_the_area_of_the_section(tmp_path: Path) -> None:
    drawing = read_dxf(section_dxf(section_after(recorded(bush()))), tmp_path)
    assert drawing.units == ezdxf.units.MM
    assert drawing.audit().errors == []
    outline = drawing.modelspace().query('LWPOLYLINE[layer=="outline"]')
    assert len(outline) == 1
    assert outline[0].closed
    drawn = Polygon([(x, y) for x, y, *_ in outline[0].get_points()])
    assert drawn.is_valid
    assert drawn.area == pytest.approx(Polygon(AFTER).area) == pytest.approx(30 * 12 - 10 * 3)
    centre = drawing.modelspace().query('LINE[layer=="centre line"]')[0]
    assert (centre.dxf.start.y, centre.dxf.end.y) == (0.0, 0.0)
    assert centre.dxf.start.x < -30 < 0 < centre.dxf.end.x


def test_a_drawing_after_a_doubtful_pass_says_so_in_the_drawing(tmp_path: Path) -> None:
    for doubts, says in ((["jump"], True), ([], False)):
        drawing = read_dxf(section_dxf(section_after(recorded(bush(doubts=doubts)))), tmp_path)
        words = " ".join(text.dxf.text for text in drawing.modelspace().query("TEXT"))
        assert ("IN DOUBT" in words) is says
        assert "Measure the part" in words


def test_what_is_not_there_is_refused_with_what_to_do() -> None:
    journal = Journal()
    with pytest.raises(Missing, match="not known for any pass") as missing:
        section_after(recorded(journal))
    assert "bar" in missing.value.do
    journal.passed(TURNED)
    with pytest.raises(Missing, match="not known for pass 1"):
        section_after(recorded(journal), 1)
    with pytest.raises(Missing, match="no pass 7") as missing:
        section_after(recorded(journal), 7)
    assert missing.value.do == "Passes 1 to 1 were taken."
    with pytest.raises(Missing, match="no part 9"):
        report(recorded(journal), MADE, 9)


def test_the_newest_known_outline_is_drawn_where_no_pass_is_named() -> None:
    journal = bush()
    journal.passed(TURNED)
    assert section_after(recorded(journal)).passed.number == 1


# -- the report --------------------------------------------------------------------------------------------------------


def test_the_report_needs_nothing_from_elsewhere() -> None:
    text = report(recorded(bush()), MADE)
    found = Elements(text).found
    assert not [tag for tag, _ in found if tag in ("script", "link", "img", "iframe", "object")]
    assert not [(tag, attributes) for tag, attributes in found if {"href", "src"} & set(attributes)]
    assert not re.search(r"@import|url\((?!#)", text)
    assert "@page { size: A4" in text


def test_the_report_tells_sizes_parts_and_cautions_in_the_persons_units() -> None:
    journal = bush()
    words = " ".join(Elements(report(recorded(journal), MADE)).words)
    # The size was told as a radius of 8.991 mm.
    assert "⌀ 17.982" in words
    assert "within its limits" in words
    assert "qualified person come first" in words
    assert CAUTION in " ".join(words.split())
    journal.act("choose_units", units={"length": "inch", "x_as": "radius"})
    # 8.991 mm / 25.4 = 0.35398 in.
    assert "R 0.3540" in " ".join(Elements(report(recorded(journal), MADE)).words)


def test_every_figure_of_a_doubtful_pass_is_struck_through_and_says_why() -> None:
    page = Elements(report(recorded(bush(doubts=["missed_edges"], feed_mm_min=41.0, depth_mm=0.377)), MADE))
    for figure in ("⌀ 0.754", "41", "20 s"):
        assert figure in page.struck
    words = " ".join(page.words)
    assert "In doubt: Edges of a scale were missed" in words
    assert "1 of these passes is in doubt" in words
    assert Elements(report(recorded(bush()), MADE)).struck == []


def test_names_cannot_become_part_of_the_page() -> None:
    journal = bush(operation="<script>alert(1)</script>")
    journal.act("part_done", part="<img src=x onerror=alert(1)>")
    found = Elements(report(recorded(journal), MADE)).found
    assert not [tag for tag, _ in found if tag in ("script", "img")]


def test_the_section_in_the_report_is_to_scale_and_leaves_out_the_centre_line_as_an_edge() -> None:
    found = Elements(report(recorded(bush()), MADE)).found
    thick = next(one["d"] or "" for tag, one in found if tag == "path" and one.get("class") == "thick")
    points = [tuple(float(n) for n in pair.split()) for pair in re.findall(r"[ML]([-\d.]+ [-\d.]+)", thick)]
    wide, high = (max(p[n] for p in points) - min(p[n] for p in points) for n in (0, 1))
    assert wide / high == pytest.approx(30 / 12, rel=1e-3)
    # Six corners, of whose six sides one lies on the centre line.
    assert thick.count("M") == 5


def test_an_empty_record_gives_a_report_that_says_so() -> None:
    words = " ".join(Elements(report(recorded(Journal()), MADE)).words)
    assert "No pass was taken yet." in words
    assert "No size was measured." in words
