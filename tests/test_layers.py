"""The layers hold: who may import whom, read from the source itself."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

TOP = Path(__file__).parents[1]
SERVER, BRIDGE, WEB = TOP / "server/waytell", TOP / "firmware_bridge/waytell_bridge", TOP / "web/waytell_web"

# What an import that does I/O, tells the time or starts threads begins with.
OUTSIDE = (
    "asyncio", "concurrent", "datetime", "flask", "http", "io", "multiprocessing", "os", "pathlib", "platformdirs",
    "random", "select", "serial", "socket", "sqlalchemy", "sqlite3", "subprocess", "tempfile", "threading", "time",
    "urllib", "uvicorn", "websockets",
)  # fmt: skip


def imports(folder: Path) -> Iterator[tuple[str, str]]:
    """(file, module) of every import, also of names: `a.b` for `from a import b`."""
    for file in sorted(folder.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                yield from ((file.name, alias.name) for alias in node.names)
            elif isinstance(node, ast.ImportFrom):
                yield from ((file.name, f"{node.module}.{alias.name}") for alias in node.names)


def begins(module: str, names: tuple[str, ...]) -> bool:
    return any(module == name or module.startswith(f"{name}.") for name in names)


@pytest.mark.parametrize("folder", [SERVER / name for name in ("engine", "documents", "planning", "proving")])
def test_the_pure_core_does_no_io_and_knows_no_clock(folder: Path) -> None:
    assert [found for found in imports(folder) if begins(found[1], OUTSIDE)] == []


def test_the_review_does_no_io_and_knows_no_clock() -> None:
    # It reads the labels of the wall clock that events carry, and asks no clock itself.
    found = [one for one in imports(SERVER / "review") if begins(one[1], OUTSIDE)]
    assert {module for _, module in found} <= {"datetime.datetime", "datetime.timedelta"}


def test_the_engine_knows_of_the_bridge_only_readings_and_of_the_server_only_documents() -> None:
    allowed = ("waytell_bridge.reading", "waytell.engine", "waytell.documents")
    ours = [found for found in imports(SERVER / "engine") if begins(found[1], ("waytell", "waytell_bridge"))]
    assert ours
    assert [found for found in ours if not begins(found[1], allowed)] == []


def test_proving_knows_of_the_bridge_only_readings_and_of_the_server_only_documents_and_engine() -> None:
    allowed = ("waytell_bridge.reading", "waytell.proving", "waytell.engine", "waytell.documents")
    ours = [found for found in imports(SERVER / "proving") if begins(found[1], ("waytell", "waytell_bridge"))]
    assert ours
    assert [found for found in ours if not begins(found[1], allowed)] == []


def test_the_bridge_never_imports_the_server() -> None:
    assert [found for found in imports(BRIDGE) if begins(found[1], ("waytell", "waytell_web"))] == []


def test_the_simulated_lathe_shares_only_the_wire_with_the_bridge() -> None:
    allowed = ("waytell_bridge.simulated", "waytell_bridge.line_protocol", "waytell_bridge.wire_log")
    ours = [found for found in imports(BRIDGE / "simulated") if begins(found[1], ("waytell_bridge", "waytell"))]
    assert [found for found in ours if not begins(found[1], allowed)] == []


def test_the_web_package_imports_nothing_of_ours() -> None:
    assert [found for found in imports(WEB) if begins(found[1], ("waytell", "waytell_bridge"))] == []


PURE_BRIDGE = ("line_protocol.py", "wire_log.py", "board_clock.py", "listener.py", "line_pattern.py", "reading.py")


def test_what_understands_bytes_neither_reads_them_nor_asks_the_time() -> None:
    found = [one for one in imports(BRIDGE) if one[0] in PURE_BRIDGE]
    assert {file for file, _ in found} == set(PURE_BRIDGE)
    assert [one for one in found if begins(one[1], OUTSIDE)] == []
