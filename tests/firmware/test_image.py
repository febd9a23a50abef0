"""The image as it is built: what the compiler made, before it runs."""

import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from firmware.board_bench import FIRMWARE
from firmware.conftest import BUILDS

# r2-r16 belong to the sampling interrupt.
RESERVED = {f"r{number}" for number in range(2, 17)}
# The only code that may name them: the interrupt, the two that hand its registers over, and the one byte that
# look_around and its inlined friends read through `mov rN, r14`.
OWNERS = ("__vector_7", "port_latch", "quad_clear_registers")
FLASH_BYTES = 32768 - 2048  # a large boot loader takes 2 KiB
RAM_BYTES = 2048
STACK_BYTES = 256


def listing(image: Path) -> str:
    command = ["avr-objdump", "-d", "--no-show-raw-insn", str(image)]
    return subprocess.run(command, text=True, capture_output=True, check=True).stdout


def instructions(image: Path) -> list[tuple[str, str]]:
    """Function and instruction, one of each."""
    found: list[tuple[str, str]] = []
    function = ""
    for line in listing(image).splitlines():
        if heading := re.match(r"[0-9a-f]+ <(.+)>:$", line):
            function = heading[1]
        elif code := re.match(r"\s+[0-9a-f]+:\t(.+?)(\s*;.*)?$", line):
            found.append((function, code[1].replace("\t", " ")))
    return found


def sizes(image: Path) -> tuple[int, int]:
    out = subprocess.run(["avr-size", str(image)], text=True, capture_output=True, check=True).stdout
    text, data, bss = (int(word) for word in out.splitlines()[1].split()[:3])
    return text + data, data + bss


def test_the_logic_passes_its_own_tests_with_the_sanitizers_on(built: Path) -> None:
    golden = FIRMWARE.parents[1] / "tests" / "golden" / "board_lines.txt"
    done = subprocess.run([str(built / "unit"), str(golden)], text=True, capture_output=True, check=False, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.count("pass ") >= 30


@pytest.mark.parametrize("name", BUILDS)
def test_every_choice_of_options_fits_the_chip(name: str, image_of: Callable[[str], Path]) -> None:
    flash, ram = sizes(image_of(name))
    print(f"{name}: {flash} bytes of flash, {ram} of {RAM_BYTES} bytes of RAM before the stack")
    assert flash <= FLASH_BYTES
    assert ram <= RAM_BYTES - STACK_BYTES


@pytest.mark.parametrize("name", ["two", "three", "everything"])
def test_no_other_code_touches_the_registers_of_the_interrupt(name: str, image_of: Callable[[str], Path]) -> None:
    found = instructions(image_of(name))
    assert any(function == "__vector_7" and "r14" in code for function, code in found)
    for function, code in found:
        registers = {register for register in re.findall(r"\br\d+\b", code) if register in RESERVED}
        reads_the_tick = re.fullmatch(r"mov r(1[7-9]|2\d|3[01]), r14", code) is not None
        # ldi-like instructions cannot name r2-r16 but for r16, and pushes of them would be as wrong as writes.
        assert not registers or function in OWNERS or reads_the_tick, f"{function}: {code}"


def test_nothing_allocates_memory(image_of: Callable[[str], Path]) -> None:
    names = subprocess.run(["avr-nm", str(image_of("two"))], text=True, capture_output=True, check=True).stdout
    assert " port_latch" in names
    assert not re.search(r"\b(malloc|calloc|realloc|free|printf|sprintf)\b", names)


def test_the_hex_file_holds_the_same_program(image_of: Callable[[str], Path], tmp_path: Path) -> None:
    image = image_of("two")
    binary = {}
    for kind, source in (("elf32-avr", image), ("ihex", image.with_suffix(".hex"))):
        target = tmp_path / kind
        command = ["avr-objcopy", "-I", kind, "-O", "binary", "-R", ".eeprom", str(source), str(target)]
        subprocess.run(command, check=True)
        binary[kind] = target.read_bytes()
    assert len(binary["ihex"]) > 4000
    assert binary["ihex"] == binary["elf32-avr"]
