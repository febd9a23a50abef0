"""`waytell ports`: which serial ports there are, and what answers on them."""

from __future__ import annotations

from contextlib import closing

import click

from waytell.cli.listening import Ear
from waytell_bridge.reading import BoardHello
from waytell_bridge.sources import SourceError

USUAL_BAUDS = (500_000, 115_200)


@click.command()
@click.option("--seconds", default=2.5, show_default=True, help="How long to listen on each port.")
@click.option("--baud", multiple=True, type=int, default=USUAL_BAUDS, show_default=True, help="Speeds to try.")
@click.argument("address", nargs=-1)
def ports(seconds: float, baud: tuple[int, ...], address: tuple[str, ...]) -> None:
    """List serial ports and say what answers on each; or on the ADDRESSes given.

    Opening a port restarts many boards: their figures must be touched off again afterwards.
    """
    from serial.tools.list_ports import comports  # noqa: PLC0415 - slow to load, wanted here only

    found = [(one, "") for one in address] or [(port.device, port.description) for port in comports()]
    if not found:
        click.echo("No serial port found. Is the board plugged in? Some cables only carry power: try another.")
    for device, description in found:
        click.echo(f"{device}  {description if description != 'n/a' else ''}".rstrip())
        click.echo(f"    {_first_answer(device, baud, seconds)}")


def _first_answer(device: str, bauds: tuple[int, ...], seconds: float) -> str:
    answer = "nothing"
    for baud in bauds:
        answer = probe(device, baud, seconds)
        if answer.startswith("a Waytell board"):
            return f"{answer} at {baud} baud"
    return answer


def probe(device: str, baud: int, seconds: float) -> str:
    """What answers on a port, in words."""
    ear = Ear(device, baud)
    try:
        with closing(ear.events(seconds)) as events:
            hello = next((event for event in events if isinstance(event, BoardHello)), None)
    except SourceError as error:
        return str(error)
    if hello is not None:
        return f"a Waytell board: {hello.model}, {hello.scales} scales, {hello.rate_hz} reports a second"
    if ear.heard_bytes:
        return f"something else: {ear.heard_bytes} bytes in {seconds:g} s at {baud} baud, no hello among them"
    return "nothing answers"
