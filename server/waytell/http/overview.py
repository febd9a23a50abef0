"""The workshop's pages: the overview of all machines, and below `/at/NAME/` the pages of each.

The pages of a machine are made when somebody opens them first.
"""

from __future__ import annotations

import asyncio
from http import HTTPStatus
from typing import Any
from urllib.parse import quote

from a2wsgi import WSGIMiddleware
from flask import Flask, Response

from waytell.http.answers import Loop, json_answer, refuse
from waytell.http.app import guard
from waytell.http.live import POLICY_VIOLATION, Receive, Route, Scope, Send
from waytell.http.mtconnect import Observer, add_mtconnect
from waytell.http.page_files import page_file
from waytell.http.serving import pages_of
from waytell.workshop import Workshop

AT = "/at/"
SENT_EVERY_S = 0.08
"""With the time of drawing, often enough that a silence of the server is seen as on the other pages."""


def workshop_pages(workshop: Workshop) -> Route:
    """Everything a workshop serves."""
    overview: Any = WSGIMiddleware(_overview_app(workshop), workers=2)  # type: ignore[arg-type]
    of_machines: dict[str, Route] = {}

    async def route(scope: Scope, receive: Receive, send: Send) -> None:
        path: str = scope["path"]
        if not path.startswith(AT):
            if scope["type"] != "websocket":
                await overview(scope, receive, send)
            elif path == "/live":
                await _stream(workshop, receive, send)
            return
        name, slash, _ = path.removeprefix(AT).partition("/")
        machine = workshop.machines.get(name)
        if machine is None or machine.session is None or not slash:
            # The overview's own app tells that there is none, or where its pages are.
            await (overview(scope, receive, send) if scope["type"] != "websocket" else _refuse(receive, send))
            return
        if name not in of_machines:
            of_machines[name] = pages_of(machine.session)
        await of_machines[name]({**scope, "root_path": f"{AT}{name}"}, receive, send)

    return route


def _overview_app(workshop: Workshop) -> Flask:
    app = Flask("waytell.overview", static_folder=None)
    inside = Loop(asyncio.get_running_loop())

    @app.get("/")
    def page() -> Response:
        return page_file("overview.html")

    @app.get("/static/<path:name>")
    def static(name: str) -> Response:
        return page_file(name)

    @app.get("/api/workshop")
    def now() -> Response:
        return json_answer(inside.call(workshop.text))

    @app.get("/healthz")
    def healthz() -> Response:
        return json_answer(inside.call(workshop.health).model_dump_json())

    @app.get("/at/<name>")
    @app.get("/at/<name>/<path:rest>")
    def elsewhere(name: str, rest: str | None = None) -> Response:
        if name in workshop.machines and rest is None:
            return Response(status=HTTPStatus.PERMANENT_REDIRECT, headers={"Location": f"{AT}{quote(name)}/"})
        return refuse(HTTPStatus.NOT_FOUND, f"No machine is called {name}.", "Look at the overview for those heard.")

    add_mtconnect(app, inside, Observer(lambda: {name: one.session for name, one in workshop.machines.items()}))
    app.after_request(guard)
    return app


async def _refuse(receive: Receive, send: Send) -> None:
    await receive()
    await send({"type": "websocket.close", "code": POLICY_VIOLATION, "reason": "no such machine"})


async def _stream(workshop: Workshop, receive: Receive, send: Send) -> None:
    """The overview to one display: the next once it said that it drew the last, a few times a second."""
    await receive()
    await send({"type": "websocket.accept"})
    while True:
        await send({"type": "websocket.send", "text": workshop.text()})
        message = await receive()
        if message["type"] == "websocket.disconnect":
            return
        await asyncio.sleep(SENT_EVERY_S)
