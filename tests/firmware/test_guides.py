"""What the guides say, held against what is built."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import pytest

from firmware.board_bench import END, FIRMWARE, HERE, SEEN, STARTED, Bench

README = (FIRMWARE / "README.md").read_text(encoding="utf-8")
FITTING = FIRMWARE.parent / "FITTING.md"
DRAWINGS = sorted((FIRMWARE.parent / "fitting").glob("*.svg"))


def table_rows(text: str, heading: str) -> list[list[str]]:
    """Cells of the table under a header row that begins with `heading`."""
    lines = iter(text.splitlines())
    for line in lines:
        if line.startswith(f"| {heading} |"):
            break
    next(lines)
    rows = []
    for line in lines:
        if not line.startswith("|"):
            break
        rows.append([cell.strip() for cell in re.split(r"(?<!\\)\|", line.strip("|"))])
    return rows


def test_the_pin_table_names_the_pins_the_firmware_uses() -> None:
    said = {what: port for what, port, *_ in table_rows(README, "what")}
    pins = dict(re.findall(r"#define (\w+_PIN\w*) (\d)", (FIRMWARE / "port/avr/pins.h").read_text(encoding="utf-8")))
    assert said["spindle pulse"] == f"PB{pins['TACH_PIN']}"
    assert said["caliper clock (option)"] == f"PB{pins['CALIPER_CLOCK_PIN']}"
    assert said["caliper data (option)"] == f"PB{pins['CALIPER_DATA_PIN']}"
    assert said["switch 0, by convention the carriage clamp"] == f"PD{pins['SWITCH_PIN_0']}"
    assert said["switch 1, by convention a foot switch"] == f"PD{pins['SWITCH_PIN_1']}"
    assert said["reference mark of scale 0"] == f"PD{pins['MARK_PIN_0']}"
    assert said["reference mark of scale 1"] == f"PD{pins['MARK_PIN_1']}"


@pytest.mark.parametrize(
    ("line", "axis", "step"), [("C0", 0, 1), ("C1", 0, -1), ("C2", 1, 1), ("C3", 1, -1), ("C4", 2, 1), ("C5", 2, -1)]
)
def test_each_scale_line_is_where_the_table_says(
    bench_of: Callable[[str], Bench], line: str, axis: int, step: int
) -> None:
    """From rest with both lines low, A rising first is one count up, B rising first one down."""
    rows = {f"C{cells[1][2]}": cells[0] for cells in table_rows(README, "what") if cells[1].startswith("PC")}
    assert rows[line].startswith(f"scale {axis} {'A' if step > 0 else 'B'}")
    run = bench_of("three").run(f"{STARTED}drive {line} 1\nwait 9000\n{END}")
    assert run.last.counts == tuple(step if i == axis else 0 for i in range(3))


def test_the_option_table_is_that_of_the_makefile() -> None:
    makefile = (FIRMWARE / "Makefile").read_text(encoding="utf-8")
    made = dict(re.findall(r"^([A-Z_]+) \?= (.+)$", makefile, flags=re.MULTILINE))
    made = {name: value for name, value in made.items() if name not in {"AVRDUDE", "FLASH_BAUD"}}
    assert {name.strip("`"): default for name, default, _ in table_rows(README, "option")} == made


@pytest.mark.parametrize(("name", "column"), [("two", 1), ("three", 2)])
def test_the_costs_are_as_measured(bench_of: Callable[[str], Bench], name: str, column: int) -> None:
    costs = {row[0]: row[column] for row in table_rows(README, "cost")}
    run = bench_of(name).run(f"{STARTED}send Q\nmove x 100000 100000\nspindle 20000\n{SEEN}{END}")
    cycles, spacing = costs["cycles of a sample, entry and return included"].split(" of ")
    assert run.stats["isr_cycles_least"] == int(cycles)
    assert run.stats["isr_cycles_most"] == int(costs["cycles of a sample that also takes a received byte"])
    assert run.stats["sample_gap_most"] / 16 == pytest.approx(
        float(costs["widest gap between two samples"].split()[0]), abs=0.1
    )
    assert run.stats["isr_load"] == pytest.approx(int(cycles) / int(spacing), abs=0.02)


def test_every_command_of_the_peer_is_in_its_table() -> None:
    source = (HERE / "peer/script.c").read_text(encoding="utf-8")
    known = set(re.findall(r'\{"(\w+)", \w+\}', source)) | {"say", "send", "raw", "end"}
    rows = "\n".join(row[0] for row in table_rows((HERE / "README.md").read_text(encoding="utf-8"), "command"))
    assert known == {words.split()[0] for words in re.findall(r"`([^`]+)`", rows)}


def test_the_fitting_guide_shows_every_drawing_and_no_other() -> None:
    shown = re.findall(r"!\[[^\]]+\]\((fitting/[\w-]+\.svg)\)", FITTING.read_text(encoding="utf-8"))
    assert [f"fitting/{path.name}" for path in DRAWINGS] == sorted(shown)


@pytest.mark.parametrize("path", DRAWINGS, ids=lambda path: path.stem)
def test_a_drawing_can_be_read_and_says_what_it_shows(path: Path) -> None:
    root = ET.fromstring(path.read_text(encoding="utf-8"))
    space = "{http://www.w3.org/2000/svg}"
    assert root.tag == f"{space}svg"
    assert root.find(f"{space}title") is not None
    assert root.find(f"{space}desc") is not None
    x0, y0, width, height = (float(word) for word in root.attrib["viewBox"].split())
    for text in root.iter(f"{space}text"):
        x, y = float(text.attrib["x"]), float(text.attrib["y"])
        assert x0 <= x <= x0 + width
        assert y0 <= y <= y0 + height
