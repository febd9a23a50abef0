"""`waytell plan`: from a part file to the operations, as text, as a document or as a sheet to print."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path

import click

from waytell.config import ConfigError, load_config
from waytell.documents.config import Config
from waytell.documents.part import Part
from waytell.documents.plan import Plan, Planned
from waytell.part_file import MOST_BYTES, PART_EXAMPLE, PartFileError, decoded, load_part, read_part

NO_LATHE = (
    "No lathe was named (--config FILE): limits and tools are those of an invented small one. "
    "`waytell config init` writes a file to enter yours in."
)


@click.command()
@click.argument("file", metavar="[PART.toml]", required=False, type=click.Path(path_type=Path, allow_dash=True))
@click.option("--config", type=click.Path(path_type=Path), help="Your lathe and its tools (see waytell config init).")
@click.option("--json", "as_json", is_flag=True, help="Print the plan as JSON.")
@click.option("--sheet", type=click.Path(path_type=Path, dir_okay=False), help="Write a sheet to print: FILE.html.")
@click.option("--overwrite", is_flag=True, help="Write over a sheet that is there.")
@click.option("--set-up", type=click.IntRange(1, 2), help="Text and sheet: of this set-up only.")
@click.option("--example", is_flag=True, help="Print a part file to begin with.")
def plan(
    file: Path | None, config: Path | None, sheet: Path | None, set_up: int | None, *,
    as_json: bool, overwrite: bool, example: bool,
) -> None:  # fmt: skip
    """Plan the operations of the part in PART.toml; - reads it from standard input.

    Tells tool, turns a minute, feed, passes, time and cautions of each step, or which features cannot both be true:
    then it ends with 1. Write a part file to begin with:  waytell plan --example > bush.toml
    """
    if example:
        if file is not None:
            raise click.UsageError("--example prints a part file of its own: give it alone.")
        click.echo(PART_EXAMPLE, nl=False)
        return
    _agree(file, sheet, set_up, as_json=as_json, overwrite=overwrite)
    try:
        lathe = load_config(config) if config is not None else Config()
        part = _part(file)
    except (ConfigError, PartFileError) as error:
        raise click.ClickException(str(error)) from error
    if set_up is not None and set_up > len(part.set_ups):
        raise click.ClickException(f"The part has no set-up {set_up}: it has only set-up 1. Leave out --set-up.")
    from waytell.planning.planner import plan as plan_of  # noqa: PLC0415 - wanted here only

    planned = plan_of(part, lathe)
    if sheet is not None and planned.plan is not None:
        _write(sheet, planned.plan, lathe, set_up)
    if as_json:
        click.echo(planned.model_dump_json())
    else:
        _print(planned, lathe, set_up, named=config is not None)
    if planned.plan is None:
        raise SystemExit(1)


def _agree(file: Path | None, sheet: Path | None, set_up: int | None, *, as_json: bool, overwrite: bool) -> None:
    """What was asked for goes together, before anything is worked out."""
    if file is None:
        raise click.UsageError("No part file is named. waytell plan --example prints one to begin with.")
    if as_json and set_up is not None:
        raise click.UsageError("--json prints the whole plan: leave out --set-up.")
    if sheet is not None and sheet.suffix.lower() not in (".html", ".htm"):
        raise click.UsageError(f"The sheet is an HTML file: call it {sheet.stem}.html.")
    if sheet is not None and sheet.exists() and not overwrite:
        raise click.ClickException(f"{sheet} exists already. Name another file, or add --overwrite.")


def _part(file: Path | None) -> Part:
    if file is None or str(file) != "-":
        return load_part(file or Path())
    name = "standard input"
    return read_part(decoded(sys.stdin.buffer.read(MOST_BYTES + 1), name), name)


def _print(planned: Planned, lathe: Config, set_up: int | None, *, named: bool) -> None:
    from waytell.cli.plan_text import print_contradictions, print_plan  # noqa: PLC0415

    if planned.plan is None:
        print_contradictions(planned.contradictions)
        return
    print_plan(planned.plan, lathe, set_up)
    if not named:
        click.echo(NO_LATHE, err=True)


def _write(sheet: Path, found: Plan, lathe: Config, set_up: int | None) -> None:
    from waytell.export.set_up_sheet import set_up_sheet  # noqa: PLC0415

    made = datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    try:
        sheet.write_text(set_up_sheet(found, lathe, made, set_up), encoding="utf-8")
    except OSError as error:
        raise click.ClickException(f"{sheet} cannot be written: {error.strerror}. Name another place.") from error
    click.echo(f"Wrote {sheet}.", err=True)
