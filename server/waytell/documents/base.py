"""What all documents have in common: unknown names are refused, values never change once made."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

Axis = Literal["X", "Z"]
Slide = Literal["cross", "carriage", "compound", "tailstock"]
PassKind = Literal["facing", "turning", "boring", "drilling", "taper", "chamfer", "grooving", "parting"]
Role = Literal["skim", "roughing", "finish", "spring", "air"]
# Finite and no longer than any small lathe: a slip of the decimal point is refused at the door.
Length = Annotated[float, Field(ge=-5000.0, le=5000.0, allow_inf_nan=False)]
PositiveLength = Annotated[float, Field(gt=0.0, le=5000.0, allow_inf_nan=False)]
NotNegativeLength = Annotated[float, Field(ge=0.0, le=5000.0, allow_inf_nan=False)]
Name = Annotated[str, Field(min_length=1, max_length=60)]


class Document(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, use_attribute_docstrings=True)
