"""Answers in JSON, refusals in words, and the way from a request's thread to the session's loop."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from http import HTTPStatus
from typing import TypeVar

from flask import Response, make_response

from waytell.documents.base import Document

T = TypeVar("T")
ANSWER_WITHIN_S = 5.0


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


def refuse(status: HTTPStatus, error: str, do: str) -> Response:
    response = json_answer(Refusal(error=error, do=do).model_dump_json())
    response.status_code = status
    return response
