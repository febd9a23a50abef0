"""Units and rules that the system can read; where it has the tools they are read by those.

Published sources: systemd.service(5), systemd.syntax(7), udev(7), from memory.
"""

from __future__ import annotations

import configparser
import os
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest

from support.running import told, waytell
from waytell.unit_text import Board, udev_rule, unit

PROGRAM = Path("/opt/way tell/bin/waytell")


def read(text: str) -> configparser.ConfigParser:
    parser = configparser.ConfigParser(interpolation=None, strict=True)
    parser.optionxform = str  # type: ignore[assignment, method-assign]
    parser.read_string(text)
    return parser


def test_a_unit_runs_the_command_as_it_was_given() -> None:
    made = unit(PROGRAM, ["run", "--source", "/dev/waytell", "--config", "my 100% lathe.toml"], system=False)
    parser = read(made.text)
    assert made.name == "waytell-run.service"
    command = shlex.split(parser["Service"]["ExecStart"].replace("%%", "%"))
    wanted = [str(PROGRAM), "run", "--source", "/dev/waytell", "--config", "my 100% lathe.toml", "--no-browser"]
    assert command == wanted
    assert parser["Install"]["WantedBy"] == "default.target"
    assert parser["Service"]["KillSignal"] == "SIGINT"


def test_for_the_whole_computer_it_has_a_user_and_a_folder_of_its_own() -> None:
    parser = read(unit(PROGRAM, ["serve", "--mqtt", "mqtt://broker"], system=True).text)
    service = parser["Service"]
    assert service["DynamicUser"] == "yes"
    assert service["SupplementaryGroups"] == "dialout"
    assert service["ExecStart"].endswith("--data /var/lib/waytell")
    assert service["StateDirectory"] == "waytell"
    assert "--data" not in unit(PROGRAM, ["bridge", "--mqtt", "mqtt://broker"], system=True).text


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="this computer has no systemd")
@pytest.mark.parametrize("system", [True, False])
def test_systemd_itself_finds_nothing_wrong(tmp_path: Path, system: bool) -> None:
    made = unit(Path("/bin/true"), ["run", "--source", 'a b$c%d"e'], system=system)
    file = tmp_path / made.name
    file.write_text(made.text)
    checked = subprocess.run(["systemd-analyze", "verify", file], capture_output=True, text=True, check=False)
    assert checked.returncode == 0, checked.stderr


def test_it_is_written_where_the_system_looks_and_says_what_to_do(tmp_path: Path) -> None:
    done = told("service", "install", "run", "--source", "/dev/waytell", env={**os.environ, "HOME": str(tmp_path)})
    assert done.returncode == 0, done.stderr
    file = tmp_path / ".config/systemd/user/waytell-run.service"
    assert "systemctl --user enable --now waytell-run.service" in done.stdout
    command = shlex.split(read(file.read_text())["Service"]["ExecStart"])
    assert Path(command[0]).exists()
    printed = told("service", "install", "--print", "run", "--source", "/dev/waytell")
    assert printed.stdout == file.read_text()


def test_what_does_not_run_for_long_is_refused() -> None:
    done = told("service", "install", "fits", "24", "H7")
    assert done.returncode != 0
    assert "does not run for long" in done.stderr
    with pytest.raises(ValueError, match="control character"):
        unit(PROGRAM, ["run", "--source", "a\nb"], system=False)


def test_the_command_of_a_unit_starts_before_the_board_is_plugged_in_and_stops_clean(tmp_path: Path) -> None:
    with waytell("run", "--source", str(tmp_path / "not-there-yet"), "--data", str(tmp_path)) as running:
        health = running.client.get("/healthz").json()
        assert health["ok"] is True
        assert health["link"] in ("opening", "lost")
        # As the unit does: KillSignal=SIGINT.
        assert running.stop() == 0


def test_a_rule_names_the_board_wherever_it_is_plugged_in() -> None:
    rule = udev_rule(Board("1A86", "7523", "A 12"), "bench-lathe")
    wanted = (
        'SUBSYSTEM=="tty", ATTRS{idVendor}=="1a86", ATTRS{idProduct}=="7523", ATTRS{serial}=="A 12", '
        'SYMLINK+="bench-lathe", GROUP="dialout", MODE="0660"\n'
    )
    assert rule == wanted
    assert "serial" not in udev_rule(Board("1a86", "7523", None))


@pytest.mark.parametrize(
    ("board", "link", "says"),
    [
        (Board("1a8", "7523", None), "waytell", "four hexadecimal digits"),
        (Board("1a86", "7523", 'x", RUN+="/bin/sh'), "waytell", "cannot stand in a rule"),
        (Board("1a86", "7523", None), "../sda", "cannot name a device"),
    ],
)
def test_what_could_harm_the_system_never_stands_in_a_rule(board: Board, link: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        udev_rule(board, link)


def test_without_a_board_the_command_says_what_to_name() -> None:
    done = told("service", "udev", "/dev/none")
    assert done.returncode != 0
    assert "waytell ports" in done.stderr
