"""A wire log step by step: what the board told and what the person did, in its order.

Whoever takes the steps decides how fast: `replay` at once, `playing` at the pace of the recording. The listener hears
each line with the time at which it was recorded, so both come to the same. What cannot be read is counted and told.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple, TypeAlias

from pydantic import ValidationError

from waytell.documents.acts import ACT, Act, UseConfig
from waytell.documents.config import Config
from waytell_bridge.bridge import make_listener
from waytell_bridge.reading import BoardEvent, LinkReport, Reading
from waytell_bridge.wire_log import LONGEST_SHOWN, Unreadable, read_entries, unescape

SILENCE_S = 0.05
BACK_S = 1.0
"""A time so far before the last one is that of a computer that was started anew, which counts from then."""
MOST_TROUBLES = 100  # a log of another kind would be all trouble: the first hundred say enough

Step: TypeAlias = tuple[float, Sequence[BoardEvent], Act | None]
"""Time in the log in seconds, what the board told then, what the person did then."""


class Damage(NamedTuple):
    """A line of the board that could not be trusted."""

    line: int
    """Its number in the log, from 1."""
    t_s: float
    reason: str
    text: str


class LogSteps:
    """The steps of one log. `config` sets the machine up where the log's own acts do not."""

    def __init__(self, name: str, config: Config | None = None) -> None:
        board = config.board if config is not None else None
        self._listener = make_listener(
            name, 500_000, board.line_pattern if board else None, board.line_scale if board else 1.0
        )
        self._config = config
        self._heard_reading = False
        self._later_s = 0.0
        """How much later times are taken than they stand in the log, so that they go on."""
        self._waiting: list[Act] = []
        self.line = self.entries = 0
        """Lines taken from the log so far, and how many of them were entries."""
        self.first_s: float | None = None
        self.now_s = 0.0
        self.first_damage: Damage | None = None
        self.troubles: list[str] = []

    def of(self, lines: Iterable[str]) -> Iterator[Step]:
        for entry in read_entries(self._counted(lines)):
            if isinstance(entry, Unreadable):
                self.trouble(f"Line {entry.line} is no entry of a wire log: {shown(entry.text)}")
                continue
            self.entries += 1
            t_ns, mark, text = entry
            t_s = t_ns * 1e-9 + self._later_s
            if self.first_s is not None and t_s < self.now_s - BACK_S:
                self._later_s += self.now_s - t_s
                t_s = self.now_s
                yield t_s, self._listener.opened(t_s).events, None
            if self.first_s is None or t_s - self.now_s > SILENCE_S:
                yield from self._before(t_s)
            self.now_s = max(self.now_s, t_s)
            if mark == "<":
                heard = self._listener.listen(unescape(text) + b"\n", t_s)
                if heard.damaged and self.first_damage is None:
                    self.first_damage = Damage(self.line, t_s, heard.damaged[0], shown(text))
                yield t_s, heard.events, None
                if not self._heard_reading and any(isinstance(event, Reading) for event in heard.events):
                    self._heard_reading = True
                    yield from self._waited()
            elif mark == "!":
                yield from self._act(text, t_s)
        yield from self._waited()

    def ended(self) -> LinkReport:
        """What is to be said of the link at the end of the log."""
        return self._listener.ended(self.now_s)

    def trouble(self, words: str) -> None:
        if len(self.troubles) < MOST_TROUBLES:
            self.troubles.append(words)

    def _counted(self, lines: Iterable[str]) -> Iterator[str]:
        for self.line, line in enumerate(lines, start=1):
            yield line

    def _before(self, t_s: float) -> Iterator[Step]:
        """What an entry at this time finds: at first a source just opened, later the silence since the last entry."""
        if self.first_s is None:
            self.first_s = self.now_s = t_s
            yield t_s, self._listener.opened(t_s).events, None
            if self._config is not None:
                yield t_s, (), UseConfig(act="use_config", config=self._config)
        else:
            yield t_s - 1e-6, self._listener.tick(t_s - 1e-6).events, None

    def _act(self, body: str, t_s: float) -> Iterator[Step]:
        try:
            act = ACT.validate_json(body)
        except ValidationError as error:
            self.trouble(f"Line {self.line}, an act at {t_s:.3f} s, cannot be read: {_fault(error)}")
            return
        # A log may say where the tool stands before its first reading: that reading is what it meant.
        if self._waiting or (act.act == "touch_off" and not self._heard_reading):
            self._waiting.append(act)
        else:
            yield t_s, (), act

    def _waited(self) -> Iterator[Step]:
        waiting, self._waiting = self._waiting, []
        for act in waiting:
            yield self.now_s, (), act


def shown(text: str) -> str:
    """A line of a log as it can be shown on a terminal: what is not printable is not printed."""
    return "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in text[:LONGEST_SHOWN])[:80]


def _fault(error: ValidationError) -> str:
    first: Any = error.errors(include_url=False)[0]
    place = ".".join(str(part) for part in first["loc"])
    return f"{first['msg']}{f' at {place}' if place else ''}"
