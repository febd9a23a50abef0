"""The JSON API and the page: Flask, with an OpenAPI document made from the same models.

Requests run in a few threads of their own; whatever touches the session is handed to its loop.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from concurrent.futures import TimeoutError as TookTooLong
from http import HTTPStatus
from typing import Any, TypeVar

from flask import Response, make_response, request, send_from_directory
from flask_openapi3.models.info import Info
from flask_openapi3.models.tag import Tag
from flask_openapi3.openapi import OpenAPI
from pydantic import BaseModel, Field, RootModel, ValidationError

import waytell_web
from waytell.documents.acts import Act
from waytell.documents.base import Document
from waytell.documents.config import Config
from waytell.documents.state import Event, LiveState, Pass
from waytell.engine.happening import ActRefused
from waytell.http.live import same_origin
from waytell.session import NotStored, Session

T = TypeVar("T")
ANSWER_WITHIN_S = 5.0
CONTENT_POLICY = "default-src 'self'; img-src 'self' data:; connect-src 'self' ws: wss:; frame-ancestors 'none'"


class ActBody(RootModel[Act]):
    """One act of the person."""


class Done(Document):
    events: tuple[Event, ...]


class Refusal(Document):
    """What went wrong, and what to do."""

    error: str
    do: str


class Passes(Document):
    passes: tuple[Pass, ...]


class Events(Document):
    events: tuple[Event, ...]


class After(BaseModel):
    after: int = Field(0, ge=0)
    """Only what came after this number."""


class Health(Document):
    ok: bool
    link: str
    stored: bool


class Fault(Document):
    fault: str


class Loop:
    """Hands work from request threads to the session's loop."""

    def __init__(self, loop: asyncio.AbstractEventLoop) -> None:
        self._loop = loop

    def wait(self, work: Awaitable[T]) -> T:
        return asyncio.run_coroutine_threadsafe(_await(work), self._loop).result(ANSWER_WITHIN_S)

    def call(self, function: Callable[[], T]) -> T:
        async def run() -> T:
            return function()

        return self.wait(run())


async def _await(work: Awaitable[T]) -> T:
    return await work


def make_app(session: Session, loop: asyncio.AbstractEventLoop, cause_fault: Callable[[str], None] | None) -> OpenAPI:
    app = OpenAPI(
        "waytell",
        info=Info(title="Waytell", version="1", description="State of a small manual lathe, and acts of its person."),
        doc_prefix="/api",
        security_schemes={},
        doc_url="/openapi.json",
        validation_error_status=HTTPStatus.UNPROCESSABLE_ENTITY,
        validation_error_model=Refusal,
        validation_error_callback=_not_valid,
        static_folder=None,
    )
    inside = Loop(loop)
    _add_pages(app)
    _add_state(app, session, inside)
    _add_acts(app, session, inside)
    if cause_fault is not None:
        _add_demo(app, cause_fault)
    app.before_request(refuse_other_origin)
    app.after_request(_guard)
    return app


def _add_pages(app: OpenAPI) -> None:
    folder = waytell_web.static_folder()

    @app.route("/")
    def page() -> Response:
        return send_from_directory(folder, "index.html", max_age=0)

    @app.route("/static/<path:name>")
    def static(name: str) -> Response:
        return send_from_directory(folder, name, max_age=0)


def _add_state(app: OpenAPI, session: Session, inside: Loop) -> None:
    tag = [Tag(name="state", description="What is")]

    @app.get("/api/state", tags=tag, summary="The state document, as the live stream sends it",
             responses={200: LiveState})  # fmt: skip
    def state() -> Response:
        return _json(inside.call(session.latest.text))

    @app.get("/api/passes", tags=tag, summary="Finished passes, oldest first", responses={200: Passes})
    def passes(query: After) -> Response:
        found = inside.call(lambda: [e for e in session.events() if e.kind == "pass_finished"])
        taken = tuple(Pass.model_validate(event.body["pass"]) for event in found)
        return _json(Passes(passes=taken[query.after :]).model_dump_json())

    @app.get("/api/events", tags=tag, summary="Everything that happened, oldest first", responses={200: Events})
    def events(query: After) -> Response:
        return _json(Events(events=tuple(inside.call(lambda: session.events(query.after)))).model_dump_json())

    @app.get("/api/config", tags=tag, summary="The configuration in force", responses={200: Config})
    def config() -> Response:
        return _json(inside.call(session.config.model_dump_json))

    @app.get("/healthz", tags=tag, summary="Whether it works", responses={200: Health})
    def healthz() -> Response:
        now = inside.call(session.latest.state)
        stored = not any(alarm.code == "disk" for alarm in now.alarms)
        return _json(Health(ok=stored, link=now.link.condition, stored=stored).model_dump_json())


def _add_acts(app: OpenAPI, session: Session, inside: Loop) -> None:
    @app.post("/api/acts", tags=[Tag(name="acts", description="What the person tells")],
              summary="Carry out one act; answers when it is stored",
              responses={200: Done, 403: Refusal, 409: Refusal, 503: Refusal})  # fmt: skip
    def act(body: ActBody) -> Response:
        try:
            events = inside.wait(session.act(body.root))
        except ActRefused as refused:
            return _refuse(HTTPStatus.CONFLICT, str(refused), refused.do)
        except NotStored as trouble:
            return _refuse(HTTPStatus.SERVICE_UNAVAILABLE, "Done, but not stored yet.", str(trouble))
        except TookTooLong:
            return _refuse(HTTPStatus.SERVICE_UNAVAILABLE, "The program is too busy to answer.", "Try again.")
        return _json(Done(events=tuple(events)).model_dump_json())


def _add_demo(app: OpenAPI, cause_fault: Callable[[str], None]) -> None:
    @app.post("/api/demo", summary="Cause a fault in the simulated lathe", responses={200: Fault, 409: Refusal})
    def demo(body: Fault) -> Response:
        try:
            cause_fault(body.fault)
        except (KeyError, ValueError):
            return _refuse(HTTPStatus.CONFLICT, f"There is no fault called {body.fault}.", "Choose one of the list.")
        return _json(body.model_dump_json())


def _json(text: str) -> Response:
    return make_response(text, 200, {"Content-Type": "application/json", "Cache-Control": "no-store"})


def _refuse(status: HTTPStatus, error: str, do: str) -> Response:
    response = _json(Refusal(error=error, do=do).model_dump_json())
    response.status_code = status
    return response


def _not_valid(error: ValidationError) -> Response:
    """The first fault in words: where, and what is wrong with it."""
    first = error.errors(include_url=False, include_context=False)[0]
    # The first part only repeats which act it is.
    where = ".".join(str(part) for part in first["loc"][1:] or first["loc"])
    message = first["msg"].removeprefix("Value error, ")
    return _refuse(
        HTTPStatus.UNPROCESSABLE_ENTITY, f"{where or 'The request'}: {message}", "Correct it and send it again."
    )


def _guard(response: Response) -> Response:
    headers: dict[str, Any] = {
        "Content-Security-Policy": CONTENT_POLICY,
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
    }
    response.headers.update(headers)
    return response


def refuse_other_origin() -> Response | None:
    """An act may come from our own page or from a program, never from another site's page."""
    headers = {name.lower().encode(): value.encode() for name, value in request.headers.items()}
    if request.method == "POST" and not same_origin(headers):
        return _refuse(HTTPStatus.FORBIDDEN, "This request comes from another site.", "Use Waytell's own page.")
    return None
