"""What has drifted between two findings of the same check, and what to look for.

A change counts where it is larger than both uncertainties together explain: the root of the sum of their squares, as
for the difference of two independent measurements (GUM, JCGM 100:2008, 5.1.2, both expanded by the same k).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from waytell.documents.config import Units
from waytell.documents.proving import Check, Proof, Quantity, Reference
from waytell.proving.quantity_words import sentence

SHARE = 0.25
"""Of the larger value: where nothing tells how sure they are, less is no drift. Common practice, no source."""
NOTHING = {"um": 0.5, "counts": 1.0, "ms": 20.0}
"""A smaller change says nothing where no uncertainty is known. Common practice, no source."""
WARMER_K = 2.0
"""A smaller difference in temperature is not worth telling: it shifts 100 mm of steel by 2 um."""
SAME_RESOLUTION = 1e-3


class Drift(NamedTuple):
    was: Quantity
    now: Quantity
    times: float
    """How many times as large as chance explains; above 1."""


def key_of(check: Check) -> tuple[str, str, str]:
    """The same for checks whose findings can be compared: kind, slide, state of the motor."""
    return check.kind, getattr(check, "slide", ""), getattr(check, "motor", "")


def compared(now: Proof, before: Proof, units: Units | None = None) -> tuple[str, ...]:
    """What drifted, in sentences, the most first; then what else was not the same. Empty where all is as it was."""
    if key_of(now.check) != key_of(before.check):
        return ()
    units = units or Units()
    # What the temperature does is reckoned from what was entered: another temperature is no drift.
    found = [] if now.check.kind == "temperature" else drifts(now, before)
    return (*(_words(one, now.check.kind, units) for one in found), *_conditions(now, before))


def drifts(now: Proof, before: Proof) -> list[Drift]:
    """Figures that changed by more than chance explains, the most first."""
    then = {one.key: one for one in before.quantities}
    pairs = [(then[one.key], one) for one in now.quantities if one.key in then]
    found = [Drift(was, one, _times(was, one)) for was, one in pairs if _comparable(was, one, now, before)]
    return sorted((one for one in found if one.times > 1), key=lambda one: -one.times)


def _comparable(was: Quantity, one: Quantity, now: Proof, before: Proof) -> bool:
    if was.unit != one.unit or one.key in NOT_COMPARED.get(now.check.kind, ()):
        return False
    if one.key == "error" and _length(now) != _length(before):
        return False
    # Counts of another length are other counts.
    return not one.unit.startswith("counts") or not _other_resolution(now, before)


def _times(was: Quantity, now: Quantity) -> float:
    change = abs(now.value - was.value)
    if round(was.value, now.decimals) == round(now.value, now.decimals):
        return 0.0
    explained = math.hypot(*_both(was, now)) or _by_share(was, now)
    # A step of the last digit is rounding, not drift.
    return change / max(explained, 1.5 * 10.0**-now.decimals)


def _by_share(was: Quantity, now: Quantity) -> float:
    return max(SHARE * max(abs(was.value), abs(now.value)), NOTHING.get(now.unit, 0.0))


def _both(was: Quantity, now: Quantity) -> tuple[float, float]:
    """Their uncertainties; one that is not known is taken as large as the other."""
    one, other = was.u or 0.0, now.u or 0.0
    return one or other, other or one


def _words(drift: Drift, kind: str, units: Units) -> str:
    was, now, _ = drift
    name = now.name[:1].upper() + now.name[1:]
    way = _way(was.value, now.value)
    # Keys of one scale among several begin alike: "sd cross", "sd carriage".
    advice = "" if way == "fell" else ADVICE.get((kind, now.key.split()[0]), "")
    told = f"{name} was {sentence(was, units)}, now {sentence(now, units)}: {WAYS[way]}."
    return f"{told} {advice}".rstrip()


def _way(was: float, now: float) -> str:
    if was * now < 0:
        return "turned"
    return "grew" if abs(now) > abs(was) else "fell"


def _conditions(now: Proof, before: Proof) -> Iterator[str]:
    if now.verdict != before.verdict:
        yield f"It was {before.verdict} before; now it is {now.verdict}."
    if _other_resolution(now, before):
        yield (
            f"A count was {before.resolution_um:g} µm then and is {now.resolution_um:g} µm now: the scale or its "
            "set-up is another, so compare with care."
        )
    warmer_k = _difference(now.temperature_c, before.temperature_c)
    if abs(warmer_k) >= WARMER_K:
        yield (
            f"It was {before.temperature_c:g} °C then and is {now.temperature_c:g} °C now: part of a change may come "
            "from that."
        )
    was, one = reference_words(before.check), reference_words(now.check)
    if was != one:
        yield f"It was compared with {was} then, with {one} now."


def reference_words(check: Check) -> str:
    """What a check compared the scale with; empty where it compared it with nothing.

    >>> from waytell.documents.proving import DistanceCheck
    >>> reference_words(DistanceCheck(kind="distance", slide="carriage", length_mm=25.0))
    'a gauge block of grade 2, 25 mm long'
    """
    reference: Reference | None = getattr(check, "reference", None)
    if reference is None:
        return ""
    name = REFERENCES[reference.kind]
    grade = f" of grade {reference.grade}" if reference.kind == "gauge_block" else ""
    sure = f" (± {reference.u_um:g} µm)" if reference.u_um else ""
    long = f", {check.length_mm:g} mm long" if check.kind == "distance" else ""
    return f"{name}{grade}{sure}{long}"


def _other_resolution(now: Proof, before: Proof) -> bool:
    one, other = now.resolution_um, before.resolution_um
    return one is not None and other is not None and abs(one / other - 1) > SAME_RESOLUTION


def _length(proof: Proof) -> float:
    return proof.check.length_mm if proof.check.kind == "distance" else 0.0


def _difference(now: float | None, before: float | None) -> float:
    return 0.0 if now is None or before is None else now - before


REFERENCES: dict[str, str] = {
    "gauge_block": "a gauge block", "dial": "a dial indicator", "setting_bar": "a setting bar",
    "other": "something else",
}  # fmt: skip
WAYS = {"grew": "it grew", "fell": "it became less", "turned": "it changed its sign"}
NOT_COMPARED: dict[str, tuple[str, ...]] = {
    "slide": ("channel", "moved"), "rest": ("drift cross", "drift carriage", "drift compound", "drift tailstock"),
    "winding": ("fastest", "speed", "most"), "distance": ("ratio",), "map": ("reference",),
    "collars": ("apart", "angle"),
    "disc": ("angle",), "positioning": ("mean B", "R up", "R down", "E up", "E down", "M", "A up", "A down"),
}  # fmt: skip
"""Figures that tell how a check was carried out, or once more what another one tells; by the kind of check."""
HEAD = "Look for play in the clamp of the reading head"
ADVICE: dict[tuple[str, str], str] = {
    ("link", "lost"): "Look at the cable and its plugs.",
    ("link", "damaged"): "Look at the cable and its plugs.",
    ("link", "gap"): "Look what else keeps the computer busy.",
    ("rest", "span"): "Look for what is new near the cable: a motor's lead, a lamp, a loose earth.",
    ("rest", "sd"): "Look for what is new near the cable: a motor's lead, a lamp, a loose earth.",
    ("winding", "off"): f"{HEAD}, and for dirt on the scale.",
    ("winding", "missed"): "Look at the plug of the scale and at the gap of its reading head.",
    ("distance", "resolution"): "Measure once more with clean ends; if it stays so, look whether the scale was moved.",
    ("map", "span"): "Look for dirt on the scale and for a reading head that rubs, then take the map anew.",
    ("map", "straightness"): "Look for dirt on the scale and for a reading head that rubs, then take the map anew.",
    ("map", "slope"): "Look whether the scale still lies along the slide, and at the temperature.",
    ("positioning", "B"): f"{HEAD}.",
    ("positioning", "R"): f"{HEAD}, for dirt on the scale, and at the gib of the slide.",
    ("positioning", "E"): "Take the error map anew.",
    ("disc", "slope"): "Look whether the gib of the cross-slide or the headstock was adjusted since.",
    ("collars", "taper"): "Look whether the lathe was moved since, or one of its feet has settled.",
}  # fmt: skip
"""What to look for where a figure grew, by the kind of check and the first word of its key."""
