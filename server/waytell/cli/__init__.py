"""The command line: every error says what to do."""

from __future__ import annotations

import signal

import click

from waytell.cli.board import board
from waytell.cli.bridge import bridge
from waytell.cli.config import config
from waytell.cli.devices import devices
from waytell.cli.export import export
from waytell.cli.fits import fits
from waytell.cli.journal import journal
from waytell.cli.plan import plan
from waytell.cli.ports import ports
from waytell.cli.prove import prove
from waytell.cli.replay import replay
from waytell.cli.run import demo, run
from waytell.cli.serve import serve
from waytell.cli.service import service

EPILOG = (
    "Waytell only listens and tells: it never moves anything. Your machine's manual, local rules and a qualified "
    "person come first."
)


@click.group(epilog=EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="waytell")
def main() -> None:
    """How far there is to go at a small manual lathe, whether a held slide moved, and what was really cut.

    Try it without a lathe:  waytell demo

    With one:  waytell ports, then  waytell config init lathe.toml  (edit it), then
    waytell run --source PORT --config lathe.toml
    """
    # Told to end by the system is told to end as by Ctrl-C: in order, with all that is to be stored. A shell that
    # starts a program in the background has it ignore Ctrl-C; whoever sends that signal means it all the same.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    signal.signal(signal.SIGTERM, lambda *_: signal.raise_signal(signal.SIGINT))


for command in (
    demo,
    run,
    bridge,
    serve,
    plan,
    prove,
    ports,
    board,
    replay,
    export,
    journal,
    fits,
    config,
    service,
    devices,
):
    main.add_command(command)
