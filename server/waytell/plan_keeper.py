"""Keeps the plan of the part in use true: made anew whenever the part, the machine or the metal has changed.

What plans is loaded when there is a part: a start without one does not wait for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from waytell.documents.acts import NewSetUp, Outline
from waytell.documents.config import Config, Stock
from waytell.documents.part import Part
from waytell.documents.plan import Planned
from waytell.engine.guide_situation import NextStep
from waytell.engine.happening import ActRefused
from waytell.engine.known import Known
from waytell.engine.section import Section

if TYPE_CHECKING:
    from waytell.planning.planner import Planner
    from waytell.planning.target import SetUpTarget


class Seen(NamedTuple):
    """What a plan was made from."""

    drawing: Part
    config: Config
    set_up: int
    section: Section | None
    passes: int


class PlanKeeper:
    """`follow` after everything that happened; `planned` is then the plan as it is."""

    def __init__(self) -> None:
        self._planner: Planner | None = None
        self._seen: Seen | None = None
        self.planned: Planned | None = None
        """None without a part."""

    def follow(self, known: Known) -> None:
        if known.drawing is None:
            self._seen = self._planner = self.planned = None
            return
        from waytell.planning.planner import Planner, Present  # noqa: PLC0415 - see above
        from waytell.planning.replanning import told  # noqa: PLC0415

        seen = Seen(known.drawing, known.config, known.drawing_set_up, known.section, known.passes)
        was = self._seen
        if was is not None and all(a is b for a, b in zip(seen, was, strict=True)):
            return
        if self._planner is None or was is None or was.drawing is not seen.drawing or was.config is not seen.config:
            self._planner = Planner(seen.drawing, seen.config)
        self._seen, before = seen, self.planned
        there = seen.set_up and seen.section is not None
        self.planned = self._planner.planned(Present(seen.set_up, seen.section) if there else None)  # type: ignore[arg-type]
        after_pass = was is not None and seen.passes == was.passes + 1
        if after_pass and before is not None and before.plan and self.planned.plan:
            self.planned = Planned(plan=told(before.plan, self.planned.plan, known.units), contradictions=())

    def change_of(self, operation: str) -> str:
        """What changed in the step of an operation by the last pass; empty where nothing did."""
        plan = self.planned.plan if self.planned is not None else None
        steps = plan.steps if plan is not None else ()
        return next((step.was for step in steps if step.operation.name == operation), "")

    def next_step(self, operation: str) -> NextStep | None:
        """What comes next, beyond the operation in use; None without a plan."""
        plan = self.planned.plan if self.planned is not None else None
        if plan is None:
            return None
        left = [step for step in plan.steps if step.state in ("next", "to_do") and step.operation.name != operation]
        step = left[0] if left else None
        return NextStep(step.operation if step else None, step.set_up if step else 0, plan.part.name)


def chucked(act: NewSetUp, known: Known) -> NewSetUp:
    """The act with the stock and outline of the part's set-up.

    Raises:
        ActRefused: no part is in use, or it has no such set-up.
    """
    if act.of_part is None or act.stock is not None:
        return act
    if known.drawing is None:
        raise ActRefused("No part is in use.", "Describe it under Plan first, or set the bar up by its sizes.")
    from waytell.planning.planner import Planner  # noqa: PLC0415 - see above

    planner = Planner(known.drawing, known.config)
    target = next((one for one in planner.targets if one.number == act.of_part), None)
    if target is None:
        raise ActRefused(
            f"The part has no set-up {act.of_part} that can be planned.", "See under Plan what is missing."
        )
    return act.model_copy(update={"stock": _stock(known.drawing, target), "outline": _outline(target)})


def _stock(part: Part, target: SetUpTarget) -> Stock:
    section = target.stock
    return Stock(
        diameter_mm=2 * section.largest_radius(section.chuck_mm, section.front_mm),
        length_mm=section.front_mm - section.chuck_mm, bore_mm=2 * section.bore_at(section.chuck_mm + 1e-6),
        material=part.material, front_mm=section.front_mm,
    )  # fmt: skip


def _outline(target: SetUpTarget) -> Outline | None:
    section = target.stock
    if len(section.outside.z) == 2 and len(section.bore.z) == 2:
        return None
    return Outline(outside=section.outside.corners(), bore=tuple((z, max(r, 0.0)) for z, r in section.bore.corners()))
