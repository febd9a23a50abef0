"""Tables for spreadsheets and programs: comma-separated values after RFC 4180, UTF-8, one header line.

Header names end in their unit. X is a radius, as everywhere at the edges.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from waytell.documents.proving import Proof
from waytell.documents.review import PassReview, Size
from waytell.documents.state import Pass
from waytell.review.record import Record

Cell = str | float | bool | None
# A spreadsheet would take text that begins so for a formula and carry it out.
FORMULA = ("=", "+", "-", "@", "\t", "\r")


def passes_table(record: Record) -> str:
    """One line a pass, in the fields of the pass document, with the name of its part at the end."""
    fields = tuple(Pass.model_fields)
    return _table(
        (*fields, "part_name"),
        (
            [*(_cell(getattr(passed, field)) for field in fields), part.name]
            for part in record.parts
            for passed in part.passes
        ),
    )


def sizes_table(record: Record) -> str:
    """One line a measured size, in the fields of the size document, with the name of its part at the end."""
    fields = tuple(Size.model_fields)
    return _table(
        (*fields, "part_name"),
        (
            [*(_cell(getattr(size, field)) for field in fields), part.name]
            for part in record.parts
            for size in part.sizes
        ),
    )


def samples_table(review: PassReview) -> str:
    """The samples of one pass: time from its start, X as a radius, Z."""
    return _table(("time_s", "x_radius_mm", "z_mm"), review.samples)


def plots_table(proof: Proof) -> str:
    """The points of the plots of a finding, one line a point; what across and up are, with their units, beside them."""
    return _table(
        ("plot", "series", "across", "up", "at", "value"),
        (
            [number, series.name, plot.across, plot.up, *(round(value, 6) for value in point)]
            for number, plot in enumerate(proof.plots, start=1)
            for series in plot.series
            for point in series.points
        ),
    )


def _cell(value: object) -> Cell:
    if isinstance(value, tuple):
        return " ".join(str(one) for one in value)
    if value is None or isinstance(value, bool | float | int | str):
        return value
    raise TypeError(f"{value!r} has no place in a table")


def _table(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    text = StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(head)
    writer.writerows([_written(cell) for cell in row] for row in rows)
    return text.getvalue()


def _written(cell: Cell) -> Cell:
    if isinstance(cell, bool):
        return "true" if cell else "false"
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(FORMULA) else cell
