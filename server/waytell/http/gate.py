"""The gate before every page, request and live stream: who asks, how often, and whether it may be had."""

from __future__ import annotations

import asyncio
import json
from collections import defaultdict
from collections.abc import Mapping
from http.cookies import CookieError, SimpleCookie
from math import ceil
from typing import Any

from waytell.access.door import Door
from waytell.access.rules import NOT_LET_IN, PAGES_OF_ACCESS, Asked, No, Who, below, refused
from waytell.http.live import POLICY_VIOLATION, Receive, Route, Scope, Send

MOST_STREAMS = 8
"""Live streams that one device may hold open at a time."""
JSON = (b"content-type", b"application/json")
NOT_KEPT = (b"cache-control", b"no-store")


class Gate:
    def __init__(self, door: Door, inside: Route, access_pages: Route) -> None:
        """`access_pages` lets devices in; `inside` is everything else."""
        self._door, self._inside, self._access_pages = door, inside, access_pages
        self._streams: defaultdict[str, set[asyncio.Event]] = defaultdict(set)
        self._loop = asyncio.get_running_loop()
        door.devices.gone = self._gone

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        headers = dict(scope["headers"])
        address = str((scope.get("client") or ("",))[0])
        key = key_in(headers, self._door.cookie)
        who = self._door.who(address, key)
        method = scope["method"] if scope["type"] == "http" else "WEBSOCKET"
        asked = Asked(method, scope["path"], headers)
        wait_s = self._door.wait_s(address, asked.path)
        if wait_s > 0:
            too_many = No(429, "Too many requests.", f"Wait {ceil(wait_s)} s, then try again.")
            await _answer(too_many, scope, receive, send, [(b"retry-after", str(ceil(wait_s)).encode())])
        elif (no := refused(who, asked)) is not None:
            await (_to_pairing(send) if _is_page(no, scope, asked) else _answer(no, scope, receive, send))
        elif scope["type"] == "websocket" and who.device_id is not None:
            await self._stream(who, scope, receive, send)
        else:
            await (self._access_pages if below(asked.path, PAGES_OF_ACCESS) else self._inside)(scope, receive, send)

    async def _stream(self, who: Who, scope: Scope, receive: Receive, send: Send) -> None:
        """A live stream that ends when its device is taken away."""
        assert who.device_id is not None
        mine = self._streams[who.device_id]
        if len(mine) >= MOST_STREAMS:
            await _answer(No(429, "This device has too many pages open.", "Close some."), scope, receive, send)
            return
        taken_away = asyncio.Event()
        mine.add(taken_away)
        serving = asyncio.ensure_future(self._inside(scope, receive, send))
        ending = asyncio.ensure_future(taken_away.wait())
        try:
            await asyncio.wait({serving, ending}, return_when=asyncio.FIRST_COMPLETED)
        finally:
            mine.discard(taken_away)
            ending.cancel()
            serving.cancel()
            results = await asyncio.gather(serving, ending, return_exceptions=True)
        if taken_away.is_set():
            await send({"type": "websocket.close", "code": POLICY_VIOLATION, "reason": "device taken away"})
        elif isinstance(results[0], Exception):
            raise results[0]

    def _gone(self, device_id: str) -> None:
        """From any thread."""
        self._loop.call_soon_threadsafe(self._shut, device_id)

    def _shut(self, device_id: str) -> None:
        for taken_away in self._streams.pop(device_id, ()):
            taken_away.set()


def key_in(headers: Mapping[bytes, bytes], name: str) -> str | None:
    """The device's key in the cookies of a request."""
    try:
        cookies: SimpleCookie = SimpleCookie(headers.get(b"cookie", b"").decode("latin-1"))
    except CookieError:
        return None
    return cookies[name].value if name in cookies else None


def _is_page(no: No, scope: Scope, asked: Asked) -> bool:
    """A person who opens a page is led to where the device is let in."""
    return no is NOT_LET_IN and scope["type"] == "http" and b"text/html" in asked.headers.get(b"accept", b"")


async def _to_pairing(send: Send) -> None:
    await send({"type": "http.response.start", "status": 303, "headers": [(b"location", b"/pair"), NOT_KEPT]})
    await send({"type": "http.response.body", "body": b""})


async def _answer(no: No, scope: Scope, receive: Receive, send: Send, more: list[Any] | None = None) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": POLICY_VIOLATION, "reason": no.error})
        return
    body = json.dumps({"error": no.error, "do": no.do}).encode()
    headers = [JSON, NOT_KEPT, (b"content-length", str(len(body)).encode()), *(more or [])]
    await send({"type": "http.response.start", "status": no.status, "headers": headers})
    await send({"type": "http.response.body", "body": b"" if scope["method"] == "HEAD" else body})
