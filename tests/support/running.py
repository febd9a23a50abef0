"""Waytell as a real process: its command line, and a client for its API."""

from __future__ import annotations

import json
import os
import queue
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

import httpx

from support.nursery import Nursery

# The console script of the very interpreter that runs the tests: a wheel is tested where a wheel is installed.
WAYTELL = str(Path(sys.executable).with_name("waytell"))
STARTED_WITHIN_S = 20.0


def told(*arguments: str | Path, **how: Any) -> subprocess.CompletedProcess[str]:
    """What a command says, and its exit code; `how` goes to `subprocess.run`."""
    if not how.keys() - {"input", "cwd"}:
        where = how.get("cwd")
        return _nursery().told([str(one) for one in arguments], how.get("input", ""), where and str(where))
    how = {"timeout": 120, **how}
    return subprocess.run([WAYTELL, *arguments], text=True, capture_output=True, check=False, **how)


def said_in_time(say: Callable[[], httpx.Response]) -> httpx.Response:
    """An act, said again while it is refused: readings that come late for a moment are a busy computer's affair."""
    until_s = time.monotonic() + 15
    while True:
        answer = say()
        if answer.status_code != 409 or time.monotonic() > until_s:
            return answer
        time.sleep(0.2)


@cache
def _nursery() -> Nursery:
    return Nursery()


class Waytell:
    """A `waytell` process that serves on a free port of this computer."""

    def __init__(self, *arguments: str) -> None:
        command = [WAYTELL, arguments[0], "--no-browser", "--port", "0", *arguments[1:]]
        environment = {**os.environ, "PYTHONUNBUFFERED": "1"}
        self.process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=environment
        )
        self._lines: queue.SimpleQueue[str] = queue.SimpleQueue()
        self.output: list[str] = []
        self._reader = threading.Thread(target=self._collect, daemon=True)
        self._reader.start()
        self.url = self._wait_for_url()
        self.client = httpx.Client(base_url=self.url, timeout=10)

    def _collect(self) -> None:
        assert self.process.stdout is not None
        with self.process.stdout:
            for line in self.process.stdout:
                self.output.append(line)
                self._lines.put(line)

    def _wait_for_url(self) -> str:
        until_s = time.monotonic() + STARTED_WITHIN_S
        while time.monotonic() < until_s:
            try:
                line = self._lines.get(timeout=0.2)
            except queue.Empty:
                if self.process.poll() is not None:
                    break
                continue
            found = re.search(r" at (https?://\S+)/ ", line)
            if found:
                return found[1]
        self.process.kill()
        self.process.wait(10)
        self._reader.join(5)
        raise AssertionError(f"Waytell did not start: {''.join(self.output)}")

    def state(self) -> dict[str, Any]:
        return dict(self.client.get("/api/state").raise_for_status().json())

    def act(self, act: str, **fields: Any) -> httpx.Response:
        return self.client.post("/api/acts", json={"act": act, **fields})

    def act_in_time(self, act: str, **fields: Any) -> httpx.Response:
        return said_in_time(lambda: self.act(act, **fields))

    def done(self, act: str, **fields: Any) -> None:
        """An act that must be carried out, and be on disk."""
        answer = self.act_in_time(act, **fields)
        assert answer.status_code == 200, answer.text

    def passes(self) -> list[dict[str, Any]]:
        return list(self.client.get("/api/passes").raise_for_status().json()["passes"])

    def wait_for(self, holds: Callable[[dict[str, Any]], object], within_s: float = 10.0) -> dict[str, Any]:
        """The first state for which something holds."""
        until_s = time.monotonic() + within_s
        while True:
            state = self.state()
            if holds(state):
                return state
            if time.monotonic() > until_s:
                raise AssertionError(f"did not come to hold within {within_s} s: {json.dumps(state)[:3000]}")
            time.sleep(0.02)

    def stands_mm(self, axis: str) -> float:
        """Where an axis stands, by the first good figure."""
        return float(figure(self.wait_for(lambda state: figure(state, axis)["good"]), axis)["value_mm"])

    def wait_until_live(self) -> None:
        """The board is heard and has said who it is."""
        self.wait_for(lambda state: state["link"]["condition"] == "live" and state["link"]["boot"])

    def kill(self) -> None:
        """Without any chance to tidy up."""
        self.process.kill()
        self.process.wait(10)
        self._reader.join(5)
        self.client.close()

    def stop(self) -> int:
        """As Ctrl-C does; gives the exit code."""
        self.client.close()
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        code = self.process.wait(10)
        self._reader.join(5)
        return code


@contextmanager
def waytell(*arguments: str) -> Iterator[Waytell]:
    running = Waytell(*arguments)
    try:
        yield running
    finally:
        if running.process.poll() is None:
            running.stop()


def figure(state: dict[str, Any], axis: str) -> dict[str, Any]:
    """Position of an axis in a state document."""
    return dict(next(one for one in state["axes"] if one["axis"] == axis)["position"])
