"""Answers in JSON, refusals in words, and the way from a request's thread to the session's loop."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from datetime import UTC, datetime
from http import HTTPStatus
from typing import TypeVar

from flask import Response, make_response

from waytell.documents.base import Document

T = TypeVar("T")
ANSWER_WITHIN_S = 5.0
# It may use its own style sheet, and load nothing.
PRINTED_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"


class Refusal(Document):
    """What went wrong, and what to do."""

    error: str
    do: str


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


def json_answer(text: str) -> Response:
    return make_response(text, 200, {"Content-Type": "application/json", "Cache-Control": "no-store"})


def file_answer(text: str, kind: str, name: str) -> Response:
    """A file to take away."""
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
    kind += "" if kind == "application/json" else "; charset=utf-8"
    return make_response(text, HTTPStatus.OK, {**headers, "Content-Type": kind})


def printed_page(text: str) -> Response:
    """A page to print, which carries its own style sheet and nothing else."""
    response = make_response(text)
    response.headers.update({"Content-Security-Policy": PRINTED_POLICY, "Cache-Control": "no-store"})
    return response


def now_label() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def refuse(status: HTTPStatus, error: str, do: str) -> Response:
    response = json_answer(Refusal(error=error, do=do).model_dump_json())
    response.status_code = status
    return response
