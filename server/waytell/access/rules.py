"""What somebody may do, decided from who asks and what is asked: no I/O."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple
from urllib.parse import urlsplit

from waytell.documents.access import Right

# What a device must see to be let in. The files of the pages hold nothing of anybody's.
OPEN = frozenset({"/pair", "/api/pair", "/api/me"})
OPEN_BELOW = "/static/"
# Who may come in is decided at the computer itself.
HERE_ONLY = ("/devices", "/api/devices")
PAGES_OF_ACCESS = (*OPEN, *HERE_ONLY, "/api/access")
# These reckon something out and change nothing.
REQUESTS_THAT_ONLY_ASK = ("/api/plan/try", "/api/plan/what_if", "/api/plan/read", "/api/measured/try")
KINDS = frozenset({b"application/json", b"application/toml"})
"""Of what is sent: acts and questions, and part files."""
SAFE = frozenset({"GET", "HEAD", "OPTIONS"})


class Who(NamedTuple):
    """Somebody who asks: `here` at this computer itself; `role` None where the device was not let in."""

    here: bool
    role: Right | None
    device_id: str | None = None
    name: str | None = None


class Asked(NamedTuple):
    method: str
    """"WEBSOCKET" for the opening of a live stream."""
    path: str
    headers: Mapping[bytes, bytes]


class No(NamedTuple):
    status: int
    error: str
    do: str


NOT_LET_IN = No(
    401, "This device was not let in.", "At the computer that Waytell runs on, open /devices and show a code."
)
ONLY_HERE = No(403, "Devices are let in at the computer only that Waytell runs on.", "Go there, and open /devices.")
ONLY_WATCHES = No(403, "This device may watch only.", "Do it at the lathe, or let this device in anew to operate.")
OTHER_SITE = No(403, "This request comes from another site.", "Use Waytell's own page.")
NOT_JSON = No(415, "A request that changes something must be JSON.", "Send it with Content-Type: application/json.")


def refused(who: Who, asked: Asked) -> No | None:
    """Why it may not be had; None where it may."""
    changes = asked.method not in SAFE
    if changes and not from_own_page(asked.headers, must_say=not who.here):
        return OTHER_SITE
    if asked.method not in {*SAFE, "WEBSOCKET"} and not _said_rightly(asked.headers):
        return NOT_JSON
    if below(asked.path, HERE_ONLY):
        return None if who.here else ONLY_HERE
    if asked.path in OPEN or asked.path.startswith(OPEN_BELOW):
        return None
    if who.role is None:
        return NOT_LET_IN
    if (
        changes
        and asked.method != "WEBSOCKET"
        and who.role != "operate"
        and not asked.path.endswith(REQUESTS_THAT_ONLY_ASK)
    ):
        return ONLY_WATCHES
    return None


def from_own_page(headers: Mapping[bytes, bytes], *, must_say: bool) -> bool:
    """Whether a page that asks is this server's own.

    A browser always says where a request that changes something comes from. A program at this computer says nothing;
    from elsewhere that is not taken, because a device's cookie may be with it.
    """
    if headers.get(b"sec-fetch-site", b"same-origin") not in (b"same-origin", b"none"):
        return False
    origin = headers.get(b"origin")
    if origin is None:
        return not must_say
    try:
        whose = urlsplit(origin.decode("latin-1")).netloc
        return bool(whose) and whose == headers.get(b"host", b"").decode("latin-1")
    except ValueError:
        return False


def _said_rightly(headers: Mapping[bytes, bytes]) -> bool:
    """As no form of another site can say it: a browser asks first, and is not allowed (Fetch standard)."""
    return headers.get(b"content-type", b"").partition(b";")[0].strip().lower() in KINDS


def below(path: str, tops: tuple[str, ...]) -> bool:
    return any(path == top or path.startswith(f"{top}/") for top in tops)
