"""What was proved, in words that the printed sheet and the command line share."""

from __future__ import annotations

import math
from collections.abc import Sequence

from waytell.documents.config import Units
from waytell.documents.proving import AxisBudget, DatedProof, Proof
from waytell.engine.acts_check import CHECK_NAMES
from waytell.engine.words import MM_PER_INCH
from waytell.proving.history import key_of

NOT_TO_THE_STANDARD = (
    "A hand-wound slide is no test to the standard: the places where it really stood are used, not exact targets. The "
    "figures are reckoned as ISO 230-2 defines them and named after it."
)
KINDS = tuple(CHECK_NAMES)
"""In the order in which a lathe is proved."""


def newest(proofs: Sequence[DatedProof]) -> list[DatedProof]:
    """Of each check, slide and state of the motor the newest, in the order in which a lathe is proved.

    `proofs` with the newest first, as in the document.
    """
    found: dict[tuple[str, str, str], DatedProof] = {}
    for one in proofs:
        found.setdefault(key_of(one.proof.check), one)
    return sorted(found.values(), key=lambda one: KINDS.index(one.proof.check.kind))


def notes_of(proof: Proof) -> tuple[str, ...]:
    """Its own notes; of positioning also that it is none to the standard."""
    told = any("standard" in one or "ISO 230-2" in one for one in proof.notes)
    return proof.notes if proof.check.kind != "positioning" or told else (*proof.notes, NOT_TO_THE_STANDARD)


def small_unit(units: Units) -> str:
    return "0.001 inch" if units.length == "inch" else "µm"


def small(um: float, units: Units, digits: int = 1) -> str:
    """In small units, without idle noughts.

    >>> small(5.0, Units()), small(25.4, Units(length="inch"))
    ('5', '1')
    """
    text = f"{um / MM_PER_INCH:.{digits + 1}f}" if units.length == "inch" else f"{um:.{digits}f}"
    return text.rstrip("0").rstrip(".")


def doubled(budget: AxisBudget, units: Units) -> int:
    """2 where the axis is read as a diameter."""
    return 2 if budget.axis == "X" and units.x_as == "diameter" else 1


def on_what(budget: AxisBudget, units: Units) -> str:
    """How the axis is read; empty where there is but one way."""
    if budget.axis == "Z":
        return ""
    return "on the diameter" if doubled(budget, units) == 2 else "on the radius"


def expanded(budget: AxisBudget, units: Units) -> str:
    """U of a position, rounded up: it must not claim more than was found."""
    mm = doubled(budget, units) * budget.expanded_um / 1000
    length, digits = (mm / MM_PER_INCH, 5) if units.length == "inch" else (mm, 4)
    return f"{math.ceil(length * 10**digits - 1e-6) / 10**digits:.{digits}f}"


def degrees(of_freedom: float | None) -> str:
    if of_freedom is None:
        return "∞"
    return f"{of_freedom:.0f}" if of_freedom < 100 else "over 100"


def percent(share: float) -> str:
    return f"{share:.0f}" if share >= 1 else "under 1"


def first_capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def when(wall: str) -> str:
    """A label of the wall clock (ISO 8601, UTC) to the minute.

    >>> when("2031-05-04T12:00:31Z")
    '2031-05-04 12:00'
    """
    return wall[:16].replace("T", " ")
