"""The gate of a real server on this computer's own network address: who is let in, and as what."""

from __future__ import annotations

import socket
import ssl
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import connect
from websockets.typing import Origin

from support.lan import ADDRESS, let_in, needs_network, on_the_network
from support.running import Waytell, told, waytell
from waytell_bridge.simulated.serving import BoardServer

pytestmark = needs_network


@pytest.fixture(scope="module")
def lan(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Waytell, str]]:
    with BoardServer(seed=7) as board, on_the_network(board.url, tmp_path_factory.mktemp("lan")) as served:
        yield served


def live(elsewhere: str, device: httpx.Client, origin: str | None = None) -> Any:
    cookies = "; ".join(f"{name}={value}" for name, value in device.cookies.items())
    return connect(
        f"{elsewhere.replace('http', 'ws', 1)}/live", origin=Origin(origin or elsewhere),
        additional_headers={"Cookie": cookies},
    )  # fmt: skip


def hear(stream: Any) -> None:
    while True:
        stream.recv(timeout=5)


def test_without_lan_only_this_computer_reaches_it(tmp_path: Path) -> None:
    with BoardServer(seed=7) as board, waytell("run", "--source", board.url, "--data", str(tmp_path)) as running:
        port = int(running.url.rsplit(":", 1)[1])
        assert running.client.get("/api/state").status_code == 200
        with pytest.raises(ConnectionRefusedError), socket.create_connection((str(ADDRESS), port), timeout=2):
            pass


def test_nothing_else_listens(lan: tuple[Waytell, str]) -> None:
    """By the kernel's own tables: the process holds one listening socket."""
    running, elsewhere = lan
    inodes = {
        link.rsplit("[", 1)[1].rstrip("]")
        for fd in Path(f"/proc/{running.process.pid}/fd").iterdir()
        if (link := str(fd.readlink())).startswith("socket:")
    }
    listening = [
        int(fields[1].rsplit(":", 1)[1], 16)
        for table in ("tcp", "tcp6")
        for fields in map(str.split, Path(f"/proc/net/{table}").read_text().splitlines()[1:])
        if fields[3] == "0A" and fields[9] in inodes
    ]
    assert listening == [int(elsewhere.rsplit(":", 1)[1])]


def test_a_stranger_gets_nothing_but_the_way_in(lan: tuple[Waytell, str]) -> None:
    _, elsewhere = lan
    with httpx.Client(base_url=elsewhere) as stranger:
        page = stranger.get("/", headers={"Accept": "text/html"})
        assert (page.status_code, page.headers["location"]) == (303, "/pair")
        assert stranger.get("/pair").status_code == 200
        for path in (
            "/api/state",
            "/api/events",
            "/healthz",
            "/api/openapi.json",
            "/static/../api/state",
            "//api/state",
        ):
            answer = stranger.get(path)
            assert answer.status_code in (401, 404), path
            assert "axes" not in answer.text
        assert stranger.post("/api/acts", json={"act": "undo"}, headers={"Origin": elsewhere}).status_code == 401
        with pytest.raises((InvalidStatus, ConnectionClosed)), live(elsewhere, stranger) as stream:
            stream.recv(timeout=2)


def test_a_claimed_address_is_not_believed(lan: tuple[Waytell, str]) -> None:
    _, elsewhere = lan
    for name in ("X-Forwarded-For", "Forwarded", "X-Real-IP", "Client-IP"):
        value = "for=127.0.0.1" if name == "Forwarded" else "127.0.0.1"
        assert httpx.get(f"{elsewhere}/api/state", headers={name: value}).status_code == 401


def test_a_device_that_watches_sees_and_changes_nothing(lan: tuple[Waytell, str]) -> None:
    running, elsewhere = lan
    with let_in(running, elsewhere, "watch") as phone:
        assert phone.get("/api/state").status_code == 200
        assert phone.get("/api/me").json() == {"role": "watch", "here": False, "name": "phone"}
        with live(elsewhere, phone) as stream:
            assert "axes" in stream.recv(timeout=5)
        before = len(running.client.get("/api/events").json()["events"])
        answer = phone.post("/api/acts", json={"act": "clamp", "axis": "Z", "held": True})
        assert answer.status_code == 403
        assert "watch" in answer.json()["error"]
        assert len(running.client.get("/api/events").json()["events"]) == before


def test_a_device_that_operates_acts_and_none_lets_others_in(lan: tuple[Waytell, str]) -> None:
    running, elsewhere = lan
    with let_in(running, elsewhere, "operate", "tablet") as tablet:
        units = {"length": "mm", "x_as": "radius"}
        assert tablet.post("/api/acts", json={"act": "choose_units", "units": units}).status_code == 200
        for path in ("/devices", "/api/devices"):
            assert tablet.get(path).status_code == 403
        assert tablet.post("/api/devices/code", json={"role": "operate"}).status_code == 403


def test_the_cookie_is_for_this_server_alone(lan: tuple[Waytell, str]) -> None:
    running, elsewhere = lan
    code = running.client.post("/api/devices/code", json={"role": "watch"}).json()["code"]
    answer = httpx.post(f"{elsewhere}/api/pair", json={"code": code, "name": "phone"}, headers={"Origin": elsewhere})
    cookie = answer.headers["set-cookie"]
    for part in ("HttpOnly", "SameSite=Strict", "Path=/"):
        assert part in cookie
    assert "Domain" not in cookie


def test_another_sites_page_acts_in_nobodys_name(lan: tuple[Waytell, str]) -> None:
    running, elsewhere = lan
    clamp = {"act": "clamp", "axis": "Z", "held": True}
    with let_in(running, elsewhere, "operate") as tablet:
        for headers in ({"Origin": "http://elsewhere.example"}, {"Origin": "null"}, {"Sec-Fetch-Site": "cross-site"}):
            assert tablet.post("/api/acts", json=clamp, headers=headers).status_code == 403, headers
        del tablet.headers["Origin"]
        assert tablet.post("/api/acts", json=clamp).status_code == 403, "a cookie, and no origin"
        as_form = {"Content-Type": "text/plain", "Origin": elsewhere}
        assert tablet.post("/api/acts", content='{"act": "undo"}', headers=as_form).status_code == 415
        with (
            pytest.raises((InvalidStatus, ConnectionClosed)),
            live(elsewhere, tablet, "http://other.example") as stream,
        ):
            stream.recv(timeout=2)


def test_a_device_taken_away_is_out_at_once(lan: tuple[Waytell, str]) -> None:
    running, elsewhere = lan
    with let_in(running, elsewhere, "operate", "lost phone") as phone, live(elsewhere, phone) as stream:
        stream.recv(timeout=5)
        devices = running.client.get("/api/devices").json()["devices"]
        (lost,) = [one["id"] for one in devices if one["name"] == "lost phone"]
        assert running.client.post("/api/devices/take_away", json={"id": lost}).status_code == 200
        began_s = time.monotonic()
        with pytest.raises(ConnectionClosed):
            hear(stream)
        assert time.monotonic() - began_s < 1
        assert phone.get("/api/state").status_code == 401
        assert running.client.post("/api/devices/take_away", json={"id": lost}).status_code == 404


def test_whoever_asks_too_often_waits(lan: tuple[Waytell, str]) -> None:
    running, elsewhere = lan
    with httpx.Client(base_url=elsewhere, headers={"Origin": elsewhere}) as guessing:
        answers = [guessing.post("/api/pair", json={"code": "0", "name": "x"}) for _ in range(12)]
        assert answers[-1].status_code == 429
        assert int(answers[-1].headers["retry-after"]) >= 1
        assert 429 in {guessing.get("/api/me").status_code for _ in range(600)}
    assert running.client.get("/api/state").status_code == 200, "who is at this computer does not wait"


def test_over_tls_with_the_certificate_it_made(tmp_path: Path) -> None:
    with BoardServer(seed=7) as board, on_the_network(board.url, tmp_path, "--tls") as (running, elsewhere):
        assert elsewhere.startswith("https://")
        running.client.close()
        trusting = ssl.create_default_context(cafile=str(tmp_path / "certificate.pem"))
        port = running.url.rsplit(":", 1)[1]
        certificate = ("devices", "--port", port, "--certificate", str(tmp_path / "certificate.pem"))
        said = told(*certificate, "add", "--operate").stdout
        assert elsewhere in said
        code = said.rpartition("type  ")[2].split()[0]
        with httpx.Client(base_url=elsewhere, headers={"Origin": elsewhere}, verify=trusting) as tablet:
            paired = tablet.post("/api/pair", json={"code": code, "name": "tablet"})
            assert paired.status_code == 200, paired.text
            # RFC 6265bis: with this prefix a browser keeps the cookie to this host and to TLS.
            assert paired.headers["set-cookie"].startswith("__Host-")
            assert "Secure" in paired.headers["set-cookie"]
            assert tablet.get("/api/state").status_code == 200
        with pytest.raises(httpx.ConnectError):
            httpx.get(f"{elsewhere}/api/state")
        listed = told(*certificate, "list").stdout
        assert "operate" in listed
        assert told(*certificate, "remove", listed.split()[0]).returncode == 0
        assert "No device" in told(*certificate, "list").stdout
