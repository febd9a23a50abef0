"""Part files: a part from its drawing as TOML, read with errors that name the place, and written to be read."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import tomli_w
from pydantic import ValidationError

from waytell.documents.part import Part
from waytell.faults import Location, dotted, in_words

PART_EXAMPLE = """\
# A part for Waytell, from its drawing. Lengths in mm; diameters are diameters.
# Plan it with: waytell plan bush.toml --config lathe.toml
# This bush, for the wheel of a small garden-railway wagon, is invented.

format = "waytell-part"
version = 1
name = "wagon bush"
note = "Invented example."
material = "phosphor bronze"
general_tolerance = "m"      # ISO 2768-1: f, m, c or v, where a size has no limits of its own

[bar]
diameter_mm = 20.0           # bore_mm = 6.0 where it is a tube

# How the work is held, once for each set-up; the second one is turned round.
[[set_ups]]
out_mm = 34.0                # out of the chuck, from the finished face
sawn_mm = 1.0                # how far the sawn end stands in front of it; tailstock = true where a centre holds it

[[set_ups]]
out_mm = 10.0
sawn_mm = 1.0

# Features. Places are distances from the finished face of the set-up towards the headstock.
# A size is a number, or a number with its limits:
#     { mm = 16.0, tolerance_class = "h7" }             a class of ISO 286, diameters only
#     { mm = 22.0, upper_mm = 0.1, lower_mm = -0.1 }    two deviations
[[features]]
kind = "face"

[[features]]
kind = "turned"              # a diameter up to a shoulder
diameter = { mm = 16.0, tolerance_class = "h7" }
to = { mm = 18.0, upper_mm = 0.1, lower_mm = 0.0 }

[[features]]
kind = "hole"
diameter_mm = 9.0
to_mm = 26.0

[[features]]
kind = "bore"
diameter = { mm = 10.0, tolerance_class = "H8" }
to = 24.0

[[features]]
kind = "chamfer"             # where = "inside" for the edge of a bore
size_mm = 0.5

[[features]]
kind = "part_off"
at_mm = 23.0                 # the finished length, and what facing the second end takes off

[[features]]
kind = "face"
set_up = 2
length = { mm = 22.0, upper_mm = 0.1, lower_mm = -0.1 }

[[features]]
kind = "chamfer"
set_up = 2
size_mm = 0.5

# There are also:
#     kind = "groove"    from_mm, to_mm, diameter of its floor
#     kind = "taper"     from_mm, to_mm, diameter at from_mm, end_diameter_mm at to_mm
"""
HEAD = "# A part for Waytell, from its drawing. Lengths in mm; diameters are diameters.\n"
SHOWN_BY = "waytell plan --example"
MOST_BYTES = 1_000_000  # a part of 60 features has some thousand


class PartFileError(Exception):
    """The part file cannot be used; the message says where and what to do."""


def load_part(file: Path) -> Part:
    """The part in a file.

    Raises:
        PartFileError: missing, not a text, or not a part.
    """
    try:
        with file.open("rb") as opened:
            content = opened.read(MOST_BYTES + 1)
    except FileNotFoundError as error:
        raise PartFileError(f"There is no {file}. Write one to begin with: {SHOWN_BY} > {file}") from error
    except OSError as error:
        raise PartFileError(f"{file} cannot be read: {error.strerror}. Name a part file.") from error
    return read_part(decoded(content, str(file)), str(file))


def decoded(content: bytes, name: str) -> str:
    """The text of a part file; `name` is what errors call it.

    Raises:
        PartFileError: too long, or not UTF-8.
    """
    if len(content) > MOST_BYTES:
        raise PartFileError(f"{name} is longer than any part file. {SHOWN_BY} shows what one looks like.")
    try:
        # Some editors begin a file with a byte order mark.
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise PartFileError(
            f"{name} is not a text in UTF-8: byte {error.start + 1} cannot be read. Save it as UTF-8, "
            f"or see {SHOWN_BY} for what a part file looks like."
        ) from error


def read_part(text: str, name: str) -> Part:
    """The part in a text; `name` is what errors call it.

    Raises:
        PartFileError: not TOML, of a later version, or not a part.
    """
    data = _tables(text, name)
    if not data:
        raise PartFileError(f"{name} is empty. {SHOWN_BY} shows what a part file looks like.")
    if data.get("format", "waytell-part") != "waytell-part":
        raise PartFileError(f'{name} is not a part file: its format must be "waytell-part". See {SHOWN_BY}.')
    version = data.get("version", 1)
    if isinstance(version, int) and version > 1:
        raise PartFileError(
            f"{name} is of a later version of part files; this Waytell reads version 1: use a newer one."
        )
    try:
        return Part.model_validate(data)
    except ValidationError as error:
        raise PartFileError(f"{name} cannot be used:\n{in_words(error, SHOWN_BY, _place)}") from error


def part_text(part: Part) -> str:
    """The part as a file that reads back as the same part: what is as usual is left out."""
    tables = part.model_dump(exclude_defaults=True)
    head = {"format": part.format, "version": part.version}
    single = {name: value for name, value in tables.items() if not isinstance(value, dict | tuple)}
    blocks = [HEAD + _pairs({**head, **single}), "[bar]\n" + _pairs(tables["bar"])]
    for name in ("set_ups", "features"):
        blocks += [f"[[{name}]]\n" + _pairs(one) for one in tables.get(name, ())]
    return "\n".join(blocks)


def _tables(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise PartFileError(f"{name} is nested too deep for a part file. See {SHOWN_BY}.") from error
    except tomllib.TOMLDecodeError as error:
        raise PartFileError(f"{name} is not TOML: {error}. See {SHOWN_BY} for how a part file is written.") from error
    except ValueError as error:  # so Python refuses to read an endless number
        raise PartFileError(f"{name} holds a number of thousands of digits. See {SHOWN_BY}.") from error


def _place(location: Location) -> str:
    """Features and set-ups are numbered from 1, as everywhere a person meets them."""
    match location:
        case ("features", int(at), str(kind), *inner):
            return _joined(f"feature {at + 1} ({kind})", inner)
        case ("features", int(at), *inner):
            return _joined(f"feature {at + 1}", inner)
        case ("set_ups", int(at), *inner):
            return _joined(f"set-up {at + 1}", inner)
        case _:
            return dotted(location)


def _joined(what: str, inner: list[int | str]) -> str:
    return f"{what}, {dotted(tuple(inner))}" if inner else what


def _pairs(values: Mapping[str, Any]) -> str:
    return "".join(f"{line}\n" for line in _lines(values))


def _lines(values: Mapping[str, Any]) -> Iterator[str]:
    for name, value in values.items():
        match value:
            case {"mm": mm, **limits} if not limits:
                yield from _lines({name: mm})
            case dict():
                yield f"{name} = {{ {', '.join(_lines(value))} }}"
            case _:
                yield tomli_w.dumps({name: value}).rstrip("\n")
