"""Datums, tools, operations and undo in any order: the engine agrees with a model that a person could keep on paper.

The model: a datum says how far the reference tool is from the slide, an offset how far a tool is from the reference
tool; undo brings back the page as it was before the newest act. What the engine knows at the end is also what the
history says.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from engine.lathe import FACING, TURNING, Lathe, restored
from waytell.documents.base import Axis
from waytell.documents.state import GoodFigure

COUNT_MM = 0.005
AXES: tuple[Axis, ...] = ("X", "Z")
axes = st.sampled_from(AXES)
# On the grid of the scales, so that a model without rounding agrees to the nanometre.
places = st.integers(-2000, 6000).map(lambda counts: counts * COUNT_MM)
moves = st.integers(-800, 800).filter(bool).map(lambda counts: counts * COUNT_MM)


@dataclass(frozen=True)
class Page:
    tool: str = "one"
    datums: dict[Axis, tuple[float, str]] = field(default_factory=dict)
    """Reference tool less slide, and the tool that touched."""
    offsets: dict[tuple[str, Axis], float] = field(default_factory=dict)
    operation: dict[str, Any] | None = None
    clamped: dict[Axis, bool] = field(default_factory=dict)

    def place(self, axis: Axis, slide_mm: float) -> float | None:
        if axis not in self.datums or (self.tool, axis) not in self.offsets:
            return None
        return slide_mm + self.datums[axis][0] + self.offsets[self.tool, axis]

    def touched(self, axis: Axis, slide_mm: float, at_mm: float) -> Page:
        key = (self.tool, axis)
        if axis in self.datums and self.datums[axis][1] != self.tool:
            return replace(self, offsets=self.offsets | {key: at_mm - slide_mm - self.datums[axis][0]})
        offset = self.offsets.get(key, 0.0)
        return replace(
            self, offsets=self.offsets | {key: offset},
            datums=self.datums | {axis: (at_mm - offset - slide_mm, self.tool)},
        )  # fmt: skip


class Work(RuleBasedStateMachine):
    def __init__(self) -> None:
        super().__init__()
        self.lathe = Lathe()
        self.pages = [Page()]

    @property
    def page(self) -> Page:
        return self.pages[-1]

    def turn(self, page: Page) -> None:
        self.pages.append(page)

    def slide(self, axis: Axis) -> float:
        return self.lathe.x_mm if axis == "X" else self.lathe.z_mm

    @rule(axis=axes, by_mm=moves)
    def wind(self, axis: Axis, by_mm: float) -> None:
        if axis == "X":
            self.lathe.to(x=round(self.lathe.x_mm + by_mm, 3), speed=200.0)
        else:
            self.lathe.to(z=round(self.lathe.z_mm + by_mm, 3), speed=200.0)

    @rule(axis=axes, at_mm=places)
    def touch_off(self, axis: Axis, at_mm: float) -> None:
        self.lathe.touch(axis, at_mm)
        self.turn(self.page.touched(axis, self.slide(axis), at_mm))

    @rule(tool=st.sampled_from(["one", "two", "round"]))
    def choose_tool(self, tool: str) -> None:
        self.lathe.act("choose_tool", tool=tool)
        self.turn(replace(self.page, tool=tool))

    @rule(operation=st.sampled_from([FACING, TURNING]))
    def choose_operation(self, operation: dict[str, Any]) -> None:
        self.lathe.act("choose_operation", operation=operation)
        self.turn(replace(self.page, operation=operation))

    @precondition(lambda self: self.page.operation is not None)
    @rule(target_mm=st.integers(-400, -1).map(lambda counts: counts * COUNT_MM))
    def set_target(self, target_mm: float) -> None:
        assert self.page.operation is not None
        sign = 1 if self.page.operation["kind"] == "facing" else -1
        self.lathe.act("set_target", target_mm=sign * target_mm)
        self.turn(replace(self.page, operation=self.page.operation | {"target_mm": sign * target_mm}))

    @rule(axis=axes, held=st.booleans())
    def clamp(self, axis: Axis, held: bool) -> None:
        self.lathe.act("clamp", axis=axis, held=held)
        self.turn(replace(self.page, clamped=self.page.clamped | {axis: held}))

    @precondition(lambda self: len(self.pages) > 1)
    @rule()
    def undo(self) -> None:
        self.lathe.act("undo")
        self.pages.pop()

    @invariant()
    def the_engine_knows_what_the_page_says(self) -> None:
        state = self.lathe.state()
        for axis in AXES:
            place = self.page.place(axis, self.slide(axis))
            figure = next(one.position for one in state.axes if one.axis == axis)
            if place is None:
                assert not isinstance(figure, GoodFigure)
            else:
                assert isinstance(figure, GoodFigure), figure
                assert figure.value_mm == pytest.approx(place, abs=1e-6)
        target = None if self.page.operation is None else self.page.operation["target_mm"]
        assert (None if state.operation is None else state.operation.target_mm) == target
        assert state.tool is not None
        assert state.tool.tool.name == self.page.tool
        assert {axis for axis, held in self.lathe.engine.known.clamped.items() if held} == {
            axis for axis, held in self.page.clamped.items() if held
        }

    def teardown(self) -> None:
        again = restored(self.lathe.events).known
        known = self.lathe.engine.known
        assert (again.datums, again.offsets, again.operation) == (known.datums, known.offsets, known.operation)
        assert (again.clamped, again.undoable) == (known.clamped, known.undoable)


TestWork = Work.TestCase
TestWork.settings = settings(max_examples=60, stateful_step_count=30, deadline=None)
