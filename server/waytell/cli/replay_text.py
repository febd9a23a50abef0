"""What a replayed wire log comes to, as text for a person."""

from __future__ import annotations

import click
from rich.console import Console
from rich.table import Table
from rich.text import Text

from waytell.documents.state import Pass
from waytell.replay import Replayed

WIDTH_IN_A_FILE = 140
MOST_SHOWN = 10
EXAMPLE_LINE = "1200 < P 0 1204512 0 0 0*37F7"


def print_replayed(result: Replayed) -> None:
    if result.entries == 0:
        lines = f"None of its {result.lines} lines is an entry." if result.lines else "It is empty."
        click.echo(f"The log holds no entry. {lines} A wire log has lines such as: {EXAMPLE_LINE}")
    if result.events:
        click.echo("What happened, with the time since the beginning of the log:")
    for event in result.events:
        click.echo(f"  {clock(event.t_s - result.first_s)}  {event.words}")
    _print_passes(result)
    for words in (*_about_the_link(result), *_troubles(result), *_why_none(result)):
        click.echo(words)


def _print_passes(result: Replayed) -> None:
    if not result.passes:
        click.echo("0 passes.")
        return
    console = Console()
    if not console.is_terminal:
        console = Console(width=WIDTH_IN_A_FILE)
    console.print(_table(result))


def clock(seconds: float) -> str:
    """Time since the beginning of a log as h:mm:ss.s.

    >>> clock(3725.25)
    '1:02:05.2'
    """
    tenths = max(0, int(seconds * 10 + 1e-6))
    return f"{tenths // 36000}:{tenths // 600 % 60:02}:{tenths // 10 % 60:02}.{tenths % 10}"


def _table(result: Replayed) -> Table:
    table = Table(
        title=Text(f"{len(result.passes)} {'pass' if len(result.passes) == 1 else 'passes'}"),
        caption="Lengths in mm, X as a radius.",
    )
    for column in ("no.", "part", "at", "what", "role", "from", "to", "held at", "depth", "creep", "feed mm/min", "s"):
        table.add_column(column, justify="left" if column in ("what", "role") else "right")
    for one in result.passes:
        table.add_row(*_row(one, result.first_s))
    return table


def _row(one: Pass, first_s: float) -> tuple[str, ...]:
    depth = "" if one.depth_mm is None else _mm(one.depth_mm)
    return (
        str(one.number), str(one.part), clock(one.t_start_s - first_s), one.kind, one.role, _mm(one.start_mm),
        _mm(one.end_mm), _mm(one.held_mm), depth, f"{one.creep_mm:+.3f}", f"{one.feed_mm_min:.1f}",
        f"{one.duration_s:.1f}",
    )  # fmt: skip


def _mm(length_mm: float) -> str:
    return f"{round(length_mm, 3) + 0.0:.3f}"  # adding zero takes the sign from a zero


def _about_the_link(result: Replayed) -> list[str]:
    link, damage = result.link, result.first_damage
    if link is None:
        return []
    every = " Not one line of the board could be read." if link.damaged_lines and not link.reports else ""
    words = [f"{clock(result.duration_s)} of log in {result.lines} lines."]
    words.append(f"{link.reports} reports, {link.lost_reports} lost, {link.damaged_lines} damaged lines.{every}")
    if damage is not None:
        last = " It is the last one, so the log may have been cut there." if damage.line == result.lines else ""
        words.append(f"The first damaged line is line {damage.line}: {damage.reason}.{last} It reads: {damage.text}")
    return words


def _troubles(result: Replayed) -> list[str]:
    """The first of them; the stop by the person comes last and is always told."""
    troubles = result.troubles
    if len(troubles) <= MOST_SHOWN:
        return troubles
    more = f"{len(troubles) - MOST_SHOWN} more are told with --json."
    return [*troubles[: MOST_SHOWN - 1], *troubles[-1:], more]


def _why_none(result: Replayed) -> list[str]:
    """What a log without passes lacks, where that can be said."""
    known = result.engine.known
    if result.passes or not result.entries:
        return []
    if not known.config.scales:
        return ["No scales are set up: the log has no use_config act. Give --config FILE."]
    if known.stock is None and known.operation is None:
        return ["Without stock (new_set_up) and without an operation (choose_operation) nothing is called a pass."]
    return []
