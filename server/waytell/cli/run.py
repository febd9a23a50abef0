"""`waytell run` and `waytell demo`: listen to a board, serve the display."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from waytell.config import ConfigError, load_config

DEFAULT_PORT = 8642


journal_option = click.option(
    "--journal", envvar="WAYTELL_JOURNAL", show_envvar=True,
    help="Address of a database that keeps the journal, postgresql://USER@HOST/NAME, instead of the data folder.",
)  # fmt: skip


def serving_options(command: click.decorators.FC) -> click.decorators.FC:
    for option in (
        click.option("--no-browser", is_flag=True, help="Do not open a browser window."),
        click.option("--data", type=click.Path(path_type=Path), help="Folder that keeps the journal."),
        click.option("--port", default=DEFAULT_PORT, show_default=True, help="Port to listen on; 0 takes a free one."),
        click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on."),
        click.option("--lan", is_flag=True, help="Listen on the network too; other devices are let in by a code."),
        click.option("--tls", is_flag=True, help="Speak HTTPS, with a certificate that is made in the data folder."),
    ):
        command = option(command)
    return command


@click.command()
@click.option("--source", help="Serial port, socket://, rfc2217://, a .wirelog recording, or simulated:demo.")
@click.option("--config", "file", type=click.Path(path_type=Path), help="Configuration (see waytell config init).")
@click.option("--record", type=click.Path(path_type=Path), help="Write all that is said and done to this wire log.")
@journal_option
@serving_options
def run(  # noqa: PLR0913 - each is an option of the command
    source: str | None, file: Path | None, record: Path | None, journal: str | None, host: str, port: int,
    data: Path | None, *, no_browser: bool, lan: bool, tls: bool,
) -> None:  # fmt: skip
    """Listen to the counter board and show how far there is to go."""
    try:
        config = load_config(file) if file is not None else None
    except ConfigError as error:
        raise click.ClickException(str(error)) from error
    address = source or (config.board.source if config is not None else None)
    if address is None:
        raise click.UsageError("No board is named. Give --source PORT (waytell ports lists them) or --config FILE.")
    from waytell.opening import Place  # noqa: PLC0415 - slow to load, wanted here only
    from waytell.running import run_lathe  # noqa: PLC0415 - slow to load, wanted here only

    place = Place(
        host=host, port=port, data=data, browser=not no_browser, record=record, journal=journal, lan=lan, tls=tls
    )
    reporting(lambda: run_lathe(address, config, place))


@click.command()
@click.option("--pace", default=1.0, show_default=True, help="How fast the simulated person works.")
@click.option("--record", type=click.Path(path_type=Path), help="Write all that is said and done to this wire log.")
@serving_options
def demo(
    pace: float, record: Path | None, host: str, port: int, data: Path | None, *, no_browser: bool, lan: bool,
    tls: bool,
) -> None:  # fmt: skip
    """Show a simulated lathe: an invented person turns invented bronze bushes for a garden-railway wagon."""
    from waytell.opening import Place  # noqa: PLC0415 - slow to load, wanted here only
    from waytell.running import run_lathe  # noqa: PLC0415

    place = Place(host=host, port=port, data=data, browser=not no_browser, record=record, lan=lan, tls=tls)
    reporting(lambda: run_lathe(f"simulated:demo?pace={pace:g}", None, place))


def reporting(work: Callable[[], None]) -> None:
    from waytell.http.serving import CannotListen  # noqa: PLC0415
    from waytell.journal.trouble import JournalError  # noqa: PLC0415

    try:
        work()
    except (CannotListen, JournalError, ValueError) as error:
        raise click.ClickException(str(error)) from error
    except KeyboardInterrupt:
        click.echo("Stopped.")
