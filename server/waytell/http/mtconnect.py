"""`/mtconnect/probe`, `/current` and `/sample`: read by other programs of a workshop, by an open standard.

Observations are taken ten times a second from the first request on, so that whoever does not use it pays nothing.
"""

from __future__ import annotations

import asyncio
import socket
import time
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from http import HTTPStatus

from flask import Flask, Response, make_response, request

from waytell.http.answers import Loop
from waytell.mtconnect.buffer import Buffer, OutOfRangeError
from waytell.mtconnect.documents import Head, devices_document, error_document, name_of, streams_document
from waytell.mtconnect.items import MACHINE, items_of, unavailable, values
from waytell.session import Session, wall_label

EVERY_S = 0.1
MOST = 4096
ASKED = {"probe": frozenset[str](), "current": frozenset[str](), "sample": frozenset({"from", "count"})}


class NotThere(Exception):  # noqa: N818 - an answer for the program that asks
    """Code of the standard, words, and the status of HTTP."""

    def __init__(self, code: str, words: str, status: HTTPStatus) -> None:
        super().__init__(words)
        self.code, self.status = code, status


class Observer:
    """Belongs to the loop. `machines` are the sessions by name; None where one is not open yet."""

    def __init__(self, machines: Callable[[], Mapping[str, Session | None]]) -> None:
        self._machines = machines
        self._began = int(time.time())
        self.buffer = Buffer()
        self._timer: asyncio.TimerHandle | None = None

    def names(self) -> list[str]:
        return sorted(self._machines())

    def head(self) -> Head:
        return Head(wall_label(datetime.now(UTC)), socket.gethostname(), self._began, self.buffer.size)

    def numbers(self) -> dict[str, int]:
        return {"first": self.buffer.first, "last": self.buffer.last, "next": self.buffer.next}

    def begin(self) -> None:
        """From now on changes are noted."""
        if self._timer is None:
            self._look()

    def _look(self) -> None:
        for name, session in self._machines().items():
            if session is None:
                told = {item.id: unavailable(item) for item in items_of(MACHINE)}
            else:
                told = values(session.latest.state())
            self.buffer.add(name, told, wall_label(datetime.now(UTC)))
        self._timer = asyncio.get_running_loop().call_later(EVERY_S, self._look)


def add_mtconnect(app: Flask, inside: Loop, observer: Observer) -> None:
    @app.route("/mtconnect/<what>")
    @app.route("/mtconnect/<machine>/<what>")
    def mtconnect(what: str, machine: str | None = None) -> Response:
        asked = {name: request.args[name] for name in request.args}
        body, status = inside.call(lambda: _answer(observer, what, machine, asked))
        return make_response(body, status, {"Content-Type": "text/xml; charset=utf-8", "Cache-Control": "no-store"})


def _answer(observer: Observer, what: str, machine: str | None, asked: Mapping[str, str]) -> tuple[bytes, HTTPStatus]:
    observer.begin()
    try:
        return _document(observer, what, _machines(observer, machine), asked), HTTPStatus.OK
    except NotThere as missing:
        return error_document(observer.head(), missing.code, str(missing)), missing.status


def _document(observer: Observer, what: str, machines: list[str], asked: Mapping[str, str]) -> bytes:
    if what not in ASKED:
        raise NotThere("UNSUPPORTED", "Only probe, current and sample are answered.", HTTPStatus.NOT_FOUND)
    others = sorted(set(asked) - ASKED[what])
    if others:
        raise NotThere("UNSUPPORTED", f"'{others[0][:40]}' is not covered here.", HTTPStatus.BAD_REQUEST)
    head, buffer = observer.head(), observer.buffer
    if what == "probe":
        return devices_document(head, machines)
    if what == "current":
        return streams_document(head, {one: buffer.current(one) for one in machines}, observer.numbers())
    first = _number(asked, "from", buffer.first, 1, buffer.next)
    try:
        found, on_from = buffer.sample(frozenset(machines), first, _number(asked, "count", 100, 1, MOST))
    except OutOfRangeError as there_is:
        raise NotThere("OUT_OF_RANGE", str(there_is), HTTPStatus.NOT_FOUND) from there_is
    of_each = {one: [seen for seen in found if seen.machine == one] for one in machines}
    return streams_document(head, of_each, {**observer.numbers(), "next": on_from})


def _machines(observer: Observer, machine: str | None) -> list[str]:
    names = observer.names()
    if machine is None:
        return names
    of_that_name = [one for one in names if machine in (one, name_of(one))]
    if not of_that_name:
        raise NotThere("NO_DEVICE", "There is no such machine.", HTTPStatus.NOT_FOUND)
    return of_that_name


def _number(asked: Mapping[str, str], name: str, usual: int, least: int, most: int) -> int:
    said = asked.get(name)
    if said is None:
        return usual
    if not (said.isascii() and said.isdigit() and len(said) <= 20):
        raise NotThere("INVALID_REQUEST", f"'{name}' must be a whole number.", HTTPStatus.BAD_REQUEST)
    if not least <= int(said) <= most:
        raise NotThere("OUT_OF_RANGE", f"'{name}' must be between {least} and {most}.", HTTPStatus.NOT_FOUND)
    return int(said)
