"""What the commands of `waytell prove` have in common: whom they ask, and the way through a check."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import wraps
from typing import Any, NamedTuple

import click

from waytell.cli.asking import DEFAULT_SERVER, CannotDo, Refused, Running
from waytell.documents.acts import BeginCheck
from waytell.documents.config import Units
from waytell.documents.proving import Check, DatedProof


class Asked(NamedTuple):
    """What every command is given."""

    server: str
    as_json: bool


def asked(command: click.decorators.FC) -> click.decorators.FC:
    """The options that stand before the name of a check as well as behind it."""
    for option in (
        click.option("--json", "as_json", is_flag=True, help="Print what was found as JSON."),
        click.option("--server", metavar="URL", help=f"Where Waytell runs.  [default: {DEFAULT_SERVER}]"),
    ):
        command = option(command)
    return command


def talks(work: Callable[..., None]) -> Callable[..., None]:
    """A command that talks to a running Waytell: gets it, and tells its refusals."""

    @wraps(work)
    @click.pass_context
    def command(context: click.Context, /, server: str | None, *, as_json: bool, **more: Any) -> None:
        before = context.obj if isinstance(context.obj, Asked) else Asked(DEFAULT_SERVER, as_json=False)
        now = Asked(server or before.server, as_json or before.as_json)
        context.obj = now
        if context.invoked_subcommand is not None:
            return
        try:
            work(Running(now.server), as_json=now.as_json, **more)
        except Refused as refused:
            raise CannotDo(f"{refused} {refused.do}") from refused

    return command


def begin(running: Running, act: BeginCheck, *, anew: bool) -> None:
    now = running.proving().check
    if now is not None and now.captures and not anew:
        raise CannotDo(
            f"A check is under way already ({_name(now.check)}, {len(now.captures)} captured). Go on with it: waytell "
            "prove go-on. Or give it up: add --anew."
        )
    running.act(act)


def guide_through(running: Running, units: Units, *, as_json: bool) -> None:
    """Through the check that is under way to what it found; that goes to standard output, all else beside it."""
    from waytell.cli.prove_guide import GO_ON, Guide  # noqa: PLC0415
    from waytell.cli.prove_screen import Lines, Screen  # noqa: PLC0415

    try:
        found = Guide(running, Lines(), Screen(sys.stderr if as_json else sys.stdout)).go()
    except KeyboardInterrupt as stopped:
        click.echo(err=True)
        raise CannotDo(GO_ON) from stopped
    _tell(found, running, units, as_json=as_json)
    if found.proof.verdict == "bad":
        raise SystemExit(1)


def _tell(found: DatedProof, running: Running, units: Units, *, as_json: bool) -> None:
    if as_json:
        click.echo(found.proof.model_dump_json())
        return
    from waytell.cli.prove_text import print_finding, use_words  # noqa: PLC0415

    click.echo()
    print_finding(found, units)
    if found.proof.gives.changes_figures and not found.used:
        at = "" if running.url == DEFAULT_SERVER else f" --server {running.url}"
        click.echo(f"To let the figures go by it: waytell prove use {found.number}{at}")
        for line in use_words(found):
            click.echo(line)


def _name(check: Check) -> str:
    from waytell.engine.acts_check import check_name  # noqa: PLC0415

    return check_name(check)
