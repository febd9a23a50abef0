"""What is typed while a check is under way, and what a capture is called; numbers by hand."""

from __future__ import annotations

from typing import Any

import pytest

from waytell.cli.prove_said import Said, Unclear, capture_words, chosen, says_mm, understood
from waytell.documents.config import Units
from waytell.documents.proving import Captured, CheckNow, DistanceCheck, Move

MM, INCH = Units(), Units(length="inch")


def now(*captures: tuple[float | None, float | None], **more: Any) -> CheckNow:
    """A check with captures as (said, shown)."""
    told = tuple(
        Captured(number=10 + n, says_mm=says, shown_mm=shown, way=1, left_out=False)
        for n, (says, shown) in enumerate(captures)
    )
    fields = {"wants": "place", "suggests_mm": None, "captures": told} | more
    return CheckNow.model_validate(
        {"check": DistanceCheck(kind="distance", slide="carriage", length_mm=25.0), "began": "", "proof": None,
         "next": Move(move="Wind on.", why=""), "missing": "", **fields}
    )  # fmt: skip


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("", Said("capture")),
        ("  \r", Said("capture")),
        ("25", Said("capture", 25.0)),
        (" 0,125 ", Said("capture", 0.125)),
        ("-.5", Said("capture", -0.5)),
        ("OUT 12", Said("out", 12)),
        ("in3", Said("in", 3)),
        ("Done", Said("done")),
        ("finish", Said("done")),
        ("?", Said("help")),
    ],
)
def test_a_line_is_understood(line: str, said: Said) -> None:
    assert understood(line) == said


@pytest.mark.parametrize("line", ["out", "1.2.3", "25 mm", "nan", "inf", "1e3", "out -1", "donee", "--", "."])
def test_what_is_no_word_is_not_guessed_at(line: str) -> None:
    with pytest.raises(Unclear, match="is none of the words"):
        understood(line)


def test_what_a_capture_says_is_typed_or_suggested_in_the_persons_units() -> None:
    assert says_mm(25.0, now(), MM) == 25.0
    # 1 inch is 25.4 mm exactly.
    assert says_mm(1.0, now(), INCH) == 25.4
    assert says_mm(None, now(suggests_mm=12.7), INCH) == 12.7
    assert says_mm(None, now(wants=""), MM) is None


@pytest.mark.parametrize(
    ("number", "more", "says"),
    [
        (None, {"wants": "dial"}, "Say what the dial reads"),
        (None, {"wants": "diameter"}, "Say what the micrometer reads"),
        (1.0, {"wants": ""}, "asks for no number"),
        (5001.0, {}, "longer than any small lathe"),
    ],
)
def test_what_is_missing_or_too_much_is_said(number: float | None, more: dict[str, Any], says: str) -> None:
    with pytest.raises(Unclear, match=says):
        says_mm(number, now(**more), MM)


def test_captures_are_called_by_their_place_in_the_list() -> None:
    two = now((0.0, 0.0), (25.0, 25.0))
    assert chosen(2, two).number == 11
    for number in (0, 3):
        with pytest.raises(Unclear, match="the list goes to 2"):
            chosen(number, two)


def test_a_capture_tells_how_far_off_the_scale_is_from_the_first_that_counts() -> None:
    check = now((1.0, 0.5), (26.0, 25.496), (51.0, 52.5), (2.0, 1.5))
    assert capture_words(1, check, MM) == "1: 1.000 mm said, 0.500 mm shown, winding on"
    assert capture_words(2, check, MM) == "2: 26.000 mm said, 25.496 mm shown, 4.0 µm too little, winding on"
    assert capture_words(3, check, MM) == "3: 51.000 mm said, 52.500 mm shown, 2.000 mm too much, winding on"
    assert capture_words(4, check, MM) == "4: 2.000 mm said, 1.500 mm shown, as it says, winding on"
    # 0.004 / 25.4 = 0.00016.
    assert "0.00016 in too little" in capture_words(2, check, INCH)
    gone = check.captures[0].model_copy(update={"left_out": True, "why_left_out": "The board restarted since."})
    later = check.model_copy(update={"captures": (gone, *check.captures[1:])})
    assert "Does not count: The board restarted since." in capture_words(1, later, MM)
    assert "too" not in capture_words(2, later, MM), "now it is the first that counts"


def test_a_dial_is_not_compared_with_the_place() -> None:
    assert "too" not in capture_words(2, now((0.0, 5.0), (0.01, -5.0), wants="dial"), MM)
