"""By which names this server may be called: a page of another site must not reach it under a name of that site.

Such a page can make its own name lead to this computer's address (DNS rebinding), and then passes for ours. It cannot
make an address of numbers its own, nor the name of this computer: those are answered, all other names are refused.
"""

from __future__ import annotations

import ipaddress
import json
import socket
from urllib.parse import urlsplit

from waytell.http.live import POLICY_VIOLATION, Receive, Route, Scope, Send

REFUSED = json.dumps(
    {
        "error": "This server is not called by that name.",
        "do": "Call it by its address in numbers, or by the name of its computer.",
    }
).encode()


def called_rightly(host: str, own: str) -> bool:
    """Whether the Host header of a request names this server; `own` is the name of its computer."""
    try:
        name = urlsplit(f"//{host}").hostname or ""
        ipaddress.ip_address(name)
    except ValueError:
        pass
    else:
        return True
    try:
        name = (urlsplit(f"//{host}").hostname or "").rstrip(".")
    except ValueError:
        return False
    own = own.lower()
    return name == "localhost" or (bool(own) and name in (own, f"{own}.local", own.partition(".")[0]))


def only_by_own_name(route: Route) -> Route:
    """The same pages, refused under other names."""
    own = socket.gethostname()

    async def guarded(scope: Scope, receive: Receive, send: Send) -> None:
        host = dict(scope["headers"]).get(b"host", b"").decode("latin-1")
        if called_rightly(host, own):
            await route(scope, receive, send)
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": POLICY_VIOLATION, "reason": "other name"})
        else:
            headers = [(b"content-type", b"application/json"), (b"cache-control", b"no-store")]
            await send({"type": "http.response.start", "status": 421, "headers": headers})
            await send({"type": "http.response.body", "body": REFUSED})

    return guarded
