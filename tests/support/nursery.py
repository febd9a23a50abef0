"""Runs `waytell` commands in processes of their own without loading the program for each.

One process that has loaded it forks for every command.
"""

from __future__ import annotations

import atexit
import json
import os
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

# What commands load only when they are wanted.
LATE = ("alembic", "numpy", "rich.table", "sqlalchemy", "waytell.journal.store", "waytell.planning", "waytell.replay")


MOST_S = 120


class Nursery:
    """`told` gives what a command said, as `subprocess.run` would."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "support.nursery"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
            env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[1])},
        )  # fmt: skip
        atexit.register(self.close)

    def told(self, arguments: list[str], typed: str, cwd: str | None) -> subprocess.CompletedProcess[str]:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        with tempfile.TemporaryDirectory() as folder:
            Path(folder, "in").write_text(typed, encoding="utf-8")
            self._process.stdin.write(json.dumps([arguments, cwd or str(Path.cwd()), folder]) + "\n")
            self._process.stdin.flush()
            code = int(self._process.stdout.readline())
            out, err = (Path(folder, name).read_text(encoding="utf-8") for name in ("out", "err"))
        return subprocess.CompletedProcess(arguments, code, out, err)

    def close(self) -> None:
        for pipe in (self._process.stdin, self._process.stdout):
            assert pipe is not None
            pipe.close()
        self._process.wait(10)


def _born(main: Any, arguments: list[str], cwd: str, folder: str) -> None:
    """The child: its own files for what it reads and says, and then it is the program."""
    signal.alarm(MOST_S)
    os.chdir(cwd)
    written = os.O_WRONLY | os.O_CREAT
    for fd, (name, how) in enumerate((("in", os.O_RDONLY), ("out", written), ("err", written))):
        os.dup2(os.open(Path(folder, name), how, 0o600), fd)
    code = 1
    try:
        main(arguments, prog_name="waytell")
    except SystemExit as ended:
        code = ended.code if isinstance(ended.code, int) else int(ended.code is not None)
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def _serve() -> None:
    from importlib import import_module  # noqa: PLC0415 - of the child's process only

    main = import_module("waytell.cli").main
    for name in LATE:
        import_module(name)
    # The child must not read the next command from the buffer of its parent.
    for line in iter(sys.stdin.readline, ""):
        child = os.fork()
        if child == 0:
            _born(main, *json.loads(line))
        print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)


if __name__ == "__main__":
    _serve()
