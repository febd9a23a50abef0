"""`waytell board` as a person uses it: against the real image in the simulator, a simulated board with faults, missing
tools, and a boot loader on a pseudo terminal that keeps what the real avrdude writes."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from cli.boot_loader import BootLoader
from support import running
from waytell_bridge.simulated.serving import BoardServer

TOP = Path(__file__).parents[2]
FIRMWARE = TOP / "firmware_bridge" / "firmware"
NO_ONE = "socket://127.0.0.1:9"

builds = pytest.mark.skipif(
    any(shutil.which(tool) is None for tool in ("make", "avr-gcc", "avr-objcopy")) or not FIRMWARE.is_dir(),
    reason="needs gcc-avr and the firmware's sources",
)
flashes = pytest.mark.skipif(shutil.which("avrdude") is None, reason="needs avrdude")


def told(*arguments: str, path: str | None = None, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    environment = os.environ if path is None else {**os.environ, "PATH": path}
    done = running.told("board", *arguments, env=environment, cwd=cwd)
    assert "Traceback" not in done.stderr
    return done


def checked(port: str, seconds: float = 3.0) -> tuple[dict[str, Any], int]:
    done = told("check", "--port", port, "--seconds", str(seconds), "--json")
    return json.loads(done.stdout), done.returncode


def words_of(found: dict[str, Any]) -> str:
    return " ".join(one["words"] + one["do"] for one in found["attention"])


@pytest.fixture
def image(tmp_path: Path) -> Path:
    """A small whole image: 192 bytes in Intel HEX."""
    data = bytes(range(192))
    file = tmp_path / "small.hex"
    file.write_text("".join(hex_line(at, data[at : at + 16]) for at in range(0, len(data), 16)) + ":00000001FF\n")
    return file


def hex_line(at: int, data: bytes) -> str:
    record = bytes((len(data), at >> 8, at & 0xFF, 0)) + data
    return f":{(record + bytes((-sum(record) & 0xFF,))).hex().upper()}\n"


@pytest.fixture
def board() -> Iterator[BoardServer]:
    with BoardServer(seed=3) as running:
        yield running


# -- build ---------------------------------------------------------------------------------------------------------


@builds
def test_build_makes_an_image_of_the_options_asked_for(tmp_path: Path) -> None:
    out = tmp_path / "a folder with spaces"
    done = told("build", "--scales", "3", "--caliper", "--baud", "115200", "--out", str(out))
    assert done.returncode == 0, done.stderr
    assert "SCALES=3, CALIPER=1, BAUD=115200" in done.stdout
    assert sorted(file.name for file in out.iterdir()) == ["waytell_board.elf", "waytell_board.hex"]
    assert told("build", "--out", str(tmp_path / "two")).returncode == 0
    assert (tmp_path / "two/waytell_board.hex").read_bytes() != (out / "waytell_board.hex").read_bytes()


@builds
def test_build_shows_what_the_compiler_said_of_spoilt_sources(tmp_path: Path) -> None:
    sources = tmp_path / "firmware"
    shutil.copytree(FIRMWARE, sources, ignore=shutil.ignore_patterns("build"))
    (sources / "board.c").write_text("this is no C\n")
    done = told("build", "--sources", str(sources), "--out", str(tmp_path / "out"))
    assert done.returncode == 1
    assert "board.c" in done.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.skipif(not FIRMWARE.is_dir(), reason="needs the firmware's sources")
def test_build_without_its_tools_says_what_to_install(tmp_path: Path) -> None:
    done = told("build", "--sources", str(FIRMWARE), "--out", str(tmp_path / "out"), path=str(tmp_path))
    assert done.returncode == 1
    assert "avr-gcc" in done.stderr
    assert "apt install make gcc-avr binutils-avr avr-libc" in done.stderr
    assert not (tmp_path / "out").exists()


def test_build_without_sources_says_where_they_are(tmp_path: Path) -> None:
    done = told("build", "--sources", str(tmp_path))
    assert done.returncode == 1
    assert "--sources" in done.stderr
    assert "checkout" in done.stderr


# -- flash ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", [None, "", ":00", "not an image\n", hex_line(0, b"cut off")])
def test_flash_refuses_an_image_that_is_missing_or_cut_off(tmp_path: Path, text: str | None) -> None:
    file = tmp_path / "board.hex"
    if text is not None:
        file.write_text(text)
    for more in ((), ("--dry-run",)):
        done = told("flash", "--port", "/dev/null", "--image", str(file), *more)
        assert done.returncode == 1
        assert "waytell board build" in done.stderr
        assert done.stdout == ""


def test_flash_prints_its_command_and_does_nothing_in_a_dry_run(image: Path) -> None:
    done = told("flash", "--port", "/dev/nowhere", "--image", str(image), "--boot-baud", "57600", "--dry-run")
    assert done.returncode == 0
    assert done.stdout.split() == [
        "avrdude", "-p", "atmega328p", "-c", "arduino", "-P", "/dev/nowhere", "-b", "57600", "-D", "-U",
        f"flash:w:{image}:i",
    ]  # fmt: skip


def test_flash_without_avrdude_says_how_to_get_it(image: Path, tmp_path: Path) -> None:
    done = told("flash", "--port", "/dev/nowhere", "--image", str(image), path=str(tmp_path))
    assert done.returncode == 1
    assert "apt install avrdude" in done.stderr


@flashes
@pytest.mark.parametrize(("port", "says"), [("/dev/nowhere", "There is no /dev/nowhere"), (NO_ONE, "no serial port")])
def test_flash_says_why_a_port_cannot_be_had(image: Path, port: str, says: str) -> None:
    done = told("flash", "--port", port, "--image", str(image))
    assert done.returncode == 1
    assert says in done.stderr


@flashes
def test_flash_says_that_another_program_has_the_port(image: Path) -> None:
    import serial  # noqa: PLC0415

    with BootLoader() as loader, serial.Serial(loader.port, exclusive=True):
        done = told("flash", "--port", loader.port, "--image", str(image))
    assert done.returncode == 1
    assert "in use by another program" in done.stderr
    assert loader.flash == b""


@flashes
def test_flash_writes_the_image_through_the_boot_loader(image: Path) -> None:
    with BootLoader() as loader:
        done = told("flash", "--port", loader.port, "--image", str(image))
    assert done.returncode == 0, done.stderr
    assert loader.flash[:192] == bytes(range(192))
    assert "Spindle off" in done.stdout
    assert "Written and read back" in done.stdout


@flashes
def test_flash_tells_another_chip_and_a_spoilt_writing_apart(image: Path) -> None:
    with BootLoader(signature=b"\x1e\x93\x0b") as other:
        done = told("flash", "--port", other.port, "--image", str(image))
    assert done.returncode == 1
    assert "not the one this image is for" in done.stderr
    assert other.flash == b""
    with BootLoader(spoils=True) as spoilt:
        done = told("flash", "--port", spoilt.port, "--image", str(image))
    assert done.returncode == 1
    assert "differs from the image" in done.stderr


@flashes
def test_flash_names_the_other_speed_where_the_boot_loader_is_not_understood(image: Path) -> None:
    with BootLoader(garbled=True) as loader:
        done = told("flash", "--port", loader.port, "--image", str(image))
    assert done.returncode == 1
    assert "--boot-baud 57600" in done.stderr
    assert loader.flash == b""


# -- check ---------------------------------------------------------------------------------------------------------


def test_check_finds_a_good_board_good_in_words_and_as_json(board: BoardServer) -> None:
    done = told("check", "--port", board.url, "--seconds", "2")
    assert done.returncode == 0, done.stdout
    assert "Board simulated" in done.stdout
    assert "keeps 250 reports a second" in done.stdout
    assert "No count changed" in done.stdout
    assert "All is well" in done.stdout
    # For longer than the program takes to start.
    board.wind("cross", -10.0, 1.0)
    found, code = checked(board.url)
    assert code == 0, found
    assert found["good"]
    assert found["board"]["scales"] == 2
    assert found["rate_hz"] == pytest.approx(250, rel=0.05)
    assert [scale["moved"] for scale in found["scales"]] == [True, False]


def test_check_tells_missed_edges_of_the_scale_that_has_them(board: BoardServer) -> None:
    board.fault("missed_edges", scale=1, edges=40)
    board.wind("carriage", -2.0, 5.0)
    assert board.wait(10)
    found, code = checked(board.url)
    assert code == 1
    assert found["scales"][0]["missed_edges"] == 0
    assert found["scales"][1]["missed_edges"] > 0
    assert "Scale 1 missed edges" in words_of(found)
    assert "Scale 0" not in words_of(found)


def test_check_tells_a_poor_link(board: BoardServer) -> None:
    board.fault("damaged", share=0.1, seconds=30)
    found, code = checked(board.url)
    assert code == 1
    assert found["damaged_lines"] > 10
    assert "link is poor" in words_of(found)
    assert "shielded" in words_of(found)


def test_check_tells_a_restart_while_it_listens(board: BoardServer) -> None:
    board.wind("cross", -6.0, 2.0)
    process = subprocess.Popen(
        [running.WAYTELL, "board", "check", "--port", board.url, "--seconds", "6", "--json"],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert board.wait(10)
    board.fault("restart")
    out, _ = process.communicate(timeout=30)
    found = json.loads(out)
    assert process.returncode == 1
    assert found["restarts"] == 1
    assert "restarted once" in words_of(found)


@pytest.mark.parametrize("fault", ["silence", "garbage"])
def test_check_tells_a_board_that_cannot_be_heard_or_read(board: BoardServer, fault: str) -> None:
    board.fault(fault, seconds=30)
    found, code = checked(board.url)
    assert code == 1
    assert found["board"] is None
    assert "--baud" in words_of(found)
    heard = "Nothing heard" if fault == "silence" else "no line can be read"
    assert heard in words_of(found)


def test_check_tells_a_port_that_is_not_there() -> None:
    found, code = checked(NO_ONE)
    assert code == 1
    assert "Nothing answers at" in words_of(found)
    done = told("check", "--port", "/dev/nowhere")
    assert done.returncode == 1
    assert "There is no /dev/nowhere" in done.stdout
