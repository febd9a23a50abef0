"""The half section before and after metal is taken off as SVG, in the line types of ISO 128: wide outline, narrow chain
centre line, narrow hatching. What is taken off has a hatching of its own, the other way and closer.

Drawn as on the page: headstock on the left, centre line at the top, the radius downwards. Colours and widths come from
the style sheet of the document around it.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from markupsafe import Markup

from waytell.documents.review import PassReview

Corners = Sequence[tuple[float, float]]
WIDTH, MOST_HEIGHT, MARGIN = 640.0, 260.0, 14.0
SVG = Markup(
    '<svg viewBox="0 0 {width} {height}" role="img" aria-label="{label}"><defs>'
    '<pattern id="metal{id}" width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<path class="thin" d="M0 0V9"/></pattern>'
    '<pattern id="taken{id}" width="4" height="4" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)">'
    '<path class="thin" d="M0 0V4"/></pattern></defs>'
    '<path class="taken" fill="url(#taken{id})" d="{before}"/><path class="paper" d="{after}"/>'
    '<path fill="url(#metal{id})" d="{after}"/><path class="thick" d="{edges}"/>'
    '<path class="chain" d="{centre}"/>{marks}</svg>'
)
MARK = Markup(
    '<path class="thin" d="M{x:.1f} {y:.1f}L{to_x:.1f} {to_y:.1f}"/><circle class="mark" cx="{to_x:.1f}" '
    'cy="{to_y:.1f}" r="9"/><text class="mark-number" x="{to_x:.1f}" y="{to_y:.1f}">{number}</text>'
)
MARK_ROW, MARK_STEP = 34.0, 23.0


class Mark(NamedTuple):
    """A number in a circle, outside the section, with a line to the place it tells of."""

    number: int
    z_mm: float
    radius_mm: float
    inside: bool
    """The circle stands beyond the centre line."""


def section_svg(review: PassReview) -> Markup:
    """Of a pass: the outline after it must be known; the one before it may be."""
    number = review.passed.number
    return section_picture(
        review.outline_before, review.outline_after, f"Half section before and after pass {number}", number
    )


def section_picture(before: Corners, after: Corners, label: str, number: int, marks: Sequence[Mark] = ()) -> Markup:
    """`number` tells the pictures of a page apart."""
    place = Place((*before, *after), rows=bool(marks))
    y = place.y(0.0)
    return SVG.format(
        width=f"{WIDTH:g}", height=f"{place.height:.1f}", id=number, label=label, marks=_marked(marks, place),
        before=place.closed(before), after=place.closed(after), edges=place.edges(after),
        centre=f"M2 {y:.2f}H{WIDTH - 2:g}",
    )  # fmt: skip


class Place:
    """Where a corner lies on the paper: to scale, the same across and along."""

    def __init__(self, corners: Corners, *, rows: bool = False) -> None:
        self._z0 = min(z for z, _ in corners)
        long_mm = max(z for z, _ in corners) - self._z0 or 1.0
        thick_mm = max(r for _, r in corners) or 1.0
        self._scale = min((WIDTH - 2 * MARGIN) / long_mm, (MOST_HEIGHT - 2 * MARGIN) / thick_mm)
        self._x0 = (WIDTH - self._scale * long_mm) / 2
        self._top = MARGIN + (MARK_ROW if rows else 0.0)
        self.height = self._scale * thick_mm + 2 * self._top

    def x(self, z_mm: float) -> float:
        return self._x0 + (z_mm - self._z0) * self._scale

    def y(self, radius_mm: float) -> float:
        return self._top + radius_mm * self._scale

    def _point(self, corner: tuple[float, float]) -> str:
        return f"{self.x(corner[0]):.2f} {self.y(corner[1]):.2f}"

    def closed(self, corners: Corners) -> str:
        return "M" + "L".join(self._point(corner) for corner in corners) + "Z" if corners else ""

    def edges(self, corners: Corners) -> str:
        """Every side but the one on the centre line, which is no edge of the work."""
        sides = pairwise([*corners, corners[0]])
        return "".join(f"M{self._point(a)}L{self._point(b)}" for a, b in sides if a[1] > 0 or b[1] > 0)


def _marked(marks: Sequence[Mark], place: Place) -> Markup:
    drawn = Markup()
    for inside, row_y in ((True, MARK_ROW / 2), (False, place.height - MARK_ROW / 2)):
        row = sorted((one for one in marks if one.inside is inside), key=lambda one: one.z_mm)
        for one, x in zip(row, spread([place.x(one.z_mm) for one in row]), strict=True):
            drawn += MARK.format(number=one.number, x=place.x(one.z_mm), y=place.y(one.radius_mm), to_x=x, to_y=row_y)
    return drawn


def spread(wanted: Sequence[float]) -> list[float]:
    """Places in a row, in their order, no nearer to each other than circles need and within the picture.

    >>> spread([100, 100, 300])
    [100.0, 123.0, 300.0]
    """
    found: list[float] = []
    for x in wanted:
        found.append(max(float(x), found[-1] + MARK_STEP) if found else max(float(x), MARGIN))
    limit = WIDTH - MARGIN
    for at in reversed(range(len(found))):
        found[at] = min(found[at], limit)
        limit = found[at] - MARK_STEP
    return found
