"""The guide before the first pass: what makes figures doubtful, the work in the chuck, cautions, touching off."""

from __future__ import annotations

from waytell.documents.guide import GuideState, Reply
from waytell.engine.guide_situation import Rule, Said, Situation
from waytell.engine.words import fine_length, slide


def link(s: Situation) -> Said | None:
    """No readings come."""
    if s.link_live:
        return None
    return Said("Stop winding and look at the counter board.", s.link_words or "No board is heard.")


def scales(s: Situation) -> Said | None:
    """No scale is set up."""
    if "no_scale" in s.reasons["X"] and "no_scale" in s.reasons["Z"]:
        return Said(
            "Open Set up and say which scale is on which slide.", "No scales are set up.",
            Reply(words="Open Set up", opens="scales"),
        )  # fmt: skip
    return None


def hold(s: Situation) -> Said | None:
    """The held slide has moved beyond its limit."""
    if not s.hold_stopped or s.operation is None:
        return None
    moved = fine_length(abs(s.hold_moved_mm), s.units)
    return Said(
        f"Stop the feed and clamp the {slide(s.operation.held_axis)} again.",
        f"It moved {moved} during the pass, so the surface is not true; take another light pass.",
        Reply(words="Seen", act={"act": "seen"}),
    )


def lost_count(s: Situation) -> Said | None:
    """A scale may have lost count since it was touched off."""
    for axis in ("X", "Z"):
        if "board_restarted" in s.reasons[axis]:
            return Said(
                "Check the figures against the work: confirm them or touch off again.", "The board restarted.",
                Reply(words="The figures still hold", act={"act": "confirm_positions"}),
            )  # fmt: skip
        if {"missed_edges", "jump", "too_fast"} & set(s.reasons[axis]):
            return Said(
                f"Touch off {axis} again.", f"The {slide(axis)} scale may have lost count.",
                Reply(words="Touched off", opens="touch"),
            )  # fmt: skip
    return None


def next_part(s: Situation) -> Said | None:
    """The part is done, and no other work was put in the chuck."""
    if not s.answers.out:
        return None
    return Said(
        "Take the part out and put the next bar in the chuck.", "The part was said to be done.", _like_the_last(s)
    )  # fmt: skip


def _like_the_last(s: Situation) -> Reply:
    if s.planned is not None:
        return Reply(words="It is in the chuck", act={"act": "new_set_up", "of_part": 1})
    if s.stock is not None:
        act = {"act": "new_set_up", "stock": s.stock.model_dump(mode="json")}
        return Reply(words="A bar like the last is in", act=act)
    return Reply(words="Open Set up", opens="set_up")


def chuck(s: Situation) -> Said | None:
    """No work is described, and no operation chosen."""
    if s.operation is not None or s.stock is not None or s.passes_in_set_up:
        return None
    if s.planned is not None and not s.set_up:
        return Said(
            f"Put the bar for {s.planned.part} in the chuck.", "Its plan is in use, and no work is in the chuck yet.",
            Reply(words="It is in the chuck", act={"act": "new_set_up", "of_part": 1}),
        )  # fmt: skip
    return Said(
        "Put the work in the chuck and describe it under Set up.", "No work is described yet.",
        Reply(words="Open Set up", opens="set_up"),
    )  # fmt: skip


def _untouched(s: Situation) -> bool:
    """The tool has not been at this work yet: whoever touched off has seen to what comes before."""
    return s.stock is not None and not s.passes_in_set_up and "not_referenced" in s.reasons["Z"]


def cautions(s: Situation) -> Said | None:
    """The work is in the chuck, and neither were the cautions gone through nor was it touched."""
    if s.answers.heeded or not _untouched(s):
        return None
    return Said(
        "Before the spindle starts: key out, guard down, eyes covered, nothing loose.",
        "Work was put in the chuck. Your machine's manual, local rules and a qualified person come first.",
        Reply(words="Go through them", opens="cautions"),
    )


def slow_spin(s: Situation) -> Said | None:
    """The cautions were gone through, and the spindle is not known to have turned since."""
    if s.answers.spun or s.turning or not s.answers.heeded or not _untouched(s):
        return None
    return Said(
        "Turn the chuck by hand once round, then run it slowly.",
        "First see that nothing touches, that the work runs true and that it holds (common practice).",
        "Runs true",
    )


def touch_x(s: Situation) -> Said | None:
    """X is not touched off with this tool."""
    if "not_referenced" not in s.reasons["X"]:
        return None
    return Said(
        "Touch the bar with the tool, or take a light cut and measure it: then press Touched off for X.",
        "Where the tool stands from the centre line is not known yet. With the spindle standing, use a shim.",
        Reply(words="Touched off", opens="touch"),
    )


def touch_z(s: Situation) -> Said | None:
    """Z is not touched off with this tool."""
    if "not_referenced" not in s.reasons["Z"]:
        return None
    return Said(
        "Touch the end face with the tool and press Touched off for Z.",
        "Where the tool stands along the work is not known yet.",
        Reply(words="Touched off", opens="touch"),
    )


def choose(s: Situation) -> Said | None:
    """No operation is chosen."""
    if s.operation is not None:
        return None
    step = s.here.operation if s.here is not None else None
    if step is None:
        return Said(
            "Choose what to turn next.", "No operation is chosen.", Reply(words="Next operation", opens="operation")
        )
    return Said(
        f"Next by the plan: {step.name}.", "No operation is chosen.",
        Reply(words="Use it", act={"act": "choose_operation", "operation": step.model_dump(mode="json")}),
    )  # fmt: skip


TROUBLE: dict[GuideState, Rule] = {"link": link, "scales": scales, "hold": hold, "lost_count": lost_count}
RULES: dict[GuideState, Rule] = {
    "next_part": next_part, "chuck": chuck, "cautions": cautions, "slow_spin": slow_spin, "touch_x": touch_x,
    "touch_z": touch_z, "choose": choose,
}  # fmt: skip
