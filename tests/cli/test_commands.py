"""The command line as a person uses it: a real process, its words and its exit code."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from support.running import Waytell, told
from waytell_bridge.simulated.recording import record
from waytell_bridge.simulated.serving import BoardServer
from waytell_bridge.simulated.settings import Settings
from waytell_bridge.simulated.short_scripts import SCRIPTS


@pytest.mark.parametrize("command", ["demo", "run", "ports", "replay", "config"])
def test_help_names_every_command_and_each_explains_itself(command: str) -> None:
    assert command in told("--help").stdout
    assert len(told(command, "--help").stdout.splitlines()) > 5


def test_config_init_writes_a_file_that_check_finds_good(tmp_path: Path) -> None:
    file = tmp_path / "lathe.toml"
    assert told("config", "init", str(file)).returncode == 0
    checked = told("config", "check", str(file))
    assert checked.returncode == 0, checked.stderr
    assert "scale 0 on the cross: 5 micrometres a count" in checked.stdout


def test_config_init_never_writes_over_a_file(tmp_path: Path) -> None:
    file = tmp_path / "lathe.toml"
    file.write_text("mine")
    again = told("config", "init", str(file))
    assert again.returncode != 0
    assert "exists already" in again.stderr
    assert file.read_text() == "mine"


FAULTY = [
    ("[[scales]]\nchannel = 0\nslide = 'cross'\nresolution_um = -5\n", "scales.0.resolution_um"),
    ("[[scales]]\nchannel = 0\nslide = 'top slide'\nresolution_um = 5\n", "scales.0.slide"),
    ("[hold]\nwarning_mm = 0.5\n", "must not be above limit_mm"),
    ("[machine]\nspeed = 3\n", "machine.speed: no such name"),
    ("[machine\n", "is not TOML"),
    ("[board]\nline_pattern = '(['\n", "not a regular expression"),
    ("[board]\nline_pattern = 'X(.*)'\n", "named group"),
    ("[board]\nline_pattern = '(?P<c0>x)(?P<c2>y)'\n", "without a gap; it names c0, c2"),
    ("[machine]\ntemperature_c = nan\n", "machine.temperature_c"),
]


@pytest.mark.parametrize(("text", "names"), FAULTY)
def test_a_faulty_configuration_is_told_with_its_place(tmp_path: Path, text: str, names: str) -> None:
    file = tmp_path / "lathe.toml"
    file.write_text(text)
    checked = told("config", "check", str(file))
    assert checked.returncode != 0
    assert names in checked.stderr
    assert "Traceback" not in checked.stderr


def test_run_without_a_board_says_how_to_name_one() -> None:
    run = told("run")
    assert run.returncode != 0
    assert "waytell ports" in run.stderr


@pytest.mark.parametrize(
    ("arguments", "names"),
    [
        (("run", "--source", "simulated:nobody"), "simulated:demo"),
        (("run", "--source", "simulated:demo", "--config", "/nowhere.toml"), "waytell config init"),
        (("run", "--source", "simulated:demo", "--data", "/dev/null/data"), "--data"),
        (("replay", "/nowhere.wirelog"), "cannot be read"),
    ],
)
def test_a_wrong_argument_says_what_to_do(arguments: tuple[str, ...], names: str) -> None:
    done = told(*arguments)
    assert done.returncode != 0
    assert names in done.stderr
    assert "Traceback" not in done.stderr


def test_ports_says_what_answers_on_an_address() -> None:
    with BoardServer(seed=2) as board:
        answer = told("ports", board.url)
    assert "a Waytell board: simulated, 2 scales, 250 reports a second" in answer.stdout
    gone = told("ports", "--seconds", "0.2", "socket://127.0.0.1:9")
    assert gone.returncode == 0
    assert "Nothing answers at socket" in gone.stdout


def test_a_recorded_log_alone_gives_the_session(tmp_path: Path) -> None:
    recording = record(SCRIPTS["dwell_and_return"], Settings(), 3)
    file = tmp_path / "session.wirelog"
    file.write_text(recording.text)
    replayed = told("replay", str(file), "--json")
    document = json.loads(replayed.stdout)
    true = recording.truth.passes
    assert [one["kind"] for one in document["passes"]] == [one.kind for one in true]
    assert [one["role"] for one in document["passes"]] == [one.role for one in true]
    for found, meant in zip(document["passes"], true, strict=True):
        assert found["held_mm"] == pytest.approx(meant.held_mm, abs=0.01)
        # In the log the truth's zero is the second after the epoch.
        assert found["t_start_s"] == pytest.approx(meant.t_start_s + 1.0, abs=1.5)
    assert document["link"]["damaged_lines"] == 0
    assert document["troubles"] == []
    assert "passes" in told("replay", str(file)).stdout


def test_what_run_records_can_be_replayed_with_the_same_passes(tmp_path: Path) -> None:
    log = tmp_path / "run.wirelog"
    stock = {"diameter_mm": 24.0, "length_mm": 40.0}
    turn = {"name": "turn", "kind": "turning", "start_mm": 0.0, "end_mm": -4.0, "target_mm": 11.0, "depth_mm": 0.5}
    with BoardServer(seed=5) as board:
        running = Waytell("run", "--source", board.url, "--data", str(tmp_path), "--record", str(log))
        running.wait_for(lambda state: state["link"]["boot"])
        for act, fields in (
            ("use_config", {"config": board.config}),
            ("new_set_up", {"stock": stock}),
            ("touch_off", {"axis": "X", "at_mm": 16.0}),
            ("touch_off", {"axis": "Z", "at_mm": 6.0}),
            ("choose_operation", {"operation": turn}),
        ):
            running.done(act, **fields)
        # A pass is no pass while the tach says that the spindle stands.
        board.do(lambda person: person.spindle(800.0))
        board.wind("cross", -4.5, 6.0)
        board.wind("carriage", -10.0, 3.0)
        board.wind("carriage", 10.0, 10.0)
        assert board.wait(30)
        running.wait_for(lambda state: state["passes"] == 1)
        live = running.passes()
        running.stop()
    document = json.loads(told("replay", str(log), "--json").stdout)
    assert len(document["passes"]) == 1
    for name in ("kind", "role", "start_mm", "end_mm", "held_mm", "depth_mm"):
        assert document["passes"][0][name] == live[0][name], name


@pytest.mark.parametrize(
    ("text", "says"),
    [("", "holds no entry"), ("not a log\nat all\n", "no entry of a wire log"), ("12 < P 0 1 0 0*FFFF\n", "1 damaged")],
)
def test_a_log_that_is_none_is_told_and_no_crash(tmp_path: Path, text: str, says: str) -> None:
    file = tmp_path / "odd.wirelog"
    file.write_text(text)
    replayed = told("replay", str(file))
    assert replayed.returncode == 0
    assert says in replayed.stdout.replace("\n", " ")
