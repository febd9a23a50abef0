"""Each row of the table of faults is caused by a test."""

from __future__ import annotations

import re
from pathlib import Path

from faults.table import FAULTS

TESTS = Path(__file__).parents[1]
MARK = re.compile(r"^@causes\(([^)]*)\)\n(?:@.*\n|    .*\n|\)\n)*(?:async )?def test_", re.MULTILINE)


def caused() -> set[str]:
    named: set[str] = set()
    for file in TESTS.glob("*/test_*.py"):
        for mark in MARK.finditer(file.read_text()):
            named |= set(re.findall(r'"([^"]+)"', mark[1]))
    return named


def test_every_fault_of_the_table_is_caused_by_a_test() -> None:
    assert caused() == FAULTS.keys()
