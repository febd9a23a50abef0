"""`waytell serve`: show any number of machines whose bridges send to a broker."""

from __future__ import annotations

from pathlib import Path

import click

from waytell.cli.bridge import broker_options
from waytell.cli.run import journal_option, reporting, serving_options


@click.command()
@click.option("--machine", "machines", multiple=True, help="A machine to show before it is heard; may be repeated.")
@click.option("--only", is_flag=True, help="Show no machines but those named: several servers can share a workshop.")
@journal_option
@broker_options
@serving_options
def serve(  # noqa: PLR0913 - each is an option of the command
    machines: tuple[str, ...], journal: str | None, url: str, authority: Path | None, login: Path | None, host: str,
    port: int, data: Path | None, *, no_browser: bool, only: bool,
    lan: bool, tls: bool,
) -> None:  # fmt: skip
    """Show any number of lathes, each sent by its own  waytell bridge."""
    from waytell.opening import Place  # noqa: PLC0415 - slow to load, wanted here only
    from waytell.serving_many import serve_workshop  # noqa: PLC0415
    from waytell_bridge.mqtt.address import broker, login_of  # noqa: PLC0415

    if only and not machines:
        raise click.UsageError("With --only, name the machines to show: --machine NAME.")
    place = Place(
        host=host, port=port, data=data, browser=not no_browser, record=None, journal=journal, lan=lan, tls=tls
    )
    reporting(lambda: serve_workshop(broker(url, authority, login_of(login)), machines, place, only=only))
