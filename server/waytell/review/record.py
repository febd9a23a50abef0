"""The events of a machine, folded into parts with their passes and sizes; what was taken back is left out.

Which part and set-up a pass belongs to follows from the acts that stand: an act undone later never happened, though
the pass was told while it was still believed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from waytell.documents import acts
from waytell.documents.config import Config, Units
from waytell.documents.pictures import unpack
from waytell.documents.review import Size
from waytell.documents.state import Event, Pass, PassDetail
from waytell.engine.happening import taken_back
from waytell.engine.verdict import verdict


@dataclass
class PartWork:
    """One part: its passes, and its sizes in the order in which they were measured."""

    number: int
    name: str = ""
    done: bool = False
    began: datetime | None = None
    ended: datetime | None = None
    passes: list[Pass] = field(default_factory=list)
    sizes: list[Size] = field(default_factory=list)


@dataclass
class Record:
    config: Config = field(default_factory=Config)
    units: Units = field(default_factory=Units)
    parts: list[PartWork] = field(default_factory=lambda: [PartWork(1)])
    set_up: int = 1
    chucked: bool = False
    """A first set-up was told: until then, and until a pass, a new one is still the first."""
    bodies: dict[int, dict[str, Any]] = field(default_factory=dict)
    """What the journal keeps of each pass, by its number."""

    @property
    def passes(self) -> list[Pass]:
        return [passed for part in self.parts for passed in part.passes]

    def detail(self, passed: Pass) -> PassDetail:
        """With its samples and outlines; journals of before they were kept have none."""
        samples, before, after = unpack(self.bodies[passed.number].get("pictures"))
        return PassDetail.model_validate(
            {"passed": passed, "samples": samples, "outline_before": before, "outline_after": after}
        )


def read(events: Iterable[Event]) -> Record:
    everything = list(events)
    undone = taken_back(everything)
    record = Record()
    for event in everything:
        if event.number in undone:
            continue
        if event.kind == "pass_finished":
            _passed(record, event)
        elif event.kind == "act":
            _told(record, acts.ACT.validate_python(event.body["act"]), event)
    return record


def _passed(record: Record, event: Event) -> None:
    part = record.parts[-1]
    passed = Pass.model_validate(event.body["pass"])
    passed = passed.model_copy(update={"part": part.number, "set_up": record.set_up})
    part.passes.append(passed)
    record.bodies[passed.number] = event.body
    part.ended = _moment(event.wall)
    if part.began is None and part.ended is not None:
        part.began = part.ended - timedelta(seconds=passed.duration_s)


def _told(record: Record, act: acts.Act, event: Event) -> None:
    part = record.parts[-1]
    if isinstance(act, acts.UseConfig):
        record.config, record.units = act.config, act.config.units
    elif isinstance(act, acts.ChooseUnits):
        record.units = act.units
    elif isinstance(act, acts.NewSetUp):
        record.set_up += 1 if record.chucked or record.bodies else 0
        record.chucked = True
    elif isinstance(act, acts.Measured):
        _measured(part, act, event)
    elif isinstance(act, acts.PartDone):
        part.name, part.done = act.part.strip(), True
        part.ended = _moment(event.wall) or part.ended
        record.parts.append(PartWork(part.number + 1))


def _measured(part: PartWork, act: acts.Measured, event: Event) -> None:
    part.sizes = [
        size.model_copy(update={"counts": False}) if (size.operation, size.axis) == (act.operation, act.axis) else size
        for size in part.sizes
    ]
    part.sizes.append(
        Size(
            part=part.number, operation=act.operation, axis=act.axis, at_mm=act.at_mm, u_mm=act.u_mm,
            low_mm=act.low_mm, high_mm=act.high_mm, wall=event.wall, counts=True,
            verdict=verdict(act.at_mm, act.u_mm, act.low_mm, act.high_mm),
        )
    )  # fmt: skip


def _moment(wall: str) -> datetime | None:
    try:
        return datetime.fromisoformat(wall)
    except ValueError:
        return None
