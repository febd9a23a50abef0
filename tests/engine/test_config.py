"""The configuration file: the example can be used, and whatever cannot be used is told with its place and remedy."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from waytell.config import EXAMPLE, ConfigError, load_config, parse_config
from waytell.documents.config import Config


def test_the_example_can_be_used_and_shows_the_defaults(tmp_path: Path) -> None:
    file = tmp_path / "lathe.toml"
    file.write_text(EXAMPLE, encoding="utf-8")
    config = load_config(file)
    assert [(scale.channel, scale.slide, scale.resolution_um) for scale in config.scales] == [
        (0, "cross", 5.0), (1, "carriage", 5.0),
    ]  # fmt: skip
    plain = Config()
    for part in ("machine", "board", "compound", "hold", "units"):
        assert getattr(config, part) == getattr(plain, part)


def test_the_lines_of_the_example_that_are_commented_out_can_be_used_too() -> None:
    wanted = ("source", "line_pattern", "line_scale")
    lines = [
        line.removeprefix("# ") if line.startswith(tuple(f"# {name} =" for name in wanted)) else line
        for line in EXAMPLE.splitlines()
    ]
    config = parse_config("\n".join(lines), "example")
    assert set(wanted) <= set(tomllib.loads("\n".join(lines))["board"])
    assert (config.board.source, config.board.line_scale) == ("/dev/ttyUSB0", 1000.0)


def test_an_empty_file_is_a_lathe_without_scales() -> None:
    assert parse_config("", "empty").scales == ()


SCALE = '[[scales]]\nchannel = 0\nslide = "cross"\nresolution_um = 5.0\n'


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[machine\n", ("lathe.toml is not TOML", "line 1")),
        ("[machine]\nspindel_max_rpm = 900\n", ("machine.spindel_max_rpm", "no such name", "waytell config init")),
        ("[machine]\nspindle_max_rpm = 0\n", ("machine.spindle_max_rpm", "greater than 0", "found 0")),
        ("[machine]\ntemperature_c = 200\n", ("machine.temperature_c", "less than or equal to 60")),
        ("[machine]\nreaction_time_s = 'quick'\n", ("machine.reaction_time_s", "valid number", "found 'quick'")),
        (SCALE.replace("5.0", "-5.0"), ("scales.0.resolution_um", "greater than 0.001")),
        (
            SCALE.replace("cross", "top"),
            ("scales.0.slide", "'cross', 'carriage', 'compound' or 'tailstock'", "found 'top'"),
        ),
        (SCALE + "direction = 2\n", ("scales.0.direction", "1 or -1")),
        (SCALE.replace("resolution_um = 5.0\n", ""), ("scales.0.resolution_um", "required")),
        (SCALE + SCALE, ("each channel may appear once", "twice here: 0")),
        (SCALE + SCALE.replace("= 0", "= 1"), ("each slide may appear once", "twice here: cross")),
        ('[[tools]]\nname = "a"\n[[tools]]\nname = "a"\n', ("each tool name may appear once", "twice here: a")),
        ("[hold]\nwarning_mm = 0.05\n", ("hold", "warning_mm 0.05 must not be above limit_mm 0.02")),
        ("[board]\nline_pattern = '('\n", ("board.line_pattern", "not a regular expression")),
        ("[board]\nline_pattern = 'X(-?[0-9]+)'\n", ("board.line_pattern", "(?P<c0>")),
        ("[compound]\nangle_deg = 100\n", ("compound.angle_deg", "less than or equal to 90")),
        ("[units]\nlength = 'cm'\n", ("units.length", "'mm' or 'inch'")),
        ("[[tools]]\nname = ''\n", ("tools.0.name", "at least 1 character")),
        ("hold = 3\n", ("hold", "found 3")),
        ("[machine]\nspindle_max_rpm = nan\n", ("machine.spindle_max_rpm",)),
        (SCALE.replace("5.0", "inf"), ("scales.0.resolution_um",)),
    ],
)
def test_what_cannot_be_used_is_told_with_its_place_and_what_would_do(text: str, says: tuple[str, ...]) -> None:
    with pytest.raises(ConfigError) as refused:
        parse_config(text, "lathe.toml")
    words = str(refused.value)
    assert words.startswith("lathe.toml")
    for part in says:
        assert part in words
    assert "pydantic" not in words


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(ConfigError, match=r"(?s)machine\.spindle_max_rpm.*units\.length"):
        parse_config("[machine]\nspindle_max_rpm = 0\n[units]\nlength = 'cm'\n", "lathe.toml")


def test_a_missing_file_is_told_with_how_to_write_one(tmp_path: Path) -> None:
    with pytest.raises(ConfigError, match=r"There is no .*lathe\.toml\. Write one with: waytell config init"):
        load_config(tmp_path / "lathe.toml")


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b'[machine]\nname = "\xe9tau"\n'])
def test_a_file_that_is_no_utf_8_text_is_told_so(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "lathe.toml"
    file.write_bytes(content)
    with pytest.raises(ConfigError, match=r"lathe\.toml cannot be read: .*UTF-8"):
        load_config(file)


def test_a_folder_in_place_of_the_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(ConfigError, match="cannot be read"):
        load_config(tmp_path)


def test_a_drill_has_the_usual_point_unless_it_is_told() -> None:
    drill = '[[tools]]\nname = "drill"\nkind = "drill"\ndiameter_mm = 6.0\n'
    assert parse_config(drill, "lathe.toml").tools[0].point_angle_deg == 118.0
    assert parse_config(drill + "point_angle_deg = 135.0\n", "lathe.toml").tools[0].point_angle_deg == 135.0
