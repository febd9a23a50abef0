"""Whether an act can be carried out now, and what it is called in the history."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from waytell.documents import acts
from waytell.documents.base import Slide
from waytell.documents.guide import GuideState
from waytell.documents.proving import Check, RestCheck
from waytell.engine.happening import ActRefused
from waytell.engine.proved import Point
from waytell.engine.verdict import verdict, verdict_words
from waytell.engine.words import SLIDES, coordinate, fine_length, length, slide

if TYPE_CHECKING:
    from waytell.engine.engine import Engine


def check_act(engine: Engine, act: acts.Act) -> None:
    """Raise ActRefused where the act makes no sense now."""
    known = engine.known
    if isinstance(act, acts.TouchOff):
        _check_touch(engine, act)
    elif isinstance(act, acts.ChooseTool):
        names = [tool.name for tool in known.config.tools]
        if act.tool not in names:
            raise ActRefused(f"There is no tool called {act.tool}.", f"Tools set up: {', '.join(names) or 'none'}.")
    elif isinstance(act, acts.SetTarget | acts.SetDepth):
        _check_size(engine, act)
    elif isinstance(act, acts.Undo) and not known.undoable:
        raise ActRefused("There is nothing to undo.", "Go on.")
    elif isinstance(act, acts.ConfirmPositions):
        _check_confirm(engine)
    elif isinstance(act, PROVING):
        _check_proving(engine, act)
    elif isinstance(act, acts.CompoundWound) and any(s.slide == "compound" for s in known.config.scales):
        raise ActRefused("The compound slide has a scale, so it is read.", "Wind it: the figures follow.")


def _check_proving(engine: Engine, act: acts.Act) -> None:
    proved = engine.known.proved
    if isinstance(act, acts.BeginCheck):
        if act.check.kind != "slide":
            _check_fitted(engine, getattr(act.check, "slide", None))
    elif proved.check is None and _needs_check(act):
        raise ActRefused("No check is under way.", "Choose a check under Prove first.")
    elif isinstance(act, acts.LeaveOut) and all(one.number != act.capture for one in _points(engine)):
        raise ActRefused(f"The check has no capture {act.capture}.", "See the list of what was captured.")
    elif isinstance(act, acts.UseProof):
        found = proved.finding(act.proof)
        if found is None or not found.gives.changes_figures:
            raise ActRefused(f"There is no finding {act.proof} that changes figures.", "Choose one from the list.")
    elif isinstance(act, acts.AtStop):
        _check_fitted(engine, act.slide)
        if not engine.place.counts:
            raise ActRefused("No reading has come yet.", "Wait until the board reports.")


def _needs_check(act: acts.Act) -> bool:
    """A recording begins with what was found before: a check that is finished with its proof needs no other."""
    return isinstance(act, acts.Capture | acts.LeaveOut) or (isinstance(act, acts.FinishCheck) and act.proof is None)


def _check_fitted(engine: Engine, on: Slide | None) -> None:
    if on is not None and all(scale.slide != on for scale in engine.known.config.scales):
        raise ActRefused(
            f"No scale is set up on the {SLIDES[on]}.",
            "Find under Prove which scale is on it, or enter it under Set up.",
        )


def _points(engine: Engine) -> list[Point]:
    under_way = engine.known.proved.check
    return [] if under_way is None else under_way.points


def _check_size(engine: Engine, act: acts.SetTarget | acts.SetDepth) -> None:
    operation = engine.known.operation
    if operation is None:
        raise ActRefused("No operation is chosen.", "Choose an operation first.")
    if isinstance(act, acts.SetTarget) and operation.kind == "turning" and act.target_mm <= 0:
        raise ActRefused("A turned size is above 0.", "Enter the finished radius, or the diameter on the display.")


def _check_touch(engine: Engine, act: acts.TouchOff) -> None:
    known = engine.known
    if not known.terms[act.axis]:
        raise ActRefused(f"No scale is set up for {act.axis}.", "Enter the scales under Set up first.")
    if known.tool is None:
        raise ActRefused("No tool is chosen.", "Enter a tool under Set up first.")
    if not engine.place.counts:
        raise ActRefused("No reading has come yet.", "Wait until the board reports.")
    unsound = [code for code in engine.reasons(act.axis) if code in ("stale", "link_lost", "unreadable", "no_board")]
    if unsound:
        raise ActRefused("The readings are not live.", "Mend the link to the board first, then touch off.")
    if act.where == "last_pass":
        last = known.last_pass
        if last is None or (last.passed.feed_axis == "X") == (act.axis == "X"):
            what = "turned" if act.axis == "X" else "faced"
            raise ActRefused(f"No pass was {what} yet in this set-up.", "Touch off where the tool stands instead.")
        if last.passed.tool != known.tool.name:
            raise ActRefused(f"The last pass was cut with {last.passed.tool}.", f"Choose {last.passed.tool} first.")
        channels = [term.channel for term in known.terms[act.axis]]
        if not last.sound or engine.doubts.lost_since(channels, last.number, last.boot, last.missed):
            # Its counts would make a datum that looks sound and is wrong by what was lost.
            raise ActRefused(
                f"The {slide(act.axis)} scale may have lost count since the last pass began.",
                "Touch off where the tool stands instead.",
            )


def _check_confirm(engine: Engine) -> None:
    """Counts that began again at zero are not those of the datums, whatever the person sees."""
    if any(engine.began_anew_since(datum) for datum in engine.known.datums.values()):
        raise ActRefused(
            "The board lost its counts when it restarted, so no figure can be confirmed.", "Touch off again."
        )


def act_words(engine: Engine, act: acts.Act) -> str:
    """What the history and the undo key call it."""
    words = _WORDS.get(type(act))
    return words(engine, act) if words is not None else _PLAIN_WORDS[act.act]


def _touched(engine: Engine, act: acts.TouchOff) -> str:
    units = engine.known.units
    shim = f" over {fine_length(act.shim_mm, units)}" if act.shim_mm else ""
    return f"Touched off {act.axis} at {coordinate(act.axis, act.at_mm, units)}{shim}"


def _target(engine: Engine, act: acts.SetTarget) -> str:
    axis = engine.known.operation.held_axis if engine.known.operation else "X"
    return f"Size {coordinate(axis, act.target_mm, engine.known.units)}"


def _wound(engine: Engine, act: acts.CompoundWound) -> str:
    way = "in" if act.wound_in_mm >= 0 else "out"
    by = fine_length(abs(act.wound_in_mm), engine.known.units)
    return f"Wound {way} {by} on the compound slide (not measured)"


def _drilled(engine: Engine, act: acts.Drilled) -> str:
    units = engine.known.units
    return f"Drilled {length(act.diameter_mm, units)} across, to {coordinate('Z', act.to_mm, units)}"


def check_name(check: Check) -> str:
    """What a check is called in the history and in lists.

    >>> check_name(RestCheck(kind="rest", motor="on"))
    'at rest, motor on'
    """
    name = CHECK_NAMES[check.kind]
    if isinstance(check, RestCheck):
        return f"{name}, motor {check.motor}"
    on = getattr(check, "slide", None)
    return name if on is None else f"{name}, {SLIDES[on]}"


def _used(engine: Engine, act: acts.UseProof) -> str:
    found = engine.known.proved.finding(act.proof)
    name = "" if found is None else check_name(found.check)
    return f"{'In use' if act.use else 'No longer in use'}: {name}"


def _stopped(_: Engine, act: acts.AtStop) -> str:
    return f"The {SLIDES[act.slide]} stands at its stop"


CHECK_NAMES: dict[str, str] = {
    "link": "link to the board",
    "slide": "which scale",
    "rest": "at rest",
    "winding": "fast winding",
    "distance": "known distance",
    "map": "error map",
    "positioning": "positioning",
    "disc": "faced disc",
    "collars": "two collars",
    "temperature": "temperature",
}
PROVING = (
    acts.BeginCheck, acts.Capture, acts.LeaveOut, acts.FinishCheck, acts.GiveUpCheck, acts.UseProof, acts.AtStop,
)  # fmt: skip


def _measured(engine: Engine, act: acts.Measured) -> str:
    judged = verdict_words(verdict(act.at_mm, act.u_mm, act.low_mm, act.high_mm), act.at_mm, act.high_mm)
    size = f"{act.operation} measured: {coordinate(act.axis, act.at_mm, engine.known.units)}"
    return f"{size}, {judged}" if judged else size


_WORDS: dict[type, Callable[[Engine, Any], str]] = {
    acts.TouchOff: _touched,
    acts.ChooseOperation: lambda _, act: f"Operation {act.operation.name}",
    acts.ChooseTool: lambda _, act: f"Tool {act.tool}",
    acts.UsePart: lambda _, act: f"Part {act.part.name}",
    acts.SetTarget: _target,
    acts.SetDepth: lambda engine, act: f"Depth {length(act.depth_mm, engine.known.units)} a pass",
    acts.CompoundWound: _wound,
    acts.Clamp: lambda _, act: f"{slide(act.axis).capitalize()} {'clamped' if act.held else 'free'}",
    acts.Drilled: _drilled,
    acts.Measured: _measured,
    acts.Answer: lambda _, act: ANSWERS.get((act.to, act.yes), "The guide was " + ("right" if act.yes else "wrong")),
    acts.PartDone: lambda engine, _: f"Part {engine.known.part} done",
    acts.BeginCheck: lambda _, act: f"Check begun: {check_name(act.check)}",
    acts.Capture: lambda engine, _: f"Captured point {len(_points(engine)) + 1}",
    acts.LeaveOut: lambda _, act: f"Captured point {'left out' if act.left_out else 'taken in again'}",
    acts.FinishCheck: lambda _, act: f"Check finished: {act.proof.words if act.proof is not None else ''}",
    acts.UseProof: _used,
    acts.AtStop: _stopped,
    acts.Undo: lambda engine, _: f"Undone: {engine.known.undoable[-1][1]}",
}
ANSWERS: dict[tuple[GuideState, bool], str] = {
    ("cautions", True): "Cautions gone through",
    ("slow_spin", True): "Turned by hand and spun slowly",
    ("face_clean", True): "The face is clean all over",
    ("face_clean", False): "The face is not clean yet",
}
_PLAIN_WORDS = {
    "use_config": "Machine set up",
    "new_set_up": "Work in the chuck",
    "confirm_positions": "Figures confirmed",
    "seen": "Warnings seen",
    "choose_units": "Units chosen",
    "give_up_check": "Check given up",
}
