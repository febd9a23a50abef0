"""A wire log through the same listener and engine as live bytes, as fast as it goes.

Acts in the log are carried out at their place, so that a log alone gives the whole session. What cannot be read or
carried out is counted and told, and the rest goes on.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from waytell.documents.acts import Act
from waytell.documents.config import Config
from waytell.documents.state import Pass
from waytell.engine.engine import Engine
from waytell.engine.happening import ActRefused, Happening, taken_back
from waytell.log_steps import SILENCE_S, Damage, LogSteps
from waytell_bridge.reading import LinkReport


@dataclass
class Replayed:
    engine: Engine = field(default_factory=Engine)
    events: list[Happening] = field(default_factory=list)
    link: LinkReport | None = None
    first_damage: Damage | None = None
    troubles: list[str] = field(default_factory=list)
    """Lines that are no entries and acts that were refused, in words."""
    lines: int = 0
    entries: int = 0
    first_s: float = 0.0
    """Time of the first entry; the log counts from the start of a computer, so only what follows it says anything."""
    duration_s: float = 0.0

    @property
    def passes(self) -> list[Pass]:
        """Those that stand: a hole that was told and taken back was never drilled."""
        undone = taken_back(self.events)
        told = (one for one in self.events if one.kind == "pass_finished" and one.number not in undone)
        return [Pass.model_validate(one.body["pass"]) for one in told]

    def document(self) -> dict[str, Any]:
        """For `--json`: passes, events, link and troubles."""
        damage = self.first_damage._asdict() if self.first_damage is not None else None
        return {
            "passes": [one.model_dump(mode="json") for one in self.passes],
            "events": [one._asdict() for one in self.events],
            "link": {**self.link._asdict(), "first_damage": damage} if self.link is not None else {},
            "troubles": self.troubles,
        }


def replay(lines: Iterable[str], name: str, config: Config | None = None) -> Replayed:
    """Replay the lines of a wire log; `config` sets the machine up where the log's own acts do not.

    Where `lines` ends early, what it gave is the log.
    """
    steps, result = LogSteps(name, config), Replayed()
    engine, now_s = result.engine, None
    for t_s, events, act in steps.of(lines):
        if now_s is not None and t_s - now_s > SILENCE_S:
            # Silence is what happened: the engine must see it before what comes after.
            engine.tick(t_s)
        now_s = t_s
        for event in events:
            happened = engine.feed(event)
            if happened:
                result.events += happened
        if act is not None:
            _carry_out(result, steps, act, t_s)
    if steps.first_s is not None:
        # A pass still under way when the log ends has ended with it.
        result.events += engine.finish()
        result.link = steps.ended()
        result.first_s, result.duration_s = steps.first_s, steps.now_s - steps.first_s
    result.first_damage, result.troubles = steps.first_damage, steps.troubles
    result.lines, result.entries = steps.line, steps.entries
    return result


def _carry_out(result: Replayed, steps: LogSteps, act: Act, t_s: float) -> None:
    try:
        result.events += result.engine.act(act, t_s)
    except ActRefused as refused:
        steps.trouble(f"Line {steps.line}, the act {act.act} at {t_s:.3f} s, was refused: {refused} {refused.do}")
