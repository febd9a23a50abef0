"""`waytell replay`: a recorded wire log through the engine, or to the display."""

from __future__ import annotations

import json
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TextIO

import click
from rich.console import Console
from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeElapsedColumn, TimeRemainingColumn

from waytell.cli.replay_text import print_replayed
from waytell.cli.run import reporting, serving_options
from waytell.config import ConfigError, load_config
from waytell.documents.config import Config
from waytell.replay import Replayed
from waytell.replay import replay as replay_log
from waytell_bridge.wire_log import bounded_lines

LOOKED_AFTER_LINES = 2000


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print passes, events and link health as JSON.")
@click.option("--config", type=click.Path(path_type=Path), help="Sets the machine up where the log's acts do not.")
@click.option("--serve", is_flag=True, help="Show it on the display, at the pace at which it was recorded.")
@click.option("--pace", type=click.FloatRange(0.01, 1000), help="With --serve: so many times as fast.")
@serving_options
def replay(file: Path, config: Path | None, pace: float | None, *, as_json: bool, serve: bool, **where: Any) -> None:
    """Find the passes in a recorded wire log FILE, and what else happened.

    With --serve it plays on the display instead; --host, --port, --no-browser and --data go with that. Its journal is
    thrown away afterwards unless --data names a folder.
    """
    if serve and as_json:
        raise click.UsageError("--serve shows the log on the display, --json prints it: give one of the two.")
    if pace is not None and not serve:
        raise click.UsageError("--pace goes with --serve: without it the log is read as fast as it can be.")
    try:
        settings = load_config(config) if config is not None else None
        # Decoded here, so that a stray byte spoils its own line only.
        with file.open(encoding="utf-8", errors="replace") as log:
            if serve:
                _play(log, file, settings, pace or 1.0, where)
            else:
                _print(_replayed(log, file, settings), as_json=as_json)
    except ConfigError as error:
        raise click.ClickException(str(error)) from error
    except OSError as error:
        raise click.ClickException(f"{file} cannot be read: {error.strerror}. Name a recorded wire log.") from error


def _play(log: TextIO, file: Path, config: Config | None, pace: float, where: dict[str, Any]) -> None:
    from waytell.opening import Place  # noqa: PLC0415
    from waytell.playing import play  # noqa: PLC0415 - slow to load, wanted here only

    browser = not where.pop("no_browser")
    place = Place(**where, browser=browser, record=None)
    reporting(lambda: play(bounded_lines(log), str(file), config, place, pace))


def _print(result: Replayed, *, as_json: bool) -> None:
    if as_json:
        click.echo(json.dumps(result.document(), ensure_ascii=False))
    else:
        print_replayed(result)


def _replayed(log: TextIO, file: Path, config: Config | None) -> Replayed:
    with _stopping() as stopped, _progress(log, file) as tell:
        result = replay_log(_lines(log, stopped, tell), str(file), config)
        if stopped():
            result.troubles.append(f"Stopped by you after line {result.lines}: what follows it is not in here.")
    return result


def _lines(log: TextIO, stopped: Callable[[], bool], tell: Callable[[], None]) -> Iterator[str]:
    for number, line in enumerate(bounded_lines(log)):
        if number % LOOKED_AFTER_LINES == 0:
            if stopped():
                return
            tell()
        yield line


@contextmanager
def _stopping() -> Iterator[Callable[[], bool]]:
    """Ctrl-C ends the log where it is, so that what was found is told; a second one ends the program."""
    told = False

    def stop(*_: object) -> None:
        nonlocal told
        told = True
        signal.signal(signal.SIGINT, before)

    before = signal.signal(signal.SIGINT, stop)
    try:
        yield lambda: told
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def _progress(log: TextIO, file: Path) -> Iterator[Callable[[], None]]:
    """Percent and time left on a terminal, by the size of the file; a pipe has none, and shows the time it took."""
    if not sys.stderr.isatty():
        yield lambda: None
        return
    size = file.stat().st_size if log.seekable() else None
    columns = (TextColumn("replaying"), BarColumn(), TaskProgressColumn(), TimeRemainingColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("replaying", total=size)
        yield lambda: bar.update(task, completed=log.buffer.tell()) if size else None
