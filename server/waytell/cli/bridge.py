"""`waytell bridge`: listen to a board at one lathe and hand what it tells to a server elsewhere, over a broker."""

from __future__ import annotations

from pathlib import Path

import click

from waytell.config import ConfigError, load_config


def broker_options(command: click.decorators.FC) -> click.decorators.FC:
    for option in (
        click.option("--mqtt-login", "login", type=click.Path(path_type=Path),
                     help="File with the user on its first line and the password on its second; else they are taken "
                          "from WAYTELL_MQTT_USER and WAYTELL_MQTT_PASSWORD."),
        click.option("--mqtt-ca", "authority", type=click.Path(path_type=Path),
                     help="Certificate of the authority that signed the broker's, for mqtts:// in a workshop."),
        click.option("--mqtt", "url", required=True, help="The message broker: mqtt://HOST, or mqtts:// with TLS."),
    ):  # fmt: skip
        command = option(command)
    return command


@click.command()
@click.option("--machine", required=True, help="Name of this lathe, as the server shows it.")
@click.option("--source", help="Serial port, socket://, rfc2217://, or a .wirelog recording.")
@click.option("--config", "file", type=click.Path(path_type=Path), help="Configuration, for the board's section only.")
@broker_options
def bridge(
    machine: str, source: str | None, file: Path | None, url: str, authority: Path | None, login: Path | None
) -> None:
    """Send what the board of one lathe tells to a message broker, for a server that shows many."""
    from waytell.sending import send  # noqa: PLC0415 - slow to load, wanted here only
    from waytell_bridge.mqtt.address import broker, login_of  # noqa: PLC0415
    from waytell_bridge.mqtt.messages import topic  # noqa: PLC0415

    try:
        board = load_config(file).board if file is not None else None
    except ConfigError as error:
        raise click.ClickException(str(error)) from error
    address = source or (board.source if board is not None else None)
    if address is None:
        raise click.UsageError("No board is named. Give --source PORT (waytell ports lists them) or --config FILE.")
    try:
        topic(machine, "presence")
        send(machine, address, board, broker(url, authority, login_of(login)))
    except ValueError as error:
        raise click.ClickException(str(error)) from error
    except KeyboardInterrupt:
        click.echo("Stopped.")
