"""Which test runs through which row of the engine, and for how long: what is worth asking when a row is changed."""

from __future__ import annotations

import ast
import hashlib
import importlib
import json
import os
import sys
from pathlib import Path
from typing import Any

TESTS = Path(__file__).parents[1]
ENGINE = TESTS.parent / "server" / "waytell" / "engine"
KEPT = TESTS.parent / ".cache" / "mutants"
ASKED = ("engine", "turners", "proving/test_maps_in_use.py", "proving/test_error_map.py", "proving/test_statistics.py",
         "proving/test_counts.py", "journal/test_session.py", "faults/test_any_input.py")  # fmt: skip
"""The tests that look at the engine from near by. Pages, database and line have their own."""
# The libraries are loaded already: their own assertions are not rewritten.
HOW = ("-x", "-q", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestAssertRewriteWarning")


class Switch:
    """A plugin of pytest: what is run from here on is run by this test; how long each took."""

    def __init__(self, watched: Any) -> None:
        self.watched = watched
        self.took_s: dict[str, float] = {}

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        self.watched.switch_context(nodeid)

    def pytest_runtest_logreport(self, report: Any) -> None:
        self.took_s[report.nodeid] = self.took_s.get(report.nodeid, 0.0) + report.duration


def covering() -> tuple[dict[str, dict[int, list[str]]], dict[str, float]]:
    """`{module: {row: [test, ...]}}` and `{test: seconds}`; made anew where the engine or a test was changed."""
    sources = sorted([*ENGINE.glob("*.py"), *(one for asked in ASKED for one in (TESTS / asked).rglob("*.py"))])
    same = hashlib.sha256(b"".join(one.read_bytes() for one in sources)).hexdigest()[:16]
    kept = KEPT / f"{same}.json"
    if not kept.exists():
        child = os.fork()
        if child == 0:
            look(kept)
        if os.waitpid(child, 0)[1] != 0:
            sys.exit("The tests fail without any change. Mend that first.")
    rows, took_s = json.loads(kept.read_text(encoding="utf-8"))
    return {name: {int(row): tests for row, tests in by.items()} for name, by in rows.items()}, took_s


def look(kept: Path) -> None:
    """Run all of them in this process, which ends, and keep what was seen."""
    watched = importlib.import_module("coverage").Coverage(data_file=None, include=[f"{ENGINE}/*"])
    switch = Switch(watched)
    watched.start()
    failed = importlib.import_module("pytest").main([*HOW, *(str(TESTS / one) for one in ASKED)], plugins=[switch])
    watched.stop()
    if not failed:
        data = watched.get_data()
        rows = {path.stem: by_row(data.contexts_by_lineno(str(path))) for path in ENGINE.glob("*.py")}
        kept.parent.mkdir(parents=True, exist_ok=True)
        kept.write_text(json.dumps([rows, switch.took_s]), encoding="utf-8")
    os._exit(int(failed))


def by_row(contexts: dict[int, list[str]]) -> dict[int, list[str]]:
    """What was run while a module was loaded belongs to no test."""
    return {row: [test for test in tests if test] for row, tests in contexts.items()}


def statement(source: str, row: int) -> tuple[int, int]:
    """First and last row of the statement around `row`; of one with a body, without the body."""
    found = (row, row)
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.stmt | ast.match_case):
            first, last = rows_of(node)
            if first <= row <= last:
                found = (first, last)  # Walked from outside inwards: the innermost comes last.
    return found


def rows_of(node: ast.stmt | ast.match_case) -> tuple[int, int]:
    first = node.pattern.lineno if isinstance(node, ast.match_case) else node.lineno
    body: list[ast.stmt] = getattr(node, "body", [])
    last = body[0].lineno - 1 if body else getattr(node, "end_lineno", first)
    return first, max(first, last)
