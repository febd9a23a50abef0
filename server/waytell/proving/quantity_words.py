"""The figures of a finding as a person reads them: rounded as they deserve, in the units the person chose."""

from __future__ import annotations

import math
from typing import NamedTuple

from waytell.documents.config import Units
from waytell.documents.proving import Quantity
from waytell.engine.words import MM_PER_INCH


class Texts(NamedTuple):
    value: str
    u: str
    """Without its sign; empty where there is none to tell."""
    unit: str


class Shown(NamedTuple):
    """How a unit of the documents is shown: by which factor, under which name."""

    factor: float
    unit: str


PLAIN: dict[str, str] = {"um": "µm", "um/100 mm": "µm in 100 mm", "deg": "°", "C": "°C"}
INCH: dict[str, Shown] = {
    "um": Shown(1 / MM_PER_INCH, "0.001 inch"),
    "mm": Shown(1 / MM_PER_INCH, "inch"),
    "mm/s": Shown(1 / MM_PER_INCH, "inch/s"),
    # 1 um in 100 mm is 0.0001 inch in 10 inch.
    "um/100 mm": Shown(0.1, "0.001 inch in 10 inch"),
}


def texts(one: Quantity, units: Units) -> Texts:
    """For a table; an inch person gets one digit more.

    >>> texts(Quantity(key="b", name="reversal error", value=-4.08, unit="um", u=0.31), Units())
    Texts(value='−4.1', u='0.4', unit='µm')
    """
    shown = INCH.get(one.unit) if units.length == "inch" else None
    digits = one.decimals if shown is None else one.decimals + 1
    factor, unit = shown or Shown(1.0, PLAIN.get(one.unit, one.unit))
    u = "" if one.u is None else _not_less(one.u * factor, digits)
    return Texts(number(one.value * factor, digits), u, unit)


def sentence(one: Quantity, units: Units) -> str:
    """Value and unit in a sentence.

    >>> sentence(Quantity(key="b", name="reversal error", value=4.08, unit="um"), Units(length="inch"))
    '0.00016 inch'
    """
    value, _, unit = texts(one, units)
    if unit.startswith("0.001 "):
        thousandths = one.value * INCH[one.unit].factor
        return f"{number(thousandths / 1000, one.decimals + 4)} {unit.removeprefix('0.001 ')}"
    return value + (unit if unit == "°" else f" {unit}" if unit else "")


def number(value: float, digits: int) -> str:
    """With a minus that prints as one; what is nought but for rounding has none."""
    text = f"{value:.{digits}f}"
    unsigned = text.lstrip("-")
    return text.replace("-", "−") if float(unsigned) else unsigned


def _not_less(u: float, digits: int) -> str:
    """An uncertainty is rounded up: it must not claim more than was found. A hair is taken off first, for 0.1 + 0.2."""
    return f"{math.ceil(u * 10**digits - 1e-6) / 10**digits:.{digits}f}"
