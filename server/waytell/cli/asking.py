"""A client of a Waytell that runs: what it knows of the scales, and acts as its page sends them."""

from __future__ import annotations

import json
from http import HTTPStatus
from http.client import HTTPException
from typing import Any, TypeVar
from urllib.error import HTTPError, URLError
from urllib.parse import urlsplit
from urllib.request import ProxyHandler, Request, build_opener

import click
from pydantic import ValidationError

from waytell.cli.run import DEFAULT_PORT
from waytell.documents.acts import Act
from waytell.documents.base import Document
from waytell.documents.proving import ProvingNow
from waytell.documents.state import Event, LiveState

DEFAULT_SERVER = f"http://127.0.0.1:{DEFAULT_PORT}"
WITHIN_S = 10.0
D = TypeVar("D", bound=Document)


class CannotDo(click.ClickException):
    """Nothing was found out, so this is neither good nor bad."""

    exit_code = 2


class Refused(Exception):  # noqa: N818 - nothing broke: it makes no sense now
    """The act makes no sense now. `do` says what to do."""

    def __init__(self, words: str, do: str) -> None:
        super().__init__(words)
        self.do = do


class Running:
    """A Waytell at its address, such as http://127.0.0.1:8642.

    Raises CannotDo where none answers there, each time in words that say what to do.
    """

    def __init__(self, url: str) -> None:
        if urlsplit(url).scheme not in ("http", "https") or not urlsplit(url).netloc:
            raise CannotDo(f"{url} is no address of a Waytell. One looks like {DEFAULT_SERVER}.")
        self.url = url.rstrip("/")
        # Asked directly, whatever proxy this computer has for the rest of the world.
        self._opener = build_opener(ProxyHandler({}))

    def proving(self) -> ProvingNow:
        return self._document("/api/proving", ProvingNow)

    def state(self) -> LiveState:
        return self._document("/api/state", LiveState)

    def page(self, path: str) -> str:
        return self._ask(path)

    def act(self, act: Act) -> tuple[Event, ...]:
        """What happened; it is on disk.

        Raises:
            Refused: it makes no sense now.
        """
        try:
            answer = json.loads(self._ask("/api/acts", act.model_dump_json().encode()))
            return tuple(Event.model_validate(one) for one in answer["events"])
        except (ValueError, KeyError, TypeError) as error:
            raise self._stranger() from error

    def _document(self, path: str, kind: type[D]) -> D:
        try:
            return kind.model_validate_json(self._ask(path))
        except ValidationError as error:
            raise self._stranger() from error

    def _ask(self, path: str, sent: bytes | None = None) -> str:
        # The scheme was looked at as the address came.
        request = Request(self.url + path, data=sent, headers={"Content-Type": "application/json"})  # noqa: S310
        try:
            with self._opener.open(request, timeout=WITHIN_S) as answer:
                text: str = answer.read().decode("utf-8")
        except HTTPError as error:
            raise self._refusal(error) from error
        except (URLError, HTTPException, OSError) as error:
            raise CannotDo(
                f"No Waytell answers at {self.url}. Start it first: waytell run --source PORT --config lathe.toml "
                "(or waytell demo). One at another place is named by --server."
            ) from error
        except UnicodeDecodeError as error:
            raise self._stranger() from error
        return text

    def _refusal(self, error: HTTPError) -> Exception:
        told = _told(error)
        if told is None and error.code >= HTTPStatus.INTERNAL_SERVER_ERROR:
            return CannotDo(f"Waytell at {self.url} failed ({error.code}). What it printed there says why.")
        if told is None:
            return self._stranger()
        return Refused(told["error"], told["do"])

    def _stranger(self) -> CannotDo:
        return CannotDo(
            f"What answers at {self.url} is no Waytell, or one of another version. Name the right one (--server), or "
            "start it again with this version."
        )


def _told(error: HTTPError) -> dict[str, Any] | None:
    """A refusal of ours, with its words and what to do."""
    with error:
        try:
            told = json.loads(error.read())
        except (ValueError, OSError):
            return None
    return told if isinstance(told, dict) and {"error", "do"} <= set(told) else None
