"""The live side of the peer: the same board behind a pseudo terminal and behind TCP."""

import subprocess
import time
from pathlib import Path

import pytest
import serial

from firmware.board_bench import Bench, is_whole, with_crc


@pytest.mark.parametrize("way", [["--pty"], ["--tcp", "0"]])
def test_a_serial_program_can_talk_to_the_board(bench: Bench, way: list[str], tmp_path: Path) -> None:
    command = [str(bench.peer), *way, "--pace", "--live", str(bench.image)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=tmp_path) as peer:
        assert peer.stdin is not None
        assert peer.stdout is not None
        place = peer.stdout.readline().split()[1]
        url = place if way == ["--pty"] else f"socket://{place}"
        with serial.serial_for_url(url, baudrate=500_000, timeout=0.2) as port:
            assert port.read(1)  # it has started; what it is told before is lost
            port.write(f"{with_crc('R 100')}\n".encode())
            peer.stdin.write("move x 2000 20000\nsettle\n")
            peer.stdin.flush()
            lines = read_for(port, 1.5)
            peer.stdin.write("end\n")
            peer.stdin.flush()
        peer.stdin.close()
        rest = peer.stdout.read()
        assert peer.wait(timeout=10) == 0
    assert "stats " in rest
    assert any(line.startswith("W ") and " 2 100 " in line for line in lines)
    assert [line for line in lines if line.startswith("P ")][-1].rpartition("*")[0].endswith(" 0 2000 0")


def read_for(port: serial.SerialBase, seconds: float) -> list[str]:
    """Whole lines; the first may have begun before the port was opened."""
    text = b""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        text += port.read(4096)
    _first, *lines, _last = text.decode("ascii").split("\n")
    assert all(is_whole(line) for line in lines)
    return lines
