"""How fast `waytell replay` reads a log at 250 Hz, and what it holds in memory: an hour against four.

The log is one simulated bush again and again, renumbered so that board and slides go on without a seam. Aim: an hour
in 20 s, and no more memory for four. Reference in the same run: the file read and the checksum of each line compared
by binascii, and nothing else. Counted is the time of the processor, so that other programs do not count. Words after
the command are hours, in place of 1 and 4.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from binascii import crc_hqx
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from benchmarks.table import print_table
from support.running import WAYTELL
from waytell_bridge.line_protocol import CLOCK_SPAN_US, encode
from waytell_bridge.simulated.recording import record
from waytell_bridge.simulated.settings import Settings
from waytell_bridge.simulated.short_scripts import SCRIPTS

PERIOD_US = 4000


class Run(NamedTuple):
    lines: int
    seconds: float
    cpu_s: float
    peak_mb: float


def hours_of(bush: tuple[str, ...], hours: float) -> Iterator[str]:
    """Entries of a wire log of so many hours; times, numbers and counts go on from one bush to the next."""
    reports = [line.split(" ") for line in bush if " < P " in line]
    first_ns, last_ns = int(bush[0].split(" ", 1)[0]), int(bush[-1].split(" ", 1)[0])
    first_us, last_us = int(reports[0][4]), int(reports[-1][4])
    moved = [_count(last) - _count(first) for first, last in zip(reports[0][6:], reports[-1][6:], strict=True)]
    for again in range(round(hours * 3.6e12 / (last_ns - first_ns)) + 1):
        shift_us = again * (last_us - first_us + PERIOD_US)
        for number, line in enumerate(bush):
            time_text, mark, text = line.split(" ", 2)
            t_ns = int(time_text) + shift_us * 1000
            if t_ns - first_ns > hours * 3.6e12:
                return
            if mark == "<" and text[0] in "PS":
                letter, *fields = text[:-5].split(" ")
                place = 1 if letter == "P" else 0
                fields[place] = str((int(fields[place]) + shift_us) % CLOCK_SPAN_US)
                if letter == "P":
                    fields[0] = str((int(fields[0]) + again * len(reports)) % 65536)
                    fields[3:] = [str(int(c) + again * by) for c, by in zip(fields[3:], moved, strict=True)]
                text = encode(" ".join([letter, *fields])).decode().rstrip("\n")
            elif again and number == 0:
                continue  # the machine is set up already
            yield f"{t_ns} {mark} {text}\n"


def _count(text: str) -> int:
    return int(text.partition("*")[0])


def replayed(file: Path, lines: int) -> Run:
    start_s = time.perf_counter()
    child = subprocess.Popen([WAYTELL, "replay", file, "--json"], stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    assert child.returncode == 0
    return Run(lines, time.perf_counter() - start_s, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def checksums(file: Path) -> float:
    """Seconds of the processor to read the file and compare each checksum, as any reader of such a log has to."""
    start_s = time.process_time()
    wrong = 0
    with file.open("rb") as log:
        for line in log:
            _, mark, text = line.split(b" ", 2)
            if mark == b"<":
                wrong += b"%04X" % crc_hqx(text[:-6], 0xFFFF) != text[-5:-1]
    assert wrong == 0
    return time.process_time() - start_s


def main() -> None:
    bush = record(SCRIPTS["one_bush"], Settings(), 1).lines
    rows = []
    for hours in [float(word) for word in sys.argv[1:]] or [1.0, 4.0]:
        with tempfile.TemporaryDirectory() as folder:
            file, lines = Path(folder) / "long.wirelog", 0
            with file.open("w") as log:
                for line in hours_of(bush, hours):
                    log.write(line)
                    lines += 1
            reference_s = checksums(file)
            run = replayed(file, lines)
        rows.append(
            (f"{hours:g} h", f"{lines}", f"{run.seconds:.1f} s", f"{run.cpu_s:.1f} s", f"{lines / run.cpu_s:.0f}",
             f"{run.cpu_s / hours:.1f} s", "20 s", f"{run.cpu_s / reference_s:.1f}", f"{run.peak_mb:.0f} MB")
        )  # fmt: skip
    print_table(
        "Replay of a log at 250 Hz (reference: the file read and each checksum compared by binascii)",
        ("log", "lines", "took", "processor", "lines/s of it", "an hour takes", "aim", "x reference", "peak memory"),
        rows,
    )  # fmt: skip


if __name__ == "__main__":
    main()
