"""The half section before and after a pass as SVG, in the line types of ISO 128: wide outline, narrow chain centre
line, narrow hatching. What the pass took off has a hatching of its own, the other way and closer.

Drawn as on the page: headstock on the left, centre line at the top, the radius downwards. Colours and widths come from
the style sheet of the document around it.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

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
    '<path class="chain" d="{centre}"/></svg>'
)


def section_svg(review: PassReview) -> Markup:
    """The outline after the pass must be known; the one before it may be."""
    before, after = review.outline_before, review.outline_after
    place = _Place((*before, *after))
    y = place.y(0.0)
    return SVG.format(
        width=f"{WIDTH:g}", height=f"{place.height:.1f}", id=review.passed.number,
        label=f"Half section before and after pass {review.passed.number}",
        before=place.closed(before), after=place.closed(after), edges=place.edges(after),
        centre=f"M2 {y:.2f}H{WIDTH - 2:g}",
    )  # fmt: skip


class _Place:
    """Where a corner lies on the paper: to scale, the same across and along."""

    def __init__(self, corners: Corners) -> None:
        self._z0 = min(z for z, _ in corners)
        long_mm = max(z for z, _ in corners) - self._z0 or 1.0
        thick_mm = max(r for _, r in corners) or 1.0
        self._scale = min((WIDTH - 2 * MARGIN) / long_mm, (MOST_HEIGHT - 2 * MARGIN) / thick_mm)
        self._x0 = (WIDTH - self._scale * long_mm) / 2
        self.height = self._scale * thick_mm + 2 * MARGIN

    def y(self, radius_mm: float) -> float:
        return MARGIN + radius_mm * self._scale

    def _point(self, corner: tuple[float, float]) -> str:
        return f"{self._x0 + (corner[0] - self._z0) * self._scale:.2f} {self.y(corner[1]):.2f}"

    def closed(self, corners: Corners) -> str:
        return "M" + "L".join(self._point(corner) for corner in corners) + "Z" if corners else ""

    def edges(self, corners: Corners) -> str:
        """Every side but the one on the centre line, which is no edge of the work."""
        sides = pairwise([*corners, corners[0]])
        return "".join(f"M{self._point(a)}L{self._point(b)}" for a, b in sides if a[1] > 0 or b[1] > 0)
