"""The simulated lathe as a source: addresses such as `simulated:demo` start it in this process.

`simulated:NAME[?key=value&...]`: NAME is a script (`demo`, `facing_only`, ...) or `by_hand`, where nobody winds until
asked. Keys: `seed`, `pace`, `style` (smooth, uneven, jerky), `rate` (reports a second), `kind` (tcp, pty).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal, get_args
from urllib.parse import parse_qsl

from waytell_bridge.simulated.serving import BoardServer
from waytell_bridge.simulated.settings import Settings, Style
from waytell_bridge.simulated.short_scripts import SCRIPTS

if TYPE_CHECKING:
    from collections.abc import Callable

    from waytell_bridge.simulated.person import Act, Look

PREFIX = "simulated:"
BY_HAND = "by_hand"
KEYS = ("seed", "pace", "style", "rate", "kind")


def board_server(url: str, *, press: Callable[[Act], None] | None = None, look: Look | None = None) -> BoardServer:
    """The server that an address asks for, not yet started.

    Raises:
        ValueError: the address names no script, or a key or value that there is not.
    """
    name, _, query = url.removeprefix(PREFIX).partition("?")
    if not url.startswith(PREFIX) or name not in (*SCRIPTS, BY_HAND):
        raise ValueError(
            f"{url!r} is no simulated lathe; there are: {', '.join(PREFIX + s for s in (*SCRIPTS, BY_HAND))}"
        )
    keys = dict(parse_qsl(query, keep_blank_values=True))
    if unknown := sorted(set(keys) - set(KEYS)):
        raise ValueError(f"a simulated lathe has no {', '.join(unknown)}; it has: {', '.join(KEYS)}")
    pace = float(keys.get("pace", "1"))
    if not 0.1 <= pace <= 20:
        raise ValueError(f"pace {pace:g} is not between 0.1 and 20")
    return BoardServer(
        SCRIPTS.get(name),
        _settings(keys),
        int(keys.get("seed", "1")),
        press=press,
        look=look,
        pace=pace,
        kind=_kind(keys.get("kind", "tcp")),
    )


def start(url: str, *, press: Callable[[Act], None] | None = None, look: Look | None = None) -> BoardServer:
    """Start what an address asks for; its `url` is what a serial port would be opened with. Stop it with `stop()`."""
    server = board_server(url, press=press, look=look)
    server.start()
    return server


def _settings(keys: dict[str, str]) -> Settings:
    settings = Settings()
    rate_hz = int(keys.get("rate", str(settings.board.rate_hz)))
    if not 10 <= rate_hz <= 1000:
        raise ValueError(f"rate {rate_hz} is not between 10 and 1000 reports a second")
    style = next((known for known in get_args(Style) if known == keys.get("style", "smooth")), None)
    if style is None:
        raise ValueError(f"nobody winds {keys['style']!r}; there are: {', '.join(get_args(Style))}")
    return replace(settings, board=replace(settings.board, rate_hz=rate_hz), hand=replace(settings.hand, style=style))


def _kind(text: str) -> Literal["tcp", "pty"]:
    if text == "tcp":
        return "tcp"
    if text == "pty":
        return "pty"
    raise ValueError(f"kind {text!r} is neither tcp nor pty")
