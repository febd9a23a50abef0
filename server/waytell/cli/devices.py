"""`waytell devices`: let other displays in, and take them away, at the computer that Waytell runs on."""

from __future__ import annotations

import json
import ssl
from pathlib import Path
from typing import Any
from urllib.error import HTTPError, URLError
from urllib.request import Request, urlopen

import click

from waytell.cli.run import DEFAULT_PORT

WITHIN_S = 10.0


class _Server:
    """The server that runs on this computer."""

    def __init__(self, port: int, authority: Path | None) -> None:
        self._url = f"{'https' if authority else 'http'}://127.0.0.1:{port}"
        self._trusting = ssl.create_default_context(cafile=authority) if authority else None

    def ask(self, path: str, body: dict[str, Any] | None = None) -> dict[str, Any]:
        """What the server answers.

        Raises:
            click.ClickException: with what to do.
        """
        data = None if body is None else json.dumps(body).encode()
        request = Request(f"{self._url}{path}", data, {"Content-Type": "application/json"})  # noqa: S310 - this computer
        try:
            with urlopen(request, timeout=WITHIN_S, context=self._trusting) as answer:  # noqa: S310
                return dict(json.load(answer))
        except HTTPError as refused:
            said = json.load(refused)
            raise click.ClickException(f"{said['error']} {said['do']}") from refused
        except (URLError, OSError, ValueError) as error:
            raise click.ClickException(
                f"No Waytell answers at {self._url}. Start it with --lan, or name its --port"
                " (and --certificate with --tls)."
            ) from error


@click.group()
@click.option("--port", default=DEFAULT_PORT, show_default=True, help="Port that Waytell listens on.")
@click.option(
    "--certificate", type=click.Path(path_type=Path, exists=True),
    help="certificate.pem of the data folder, where Waytell runs with --tls.",
)  # fmt: skip
@click.pass_context
def devices(context: click.Context, port: int, certificate: Path | None) -> None:
    """Let phones and tablets in that may watch or operate, or take them away."""
    context.obj = _Server(port, certificate)


@devices.command()
@click.option("--operate", is_flag=True, help="It may do all that the person at the lathe does, not only watch.")
@click.pass_obj
def add(server: _Server, *, operate: bool) -> None:
    """Show a code that lets one device in."""
    import segno  # noqa: PLC0415 - slow to load, wanted here only

    shown = server.ask("/api/devices/code", {"role": "operate" if operate else "watch"})
    segno.make_qr(shown["address"], error="m").terminal(compact=True)
    click.echo(f"Scan it with the device, or open {shown['address'].partition('#')[0]} there and type  {shown['code']}")
    click.echo(f"It lets one device in, to {shown['role']}, within {shown['good_for_s'] / 60:.0f} minutes.")


@devices.command("list")
@click.pass_obj
def list_devices(server: _Server) -> None:
    """The devices that are let in."""
    told = server.ask("/api/devices")["devices"]
    for one in told:
        click.echo(f"{one['id']}  {one['role']:8}  since {one['since']}  seen {one['seen']}  {one['name']}")
    if not told:
        click.echo("No device is let in.")


@devices.command()
@click.argument("device")
@click.pass_obj
def remove(server: _Server, device: str) -> None:
    """Let a device in no longer; its pages end at once. DEVICE is its number in the list."""
    server.ask("/api/devices/take_away", {"id": device})
    click.echo(f"{device} is let in no longer.")
