"""The next thing to do in a check, what a capture has to say, and what is still missing to finish it.

Follows what was captured and what the scales do, so that it recovers by itself when the person does something else.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from waytell.documents.base import Slide
from waytell.documents.config import Units
from waytell.documents.proving import Captured, Check, Move
from waytell.engine.words import SLIDES, length

LINK_S = 10.0
REST_S = 10.0
MOVED_MM = 2.0
AWAY: dict[Slide, str] = {
    "cross": "away from the centre line", "carriage": "away from the headstock",
    "compound": "out, towards yourself", "tailstock": "away from the headstock",
}  # fmt: skip


class Seen(NamedTuple):
    """What the guide looks at."""

    check: Any
    points: Sequence[Captured]
    """Those that count: what was left out is not among them."""
    seconds: float
    """How long readings have come since the check began."""
    moved_mm: float
    """Longest way of any scale since then, as the scales are set up."""
    stands: bool
    units: Units


class Told(NamedTuple):
    next: Move
    wants: str = ""
    suggests_mm: float | None = None
    missing: str = ""
    """What is still missing; empty where the check can be finished."""


def told(seen: Seen) -> Told:
    return _BY_KIND[seen.check.kind](seen)


def needs_captures(check: Check) -> bool:
    """Something is captured in it; the others only watch."""
    return check.kind not in ("link", "slide", "rest", "temperature")


def _link(seen: Seen) -> Told:
    return _waits(seen, LINK_S, "Let the board report, and move nothing", "Reports are counted and timed meanwhile.")


def _rest(seen: Seen) -> Told:
    motor = "Switch the motor on, chuck guard closed, tool well clear" if seen.check.motor == "on" else "Motor off"
    return _waits(seen, REST_S, f"{motor}: touch no slide", "What the scales show now is noise.")


def _waits(seen: Seen, wanted_s: float, move: str, why: str) -> Told:
    left_s = wanted_s - seen.seconds
    if left_s > 0:
        return Told(Move(move=f"{move}, for {left_s:.0f} s.", why=why), missing=f"It has run {seen.seconds:.0f} s.")
    return Told(Move(move="Finish the check.", why=f"It has run {seen.seconds:.0f} s: long enough."))


def _slide(seen: Seen) -> Told:
    slide = seen.check.slide
    move = Move(
        move=f"Wind the {SLIDES[slide]} {AWAY[slide]} by some {length(5.0, seen.units)}, and nothing else.",
        why="The scale that counts meanwhile is the one on it.",
    )
    if seen.moved_mm < MOVED_MM:
        return Told(move, missing="No scale has moved far enough yet.")
    return Told(Move(move="Finish the check.", why="A scale has moved.") if seen.stands else move)


def _winding(seen: Seen) -> Told:
    slide = SLIDES[seen.check.slide]
    if not seen.points:
        move = f"Wind the {slide} gently to a stop or a dial's zero, let it stand, and capture."
        return Told(Move(move=move, why="There it comes back to."), missing="Nothing is captured yet.")
    if len(seen.points) == 1:
        move = f"Wind the {slide} away and back fast, a few times; then gently to the same stop, and capture."
        why = "A count lost on the way shows as a difference at the stop."
        return Told(Move(move=move, why=why), missing="It is not back at the stop yet.")
    return Told(
        Move(move="Finish the check, or wind once more and capture again.", why="Start and return are captured.")
    )


def _distance(seen: Seen) -> Told:
    check = seen.check
    at_end = len(seen.points) % 2 == 1
    place = "the end" if at_end else "the start"
    suggests = check.length_mm if at_end else 0.0
    missing = ""
    if len(seen.points) < 4:
        missing = "Capture start and end twice each: once does not show how well it repeats."
    move = f"Let the {SLIDES[check.slide]} stand at {place} of the {length(check.length_mm, seen.units)}, and capture."
    why = "Come from the same side each time, or the play of the screw is measured too."
    return Told(Move(move=move, why=why), "place", suggests, missing)


def _map(seen: Seen) -> Told:
    slide = SLIDES[seen.check.slide]
    suggests = _continued([one.says_mm for one in seen.points if one.says_mm is not None])
    if not seen.points:
        move = f"Let the {slide} stand at a stop that can be found again, say 0, and capture."
        return Told(Move(move=move, why="The map is counted from there."), "place", 0.0, _few_places(seen))
    move = f"Wind the {slide} to the next place that is known, let it stand, say where it is, and capture."
    return Told(Move(move=move, why="Come from the same side each time."), "place", suggests, _few_places(seen))


def _few_places(seen: Seen) -> str:
    places = {one.says_mm for one in seen.points}
    return "" if len(places) >= 3 else f"A map needs three places or more; captured: {len(places)}."


def _positioning(seen: Seen) -> Told:
    slide = SLIDES[seen.check.slide]
    places: list[float] = []
    for one in seen.points:
        if one.says_mm is not None and one.says_mm not in places:
            places.append(one.says_mm)
    suggests, way = _next_place(seen.points, places)
    sides = "from the other side, winding back" if way < 0 else "from the near side, winding on"
    move = f"Wind the {slide} to the place {sides}, let it stand, say where it is, and capture."
    why = "Never turn round just before a place: the play of the screw is what is looked for."
    return Told(Move(move=move, why=why), "place", suggests, _few_runs(seen, places))


def _few_runs(seen: Seen, places: Sequence[float]) -> str:
    if len(places) < 2:
        return "Take at least two places; five are usual."
    for place in places:
        for way in (1, -1):
            runs = sum(1 for one in seen.points if one.says_mm == place and one.way == way)
            if runs < 2:
                side = "from the near side" if way > 0 else "from the other side"
                return f"At {length(place, seen.units)} {side}: {runs} of 2 or more."
    return ""


def _next_place(points: Sequence[Captured], places: Sequence[float]) -> tuple[float | None, int]:
    """Up and down over the places by turns, once the first way up has told them."""
    if len(points) < 2 or points[-1].says_mm is None:
        return (_continued(places) if points else 0.0), 1
    order = sorted(places)
    here, way = order.index(points[-1].says_mm), points[-1].way or 1
    first_up = all(one.way >= 0 for one in points) and len(points) == len(places)
    if first_up:
        return _continued(places), 1
    ahead = here + way
    # At an end it is passed and approached from the other side.
    return (order[ahead], way) if 0 <= ahead < len(order) else (order[here], -way)


def _disc(seen: Seen) -> Told:
    xs = [one.shown_mm for one in seen.points if one.shown_mm is not None]
    both = any(one > 0 for one in xs) and any(one < 0 for one in xs)
    missing = "" if both and len(xs) >= 4 else "Capture two or more on each side of the centre."
    move = (
        "Sweep the dial over the faced disc with the cross-slide, past the centre; read it at each stop, and capture."
    )
    why = "On the half that this slide faced it reads nothing; on the far half, twice what the slide is out of square."
    return Told(Move(move=move, why=why), "dial", None, missing)


def _collars(seen: Seen) -> Told:
    missing = "" if len(seen.points) >= 2 else "Two collars or more are needed."
    move = "Turn both collars at one setting. Then stand the tool at each, say its measured diameter, and capture."
    return Told(Move(move=move, why="A difference is the taper that the bed turns."), "diameter", None, missing)


def _temperature(_: Seen) -> Told:
    return Told(Move(move="Finish the check.", why="What the temperature does is reckoned from what was entered."))


def _continued(places: Sequence[float]) -> float | None:
    """The next of places an equal step apart."""
    if len(places) < 2:
        return None
    return places[-1] + (places[-1] - places[-2])


_BY_KIND: dict[str, Callable[[Seen], Told]] = {
    "link": _link, "rest": _rest, "slide": _slide, "winding": _winding, "distance": _distance, "map": _map,
    "positioning": _positioning, "disc": _disc, "collars": _collars, "temperature": _temperature,
}  # fmt: skip
