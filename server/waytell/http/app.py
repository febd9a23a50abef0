"""The JSON API and the page: Flask, with an OpenAPI document made from the same models.

Requests run in a few threads of their own; whatever touches the session is handed to its loop.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import TimeoutError as TookTooLong
from http import HTTPStatus

from flask import Response, request
from flask_openapi3.models.info import Info
from flask_openapi3.models.tag import Tag
from flask_openapi3.openapi import OpenAPI
from pydantic import BaseModel, Field, RootModel, ValidationError

from waytell.documents.acts import Act
from waytell.documents.base import Document
from waytell.documents.config import Config
from waytell.documents.state import Event, LiveState, Pass
from waytell.engine.happening import ActRefused
from waytell.http.answers import Loop, Refusal, json_answer, refuse
from waytell.http.mtconnect import Observer, add_mtconnect
from waytell.http.page_files import page_file
from waytell.http.plan import add_plan
from waytell.http.proving import add_proving
from waytell.http.review import add_review
from waytell.http.sizes import add_sizes
from waytell.review.record import read
from waytell.session import NotStored, Session

CONTENT_POLICY = "default-src 'self'; img-src 'self' data:; connect-src 'self' ws: wss:; frame-ancestors 'none'"


LARGEST_REQUEST = 1_000_000
"""Bytes: a part or a configuration is some thousands."""


class ActBody(RootModel[Act]):
    """One act of the person."""


class Done(Document):
    events: tuple[Event, ...]


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


def make_app(session: Session, loop: asyncio.AbstractEventLoop, cause_fault: Callable[[str], None] | None) -> OpenAPI:
    app = new_api("waytell", "/api", "Waytell", "State of a small manual lathe, and acts of its person.")
    inside = Loop(loop)
    _add_pages(app)
    _add_state(app, session, inside)
    _add_acts(app, session, inside)
    add_plan(app, session, inside)
    add_proving(app, session, inside)
    add_review(app, session, inside)
    add_sizes(app, session, inside)
    add_mtconnect(app, inside, Observer(lambda: {session.name: session}))
    if cause_fault is not None:
        _add_demo(app, cause_fault)
    app.after_request(guard)
    return app


def new_api(name: str, prefix: str, title: str, description: str) -> OpenAPI:
    """An API whose document lies at `prefix`/openapi.json, and which refuses in words."""
    app = OpenAPI(
        name,
        info=Info(title=title, version="1", description=description),
        doc_prefix=prefix,
        security_schemes={},
        doc_url="/openapi.json",
        validation_error_status=HTTPStatus.UNPROCESSABLE_ENTITY,
        validation_error_model=Refusal,
        validation_error_callback=_not_valid,
        static_folder=None,
    )
    app.config["MAX_CONTENT_LENGTH"] = LARGEST_REQUEST
    return app


def _add_pages(app: OpenAPI) -> None:
    @app.route("/")
    def page() -> Response:
        return page_file("index.html")

    @app.route("/static/<path:name>")
    def static(name: str) -> Response:
        return page_file(name)


def _add_state(app: OpenAPI, session: Session, inside: Loop) -> None:
    tag = [Tag(name="state", description="What is")]

    @app.get("/api/state", tags=tag, summary="The state document, as the live stream sends it",
             responses={200: LiveState})  # fmt: skip
    def state() -> Response:
        return json_answer(inside.call(session.latest.text))

    @app.get("/api/passes", tags=tag, summary="Finished passes, oldest first", responses={200: Passes})
    def passes(query: After) -> Response:
        taken = read(inside.call(session.events)).passes
        return json_answer(Passes(passes=tuple(taken[query.after :])).model_dump_json())

    @app.get("/api/events", tags=tag, summary="Everything that happened, oldest first", responses={200: Events})
    def events(query: After) -> Response:
        return json_answer(Events(events=tuple(inside.call(lambda: session.events(query.after)))).model_dump_json())

    @app.get("/api/config", tags=tag, summary="The configuration in force", responses={200: Config})
    def config() -> Response:
        return json_answer(inside.call(session.config.model_dump_json))

    @app.get("/healthz", tags=tag, summary="Whether it works", responses={200: Health})
    def healthz() -> Response:
        now = inside.call(session.latest.state)
        stored = not any(alarm.code == "disk" for alarm in now.alarms)
        return json_answer(Health(ok=stored, link=now.link.condition, stored=stored).model_dump_json())


def _add_acts(app: OpenAPI, session: Session, inside: Loop) -> None:
    @app.post("/api/acts", tags=[Tag(name="acts", description="What the person tells")],
              summary="Carry out one act; answers when it is stored",
              responses={200: Done, 403: Refusal, 409: Refusal, 503: Refusal})  # fmt: skip
    def act(body: ActBody) -> Response:
        try:
            events = inside.wait(session.act(body.root))
        except ActRefused as refused:
            return refuse(HTTPStatus.CONFLICT, str(refused), refused.do)
        except NotStored as trouble:
            return refuse(HTTPStatus.SERVICE_UNAVAILABLE, "Done, but not stored yet.", str(trouble))
        except TookTooLong:
            return refuse(HTTPStatus.SERVICE_UNAVAILABLE, "The program is too busy to answer.", "Try again.")
        return json_answer(Done(events=tuple(events)).model_dump_json())


def _add_demo(app: OpenAPI, cause_fault: Callable[[str], None]) -> None:
    @app.post("/api/demo", summary="Cause a fault in the simulated lathe", responses={200: Fault, 409: Refusal})
    def demo(body: Fault) -> Response:
        try:
            cause_fault(body.fault)
        except (KeyError, ValueError):
            return refuse(HTTPStatus.CONFLICT, f"There is no fault called {body.fault}.", "Choose one of the list.")
        return json_answer(body.model_dump_json())


def _not_valid(error: ValidationError) -> Response:
    """The first fault in words: where, and what is wrong with it."""
    first = error.errors(include_url=False, include_context=False)[0]
    # Of an act the first part only repeats which it is.
    place = first["loc"][1:] if request.path == "/api/acts" and len(first["loc"]) > 1 else first["loc"]
    where = ".".join(str(part) for part in place)
    message = first["msg"].removeprefix("Value error, ")
    return refuse(
        HTTPStatus.UNPROCESSABLE_ENTITY, f"{where or 'The request'}: {message}", "Correct it and send it again."
    )


def guard(response: Response) -> Response:
    # A file that brings a policy of its own keeps it.
    response.headers.setdefault("Content-Security-Policy", CONTENT_POLICY)
    response.headers.update({"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer"})
    return response
