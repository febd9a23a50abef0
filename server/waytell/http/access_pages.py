"""Letting devices in and taking them away: a page at the computer, a page at the device, and their requests."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from a2wsgi import WSGIMiddleware
from flask import Response, request
from flask_openapi3.openapi import OpenAPI

from waytell.access.codes import WrongCode
from waytell.access.devices import DevicesError
from waytell.access.door import Door, today
from waytell.documents.access import CodeAsked, CodeShown, Devices, Pairing, Revoked, Whose
from waytell.http.answers import Refusal, json_answer, refuse
from waytell.http.app import guard, new_api
from waytell.http.live import Receive, Route, Scope, Send
from waytell.http.page_files import page_file

KEPT_FOR_S = 400 * 24 * 3600  # the longest that browsers keep a cookie (RFC 6265bis)


def access_pages(door: Door) -> Route:
    """Made when somebody asks for them first: a start does not wait for them."""
    made: list[Route] = []

    async def route(scope: Scope, receive: Receive, send: Send) -> None:
        if not made:
            pages: Any = WSGIMiddleware(access_app(door), workers=2)  # type: ignore[arg-type]
            made.append(pages)
        await made[0](scope, receive, send)

    return route


def access_app(door: Door) -> OpenAPI:
    app = new_api("waytell.access", "/api/access", "Waytell: devices", "Which devices may watch or operate.")
    _add_pages(app)
    _add_pairing(app, door)
    _add_devices(app, door)
    app.after_request(guard)
    return app


def _add_pages(app: OpenAPI) -> None:
    @app.route("/pair")
    def pair_page() -> Response:
        return page_file("pair.html")

    @app.route("/devices")
    def devices_page() -> Response:
        return page_file("devices.html")


def _add_pairing(app: OpenAPI, door: Door) -> None:
    @app.get("/api/me", summary="As whom the one who asks is known", responses={200: Whose})
    def me() -> Response:
        key = request.cookies.get(door.cookie)
        who = door.who(request.remote_addr or "", key)
        if key:
            door.devices.seen(key, today())
        return json_answer(Whose(role=who.role, here=who.here, name=who.name).model_dump_json())

    @app.post("/api/pair", summary="Let this device in by a code", responses={200: Whose, 403: Refusal, 503: Refusal})
    def pair(body: Pairing) -> Response:
        try:
            key = door.let_in(body.code, body.name)
        except WrongCode as wrong:
            return refuse(HTTPStatus.FORBIDDEN, "That is not a code that is good now.", str(wrong))
        except DevicesError as trouble:
            return refuse(HTTPStatus.SERVICE_UNAVAILABLE, "This device was not let in.", str(trouble))
        device = door.devices.whose(key)
        answer = json_answer(
            Whose(role=None if device is None else device.role, here=False, name=body.name).model_dump_json()
        )
        answer.set_cookie(
            door.cookie, key, max_age=KEPT_FOR_S, httponly=True, samesite="Strict", secure=door.secure, path="/"
        )
        return answer


def _add_devices(app: OpenAPI, door: Door) -> None:
    @app.get("/api/devices", summary="The devices that are let in", responses={200: Devices})
    def devices() -> Response:
        return json_answer(Devices(devices=door.devices.all()).model_dump_json())

    @app.post("/api/devices/code", summary="A code that lets one device in", responses={200: CodeShown})
    def code(body: CodeAsked) -> Response:
        return json_answer(door.show_code(body.role).model_dump_json())

    @app.post("/api/devices/take_away", summary="Let a device in no longer",
              responses={200: Revoked, 404: Refusal, 503: Refusal})  # fmt: skip
    def take_away(body: Revoked) -> Response:
        try:
            was_there = door.devices.take_away(body.id)
        except DevicesError as trouble:
            return refuse(HTTPStatus.SERVICE_UNAVAILABLE, "Kept out until Waytell is started anew.", str(trouble))
        if not was_there:
            return refuse(HTTPStatus.NOT_FOUND, "There is no such device.", "Look at the list again.")
        return json_answer(body.model_dump_json())
