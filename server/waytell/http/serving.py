"""Puts the live stream and the pages behind one address: uvicorn, with Flask in a few threads beside it."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

import uvicorn
from a2wsgi import WSGIMiddleware

from waytell.access.door import Door
from waytell.http.access_pages import access_pages
from waytell.http.app import make_app
from waytell.http.gate import Gate
from waytell.http.hosts import only_by_own_name
from waytell.http.live import Receive, Route, Scope, Send, stream
from waytell.session import Session

if TYPE_CHECKING:
    from waytell.access.certificate import Certificate

REQUEST_THREADS = 4


class Opening(NamedTuple):
    """Where a server listens, and who is let in."""

    listener: socket.socket
    door: Door
    certificate: Certificate | None
    url: str
    """As this computer itself reaches it."""


class CannotListen(Exception):  # noqa: N818 - the message is for the person
    """The address is taken or not ours."""


def listen(host: str, port: int) -> socket.socket:
    """A listening socket; port 0 takes a free one.

    Raises:
        CannotListen: with what to do.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # The protocol is named, or asyncio leaves small packets waiting for one another.
    listener = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((host, port))
        listener.listen(128)
    except OSError as error:
        listener.close()
        raise CannotListen(
            f"Cannot listen on {host}:{port}: {error.strerror}. Is Waytell running already? Choose another --port."
        ) from error
    return listener


def pages_of(session: Session, cause_fault: Callable[[str], None] | None = None) -> Route:
    """Pages, API and live stream of one machine; paths are those below where it is mounted."""
    app = make_app(session, asyncio.get_running_loop(), cause_fault)
    pages: Any = WSGIMiddleware(app, workers=REQUEST_THREADS)  # type: ignore[arg-type]

    async def route(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket":
            if scope["path"] == f"{scope.get('root_path', '')}/live":
                await stream(session.latest, receive, send)
        else:
            await pages(scope, receive, send)

    return route


def made_server(route: Route, opening: Opening) -> uvicorn.Server:
    """A server that is ready to serve: making it takes some tenths of a second, in which no reading could be heard."""
    gated = Gate(opening.door, route, access_pages(opening.door))
    certificate = opening.certificate
    config = uvicorn.Config(
        only_by_own_name(gated),
        ws="websockets-sansio", ws_per_message_deflate=False, ws_ping_interval=20, ws_ping_timeout=20,
        # A display's longest word is far shorter.
        ws_max_size=65_536,
        timeout_graceful_shutdown=2, lifespan="off", log_level="warning", access_log=False,
        # Who asks is told by the connection alone, whatever a header claims; and nobody needs to know what serves.
        proxy_headers=False, server_header=False,
        ssl_certfile=certificate and certificate.file, ssl_keyfile=certificate and certificate.key,
    )  # fmt: skip
    config.load()
    return uvicorn.Server(config)


async def run_server(server: uvicorn.Server, opening: Opening) -> None:
    """Serve until the program is told to stop."""
    await server.serve(sockets=[opening.listener])
