"""How much each tool has cut."""

from __future__ import annotations

from collections.abc import Sequence

from waytell.documents.review import EdgeUse
from waytell.documents.state import Pass


def edge_uses(passes: Sequence[Pass]) -> tuple[EdgeUse, ...]:
    """By tool, in the order of first use; passes in the air wear no edge."""
    cutting = [one for one in passes if one.role != "air"]
    return tuple(_use(tool, [one for one in cutting if one.tool == tool]) for tool in dict.fromkeys(_tools(cutting)))


def _tools(passes: Sequence[Pass]) -> list[str]:
    return [one.tool for one in passes]


def _use(tool: str, passes: Sequence[Pass]) -> EdgeUse:
    told = [one.cutting_distance_m for one in passes if one.cutting_distance_m is not None]
    untold = len(passes) - len(told)
    distance_m = sum(told) if told else None
    return EdgeUse(
        tool=tool, passes=len(passes), cutting_s=sum(one.duration_s for one in passes), distance_m=distance_m,
        untold=untold, words=_words(distance_m, untold),
    )  # fmt: skip


def _words(distance_m: float | None, untold: int) -> str:
    if distance_m is None:
        return "Distance not known: no spindle speed was read."
    more = f"{untold} more {'pass' if untold == 1 else 'passes'}"
    without = f", and {more} without a spindle speed" if untold else ""
    return f"{distance_m:.1f} m cut{without}."
