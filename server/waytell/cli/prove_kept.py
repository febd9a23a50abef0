"""What was proved, read from a journal while no Waytell runs."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

import click

from waytell.cli.asking import CannotDo
from waytell.cli.recorded import recorded
from waytell.documents.config import Config
from waytell.documents.proving import ProvingNow


class Kept(NamedTuple):
    now: ProvingNow
    config: Config


def kept_options(command: click.decorators.FC) -> click.decorators.FC:
    for option in (
        click.option("--machine", help="With --data: name of the lathe, where the journal holds several."),
        click.option("--data", type=click.Path(path_type=Path), help="Read the journal in this folder; ask nobody."),
    ):
        command = option(command)
    return command


def kept(data: Path, machine: str | None) -> Kept:
    """As the Waytell that kept the journal would tell it, but for what its scales do now."""
    from waytell.engine.engine import Engine  # noqa: PLC0415 - slow to load, wanted here only
    from waytell.proving_keeper import ProvingKeeper  # noqa: PLC0415
    from waytell.session import happenings  # noqa: PLC0415

    try:
        events = recorded(data, machine)
    except click.ClickException as error:
        raise CannotDo(error.message) from error
    engine = Engine()
    engine.restore(happenings(events), [])
    return Kept(ProvingKeeper(engine).now(), engine.known.config)


def sheet_of(one: Kept) -> str:
    from waytell.export.proving_sheet import proving_sheet  # noqa: PLC0415

    made = datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    return proving_sheet(one.now, one.config, made)
