"""Builds the firmware in every option the tests use, and the tools that run it."""

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from firmware.board_bench import FIRMWARE, HERE, Bench
from firmware.live_board import LiveBoard, live_board

# Options of the firmware's Makefile, by the name the tests use.
BUILDS = {
    "two": (),
    "three": ("SCALES=3",),
    "caliper": ("CALIPER=1",),
    "everything": ("SCALES=3", "CALIPER=1"),
    "slow": ("BAUD=115200", "TACH_PULSES=0"),
    "watchdog": ("WATCHDOG=1",),
    "pullups": ("PULLUPS=1",),
}
PACKAGES = "gcc-avr avr-libc binutils-avr libsimavr-dev libelf-dev gcc make"


def make(folder: Path, *arguments: str) -> str:
    for tool in ("make", "gcc", "avr-gcc"):
        assert shutil.which(tool), f"{tool} is missing; these tests need the packages {PACKAGES}"
    command = ["nice", "make", "-C", str(folder), *arguments]
    done = subprocess.run(command, text=True, capture_output=True, check=False, timeout=300)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder with the peer and the unit tests; built afresh unless WAYTELL_FIRMWARE_BUILD names one to keep."""
    kept = os.environ.get("WAYTELL_FIRMWARE_BUILD")
    folder = Path(kept) if kept else tmp_path_factory.mktemp("firmware")
    make(HERE, f"BUILD={folder}")
    return folder


@pytest.fixture(scope="session")
def image_of(built: Path) -> Callable[[str], Path]:
    """Path of the image built with one of BUILDS, built when first asked for."""
    done: dict[str, Path] = {}

    def image(name: str) -> Path:
        if name not in done:
            folder = built / name
            make(FIRMWARE, f"BUILD={folder}", *BUILDS[name])
            done[name] = folder / "waytell_board.elf"
        return done[name]

    return image


@pytest.fixture
def bench_of(built: Path, image_of: Callable[[str], Path], tmp_path: Path) -> Callable[[str], Bench]:
    return lambda name: Bench(built / "peer", image_of(name), tmp_path)


@pytest.fixture
def bench(bench_of: Callable[[str], Bench]) -> Bench:
    """The board as it is built without any option."""
    return bench_of("two")


@pytest.fixture
def live(built: Path, image_of: Callable[[str], Path]) -> Iterator[LiveBoard]:
    """That board at real pace, behind a serial line that other programs can open."""
    with live_board(built / "peer", image_of("two")) as running:
        yield running
