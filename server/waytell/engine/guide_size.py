"""The guide after a pass: looking at the face, measuring, correcting, and what comes next."""

from __future__ import annotations

from waytell.documents.acts import Measured, Operation
from waytell.documents.guide import GuideState, Reply
from waytell.engine.guide_situation import Rule, Said, Situation
from waytell.engine.verdict import verdict
from waytell.engine.words import coordinate, fine_length, travel

BOTTOM_MM = 0.1
"""A hole or a groove is as deep as it was to be, as the plan takes it."""


def face_clean(s: Situation) -> Said | None:
    """A face was cut, and nobody said yet whether it is clean all over."""
    if s.operation is None or not s.answers.faced or s.answers.reference or s.answers.clean is not None:
        return None
    return Said(
        "Stop the spindle and look: is the face clean all over?",
        "A facing pass was taken. Marking ink shows what was not cut (common practice).",
        "Clean all over",
    )


def new_face(s: Situation) -> Said | None:
    """The face is clean, and Z was not touched off on it: the first end of a part only."""
    if not s.answers.faced or not s.answers.clean or s.answers.reference or s.set_up > 1:
        return None
    act = {"act": "touch_off", "axis": "Z", "how": "touch", "at_mm": 0.0, "where": "last_pass"}
    return Said(
        "Make this face the reference: lengths count from it.",
        "It is clean all over; what is left to the planned depth need not come off.",
        Reply(words="Z is 0 at this face", act=act),
    )


def not_clean(s: Situation) -> Said | None:
    """The face is at its size, and not clean."""
    if s.operation is None or s.answers.clean is not False or not _at_size(s, s.operation):
        return None
    return Said(
        "Set a size further in, or put the bar further out of the chuck.",
        "The face is where it was to be, and some of it was not cut.",
        Reply(words="Size", opens="size"),
    )


def enter_size(s: Situation) -> Said | None:
    """The operation is at its size, the spindle stands, and the newest pass was not measured."""
    return _measure(s, "Measure it and enter the size") if s.turning is False else None


def measure(s: Situation) -> Said | None:
    """The operation is at its size, and the newest pass was not measured."""
    return _measure(s, "Stop the spindle and measure")


def _measure(s: Situation, move: str) -> Said | None:
    operation = s.operation
    passed_over = s.answers.not_so & {"enter_size", "measure"}
    if operation is None or s.answers.sized or passed_over or not _at_size(s, operation):
        return None
    if not _can_be_measured(s, operation):
        return None
    wanted = coordinate(operation.held_axis, operation.target_mm, s.units)
    width = operation.tolerance_mm / 2
    within = f", give or take {travel(operation.held_axis, width, s.units)}" if width else ""
    return Said(
        f"{move}: {wanted}{within}.", f"{operation.name} is at its size.", Reply(words="Measured", opens="part")
    )


def _can_be_measured(s: Situation, operation: Operation) -> bool:
    """Drills, blades and cones give no size on the held axis; a reference face has none to give."""
    if operation.kind == "facing":
        return operation.tolerance_mm > 0 and not s.answers.reference
    return operation.kind in ("turning", "boring")


def _at_size(s: Situation, operation: Operation) -> bool:
    newest = s.answers.newest
    if operation.kind in ("drilling", "grooving", "parting"):
        return newest is not None and abs(newest.end_mm - operation.end_mm) <= BOTTOM_MM
    if s.answers.reference and operation.kind == "facing":
        return True
    return s.total_mm is not None and s.passes_left == 0


def correct(s: Situation) -> Said | None:
    """The micrometer says that metal is left."""
    size = s.answers.size
    if size is None or s.operation is None or _left_mm(size, s.operation) <= 0:
        return None
    left = fine_length(_left_mm(size, s.operation), s.units)
    act = {"act": "touch_off", "axis": size.axis, "how": "measured", "at_mm": size.at_mm, "where": "last_pass"}
    side = "a side" if size.axis == "X" else "along"
    return Said(
        f"Metal is left, {left} {side}: set the readout right by this size, then take it off.",
        f"The size that was measured is {'below' if s.operation.kind == 'boring' else 'above'} its limit.",
        Reply(words="Set it right", act=act),
    )


def past_limit(s: Situation) -> Said | None:
    """The micrometer says that too much is off."""
    size = s.answers.size
    if size is None or s.operation is None or _left_mm(size, s.operation) >= 0:
        return None
    over = fine_length(-_left_mm(size, s.operation), s.units)
    return Said(
        f"Stop with this surface: {over} too much is off {'a side' if size.axis == 'X' else 'along'}.",
        "The size that was measured is past its limit. Under Plan stands what can be saved.",
    )


def _left_mm(size: Measured, operation: Operation) -> float:
    """How far a size lies outside its limits: positive where metal is left, 0 where it may be within."""
    if verdict(size.at_mm, size.u_mm, size.low_mm, size.high_mm) not in ("outside", "reads_outside"):
        return 0.0
    above = size.high_mm is not None and size.at_mm > size.high_mm
    edge = size.high_mm if above else size.low_mm
    out = size.at_mm - (edge or 0.0)
    return -out if operation.kind == "boring" else out


def turn_round(s: Situation) -> Said | None:
    """The next step of the plan is of another set-up."""
    if not _done(s) or s.planned is None or s.planned.operation is None or s.here is not None:
        return None
    number = s.planned.set_up
    return Said(
        f"Turn the work round, then begin set-up {number}.", f"Next by the plan: {s.planned.operation.name}.",
        Reply(words="It is in the chuck", act={"act": "new_set_up", "of_part": number}),
    )  # fmt: skip


def next_step(s: Situation) -> Said | None:
    """The operation is done, and another one follows."""
    if not _done(s) or s.operation is None or (s.planned is not None and s.planned.operation is None):
        return None
    step = s.planned.operation if s.planned is not None else None
    if step is None:
        return Said(
            "Choose the next operation, or say that the part is done.", f"{s.operation.name} is done.",
            Reply(words="Next operation", opens="operation"),
        )  # fmt: skip
    return Said(
        f"Next by the plan: {step.name}.", f"{s.operation.name} is done.",
        Reply(words="Use it", act={"act": "choose_operation", "operation": step.model_dump(mode="json")}),
    )  # fmt: skip


def part_done(s: Situation) -> Said | None:
    """Every step of the plan is done."""
    if s.planned is None or s.planned.operation is not None or not (_done(s) or s.operation is None):
        return None
    return Said(
        "Deburr it, check it once more and take it out: the part is done.", "Every step of the plan is done.",
        Reply(words="Part done", act={"act": "part_done", "part": s.planned.part}),
    )  # fmt: skip


def _done(s: Situation) -> bool:
    """The tool is clear, and nothing of the operation is left."""
    return s.operation is not None and _at_size(s, s.operation)


RULES: dict[GuideState, Rule] = {
    "face_clean": face_clean, "new_face": new_face, "not_clean": not_clean, "enter_size": enter_size,
    "measure": measure, "correct": correct, "past_limit": past_limit, "turn_round": turn_round,
    "next_step": next_step, "part_done": part_done,
}  # fmt: skip
