"""What happened, as the engine tells it: an act carried out, a pass finished, a slide that moved, a board's start.

State follows from readings and happenings alone, so whoever keeps these can rebuild it. `body` is plain JSON.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal, NamedTuple, Protocol

Kind = Literal["act", "pass_finished", "hold", "board", "started"]


class Happening(NamedTuple):
    number: int
    t_s: float
    wall: str
    kind: Kind
    words: str
    body: dict[str, Any]


class Told(Protocol):
    """A happening, here or in a journal."""

    @property
    def number(self) -> int: ...
    @property
    def kind(self) -> str: ...
    @property
    def body(self) -> dict[str, Any]: ...


def taken_back(told: Iterable[Told]) -> set[int]:
    """Numbers of what was undone: acts, and the pass that stands for a hole drilled, told just before its act."""
    acts = {one.number: one.body for one in told if one.kind == "act"}
    undone = {body["undoes"] for body in acts.values() if "undoes" in body}
    holes = {number - 1 for number in undone if acts[number]["act"]["act"] == "drilled"}
    return undone | holes


class ActRefused(Exception):  # noqa: N818 - the person's act, refused; no fault of the program
    """The act cannot be carried out now. `do` says what to do instead."""

    def __init__(self, words: str, do: str) -> None:
        super().__init__(words)
        self.do = do
