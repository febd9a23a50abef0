"""Where the broker is, and who one is to it. Names and passwords never stand on a command line: others can read it."""

from __future__ import annotations

import asyncio
import os
import socket
import ssl
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import urlsplit

import aiomqtt

from waytell_bridge.mqtt.reaching import end_if_told

USER, PASSWORD = "WAYTELL_MQTT_USER", "WAYTELL_MQTT_PASSWORD"
PORTS = {"mqtt": 1883, "mqtts": 8883}
KEEPALIVE_S = 4
"""A broker tells a last will after one and a half of these."""
SENT_AHEAD_BYTES = 16_384
"""So much may wait in the computer for a slow network: what waits there only grows old."""


class Client(aiomqtt.Client):
    """Ends when it is told to: the waiting inside forgets it where the broker answers in the same turn."""

    async def publish(self, *of: Any, **how: Any) -> None:
        await super().publish(*of, **how)
        end_if_told()

    async def subscribe(self, *of: Any, **how: Any) -> Any:
        answer = await super().subscribe(*of, **how)
        end_if_told()
        return answer


class Login(NamedTuple):
    user: str | None = None
    password: str | None = None


class Broker(NamedTuple):
    host: str
    port: int
    tls: bool
    authority: Path | None = None
    """File of the authority that signed the broker's certificate, where it is none that the system knows."""
    login: Login = Login()

    def __str__(self) -> str:
        return f"{self.host}:{self.port}"

    def client(self, *, reads_much: bool = False, **more: Any) -> aiomqtt.Client:
        """A client, not yet connected.

        One that `reads_much` speaks version 3.1.1, which every broker of version 5 does as well: the client under
        aiomqtt spends nearly half of its time on the properties of messages of version 5, also where they have none.

        Raises:
            ValueError: the authority's file cannot be read as one.
        """
        context = None
        protocol = aiomqtt.ProtocolVersion.V311 if reads_much else aiomqtt.ProtocolVersion.V5
        if self.tls:
            try:
                context = ssl.create_default_context(cafile=self.authority)
            except OSError as error:  # an SSLError is one
                raise ValueError(f"{self.authority} cannot be read as a certificate: {error}. Name another.") from error
        return Client(
            self.host, self.port, username=self.login.user, password=self.login.password, tls_context=context,
            protocol=protocol, keepalive=KEEPALIVE_S, timeout=5,
            socket_options=[
                (socket.IPPROTO_TCP, socket.TCP_NODELAY, 1), (socket.SOL_SOCKET, socket.SO_SNDBUF, SENT_AHEAD_BYTES),
            ],
            **more,
        )  # fmt: skip


def broker(url: str, authority: Path | None = None, login: Login = Login()) -> Broker:  # noqa: B008 - a constant
    """A broker by its address, mqtt://HOST[:PORT], or mqtts:// with TLS.

    Raises:
        ValueError: it is none; its words say what to give.
    """
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError as error:
        raise ValueError(f"{url} is no address of a broker: {error}.") from error
    if parts.username is not None or parts.password is not None:
        raise ValueError(
            f"Leave user and password out of the broker's address, where others can read them: set {USER} and "
            f"{PASSWORD}, or name a file that holds both with --mqtt-login."
        )
    if parts.scheme not in PORTS or not parts.hostname or parts.path.strip("/") or parts.query:
        raise ValueError(f"{url} is no address of a broker. Give mqtt://HOST or mqtts://HOST, with :PORT if need be.")
    return Broker(parts.hostname, port or PORTS[parts.scheme], parts.scheme == "mqtts", authority, login)


def login_of(file: Path | None, environment: Mapping[str, str] = os.environ) -> Login:
    """User and password from a file, one on each of its first two lines, or from the environment.

    Raises:
        ValueError: the file cannot be read, or does not hold both.
    """
    if file is None:
        return Login(environment.get(USER), environment.get(PASSWORD))
    try:
        lines = file.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise ValueError(f"The login file {file} cannot be read: {error}.") from error
    if len(lines) < 2 or not lines[0].strip():
        raise ValueError(f"{file} must hold the user on its first line and the password on its second.")
    return Login(lines[0].strip(), lines[1])


def straight_to(take: Callable[[aiomqtt.Message], None]) -> type[asyncio.Queue[aiomqtt.Message]]:
    """A queue for a client that keeps nothing: what comes is taken at once.

    To wait for each message takes several turns of the loop: on a busy one they come faster than that.
    """

    class Straight(asyncio.Queue[aiomqtt.Message]):
        def put_nowait(self, item: aiomqtt.Message) -> None:
            take(item)

    return Straight


AT_ONCE = 64
PIECE_BYTES = 65_536


def read_all_that_came(client: aiomqtt.Client) -> None:
    """Take all messages that came in a turn of the loop, with one call of the system.

    The client under aiomqtt reads a single message in a turn, a few bytes at a time: on a busy loop the others would
    pile up in the network for seconds, unseen.
    """
    inner: Any = client._client  # noqa: SLF001 - aiomqtt has no name of its own for it
    read_one, receive, came = inner.loop_read, inner._sock_recv, bytearray()  # noqa: SLF001

    def from_memory(size: int) -> bytes:
        if not came:
            came.extend(receive(PIECE_BYTES))
        piece = bytes(came[:size])
        del came[:size]
        return piece

    def read(max_packets: int = 1) -> Any:
        result = read_one(max_packets)
        for _ in range(AT_ONCE):
            # What is in memory already is announced by no system: it must not be left there.
            if result != 0 or not came:
                break
            result = read_one(max_packets)
        if came and result == 0:
            asyncio.get_running_loop().call_soon(inner.loop_read)
        return result

    inner._sock_recv, inner.loop_read = from_memory, read  # noqa: SLF001
