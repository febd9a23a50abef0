"""What was proved of the scales, as text for a person."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence

from rich.console import Console
from rich.table import Table

from waytell.cli.saying import console_for, plain, say
from waytell.documents.config import Units
from waytell.documents.proving import AxisBudget, DatedProof, Proof, ProvingNow, ScaleNow
from waytell.engine.acts_check import check_name
from waytell.engine.words import SLIDES
from waytell.export.plot_svg import plot_words
from waytell.export.proving_words import (
    degrees,
    doubled,
    expanded,
    first_capital,
    newest,
    notes_of,
    on_what,
    percent,
    small,
    small_unit,
    when,
)
from waytell.proving.quantity_words import number, texts

NOTHING = "Nothing was proved yet. Begin with: waytell prove link"


def print_overview(now: ProvingNow, units: Units) -> None:
    """Scales, how far positions can be relied on, the newest findings."""
    console = console_for(sys.stdout)
    if now.check is not None:
        name, captures = check_name(now.check.check), len(now.check.captures)
        say(console, [f"Under way: {name}, {captures} captured. Go on with it: waytell prove go-on", ""])
    say(
        console,
        ["Scales:", *(f"  {_scale(one, units)}" for one in now.scales)] if now.scales else ["No scale is set up."],
    )
    for budget in now.budgets:
        console.print()
        _print_budget(console, budget, units)
    console.print()
    _print_findings(console, newest(now.proofs), compared=False)


def print_history(proofs: Sequence[DatedProof]) -> None:
    """Findings with what drifted in each since the one before it."""
    _print_findings(console_for(sys.stdout), proofs, compared=True)


def print_finding(one: DatedProof, units: Units) -> None:
    console, proof = console_for(sys.stdout), one.proof
    say(console, [f"{first_capital(check_name(proof.check))}: {proof.verdict.upper()}", proof.words])
    say(console, [proof.do] if proof.do else [])
    if proof.quantities:
        console.print(_quantities(proof, units))
    say(console, (plot_words(plot) for plot in proof.plots))
    say(console, (f"- {note}" for note in notes_of(proof)))
    if one.compared:
        say(console, ["Since the time before:", *(f"- {line}" for line in one.compared)])


def use_words(one: DatedProof) -> Iterator[str]:
    """What becomes of the figures if they go by a finding."""
    if one.used:
        yield "It is in use."
    elif one.proof.gives.changes_figures:
        yield from (f"- {shift.words}" for shift in one.shifts)


def _scale(one: ScaleNow, units: Units) -> str:
    ppm = (one.scale_factor - 1) * 1e6
    parts = [
        f"{SLIDES[one.slide]}: scale {one.channel}, {small(one.resolution_um, units)} {small_unit(units)} a count",
        f"counting {'up' if one.direction > 0 else 'down'}",
        *([f"factor {number(ppm, 0)} ppm"] if abs(ppm) >= 1 else []),
        *(
            []
            if not one.mapped
            else ["error map in use" if one.placed else "error map waits: say when it is at its stop"]
        ),
    ]
    return ", ".join(parts)


def _print_budget(console: Console, one: AxisBudget, units: Units) -> None:
    times, on = doubled(one, units), on_what(one, units)
    title = f"{one.axis}: ± {expanded(one, units)} {units.length} {on}".rstrip() + f" (95 %, k = {one.k:.2f})"
    table = Table(title=plain(title), title_justify="left")
    table.add_column("made of")
    for name in (f"standard, {small_unit(units)}", "degrees of freedom", "share"):
        table.add_column(name, justify="right")
    for share in one.shares:
        standard = small(times * share.standard_um, units, 2)
        table.add_row(plain(share.words), standard, degrees(share.degrees), f"{percent(share.percent)} %")
    table.add_row("together", small(times * one.standard_um, units, 2), degrees(one.degrees), "", style="bold")
    console.print(table)
    say(console, [one.helps_most] if one.helps_most else [])


def _print_findings(console: Console, proofs: Sequence[DatedProof], *, compared: bool) -> None:
    if not proofs:
        say(console, [NOTHING])
        return
    table = Table(show_lines=compared)
    for name in ("no.", "when (UTC)", "check", "verdict", "in short"):
        table.add_column(name, justify="right" if name == "no." else "left", no_wrap=name == "when (UTC)")
    for one in proofs:
        used = " (in use)" if one.used else ""
        words: Iterable[str] = [one.proof.words, *(f"- {line}" for line in one.compared if compared)]
        table.add_row(
            str(one.number), when(one.wall), plain(check_name(one.proof.check) + used), one.proof.verdict,
            plain("\n".join(words)),
        )  # fmt: skip
    console.print(table)


def _quantities(proof: Proof, units: Units) -> Table:
    table = Table()
    for name in ("what", "value", "± U (95 %)", "unit"):
        table.add_column(name, justify="left" if name in ("what", "unit") else "right")
    for one in proof.quantities:
        table.add_row(plain(one.name), *(plain(cell) for cell in texts(one, units)))
    return table
