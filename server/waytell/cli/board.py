"""`waytell board`: build the counter board's image, write it to the board, and look whether the board is well."""

from __future__ import annotations

import json
import shlex
import shutil
import subprocess
import tempfile
from pathlib import Path

import click

import waytell_bridge
from waytell.cli.board_check import check_board, in_words
from waytell_bridge.sources import SourceError, make_source

IMAGE = "waytell_board"
OUT = Path("board-image")
DEFAULT_BAUD = 500_000
PACKAGES = "make gcc-avr binutils-avr avr-libc"
BUILD_TOOLS = ("make", "avr-gcc", "avr-objcopy")
BOOT_BAUDS = ("115200", "57600")
END_OF_HEX = ":00000001FF"
CAUTION = (
    "Spindle off and the lathe's mains plug out while you flash: nothing is watched meanwhile, and every datum must be "
    "touched off again afterwards."
)


@click.group()
def board() -> None:
    """Build the counter board's program, write it to the board, check the board.

    Unplug the lathe from the mains before you touch any wiring.
    """


@board.command()
@click.option("--scales", type=click.IntRange(2, 3), default=2, show_default=True, help="Quadrature scales.")
@click.option("--caliper", is_flag=True, help="Add a caliper-type scale, reported after the others.")
@click.option("--baud", type=click.IntRange(300), default=DEFAULT_BAUD, show_default=True, help="Speed of the line.")
@click.option("--out", type=click.Path(path_type=Path), default=OUT, show_default=True, help="Where the image goes.")
@click.option("--sources", type=click.Path(path_type=Path), help="Folder with the firmware's sources.")
def build(scales: int, baud: int, out: Path, sources: Path | None, *, caliper: bool) -> None:
    """Build the image from the firmware's sources, with make and gcc-avr."""
    folder = _sources(sources)
    _need(BUILD_TOOLS, f"On Debian and its like: sudo apt install {PACKAGES}")
    options = [f"SCALES={scales}", f"CALIPER={int(caliper)}", f"BAUD={baud}"]
    # make cannot build into a folder with a space in its name; a person's folders may have one.
    with tempfile.TemporaryDirectory() as work:
        _make(folder, [*options, f"BUILD={work}"])
        image = _put_away(Path(work), out)
    named = shlex.quote(str(image))
    click.echo(f"Built {image} ({', '.join(options)}). Next: waytell board flash --port PORT --image {named}")


def _sources(named: Path | None) -> Path:
    beside = Path(waytell_bridge.__file__).parents[1] / "firmware"
    places = [named] if named is not None else [beside, Path("firmware_bridge/firmware")]
    for place in places:
        if (place / "Makefile").is_file() and (place / "board.c").is_file():
            return place
    raise click.ClickException(
        f"The firmware's sources are not in {places[-1]}. An installed Waytell does not carry them: get the source "
        "archive or a checkout of Waytell, and run this in its top folder or name its folder firmware_bridge/firmware "
        "with --sources."
    )


def _need(tools: tuple[str, ...], remedy: str) -> None:
    missing = [tool for tool in tools if shutil.which(tool) is None]
    if missing:
        raise click.ClickException(f"{' and '.join(missing)} cannot be found. {remedy}")


def _make(folder: Path, arguments: list[str]) -> None:
    done = _told(["make", "-C", str(folder), *arguments])
    if done.returncode == 0:
        return
    said = (done.stdout + done.stderr).strip()
    if "avr/" in said and "No such file" in said:
        raise click.ClickException(f"The headers of the chip are missing. sudo apt install {PACKAGES}")
    raise click.ClickException(f"The image could not be built. The last that was said:\n{_last_lines(said)}")


def _put_away(work: Path, out: Path) -> Path:
    try:
        out.mkdir(parents=True, exist_ok=True)
        for ending in (".elf", ".hex"):
            shutil.copy(work / f"{IMAGE}{ending}", out)
    except OSError as error:
        raise click.ClickException(f"{out} cannot be written: {error.strerror}. Name another folder: --out.") from error
    return out / f"{IMAGE}.hex"


@board.command()
@click.option("--port", required=True, help="Serial port of the board (waytell ports lists them).")
@click.option("--image", type=click.Path(path_type=Path), default=OUT / f"{IMAGE}.hex", show_default=True)
@click.option(
    "--boot-baud", type=click.Choice(BOOT_BAUDS), default=BOOT_BAUDS[0], show_default=True,
    help="Speed of the board's boot loader: older ones have 57600.",
)  # fmt: skip
@click.option("--dry-run", is_flag=True, help="Only print the command.")
def flash(port: str, image: Path, boot_baud: str, *, dry_run: bool) -> None:
    """Write an image to the board through its boot loader, with avrdude.

    Spindle off and the lathe's mains plug out while you do it.
    """
    _check_image(image)
    command = ["avrdude", "-p", "atmega328p", "-c", "arduino", "-P", port, "-b", boot_baud, "-D"]
    command += ["-U", f"flash:w:{image}:i"]
    if dry_run:
        click.echo(shlex.join(command))
        return
    _need(("avrdude",), "On Debian and its like: sudo apt install avrdude")
    _check_port(port, int(boot_baud))
    click.echo(CAUTION)
    click.echo(f"Writing {image} to {port} ... a board that does not answer takes a minute to give up on.")
    done = _told(command)
    if done.returncode != 0:
        raise click.ClickException(_why_not_flashed(done.stderr, port, boot_baud))
    click.echo(f"Written and read back. Next: waytell board check --port {port}")


def _check_image(image: Path) -> None:
    """A missing or half-written image never reaches the board."""
    try:
        lines = image.read_text(encoding="ascii").split()
    except FileNotFoundError as error:
        raise click.ClickException(
            f"There is no {image}. Build it: waytell board build. Or name it: --image."
        ) from error
    except (OSError, UnicodeDecodeError) as error:
        raise click.ClickException(f"{image} cannot be read as an image: {error}.") from error
    if len(lines) < 2 or not all(line.startswith(":") for line in lines) or lines[-1] != END_OF_HEX:
        raise click.ClickException(f"{image} is no whole Intel HEX image. Build it again: waytell board build.")


def _check_port(port: str, baud: int) -> None:
    """Says why a port cannot be had in the words of every other command; avrdude's are for programmers."""
    if "://" in port:
        raise click.ClickException(f"{port} is no serial port of this computer: flash at the computer with the cable.")
    source = make_source(port, baud)
    try:
        source.open()
    except SourceError as error:
        raise click.ClickException(str(error)) from error
    finally:
        source.close()


def _why_not_flashed(said: str, port: str, boot_baud: str) -> str:
    other = next(baud for baud in BOOT_BAUDS if baud != boot_baud)
    if "mismatch" in said:
        return "What was read back differs from the image. Try another cable or USB port and flash again."
    if "xpected signature" in said:
        return f"The chip on {port} is not the one this image is for (ATmega328P). Nothing was written."
    if "not responding" in said or "not in sync" in said:
        return (
            f"The board on {port} does not answer at {boot_baud} baud. Older boot loaders have another speed: try "
            f"--boot-baud {other}. Else press the board's reset key just as you start this, and see that it has a "
            "boot loader."
        )
    return f"The image could not be written. avrdude said:\n{_last_lines(said)}"


def _told(command: list[str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, text=True, capture_output=True, check=False)  # noqa: S603 - a list, no shell


def _last_lines(said: str) -> str:
    return "\n".join(said.strip().splitlines()[-8:])


@board.command()
@click.option("--port", required=True, help="Serial port, socket://, rfc2217:// or a .wirelog recording.")
@click.option("--seconds", type=click.FloatRange(2, 3600), default=5.0, show_default=True, help="How long to listen.")
@click.option("--baud", type=click.IntRange(300), default=DEFAULT_BAUD, show_default=True, help="Speed of the line.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as JSON.")
@click.pass_context
def check(context: click.Context, port: str, seconds: float, baud: int, *, as_json: bool) -> None:
    """Listen to the board and say whether it is well: exit code 1 where something needs attention.

    Opening a port restarts many boards: their figures must be touched off again afterwards.
    """
    found = check_board(port, baud, seconds)
    click.echo(json.dumps(found.document()) if as_json else "\n".join(in_words(found)))
    context.exit(1 if found.attention() else 0)
