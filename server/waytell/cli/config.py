"""`waytell config`: write a commented configuration, or check one."""

from __future__ import annotations

from pathlib import Path

import click

from waytell.config import EXAMPLE, ConfigError, load_config


@click.group()
def config() -> None:
    """Write a configuration file to begin with, or check one."""


@config.command()
@click.argument("file", type=click.Path(path_type=Path), default=Path("lathe.toml"))
def init(file: Path) -> None:
    """Write a commented configuration to FILE (lathe.toml), never over an existing one."""
    try:
        with file.open("x", encoding="utf-8") as out:
            out.write(EXAMPLE)
    except FileExistsError as error:
        raise click.ClickException(f"{file} exists already. Name another file, or move it away first.") from error
    except OSError as error:
        raise click.ClickException(f"{file} cannot be written: {error.strerror}. Name another place.") from error
    click.echo(f"Wrote {file}. Enter your scales and tools in it, then: waytell config check {file}")


@config.command()
@click.argument("file", type=click.Path(path_type=Path), default=Path("lathe.toml"))
def check(file: Path) -> None:
    """Say whether FILE (lathe.toml) can be used, and if not, where and why."""
    try:
        found = load_config(file)
    except ConfigError as error:
        raise click.ClickException(str(error)) from error
    click.echo(f"{file} is good: machine {found.machine.name}.")
    for scale in found.scales:
        click.echo(
            f"  scale {scale.channel} on the {scale.slide}: {scale.resolution_um:g} micrometres a count, "
            f"direction {scale.direction:+d}"
        )
    click.echo("  tools: " + ", ".join(tool.name for tool in found.tools))
    if not found.scales:
        click.echo("  No scales yet: no position can be shown until they are entered.")
