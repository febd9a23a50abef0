"""The finished board image in the simulator, driven by a script, with what it said taken apart.

The peer (tests/firmware/peer) runs the image; this module starts it and reads both what the board said
and what the peer knows to be true.
"""

import binascii
import json
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

HERE = Path(__file__).parent
FIRMWARE = HERE.parents[1] / "firmware_bridge" / "firmware"


def with_crc(payload: str) -> str:
    return f"{payload}*{binascii.crc_hqx(payload.encode(), 0xFFFF):04X}"


def is_whole(line: str) -> bool:
    payload, star, _ = line.rpartition("*")
    return bool(star) and with_crc(payload) == line


@dataclass(frozen=True)
class Position:
    seq: int
    t_us: int
    flags: int
    counts: tuple[int, ...]


@dataclass(frozen=True)
class Truth:
    """Where the slides really were, and the time since power-up by the simulator's clock."""

    at_us: int
    counts: tuple[int, ...]


@dataclass
class Run:
    lines: list[str] = field(default_factory=list)
    damaged: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    truths: list[Truth] = field(default_factory=list)
    stats: dict[str, float] = field(default_factory=dict)

    def fields(self, letter: str) -> list[list[str]]:
        return [line.split()[1:] for line in self.lines if line.startswith(letter + " ")]

    @property
    def positions(self) -> list[Position]:
        return [
            Position(int(seq), int(t_us), int(flags, 16), tuple(int(count) for count in counts))
            for seq, t_us, flags, *counts in self.fields("P")
        ]

    @property
    def last(self) -> Position:
        return self.positions[-1]

    @property
    def hellos(self) -> list[dict[str, str]]:
        return [self._hello(fields) for fields in self.fields("W")]

    @staticmethod
    def _hello(fields: list[str]) -> dict[str, str]:
        names = ("version", "boot", "model", "axes", "hz")
        return dict(zip(names, fields, strict=False)) | dict(pair.split("=") for pair in fields[len(names) :])

    def missed(self, axis: int) -> list[int]:
        return [int(missed) for which, missed in self.fields("E") if int(which) == axis]


def take_apart(uart: str, stdout: str) -> Run:
    run = Run()
    *whole, _unfinished = uart.split("\n")
    for line in whole:
        if is_whole(line):
            run.lines.append(line.rpartition("*")[0])
        else:
            run.damaged.append(line)
    for kind, rest in _words_of_peer(stdout):
        if kind == "truth":
            at_us, *counts = (int(word) for word in rest.split())
            run.truths.append(Truth(at_us, tuple(counts)))
        elif kind == "stats":
            run.stats = json.loads(rest)
        else:
            run.said.append(f"{kind} {rest}")
    return run


def _words_of_peer(stdout: str) -> Iterator[tuple[str, str]]:
    for line in stdout.splitlines():
        kind, _, rest = line.partition(" ")
        yield kind, rest


@dataclass(frozen=True)
class Bench:
    peer: Path
    image: Path
    work: Path

    def run(self, script: str, *, seed: int = 1, eeprom: Path | None = None) -> Run:
        """Runs as fast as the machine allows; the script ends the run."""
        uart = self.work / "uart.txt"
        command = [str(self.peer), "--uart", str(uart), "--seed", str(seed)]
        if eeprom is not None:
            command += ["--eeprom", str(eeprom)]
        done = subprocess.run(
            [*command, str(self.image)], input=script, text=True, capture_output=True, check=False, timeout=120
        )
        assert done.returncode == 0, done.stderr
        # Bytes outside ASCII would be damage to be seen, not an error to stop at.
        return take_apart(uart.read_text(encoding="latin-1"), done.stdout)


# Long enough for the start of the program and its first lines.
STARTED = "wait 30000\n"
# And for every line that repeats to have come round once.
SEEN = "wait 2100000\n"
END = "end\n"
