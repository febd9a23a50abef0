"""The shape a pass left by creep of the held slide: hollow or humped face, taper of a turned length.

Z grows away from the headstock. A face is concave where its inner edge lies nearer the headstock than its rim, so
where the held Z grows with the radius. All of it is where the scales say the tool was; what push-off, bending and
spring did to the work is not in it.
"""

from __future__ import annotations

from math import atan, degrees
from typing import Literal

from waytell.documents.config import Units
from waytell.documents.review import FaceShape, LengthShape
from waytell.documents.state import Pass
from waytell.engine.words import fine_length, length
from waytell.review.fits import Fit, fit

Sample = tuple[float, float, float]
CONES = ("taper", "chamfer")
# Less would read as nothing at all.
SHOWS_MM = 0.0005


def shape_of(passed: Pass, samples: tuple[Sample, ...]) -> FaceShape | LengthShape | None:
    """None for grooving, parting and drilling, for a pass in the air, and where the samples are too few."""
    if passed.role == "air":
        return None
    if passed.kind == "facing":
        # What runs past the centre cuts nothing that was not cut before.
        outside = [(x, z) for _, x, z in samples if x >= 0.0]
        found = fit([x for x, _ in outside], [z for _, z in outside])
        return None if found is None else _face(found)
    if passed.kind in ("turning", "boring", *CONES):
        found = fit([z for *_, z in samples], [x for _, x, _ in samples])
        return None if found is None else _length(found)
    return None


def _face(found: Fit) -> FaceShape:
    form: Literal["flat", "concave", "convex"] = "concave" if found.rise_mm > 0 else "convex"
    return FaceShape(
        form=form if abs(found.rise_mm) > found.least_mm else "flat",
        height_mm=found.rise_mm, slope=found.slope, bow_mm=found.bow_mm, least_mm=found.least_mm,
        inner_mm=found.low_mm, rim_mm=found.high_mm,
    )  # fmt: skip


def _length(found: Fit) -> LengthShape:
    form: Literal["wider_at_free_end", "narrower_at_free_end"] = (
        "wider_at_free_end" if found.rise_mm > 0 else "narrower_at_free_end"
    )
    length_mm = found.high_mm - found.low_mm
    return LengthShape(
        form=form if abs(found.rise_mm) > found.least_mm else "straight",
        # From the limited rise, so that length, taper and taper over 100 mm agree.
        taper_mm=2 * found.rise_mm, per_100_mm=2 * found.rise_mm / length_mm * 100,
        half_angle_deg=degrees(atan(found.slope)), bow_mm=found.bow_mm, least_mm=2 * found.least_mm,
        length_mm=length_mm,
    )  # fmt: skip


# -- in words ----------------------------------------------------------------------------------------------------------


def shape_words(passed: Pass, shape: FaceShape | LengthShape | None, units: Units) -> str:
    """One or two sentences for the person."""
    if isinstance(shape, FaceShape):
        return _face_words(shape, units)
    if isinstance(shape, LengthShape):
        return _cone_words(shape) if passed.kind in CONES else _length_words(shape, units)
    if passed.role == "air":
        return "A pass in the air: it left no surface."
    if passed.kind in ("facing", "turning", "boring", *CONES):
        return "No shape can be told: too few samples of this pass were kept."
    return f"No shape is told for {passed.kind}."


def _face_words(shape: FaceShape, units: Units) -> str:
    inner = "centre" if shape.inner_mm < 1.0 else "inner edge"
    amount = fine_length(abs(shape.height_mm), units)
    says = {
        "flat": f"Flat{_within(shape.least_mm, shape.height_mm, '', units)}",
        "concave": f"Concave by {amount}: the {inner} lies deeper than the rim.",
        "convex": f"Convex by {amount}: the {inner} stands out beyond the rim.",
    }[shape.form]
    return says + _bow_words(shape.bow_mm, shape.least_mm, ("Hollow", "Humped"), units)


def _length_words(shape: LengthShape, units: Units) -> str:
    over = f" over {length(shape.length_mm, units)}"
    if shape.form == "straight":
        says = f"Straight{_within(shape.least_mm, shape.taper_mm, f' of diameter{over}', units)}"
    else:
        end = "wider" if shape.form == "wider_at_free_end" else "narrower"
        amount = fine_length(abs(shape.taper_mm), units)
        says = f"Tapered: {end} at the free end by {amount} of diameter{over}{_per_100(shape, units)}."
    return says + _bow_words(shape.bow_mm, shape.least_mm / 2, ("Waisted", "Bellied"), units)


def _within(least_mm: float, found_mm: float, of: str, units: Units) -> str:
    """What the scale could have shown; where it showed no step, even its count is not known from the samples."""
    if max(least_mm, abs(found_mm)) < SHOWS_MM:
        return ": the scale showed no step."
    return f" within {fine_length(max(least_mm, abs(found_mm)), units)}{of}, as far as the scale can tell."


def _per_100(shape: LengthShape, units: Units) -> str:
    if units.length == "inch":
        return f", {abs(shape.per_100_mm) / 100:.5f} in an inch"
    return f", {abs(shape.per_100_mm):.3f} mm on 100 mm"


def _cone_words(shape: LengthShape) -> str:
    end = "wider" if shape.taper_mm > 0 else "narrower"
    return f"A cone of {abs(shape.half_angle_deg):.2f} degrees to the centre line, {end} at the free end."


def _bow_words(bow_mm: float, least_mm: float, names: tuple[str, str], units: Units) -> str:
    if abs(bow_mm) <= least_mm:
        return ""
    return f" {names[0] if bow_mm > 0 else names[1]} between by {fine_length(abs(bow_mm), units)}."
