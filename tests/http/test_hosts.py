"""Names by which the server may be called: a site that makes its own name lead here (DNS rebinding) gets nothing.

Published source: the attack and this remedy as the OWASP Cheat Sheet Series tells them, from memory.
"""

from __future__ import annotations

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import connect

from support.running import Waytell, waytell
from waytell.http.hosts import called_rightly
from waytell_bridge.simulated.serving import BoardServer


@pytest.fixture(scope="module")
def lathe(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Waytell]:
    folder: Path = tmp_path_factory.mktemp("hosts")
    with (
        BoardServer(seed=7) as board,
        waytell("run", "--source", board.url, "--data", str(folder)) as running,
    ):
        yield running


@pytest.mark.parametrize(
    ("host", "right"),
    [
        ("127.0.0.1:8642", True), ("127.0.0.1", True), ("[::1]:8642", True), ("192.168.1.20:8642", True),
        ("localhost:8642", True), ("LOCALHOST", True), ("bench:8642", True), ("bench.local", True),
        ("Bench.local.", True),
        ("evil.example:8642", False), ("bench.evil.example", False), ("localhost.evil.example", False),
        ("127.0.0.1.evil.example", False), ("", False), ("[::1", False), ("@127.0.0.1@evil.example", False),
    ],
)  # fmt: skip
def test_numbers_and_the_computers_own_name_are_answered_and_no_other(host: str, right: bool) -> None:
    assert called_rightly(host, "bench") is right


def test_under_another_name_no_page_no_state_and_no_act_is_to_be_had(lathe: Waytell) -> None:
    evil = {"Host": "evil.example", "Origin": "http://evil.example"}
    for answer in (
        lathe.client.get("/", headers=evil),
        lathe.client.get("/api/state", headers=evil),
        lathe.client.post("/api/acts", json={"act": "undo"}, headers=evil),
    ):
        assert answer.status_code == 421
        assert "name" in answer.json()["do"]
        assert "axes" not in answer.text
    own = {"Host": f"{socket.gethostname()}:8642"}
    assert lathe.client.get("/api/state", headers=own).status_code == 200


def test_under_another_name_the_live_stream_stays_shut(lathe: Waytell) -> None:
    port = int(lathe.url.rsplit(":", 1)[1])
    # Opened to the right address, and called by the wrong name, as a rebound browser does.
    with (
        socket.create_connection(("127.0.0.1", port)) as wire,
        pytest.raises((InvalidStatus, ConnectionClosed)),
        connect("ws://evil.example/live", sock=wire) as stream,
    ):
        stream.recv(timeout=2)
