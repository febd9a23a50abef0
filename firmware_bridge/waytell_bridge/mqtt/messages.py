"""What goes over the broker between a bridge and its servers: topics, and payloads as JSON.

All topics lie under `waytell/v1/MACHINE/`. Every payload of a bridge carries `run`, drawn anew at each of its starts.
Times are seconds of the bridge's own monotonic clock, which need not agree with anybody's. A field that is not known
here is passed over, so that a newer bridge may say more; another major version has other topics.
"""

from __future__ import annotations

import re
from typing import Annotated, Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field

VERSION = 1
ROOT = f"waytell/v{VERSION}"
MACHINE = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,39}")
MOST_SCALES = 16
MOST_READINGS = 512
COUNT_SPAN = 2**31

Run = Annotated[str, Field(min_length=8, max_length=64, description="Drawn at random at each start of the bridge")]
Seconds = Annotated[float, Field(ge=0, lt=1e12, allow_inf_nan=False)]
Words = Annotated[str, Field(max_length=500)]
Count = Annotated[int, Field(ge=-COUNT_SPAN, lt=COUNT_SPAN)]
Scale = Annotated[int, Field(ge=0, lt=MOST_SCALES)]
Total = Annotated[int, Field(ge=0)]
Boot = Annotated[str, Field(max_length=40)]
Counts = Annotated[tuple[Count, ...], Field(min_length=1, max_length=MOST_SCALES)]


class Message(BaseModel):
    model_config = ConfigDict(frozen=True, extra="ignore")


class Presence(Message):
    """A bridge is there, or has left; the broker says the latter for it where it vanishes."""

    run: Run
    online: bool
    source: Words = ""


class Hello(Message):
    """What the board said of itself."""

    run: Run
    t_s: Seconds
    boot: Boot
    model: Annotated[str, Field(max_length=80)]
    scales: Annotated[int, Field(ge=1, le=MOST_SCALES)]
    rate_hz: Annotated[int, Field(ge=1, le=100_000)]
    firmware: Annotated[str, Field(max_length=80)] | None
    pulses_per_rev: Annotated[int, Field(ge=0, le=10_000)]
    switches: Annotated[int, Field(ge=0, le=64)]
    kept: bool
    max_edges_s: Annotated[int, Field(ge=0)] | None
    kinds: Annotated[str, Field(max_length=MOST_SCALES)]


class State(Message):
    """How the bridge hears its board: told when that changes, and twice a second. Totals, so that none is lost."""

    run: Run
    t_s: Seconds
    condition: Literal["opening", "silent", "unreadable", "live", "flooded", "lost", "ended"]
    words: Words
    source: Words
    checked: bool
    reports: Total
    lost_reports: Total
    damaged_lines: Total
    rate_hz: Annotated[float, Field(ge=0, allow_inf_nan=False)]
    spread_s: Annotated[float, Field(ge=0, allow_inf_nan=False)]
    missed: dict[Scale, Total] = {}
    """Edges missed of each scale since the board started."""
    switches: Annotated[int, Field(ge=0)] = 0


class Readings(Message):
    """Positions, oldest first, and the spindle's pulses among them."""

    run: Run
    seq: Annotated[int, Field(ge=1)]
    """One more for each message of this kind."""
    boot: Boot
    """The start of the board that they belong to; empty where the board has none."""
    left_out: Total = 0
    """Readings before these that a slow network left no room for."""
    readings: Annotated[
        tuple[tuple[Seconds, Seconds, Counts, Annotated[int, Field(ge=0)]], ...], Field(max_length=MOST_READINGS)
    ]
    """Seconds, the board's own seconds, counts of all scales, and bit i where scale i has missed edges."""
    pulses: Annotated[tuple[tuple[Seconds, Seconds], ...], Field(max_length=MOST_READINGS)] = ()
    """Seconds of a pulse, and since the one before; 0 where the spindle stands."""


class Event(Message):
    """What must not be lost: missed edges, a reference mark, a switch."""

    run: Run
    seq: Annotated[int, Field(ge=1)]
    """One more for each message of this kind."""
    t_s: Seconds
    what: Literal["missed", "mark", "switches"]
    scale: Scale = 0
    value: Annotated[int, Field(ge=-COUNT_SPAN, lt=2**32)]
    """Total of missed edges, count at the mark, or bits of the switches."""


class Ask(Message):
    """A server asks what the bridge's clock says: the only way to know how late its readings come."""

    asker: Annotated[str, Field(min_length=8, max_length=64)]
    number: Annotated[int, Field(ge=0)]
    gather_s: Annotated[float, Field(ge=0.0, le=0.1)] = 0.016
    """How long readings are to be gathered before they are sent: longer where the server follows many machines."""


class Answer(Message):
    run: Run
    asker: Annotated[str, Field(min_length=8, max_length=64)]
    number: Annotated[int, Field(ge=0)]
    clock_s: Seconds


class Topic(NamedTuple):
    payload: type[Message]
    sender: Literal["bridge", "server"]
    qos: Literal[0, 1]
    retained: bool
    words: str


TOPICS: dict[str, Topic] = {
    "presence": Topic(Presence, "bridge", 1, retained=True, words="It is there; the last will says that it is gone"),
    "hello": Topic(Hello, "bridge", 1, retained=True, words="What the board said of itself"),
    "state": Topic(State, "bridge", 1, retained=True, words="How it hears the board, with totals"),
    "readings": Topic(Readings, "bridge", 0, retained=False, words="Positions, in small batches"),
    "events": Topic(Event, "bridge", 1, retained=False, words="Missed edges, marks, switches"),
    "ask": Topic(Ask, "server", 0, retained=False, words="What does your clock say?"),
    "answer": Topic(Answer, "bridge", 0, retained=False, words="It says so"),
}


def topic(machine: str, leaf: str) -> str:
    """Full name of a topic.

    Raises:
        ValueError: the name of the machine cannot stand in one; its words say what may.
    """
    if not MACHINE.fullmatch(machine):
        raise ValueError(
            f"{machine!r} cannot name a machine: use up to 40 letters, digits, spaces, points, hyphens and underscores."
        )
    return f"{ROOT}/{machine}/{leaf}"


def parted(name: str) -> tuple[str, str] | None:
    """Machine and leaf of a topic; None where it is none of ours."""
    if not name.startswith(f"{ROOT}/"):
        return None
    machine, _, leaf = name.removeprefix(f"{ROOT}/").partition("/")
    return (machine, leaf) if MACHINE.fullmatch(machine) and leaf in TOPICS else None
