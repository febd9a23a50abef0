"""Runs a script as fast as it goes in virtual time: a wire log, and beside it the hidden truth.

The log begins with the configuration as an act, carries every line as it would have arrived (late by a few
milliseconds, as over a serial cable) and every act of the person, so it alone reproduces the session.
"""

from __future__ import annotations

import json
from collections import deque
from dataclasses import dataclass
from threading import Event
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from waytell_bridge.simulated.chance import seeded
from waytell_bridge.simulated.settings import config_document
from waytell_bridge.simulated.truth import Truth
from waytell_bridge.simulated.world import World
from waytell_bridge.wire_log import escape

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from waytell_bridge.simulated.person import Act, Answer, Script
    from waytell_bridge.simulated.settings import Settings

START_NS = 1_000_000_000
LATE_S = (0.001, 0.004)
LONGEST_S = 3600.0


@dataclass(frozen=True)
class Recording:
    """`lines` are entries of a wire log without their newline."""

    lines: tuple[str, ...]
    truth: Truth

    @property
    def text(self) -> str:
        return "\n".join(self.lines) + "\n"


class Fault(NamedTuple):
    """A fault at a time of the recording; `how` as for `World.fault`."""

    t_s: float
    name: str
    how: Mapping[str, Any] = MappingProxyType({})


class _Log:
    """Entries in the order of their time, which never goes back."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.acts: list[tuple[float, Act]] = []
        self._last_ns = START_NS

    def add(self, t_s: float, mark: str, text: str) -> None:
        self._last_ns = max(self._last_ns, START_NS + round(t_s * 1e9))
        self.lines.append(f"{self._last_ns} {mark} {text}")

    def act(self, t_s: float, act: Act) -> None:
        self.acts.append((t_s, act))
        self.add(t_s, "!", json.dumps(act))


def record(
    script: Script, settings: Settings, seed: int, *, faults: Sequence[Fault] = (), longest_s: float = LONGEST_S
) -> Recording:
    """The log and the truth of a script run to its end, or for `longest_s` of virtual time; faults at their times."""
    log = _Log()
    log.act(0.0, {"act": "use_config", "config": config_document(settings)})

    def press(act: Act) -> Answer:
        log.act(world.t_s, act)
        taken = Event()
        taken.set()
        return taken

    world = World(script, settings, seed, press=press)
    late = seeded(seed, "late")
    rest = b""
    ahead = deque(sorted(faults, key=lambda fault: fault.t_s))
    while not world.finished and world.t_s < longest_s:
        while ahead and ahead[0].t_s <= world.t_s:
            due = ahead.popleft()
            world.fault(due.name, **due.how)
        for arrived in world.tick():
            # A spoilt byte may be a newline too many or one too few, so lines are cut as they arrive.
            *whole, rest = (rest + arrived).split(b"\n")
            for line in whole:
                log.add(world.t_s + late.uniform(*LATE_S), "<", escape(line))
    return Recording(tuple(log.lines), truth_of(world, log.acts))


def truth_of(world: World, acts: list[tuple[float, Act]]) -> Truth:
    stock, bar = world.lathe.stock, world.settings.stock
    face_z = stock.face_mm(bar.diameter_mm / 5)
    places = [face_z - mm - 0.5 for mm in range(int(face_z + bar.length_mm))]
    return Truth(
        passes=tuple(world.person.passes),
        touch_offs=tuple(world.person.touch_offs),
        final_face_z_mm=face_z,
        final_diameters_mm=tuple((z, stock.diameter_mm(z)) for z in places),
        face_clean=stock.face_clean(),
        volume_mm3=stock.volume_mm3(),
        outline=tuple(stock.outline()),
        acts=tuple(acts),
    )
