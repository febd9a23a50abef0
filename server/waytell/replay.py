"""A wire log through the same listener and engine as live bytes, as fast as it goes.

Acts in the log are carried out at their place, so that a log alone gives the whole session. What cannot be read or
carried out is counted and told, and the rest goes on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from waytell.documents.acts import ACT, UseConfig
from waytell.documents.config import Config
from waytell.documents.state import Pass
from waytell.engine.engine import Engine
from waytell.engine.happening import ActRefused, Happening
from waytell_bridge.bridge import make_listener
from waytell_bridge.listener import Heard
from waytell_bridge.reading import LinkReport
from waytell_bridge.wire_log import Entry, Unreadable, read_entries, unescape

TICK_S = 0.05


@dataclass
class Replayed:
    engine: Engine = field(default_factory=Engine)
    passes: list[Pass] = field(default_factory=list)
    events: list[Happening] = field(default_factory=list)
    link: LinkReport | None = None
    troubles: list[str] = field(default_factory=list)
    """Lines that are no entries and acts that were refused, in words."""
    entries: int = 0

    def document(self) -> dict[str, Any]:
        """For `--json`: passes, events, link and troubles."""
        return {
            "passes": [one.model_dump(mode="json") for one in self.passes],
            "events": [one._asdict() for one in self.events],
            "link": self.link._asdict() if self.link is not None else {},
            "troubles": self.troubles,
        }


def replay(
    lines: Iterable[str], name: str, config: Config | None = None, *,
    progress: Callable[[int], None] | None = None,
) -> Replayed:  # fmt: skip
    """Replay the lines of a wire log; `config` sets the machine up where the log's own acts do not."""
    run = _Run(name, config)
    for count, entry in enumerate(read_entries(lines), start=1):
        run.take(entry)
        if progress is not None and count % 10_000 == 0:
            progress(count)
    run.finish()
    return run.result


class _Run:
    def __init__(self, name: str, config: Config | None) -> None:
        self.result = Replayed()
        self._listener = make_listener(
            name, 500_000, config.board.line_pattern if config else None, config.board.line_scale if config else 1.0
        )
        self._config = config
        self._now_s: float | None = None
        self._waiting: list[tuple[Any, float]] = []

    def take(self, entry: Entry | Unreadable) -> None:
        if isinstance(entry, Unreadable):
            self._trouble(f"Line {entry.line} is no entry of a wire log: {entry.text[:60]}")
            return
        self.result.entries += 1
        t_s = entry.t_ns * 1e-9
        self._pass_time(t_s)
        if entry.mark == "<":
            self._heard(self._listener.listen(unescape(entry.text) + b"\n", t_s))
        elif entry.mark == "!":
            self._act(entry.text, t_s)

    def finish(self) -> None:
        for act, t_s in self._waiting:
            self._carry_out(act, t_s)
        if self._now_s is not None:
            # A pass still under way when the log ends has ended with it.
            self._pass_time(self._now_s + TICK_S)
            self._kept(self.result.engine.finish())
            self.result.link = self._listener.ended(self._now_s)

    def _pass_time(self, t_s: float) -> None:
        if self._now_s is None:
            self._now_s = t_s
            self._heard(self._listener.opened(t_s))
            if self._config is not None:
                self._carry_out(UseConfig(act="use_config", config=self._config), t_s)
        elif t_s - self._now_s > TICK_S:
            # Silence is what happened: the engine must see it before what comes after.
            self._heard(self._listener.tick(t_s - 1e-6))
            self.result.engine.tick(t_s - 1e-6)
        self._now_s = max(self._now_s, t_s)

    def _heard(self, heard: Heard) -> None:
        engine = self.result.engine
        for event in heard.events:
            if isinstance(event, LinkReport):
                self.result.link = event
            happened = engine.feed(event)
            if happened:
                self._kept(happened)
        if self._waiting and engine.place.counts:
            waiting, self._waiting = self._waiting, []
            for act, t_s in waiting:
                self._carry_out(act, t_s)

    def _act(self, body: str, t_s: float) -> None:
        try:
            act = ACT.validate_json(body)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            self._trouble(f"An act at {t_s:.3f} s cannot be read: {first['msg']} at {first['loc']}")
            return
        # A log may say where the tool stands before its first reading: that reading is what it meant.
        if self._waiting or (act.act == "touch_off" and not self.result.engine.place.counts):
            self._waiting.append((act, t_s))
        else:
            self._carry_out(act, t_s)

    def _carry_out(self, act: Any, t_s: float) -> None:
        try:
            self._kept(self.result.engine.act(act, t_s))
        except ActRefused as refused:
            self._trouble(f"The act {act.act} at {t_s:.3f} s was refused: {refused}")

    def _kept(self, happened: list[Happening]) -> None:
        self.result.events += happened
        for one in happened:
            if one.kind == "pass_finished":
                self.result.passes.append(Pass.model_validate(one.body["pass"]))

    def _trouble(self, words: str) -> None:
        # A log of another kind would be all trouble: the first hundred say enough.
        if len(self.result.troubles) < 100:
            self.result.troubles.append(words)
