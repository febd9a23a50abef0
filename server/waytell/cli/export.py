"""`waytell export`: the record of a machine as a table, a document, a drawing or a report."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

import click

from waytell.cli.recorded import recorded
from waytell.review.record import Record, read


class Wanted(NamedTuple):
    """`number` and `part` None where all, or the newest, are wanted."""

    record: Record
    made: str
    number: int | None
    part: int | None


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--data", type=click.Path(path_type=Path), help="Folder that keeps the journal.")
@click.option("--machine", help="Name of the lathe; needed where the journal holds several.")
@click.option("--pass", "number", type=click.IntRange(1), help="A .dxf: after this pass, not the newest.")
@click.option("--part", type=click.IntRange(1), help="An .html: of this part, not of all.")
@click.option("--overwrite", is_flag=True, help="Write over a file that is there.")
def export(
    file: Path, data: Path | None, machine: str | None, number: int | None, part: int | None, *, overwrite: bool
) -> None:
    """Write the record of the work to FILE; its ending says what.

    A .csv holds the passes as a table; a .json the whole record, passes, parts, batches and edges; a .dxf the turned
    half section as a drawing in mm; an .html a report to print.
    """
    from waytell.export.missing import Missing  # noqa: PLC0415 - wanted here only

    write = _WRITERS.get(file.suffix.lower())
    if write is None:
        raise click.UsageError(f"{file.name} ends in none of {', '.join(_WRITERS)}. Give it one of these endings.")
    if file.exists() and not overwrite:
        raise click.ClickException(f"{file} exists already. Name another file, or add --overwrite.")
    made = datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    try:
        text = write(Wanted(read(recorded(data, machine)), made, number, part))
    except Missing as missing:
        raise click.ClickException(f"{missing} {missing.do}") from missing
    try:
        # Written as it is: the table brings the line ends that its standard asks for.
        file.write_text(text, encoding="utf-8", newline="")
    except OSError as error:
        raise click.ClickException(f"{file} cannot be written: {error.strerror}. Name another place.") from error
    click.echo(f"Wrote {file}.")


# -- what each ending gives; what is heavy to load is loaded where it is wanted ----------------------------------------


def _csv(wanted: Wanted) -> str:
    from waytell.export.tables import passes_table  # noqa: PLC0415

    return passes_table(wanted.record)


def _json(wanted: Wanted) -> str:
    from waytell.export.work_record import work_record  # noqa: PLC0415

    return work_record(wanted.record, wanted.made).model_dump_json(indent=1)


def _dxf(wanted: Wanted) -> str:
    from waytell.export.section_choice import section_after  # noqa: PLC0415
    from waytell.export.section_dxf import section_dxf  # noqa: PLC0415

    return section_dxf(section_after(wanted.record, wanted.number))


def _html(wanted: Wanted) -> str:
    from waytell.export.report import report  # noqa: PLC0415

    return report(wanted.record, wanted.made, wanted.part)


_WRITERS: dict[str, Callable[[Wanted], str]] = {".csv": _csv, ".json": _json, ".dxf": _dxf, ".html": _html}
