"""What happened, as the engine tells it: an act carried out, a pass finished, a slide that moved, a board's start.

State follows from readings and happenings alone, so whoever keeps these can rebuild it. `body` is plain JSON.
"""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

Kind = Literal["act", "pass_finished", "hold", "board", "started"]


class Happening(NamedTuple):
    number: int
    t_s: float
    wall: str
    kind: Kind
    words: str
    body: dict[str, Any]


class ActRefused(Exception):  # noqa: N818 - the person's act, refused; no fault of the program
    """The act cannot be carried out now. `do` says what to do instead."""

    def __init__(self, words: str, do: str) -> None:
        super().__init__(words)
        self.do = do
