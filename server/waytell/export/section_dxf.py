"""The turned half section as a DXF drawing, in millimetres: Z along, the radius up from the centre line at 0.

Layers: `outline` (one closed polyline), `centre line`, `caution` (words).
"""

from __future__ import annotations

from io import StringIO

from waytell.documents.review import PassReview
from waytell.export.missing import CAUTION

WORDS_MM = 2.5
BEYOND_MM = 5.0
# Line widths of ISO 128-2 in hundredths of a millimetre: wide and narrow lines as 2 to 1.
WIDE, NARROW = 50, 25


def section_dxf(review: PassReview) -> str:
    """The section after a pass whose outline is known."""
    # Heavy to load, and wanted only when a drawing is asked for.
    from ezdxf import units  # noqa: PLC0415
    from ezdxf.filemanagement import new  # noqa: PLC0415

    drawing = new("R2010", setup=["linetypes"], units=units.MM)
    drawing.layers.add("outline", lineweight=WIDE)
    drawing.layers.add("centre line", linetype="CENTER", lineweight=NARROW)
    drawing.layers.add("caution", lineweight=NARROW)
    space, corners = drawing.modelspace(), review.outline_after
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "outline"})
    along = [z for z, _ in corners]
    ends = ((min(along) - BEYOND_MM, 0.0), (max(along) + BEYOND_MM, 0.0))
    space.add_line(*ends, dxfattribs={"layer": "centre line"})
    for line, words in enumerate(_words(review), start=1):
        place = (min(along), -2 * line * WORDS_MM)
        space.add_text(words, height=WORDS_MM, dxfattribs={"layer": "caution"}).set_placement(place)
    text = StringIO()
    drawing.write(text)
    return text.getvalue()


def _words(review: PassReview) -> list[str]:
    after = f"Half section after pass {review.passed.number}, lengths in mm, radius upwards."
    doubt = [f"IN DOUBT: {doubt.words}" for doubt in review.doubted]
    return [after, *doubt, CAUTION]
