"""`waytell plan` as a person uses it: a real process, its words, its exit code and what it writes."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from support.running import told
from waytell.documents.plan import Planned
from waytell.part_file import PART_EXAMPLE

LATHE = (
    '[[tools]]\nname = "right-hand tool"\nnose_radius_mm = 0.4\n'
    '[[tools]]\nname = "bar"\nkind = "boring"\n[[tools]]\nname = "blade"\nkind = "grooving"\nwidth_mm = 2.0\n'
    '[[tools]]\nname = "drill 9"\nkind = "drill"\ndiameter_mm = 9.0\n'
)
# A bore as wide as the shoulder that it goes through.
NO_WALL = PART_EXAMPLE.replace("mm = 10.0, tolerance", "mm = 17.0, tolerance")


@pytest.fixture
def part(tmp_path: Path) -> Path:
    file = tmp_path / "bush.toml"
    file.write_text(told("plan", "--example").stdout, encoding="utf-8")
    return file


@pytest.fixture
def lathe(tmp_path: Path) -> Path:
    file = tmp_path / "lathe.toml"
    file.write_text(LATHE, encoding="utf-8")
    return file


def test_help_names_the_command_and_every_choice() -> None:
    assert " plan " in told("--help").stdout
    words = " ".join(told("plan", "--help").stdout.split())
    assert all(name in words for name in ("--config", "--json", "--sheet", "--set-up", "--example", "standard input"))


def test_the_example_can_be_planned_as_it_comes(part: Path, lathe: Path) -> None:
    done = told("plan", part, "--config", lathe)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    for words in (
        "wagon bush: phosphor bronze",
        "Face the end",
        "Set-up 2",
        "drill to −28.704",
        "318, material",
        "To heed:",
    ):
        assert words in done.stdout
    # ISO 286-1: IT7 over 10 up to 18 mm is 18 micrometres, below 0 for h.
    assert "15.982 to 16.000, h7 (ISO 286)" in done.stdout
    assert max(len(line) for line in done.stdout.splitlines() if "│" in line) <= 160


def test_text_and_document_tell_the_same(part: Path, lathe: Path) -> None:
    text = " ".join(told("plan", part, "--config", lathe).stdout.split())
    done = told("plan", part, "--config", lathe, "--json")
    assert done.returncode == 0, done.stderr
    found = Planned.model_validate_json(done.stdout).plan
    assert found is not None
    for step in found.steps:
        assert f"│ {step.number} │" in text
        assert f" {step.speed.rpm:.0f}, " in text
        assert f" {step.feed_mm_rev:.3f} " in text
    for caution in found.cautions:
        assert f"{caution.words} {caution.do}" in text


def test_a_part_comes_through_standard_input() -> None:
    done = told("plan", "-", "--json", input=PART_EXAMPLE)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["plan"]["part"]["name"] == "wagon bush"
    refused = told("plan", "-", input="name = 3\n")
    assert refused.returncode == 1
    assert "standard input cannot be used" in refused.stderr


def test_without_a_lathe_it_says_whose_limits_and_tools_those_are(part: Path) -> None:
    done = told("plan", part)
    assert done.returncode == 0
    assert "No lathe was named (--config FILE)" in done.stderr
    assert "no drill of 9 mm in the table" in done.stdout


def test_features_that_cannot_both_be_true_are_told_with_numbers_and_a_way_out(part: Path, tmp_path: Path) -> None:
    part.write_text(NO_WALL, encoding="utf-8")
    sheet = tmp_path / "sheet.html"
    done = told("plan", part, "--sheet", sheet)
    assert done.returncode == 1
    assert done.stdout == ""
    for words in ("Feature 4", "feature 2", "17", "16", "Correct one of them."):
        assert words in done.stderr
    assert not sheet.exists()
    document = told("plan", part, "--json")
    assert document.returncode == 1
    found = Planned.model_validate_json(document.stdout)
    assert found.plan is None
    assert {2, 4} <= set(found.contradictions[0].features)


def test_the_sheet_is_written_and_never_over_another_unasked(part: Path, lathe: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.html"
    done = told("plan", part, "--config", lathe, "--sheet", sheet)
    assert done.returncode == 0, done.stderr
    assert "Wrote" in done.stderr
    assert "Set-up 2" in sheet.read_text(encoding="utf-8")
    again = told("plan", part, "--config", lathe, "--sheet", sheet)
    assert again.returncode == 1
    assert "--overwrite" in again.stderr
    assert told("plan", part, "--sheet", sheet, "--overwrite", "--set-up", "1").returncode == 0
    assert "turned round" not in sheet.read_text(encoding="utf-8")


def test_one_set_up_is_told_alone(part: Path, lathe: Path) -> None:
    words = told("plan", part, "--config", lathe, "--set-up", "2").stdout
    assert "Set-up 2" in words
    assert "Set-up 1" not in words
    assert "Part off" not in words


def test_inches_and_radii_are_the_persons_choice(part: Path, lathe: Path) -> None:
    lathe.write_text(LATHE + '[units]\nlength = "inch"\nx_as = "radius"\n', encoding="utf-8")
    words = told("plan", part, "--config", lathe).stdout
    # 15.982 / 25.4 = 0.62921; a finishing cut of 0.1 mm on the radius is 0.00394 in.
    assert "0.6292 to 0.6299" in words
    assert "1 finish, 0.0039" in words
    assert "bar 0.7874 inch" in words


@pytest.mark.usefixtures("part")
@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((), "waytell plan --example prints one"),
        (("none.toml",), "There is no none.toml. Write one to begin with"),
        (("bush.toml", "--example"), "give it alone"),
        (("bush.toml", "--json", "--set-up", "1"), "leave out --set-up"),
        (("bush.toml", "--set-up", "3"), "1<=x<=2"),
        (("bush.toml", "--sheet", "sheet.pdf"), "call it sheet.html"),
        (("bush.toml", "--sheet", "none/sheet.html"), "Name another place"),
        (("bush.toml", "--config", "none.toml"), "waytell config init"),
        (("bush.toml", "--config", "slow.toml"), "no spindle speed is left"),
        (("short.toml", "--set-up", "2"), "has no set-up 2"),
        (("butter.toml",), "no material is called"),
    ],
)
def test_what_cannot_be_done_is_said_with_what_to_do(tmp_path: Path, arguments: tuple[str, ...], says: str) -> None:
    (tmp_path / "slow.toml").write_text("[machine]\nspindle_max_rpm = 100\nspindle_min_rpm = 200\n")
    one, two = PART_EXAMPLE.split("[[set_ups]]\nout_mm = 10.0\nsawn_mm = 1.0\n")
    (tmp_path / "short.toml").write_text(one + two.split('[[features]]\nkind = "face"\nset_up = 2')[0])
    (tmp_path / "butter.toml").write_text(PART_EXAMPLE.replace("phosphor bronze", "butter"))
    refused = told("plan", *arguments, cwd=tmp_path)
    assert refused.returncode != 0
    assert says in refused.stderr
    assert "Traceback" not in refused.stderr


def test_a_name_cannot_steer_the_terminal_nor_end_the_program(part: Path) -> None:
    part.write_text(PART_EXAMPLE.replace('"wagon bush"', '"[red]\\u001b[2J车\\nbush"'), encoding="utf-8")
    done = told("plan", part, env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0, done.stderr
    assert "\x1b" not in done.stdout
    assert "[red]?[2J?" in done.stdout
