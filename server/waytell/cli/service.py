"""`waytell service`: what a computer that is to run Waytell for years needs, written where the system looks for it."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import click

from waytell import unit_text

SYSTEM_UNITS = Path("/etc/systemd/system")
RULES = "/etc/udev/rules.d/70-waytell.rules"
RUNS = ("run", "serve", "bridge")


@click.group()
def service() -> None:
    """Start Waytell with the computer, and give the board a name that lasts."""


@service.command(context_settings={"ignore_unknown_options": True})
@click.option("--system", is_flag=True, help="For the whole computer, instead of for you alone.")
@click.option("--print", "only_print", is_flag=True, help="Print the unit; write nothing.")
@click.argument("command", nargs=-1, required=True, type=click.UNPROCESSED)
def install(command: tuple[str, ...], *, system: bool, only_print: bool) -> None:
    """Write a systemd unit for a COMMAND, such as:  waytell service install run --source /dev/waytell

    The command waits for a board that is not plugged in yet. What it says goes to the system's journal, which keeps it
    within bounds; read it with journalctl.
    """
    if command[0] not in RUNS:
        raise click.UsageError(f"{command[0]} does not run for long. Name one of: {', '.join(RUNS)}.")
    try:
        unit = unit_text.unit(_program(), command, system=system)
    except ValueError as error:
        raise click.ClickException(str(error)) from error
    if only_print:
        click.echo(unit.text, nl=False)
        return
    folder = SYSTEM_UNITS if system else Path.home() / ".config" / "systemd" / "user"
    file = folder / unit.name
    try:
        folder.mkdir(parents=True, exist_ok=True)
        file.write_text(unit.text, encoding="utf-8")
    except OSError as error:
        raise click.ClickException(f"{file} cannot be written: {error.strerror}. Use --print, or sudo.") from error
    control = "sudo systemctl" if system else "systemctl --user"
    click.echo(f"Wrote {file}. To start it, now and with the computer:")
    click.echo(f"  {control} daemon-reload && {control} enable --now {unit.name}")
    if not system:
        click.echo("  loginctl enable-linger    (so that it runs also while you are logged out)")


@service.command()
@click.argument("port", required=False)
@click.option("--name", "link", default="waytell", show_default=True, help="The board is then /dev/NAME.")
def udev(port: str | None, link: str) -> None:
    """Print a udev rule for the board at PORT, or for the only one that is plugged in."""
    try:
        click.echo(unit_text.udev_rule(_board(port), link), nl=False)
    except ValueError as error:
        raise click.ClickException(str(error)) from error
    click.echo(f"Write it to {RULES}, then: sudo udevadm control --reload && sudo udevadm trigger", err=True)


def _board(port: str | None) -> unit_text.Board:
    from serial.tools.list_ports import comports  # noqa: PLC0415

    found = [one for one in comports() if one.vid is not None and (port is None or one.device == port)]
    if len(found) != 1:
        which = ", ".join(one.device for one in found) or "none"
        raise click.ClickException(
            f"A board on USB is wanted, and {'at ' + port if port else 'plugged in'} there is: {which}. Name its port "
            "as waytell ports lists it."
        )
    one = found[0]
    return unit_text.Board(f"{one.vid:04x}", f"{one.pid:04x}", one.serial_number)


def _program() -> Path:
    """The `waytell` of this installation."""
    beside = Path(sys.executable).with_name("waytell")
    return beside if beside.exists() else Path(shutil.which("waytell") or sys.argv[0]).resolve()
