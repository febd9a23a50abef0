"""What a display must show, against what it says that it shows; and a state in which nothing could pass for good.

A page may be older than the server, or changed by something on its way: then its own reckoning is no witness. So it
tells what stands on its screen, and that is compared with what was sent.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from waytell.documents.base import Axis
from waytell.documents.guide import Guide
from waytell.documents.state import Doubt, DoubtCode, DoubtfulFigure, Figure, LiveState
from waytell.engine.words import MM_PER_INCH

DIFFERS: DoubtCode = "display_differs"
DRAWS_LATE: DoubtCode = "display_late"
DIGITS_OFF = 1.51
"""Half a digit is rounding, and a last digit that is held steady may be one behind."""


class Shown(NamedTuple):
    value: float
    """In the units and the sense (diameter, radius) that the person chose."""
    decimals: int


def to_be_shown(state: LiveState) -> dict[str, Shown]:
    """The good figures by the names that displays give them; those in doubt have no place among them."""
    good = {f"position-{axis.axis}": _shown(state, axis.axis, axis.position) for axis in state.axes}
    if state.to_go is not None and state.operation is not None:
        to_go = _shown(state, state.operation.feed_axis, state.to_go)
        good["to-go"] = to_go and to_go._replace(value=abs(to_go.value))
    return {name: one for name, one in good.items() if one is not None}


def _shown(state: LiveState, along: Axis, figure: Figure) -> Shown | None:
    if not figure.good:
        return None
    inch = state.units.length == "inch"
    axis = next(one for one in state.axes if one.axis == along)
    times = 2.0 if along == "X" and state.units.x_as == "diameter" else 1.0
    value = figure.value_mm * times / (MM_PER_INCH if inch else 1.0)
    return Shown(value, axis.decimals_inch if inch else axis.decimals_mm)


def differs(right: dict[str, Shown], told: dict[str, str]) -> str | None:
    """In words, where a display shows another figure than it must; None where it shows what was sent.

    >>> differs({"to-go": Shown(12.345, 2)}, {"to-go": "12.35"}) is None
    True
    >>> differs({"to-go": Shown(12.345, 2)}, {"to-go": "6.17"})
    'A display shows 6.17 where 12.35 is right.'
    >>> differs({}, {"to-go": "6.17"})
    'A display shows 6.17 as good, and it is in doubt.'
    """
    for name, text in told.items():
        must = right.get(name)
        if must is None:
            return f"A display shows {text} as good, and it is in doubt."
        value = _number(text)
        if value is None or abs(value - must.value) > DIGITS_OFF * 10.0**-must.decimals:
            return f"A display shows {text} where {must.value:.{must.decimals}f} is right."
    return None


def _number(text: str) -> float | None:
    try:
        value = float(text.replace("\N{MINUS SIGN}", "-"))
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def struck(state: LiveState, doubt: Doubt) -> LiveState:
    """For a display that cannot be relied on: every figure in doubt, for one reason."""
    remaining = state.remaining

    def in_doubt(figure: Figure) -> DoubtfulFigure:
        return DoubtfulFigure(last_mm=figure.value_mm if figure.good else figure.last_mm, reasons=(doubt.code,))

    return state.model_copy(
        update={
            "doubts": (doubt,),
            "axes": tuple(axis.model_copy(update={"position": in_doubt(axis.position)}) for axis in state.axes),
            "to_go": None if state.to_go is None else in_doubt(state.to_go),
            "remaining": None
            if remaining is None
            else remaining.model_copy(
                update={"this_pass": in_doubt(remaining.this_pass), "total": in_doubt(remaining.total)}
            ),
            "learned": None,
            "reached": False,
            "hold": None,
            "guide": Guide(state="link", move=doubt.do, why=doubt.words),
        }
    )
