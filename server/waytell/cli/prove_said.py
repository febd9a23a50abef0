"""What a person types while a check is under way, and what a capture is in words. Pure."""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

from waytell.documents.config import Units
from waytell.documents.proving import Captured, CheckNow
from waytell.engine.words import MM_PER_INCH, fine_length

Do = Literal["capture", "out", "in", "undo", "list", "done", "stop", "help"]
WORDS: dict[str, Do] = {
    "undo": "undo", "list": "list", "done": "done", "finish": "done", "stop": "stop", "help": "help", "?": "help",
    "capture": "capture",
}  # fmt: skip
LONGEST_MM = 5000.0
AS_IT_SAYS_MM = 0.00005
HELP = (
    "Enter captures; a number before it is what the reference says, if not as in [ ].",
    "out 3 leaves capture 3 out, in 3 takes it in again, undo takes the last back,",
    "list shows them, done finishes and tells what was found, stop gives up.",
)
HELP_WATCHING = ("It ends by itself once it has seen enough; stop: give it up.",)
ASKS = {
    "place": "Say which place it is",
    "dial": "Say what the dial reads",
    "diameter": "Say what the micrometer reads",
}
WAYS = {1: ", winding on", 0: "", -1: ", winding back"}


class Unclear(Exception):  # noqa: N818 - nothing broke
    """What was typed cannot be carried out; says what to type."""


class Said(NamedTuple):
    do: Do
    number: float | None = None
    """What the reference says, in the person's units; or the place of a capture in the list."""


def understood(line: str) -> Said:
    """Raises Unclear where it is none of the words that can be said.

    >>> understood(" 25,5 "), understood("out 3"), understood("")
    (Said(do='capture', number=25.5), Said(do='out', number=3), Said(do='capture', number=None))
    """
    words = line.strip().lower()
    if not words:
        return Said("capture")
    if words in WORDS:
        return Said(WORDS[words])
    if (one := re.fullmatch(r"(out|in)\s*(\d{1,6})", words)) is not None:
        return Said("out" if one[1] == "out" else "in", int(one[2]))
    if (one := re.fullmatch(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)", words)) is not None:
        return Said("capture", float(words.replace(",", ".")))
    raise Unclear(f"{line.strip()!a} is none of the words that can be said here. ? tells them.")


def says_mm(number: float | None, now: CheckNow, units: Units) -> float | None:
    """What a capture says, in mm: what was typed, or else what was suggested.

    Raises:
        Unclear: it has to be said and was not, or the other way round.
    """
    if now.wants == "":
        if number is not None:
            raise Unclear("This check asks for no number: press Enter alone to capture.")
        return None
    if number is None:
        if now.suggests_mm is None:
            raise Unclear(f"{ASKS[now.wants]}, then press Enter.")
        return now.suggests_mm
    mm = number * MM_PER_INCH if units.length == "inch" else number
    if abs(mm) > LONGEST_MM:
        raise Unclear("That is longer than any small lathe. Type it again.")
    return mm


def chosen(number: float | None, now: CheckNow) -> Captured:
    """The capture at a place of the list, from 1.

    Raises:
        Unclear: there is none.
    """
    at = int(number or 0)
    if not 1 <= at <= len(now.captures):
        raise Unclear(f"There is no capture {at}: the list goes to {len(now.captures)}.")
    return now.captures[at - 1]


def capture_words(at: int, now: CheckNow, units: Units) -> str:
    """One capture of the list, `at` from 1."""
    one = now.captures[at - 1]
    parts = []
    if one.says_mm is not None:
        parts.append(f"{fine_length(one.says_mm, units)} said")
    if one.shown_mm is not None:
        parts.append(f"{fine_length(one.shown_mm, units)} shown{_off(one, now, units)}")
    told = ", ".join(parts) or "kept"
    left_out = f". Does not count: {one.why_left_out}" if one.left_out else ""
    return f"{at}: {told}{WAYS[one.way]}{left_out}"


def _off(one: Captured, now: CheckNow, units: Units) -> str:
    """How much too much or too little the scale shows, from the first capture that counts."""
    counting = (each for each in now.captures if not each.left_out and each.shown_mm is not None)
    first = next((each for each in counting if each.says_mm is not None), None)
    if now.wants != "place" or first is None or first.number == one.number or one.left_out:
        return ""
    if one.says_mm is None or one.shown_mm is None or first.says_mm is None or first.shown_mm is None:
        return ""
    off_mm = (one.shown_mm - first.shown_mm) - (one.says_mm - first.says_mm)
    if abs(off_mm) < AS_IT_SAYS_MM:
        return ", as it says"
    return f", {_small(abs(off_mm), units)} too {'much' if off_mm > 0 else 'little'}"


def _small(mm: float, units: Units) -> str:
    if mm >= 1.0:
        return fine_length(mm, units)
    return f"{mm / MM_PER_INCH:.5f} in" if units.length == "inch" else f"{mm * 1000:.1f} µm"
