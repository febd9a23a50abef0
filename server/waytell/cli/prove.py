"""`waytell prove`: checks of the scales at the terminal, asked of a Waytell that runs."""

from __future__ import annotations

from pathlib import Path

import click

from waytell.cli.asking import CannotDo, Running
from waytell.cli.prove_checks import CHECKS, slide_option
from waytell.cli.prove_kept import kept, kept_options, sheet_of
from waytell.cli.prove_talk import asked, guide_through, talks
from waytell.documents.acts import AtStop, UseProof
from waytell.documents.proving import DatedProof
from waytell.engine.acts_check import CHECK_NAMES

EPILOG = (
    "It asks the Waytell that runs (waytell run). Lengths are in its units, as on its page. Ends with 0 where what was "
    "found is good or fair, with 1 where it is bad, with 2 where nothing was found."
)


class _InOrder(click.Group):
    """Its commands are listed as they were added, which is the order of work."""

    def list_commands(self, _: click.Context) -> list[str]:
        return list(self.commands)


@click.group(cls=_InOrder, invoke_without_command=True, epilog=EPILOG)
@asked
@talks
def prove(running: Running, *, as_json: bool) -> None:
    """Check the scales, and see how far positions can be relied on.

    Alone it tells the scales, the uncertainty of each axis and what it is made of, and the newest findings. The ten
    checks come first below, in a workable order.
    """
    from waytell.cli.prove_text import print_overview  # noqa: PLC0415 - wanted here only

    now = running.proving()
    if as_json:
        click.echo(now.model_dump_json())
        return
    print_overview(now, running.state().units)


for command in CHECKS:
    prove.add_command(command)


@prove.command("go-on")
@asked
@talks
def go_on(running: Running, *, as_json: bool) -> None:
    """Go on with the check that is under way."""
    guide_through(running, running.state().units, as_json=as_json)


@prove.command()
@asked
@click.argument("number", type=click.IntRange(1))
@click.option("--yes", is_flag=True, help="Do not ask.")
@click.option("--off", is_flag=True, help="No longer let the figures go by it: its error map is left out.")
@talks
def use(running: Running, number: int, *, as_json: bool, yes: bool, off: bool) -> None:
    """Let the figures go by a finding.

    NUMBER is that of the finding (see waytell prove history). It first tells what becomes of the figures, and asks.
    """
    from waytell.cli.prove_text import use_words  # noqa: PLC0415

    found = next((one for one in running.proving().proofs if one.number == number), None)
    if found is None:
        raise CannotDo(f"There is no finding {number}. waytell prove history lists them.")
    _can_be_used(found, off=off)
    if not off and not as_json:
        click.echo(found.proof.words)
        for line in use_words(found):
            click.echo(line)
    if not yes:
        _agree("Leave it out?" if off else "Let the figures go by it?")
    events = running.act(UseProof(act="use_proof", proof=number, use=not off))
    if as_json:
        click.echo(running.proving().model_dump_json())
        return
    for event in events:
        click.echo(f"{event.words}.")


def _can_be_used(found: DatedProof, *, off: bool) -> None:
    if not found.proof.gives.changes_figures:
        raise CannotDo(f"Finding {found.number} changes no figure: what it says of how sure they are counts already.")
    if found.used is not off:
        raise CannotDo(f"Finding {found.number} is {'in use already' if found.used else 'not in use'}.")


def _agree(question: str) -> None:
    try:
        agreed = click.confirm(question, err=True)
    except click.Abort as nobody:
        raise CannotDo("Nobody answered, so nothing was changed. With --yes it does not ask.") from nobody
    if not agreed:
        raise CannotDo("Nothing was changed.")


@prove.command()
@asked
@slide_option
@talks
def stop(running: Running, slide: str, *, as_json: bool) -> None:
    """Say that a slide stands at its stop.

    The one that its error map is counted from.
    """
    events = running.act(AtStop.model_validate({"act": "at_stop", "slide": slide}))
    if as_json:
        click.echo(running.proving().model_dump_json())
        return
    for event in events:
        click.echo(f"{event.words}.")


@prove.command()
@asked
@click.argument("kind", required=False, type=click.Choice(list(CHECK_NAMES)))
@kept_options
@talks
def history(running: Running, kind: str | None, data: Path | None, machine: str | None, *, as_json: bool) -> None:
    """All findings, and what drifted.

    Or those of one KIND of check; the newest first, each with what drifted since the one before.
    """
    now = running.proving() if data is None else kept(data, machine).now
    found = [one for one in now.proofs if kind in (None, one.proof.check.kind)]
    if as_json:
        click.echo("[" + ",".join(one.model_dump_json() for one in found) + "]")
        return
    from waytell.cli.prove_text import print_history  # noqa: PLC0415

    print_history(found)


@prove.command()
@asked
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--overwrite", is_flag=True, help="Write over a file that is there.")
@kept_options
@talks
def sheet(
    running: Running, file: Path, data: Path | None, machine: str | None, *, as_json: bool, overwrite: bool
) -> None:
    """Write the proving sheet, to print.

    To FILE.html: scales, uncertainty and what it is made of, findings with their plots.
    """
    if as_json:
        raise click.UsageError("The sheet is an HTML file: leave out --json. waytell prove --json tells the same.")
    if file.suffix.lower() not in (".html", ".htm"):
        raise click.UsageError(f"The sheet is an HTML file: call it {file.stem}.html.")
    if file.exists() and not overwrite:
        raise CannotDo(f"{file} exists already. Name another file, or add --overwrite.")
    text = running.page("/api/export/proving.html") if data is None else sheet_of(kept(data, machine))
    try:
        file.write_text(text, encoding="utf-8")
    except OSError as error:
        raise CannotDo(f"{file} cannot be written: {error.strerror}. Name another place.") from error
    click.echo(f"Wrote {file}.")
