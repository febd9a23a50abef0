"""`waytell replay`: a recorded wire log through the engine."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click
from rich.console import Console
from rich.progress import Progress
from rich.table import Table

from waytell.config import ConfigError, load_config
from waytell.documents.state import Pass
from waytell.replay import Replayed
from waytell.replay import replay as replay_log


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print passes, events and link health as JSON.")
@click.option("--config", type=click.Path(path_type=Path), help="Sets the machine up where the log's acts do not.")
def replay(file: Path, config: Path | None, *, as_json: bool) -> None:
    """Find the passes in a recorded wire log FILE, and what else happened."""
    try:
        settings = load_config(config) if config is not None else None
        result = _replayed(file, settings, quiet=as_json or not sys.stderr.isatty())
    except ConfigError as error:
        raise click.ClickException(str(error)) from error
    except OSError as error:
        raise click.ClickException(f"{file} cannot be read: {error.strerror}. Name a recorded wire log.") from error
    if as_json:
        click.echo(json.dumps(result.document(), ensure_ascii=False))
    else:
        _print(result)


def _replayed(file: Path, settings: object, *, quiet: bool) -> Replayed:
    from waytell.documents.config import Config  # noqa: PLC0415

    config = settings if isinstance(settings, Config) else None
    with file.open(encoding="utf-8", errors="replace") as lines:
        if quiet:
            return replay_log(lines, str(file), config)
        with Progress(console=Console(stderr=True), transient=True) as bar:
            task = bar.add_task("replaying", total=None)
            return replay_log(lines, str(file), config, progress=lambda n: bar.update(task, completed=n))


def _print(result: Replayed) -> None:
    console = Console()
    if result.entries == 0:
        console.print("The log holds no entry. A wire log has lines such as: 1200 < P 0 1204512 0 0 0*37F7")
    table = Table(title=f"{len(result.passes)} passes")
    for column in ("no.", "what", "role", "from", "to", "held at", "depth", "creep", "feed mm/min", "s"):
        table.add_column(column, justify="right" if column not in ("what", "role") else "left")
    for one in result.passes:
        table.add_row(*_row(one))
    console.print(table)
    if result.link is not None:
        link = result.link
        console.print(
            f"{link.reports} reports, {link.lost_reports} lost, {link.damaged_lines} damaged lines. {link.words}"
        )
    for words in result.troubles:
        console.print(f"[yellow]{words}")
    if result.passes == [] and not result.engine.known.config.scales:
        console.print("No scales are set up: the log has no use_config act. Give --config FILE.")


def _row(one: Pass) -> tuple[str, ...]:
    depth = "" if one.depth_mm is None else f"{one.depth_mm:.3f}"
    return (
        str(one.number), one.kind, one.role, f"{one.start_mm:.3f}", f"{one.end_mm:.3f}", f"{one.held_mm:.3f}", depth,
        f"{one.creep_mm:+.3f}", f"{one.feed_mm_min:.1f}", f"{one.duration_s:.1f}",
    )  # fmt: skip
