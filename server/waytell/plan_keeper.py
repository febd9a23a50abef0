"""Keeps the plan of the part in use true: made anew whenever the part, the machine or the metal has changed."""

from __future__ import annotations

from waytell.documents.acts import NewSetUp, Outline
from waytell.documents.config import Stock
from waytell.documents.part import Part
from waytell.documents.plan import Planned
from waytell.engine.happening import ActRefused
from waytell.engine.known import Known
from waytell.planning.planner import Planner, Present
from waytell.planning.replanning import told
from waytell.planning.target import SetUpTarget


class PlanKeeper:
    """`follow` after everything that happened; `planned` is then the plan as it is."""

    def __init__(self) -> None:
        self._planner: Planner | None = None
        self._seen: tuple[object, ...] = ()
        self._passes = 0
        self.planned: Planned | None = None
        """None without a part."""

    def follow(self, known: Known) -> None:
        seen = (known.drawing, known.config, known.drawing_set_up, known.section, known.passes)
        if all(a is b for a, b in zip(seen, self._seen, strict=False)) and self._seen:
            return
        if not self._seen or self._seen[0] is not known.drawing or self._seen[1] is not known.config:
            self._planner = Planner(known.drawing, known.config) if known.drawing is not None else None
        after_pass = bool(self._seen) and known.passes == self._passes + 1
        self._seen, self._passes = seen, known.passes
        before, self.planned = self.planned, self._anew(known)
        if after_pass and before is not None and self.planned is not None and before.plan and self.planned.plan:
            self.planned = Planned(plan=told(before.plan, self.planned.plan, known.units), contradictions=())

    def _anew(self, known: Known) -> Planned | None:
        if self._planner is None:
            return None
        section, set_up = known.section, known.drawing_set_up
        return self._planner.planned(Present(set_up, section) if set_up and section is not None else None)

    def change_of(self, operation: str) -> str:
        """What changed in the step of an operation by the last pass; empty where nothing did."""
        plan = self.planned.plan if self.planned is not None else None
        steps = plan.steps if plan is not None else ()
        return next((step.was for step in steps if step.operation.name == operation), "")


def chucked(act: NewSetUp, known: Known) -> NewSetUp:
    """The act with the stock and outline of the part's set-up.

    Raises:
        ActRefused: no part is in use, or it has no such set-up.
    """
    if act.of_part is None or act.stock is not None:
        return act
    if known.drawing is None:
        raise ActRefused("No part is in use.", "Describe it under Plan first, or set the bar up by its sizes.")
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
