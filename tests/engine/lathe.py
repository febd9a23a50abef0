"""A lathe for the tests: slides wound along straight lines, a board that counts them, and the real engine.

The slides stand at work coordinates of the one corner they carry; `counted` rounds them to the grid of the scales, as
a scale does. Time is the board's and the host's alike.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

import pytest

from waytell.documents.acts import ACT
from waytell.documents.base import Axis
from waytell.documents.config import Config
from waytell.documents.state import DoubtfulFigure, Figure, GoodFigure, LiveState, Pass
from waytell.engine.engine import Engine
from waytell.engine.happening import Happening
from waytell.engine.live_state import Outside, build
from waytell_bridge.reading import BoardHello, LinkCondition, LinkReport, Reading

FACING: dict[str, Any] = {
    "name": "face the end", "kind": "facing", "start_mm": 12.0, "end_mm": 0.0, "target_mm": -0.6, "depth_mm": 0.3,
}  # fmt: skip
TURNING: dict[str, Any] = {
    "name": "turn the seat", "kind": "turning", "start_mm": 0.0, "end_mm": -8.0, "target_mm": 11.0, "depth_mm": 0.5,
}  # fmt: skip
STOCK: dict[str, Any] = {"diameter_mm": 24.0, "length_mm": 40.0}
PARTS: dict[str, Any] = {
    "scales": [
        {"channel": 0, "slide": "cross", "resolution_um": 5.0},
        {"channel": 1, "slide": "carriage", "resolution_um": 5.0},
    ],
    "tools": [{"name": "one"}, {"name": "two"}, {"name": "round", "nose_radius_mm": 0.4}],
}
THREE_SCALES: list[dict[str, Any]] = [*PARTS["scales"], {"channel": 2, "slide": "compound", "resolution_um": 5.0}]
Shape = Callable[[float], float]


def configured(**parts: Any) -> Config:
    return Config.model_validate(PARTS | parts)


def link(condition: LinkCondition = LinkCondition.LIVE, t_s: float = 0.0, *, checked: bool = True) -> LinkReport:
    return LinkReport(t_s, condition, f"The link is {condition.value}.", "test", checked, 0, 0, 0, 250.0, 0.0)


def hello(boot: str = "A1", t_s: float = 0.0, *, kept: bool = False, rate_hz: int = 250, **more: Any) -> BoardHello:
    said = BoardHello(t_s, boot, "test board", 2, rate_hz, "1.0.0", 1, 2, kept, 120_000, "qq", restarted=False)
    return said._replace(**more)


class Lathe:
    """`events` are all happenings so far. Acts are given by name, as the API takes them."""

    def __init__(self, config: Config | None = None, *, rate_hz: int = 250, greet: bool = True) -> None:
        self.engine = Engine()
        self.rate_hz = rate_hz
        self.t_s = 1.0
        self.x_mm, self.z_mm = 20.0, 10.0
        self.compound_mm = 0.0
        self.flags = 0
        self.events: list[Happening] = []
        self.last_state: LiveState | None = None
        self._steps = [scale.resolution_um * 1e-3 * scale.direction for scale in (config or configured()).scales]
        self.act("use_config", config=(config or configured()).model_dump(mode="json"))
        if greet:
            self.feed(link(t_s=self.t_s), hello(t_s=self.t_s, rate_hz=rate_hz))
            self.report()

    # -- the person

    def act(self, name: str, **fields: Any) -> Happening:
        happened = self.engine.act(ACT.validate_python({"act": name} | fields), self.t_s)
        self.events += happened
        return happened[-1]

    def set_up_work(self, operation: dict[str, Any] | None = None, **more: Any) -> None:
        """Bar in the chuck, both axes touched off where the slides stand by the coordinates here."""
        self.act("new_set_up", stock=STOCK)
        self.touch_both()
        if operation is not None:
            self.act("choose_operation", operation=operation | more)

    def touch_both(self) -> None:
        self.touch("X", self.x_mm)
        self.touch("Z", self.z_mm)

    def touch(self, axis: Axis, at_mm: float, **more: Any) -> Happening:
        return self.act("touch_off", axis=axis, at_mm=at_mm, **more)

    # -- the slides

    def to(self, x: float | None = None, z: float | None = None, speed: float = 2.0, sway: Shape | None = None) -> None:
        """Wind straight to a place at `speed` mm/s; `sway(share)` displaces the slide that is not wound."""
        from_x, from_z = self.x_mm, self.z_mm
        to_x, to_z = from_x if x is None else x, from_z if z is None else z
        steps = max(1, math.ceil(math.hypot(to_x - from_x, to_z - from_z) / speed * self.rate_hz))
        for step in range(1, steps + 1):
            share = step / steps
            off = sway(share) if sway is not None else 0.0
            self.x_mm = from_x + share * (to_x - from_x) + (off if x is None else 0.0)
            self.z_mm = from_z + share * (to_z - from_z) + (off if z is None else 0.0)
            self.step()

    def rest(self, seconds: float) -> None:
        for _ in range(math.ceil(seconds * self.rate_hz)):
            self.step()

    def step(self) -> None:
        self.t_s += 1 / self.rate_hz
        self.report()

    def counted(self) -> tuple[int, ...]:
        return tuple(
            round(mm / step) for mm, step in zip((self.x_mm, self.z_mm, self.compound_mm), self._steps, strict=False)
        )

    def report(self, counts: tuple[int, ...] | None = None) -> None:
        self.feed(Reading(self.t_s, self.t_s, counts if counts is not None else self.counted(), self.flags))

    def feed(self, *events: Any) -> None:
        for event in events:
            self.events += self.engine.feed(event)

    # -- what is told

    def state(self) -> LiveState:
        return build(self.engine, Outside("lathe", 1, None, None))

    @property
    def passes(self) -> list[Pass]:
        return [Pass.model_validate(one.body["pass"]) for one in self.events if one.kind == "pass_finished"]

    def words(self, kind: str) -> list[str]:
        return [one.words for one in self.events if one.kind == kind]

    def position(self, axis: Axis) -> float:
        figure = next(one.position for one in self.state().axes if one.axis == axis)
        assert isinstance(figure, GoodFigure), figure
        return figure.value_mm

    def reasons(self, axis: Axis) -> tuple[str, ...]:
        figure = next(one.position for one in self.state().axes if one.axis == axis)
        return figure.reasons if isinstance(figure, DoubtfulFigure) else ()


def value(figure: Figure | None) -> float:
    """The value of a figure that must be good."""
    assert isinstance(figure, GoodFigure), figure
    return figure.value_mm


def restored(happenings: Iterable[Happening]) -> Engine:
    engine = Engine()
    engine.restore(happenings)
    return engine


def about(value: float | tuple[float, ...], within: float = 1e-6) -> Any:
    """Equal to it within so much, also as one of several things compared at once."""
    return pytest.approx(value, abs=within)
