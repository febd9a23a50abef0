"""What is known of a material to be turned, each value with where it comes from."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from waytell.documents.base import Document, Name

# Wide enough for anything that is turned; a slip of the decimal point or a wrong unit falls outside.
PLAUSIBLE = {
    "density_kg_m3": (500.0, 25_000.0, "kg/m3"),
    "modulus_gpa": (0.1, 1_000.0, "GPa"),
    "expansion_um_m_k": (-1.0, 200.0, "um/(m K)"),
    "kc11_n_mm2": (10.0, 10_000.0, "N/mm2"),
    "mc": (0.0, 0.6, "(no unit)"),
}

Source = Annotated[str, Field(min_length=1, max_length=200)]
CuttingSpeed = Annotated[float, Field(gt=0, le=3000, allow_inf_nan=False)]
Feed = Annotated[float, Field(gt=0, le=5, allow_inf_nan=False)]


class Sourced(Document):
    """A value and where it was read."""

    value: Annotated[float, Field(allow_inf_nan=False)]
    source: Source
    """Title of what it was read in, or "from memory"."""


class SpeedRange(Document):
    """Cutting speeds that a tool stands in a material."""

    low_m_min: CuttingSpeed
    high_m_min: CuttingSpeed
    source: Source
    """Title of what it was read in, or "from memory"."""

    @model_validator(mode="after")
    def _is_ordered(self) -> Self:
        if self.low_m_min > self.high_m_min:
            raise ValueError(f"low_m_min {self.low_m_min:g} must not be above high_m_min {self.high_m_min:g}")
        return self


class Material(Document):
    name: Name
    density_kg_m3: Sourced
    modulus_gpa: Sourced
    """Young's modulus, which says how far the work bends."""
    expansion_um_m_k: Sourced
    """Thermal expansion, micrometres a metre and kelvin."""
    kc11_n_mm2: Sourced
    """Specific cutting force of a chip 1 mm wide and 1 mm thick."""
    mc: Sourced
    """How fast the specific cutting force rises as the chip gets thinner: kc = kc1.1 h^-mc."""
    hss: SpeedRange
    """With a tool of high-speed steel."""
    carbide: SpeedRange
    """With a tool of cemented carbide."""
    feed_low_mm_rev: Feed
    """Least feed for roughing by hand; below it the edge rubs."""
    feed_high_mm_rev: Feed
    feed_source: Source
    note: Annotated[str, Field(max_length=300)] = ""
    """What a person should mind with this material."""

    @model_validator(mode="after")
    def _is_plausible(self) -> Self:
        for field, (least, most, unit) in PLAUSIBLE.items():
            value = getattr(self, field).value
            if not least <= value <= most:
                raise ValueError(f"{field} of {self.name} is {value:g}; it lies between {least:g} and {most:g} {unit}")
        if self.feed_low_mm_rev > self.feed_high_mm_rev:
            raise ValueError(
                f"feed_low_mm_rev {self.feed_low_mm_rev:g} of {self.name} must not be above "
                f"feed_high_mm_rev {self.feed_high_mm_rev:g}"
            )
        return self
