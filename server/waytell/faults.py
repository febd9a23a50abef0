"""What pydantic finds wrong in a file that a person wrote, in words that name the place and the remedy."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

Location = tuple[int | str, ...]
MOST_SHOWN = 12
LONGEST = 80
SIZE = 'must be a number of mm, or a table such as { mm = 12.0, tolerance_class = "h7" }'


def dotted(location: Location) -> str:
    """A place by its names, and by its numbers from 0, as the file has them.

    >>> dotted(("scales", 0, "slide"))
    'scales.0.slide'
    """
    return ".".join(_plain(part) for part in location)


def in_words(error: ValidationError, names_at: str, place: Callable[[Location], str] = dotted) -> str:
    """A line for each fault. `names_at` is the command that shows the names there are."""
    found = _of_their_own(error.errors(include_url=False))
    lines = [_line(fault, names_at, place) for fault in found[:MOST_SHOWN]]
    if len(found) > MOST_SHOWN:
        lines.append(f"  and {len(found) - MOST_SHOWN} more: mend these first")
    return "\n".join(lines)


def _of_their_own(faults: list[ErrorDetails]) -> list[ErrorDetails]:
    """Without lists that are called too short only because an entry of theirs is at fault."""
    return [
        one for one in faults
        if one["type"] != "too_short" or not one["input"]
        or not any(other["loc"][: len(one["loc"])] == one["loc"] for other in faults if other is not one)
    ]  # fmt: skip


def _line(fault: ErrorDetails, names_at: str, place: Callable[[Location], str]) -> str:
    where = place(fault["loc"]) or "the whole"
    # What is missing, and what only disagrees as a whole, has no value worth showing.
    shown = fault["loc"] and fault["type"] != "missing" and not isinstance(fault["input"], dict)
    return f"  {where}: {_message(fault, names_at)}" + (f" (found {_short(repr(fault['input']))})" if shown else "")


def _message(fault: ErrorDetails, names_at: str) -> str:
    about: dict[str, Any] = fault.get("ctx", {})
    match fault["type"]:
        case "extra_forbidden":
            return f"no such name; see {names_at} for the names there are"
        case "missing":
            return f"is required; see {names_at} for how it is written"
        case "union_tag_invalid":
            return (
                f"{_plain(about['discriminator'])} must be one of {about['expected_tags']}, not {_plain(about['tag'])}"
            )
        case "union_tag_not_found":
            return f"has no {about['discriminator']}; see {names_at} for how it is written"
        case "model_type" | "model_attributes_type":
            return SIZE if about.get("class_name") == "Dimension" else "must be a table of names and values"
        case "string_pattern_mismatch" if fault["loc"][-1] == "tolerance_class":
            return "must be a tolerance class of ISO 286, such as h7 or H8"
        case "too_short":
            return f"needs at least {about['min_length']}; see {names_at} for how it is written"
        case _:
            return fault["msg"].removeprefix("Value error, ")


def _plain(part: object) -> str:
    """A name in a file may hold anything; a terminal is not to be steered by it."""
    text = str(part)
    return _short(text if text.isprintable() else repr(text))


def _short(text: str) -> str:
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
