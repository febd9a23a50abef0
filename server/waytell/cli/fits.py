"""`waytell fits`: what a tolerance class or a fit means in millimetres."""

from __future__ import annotations

import json
from typing import NamedTuple

import click

from waytell.planning.limits_fits import Deviations, Fit, NotCovered, deviations, fit, told_mm


class Side(NamedTuple):
    """`name` is hole or shaft."""

    name: str
    tolerance_class: str
    limits: Deviations


@click.command()
@click.argument("nominal_mm", metavar="NOMINAL", type=float)
@click.argument("designation", metavar="CLASS")
@click.option("--json", "as_json", is_flag=True, help="Print lengths in mm as JSON.")
def fits(nominal_mm: float, designation: str, *, as_json: bool) -> None:
    """Print the limits of a hole, a shaft or a fit of ISO 286.

    NOMINAL is the size in mm as it is measured: a diameter, a width. CLASS is a hole such as H8, a shaft such as h7, or
    a fit such as H7/g6.

    For example:  waytell fits 24 H7/g6
    """
    try:
        found = fit(nominal_mm, designation) if "/" in designation else None
        sides = [_side(nominal_mm, one.strip()) for one in designation.split("/")]
    except NotCovered as refused:
        raise click.ClickException(str(refused)) from refused
    if as_json:
        click.echo(json.dumps(_document(nominal_mm, sides, found)))
        return
    for side in sides:
        click.echo(_in_words(nominal_mm, side))
    if found is not None:
        click.echo(found.words)


def _side(nominal_mm: float, tolerance_class: str) -> Side:
    name = "hole" if tolerance_class[:1].isupper() else "shaft"
    return Side(name, tolerance_class, deviations(nominal_mm, tolerance_class))


def _limits_mm(nominal_mm: float, limits: Deviations) -> tuple[float, float]:
    # A sum of decimal fractions, told without the noise of binary ones.
    return round(nominal_mm + limits.lower_mm, 6), round(nominal_mm + limits.upper_mm, 6)


def _in_words(nominal_mm: float, side: Side) -> str:
    least, most = map(told_mm, _limits_mm(nominal_mm, side.limits))
    lower, upper = map(_signed, side.limits)
    return f"{side.name:5} {side.tolerance_class:4}  {least} to {most} mm  ({lower} to {upper})"


def _signed(deviation_mm: float) -> str:
    return f"+{told_mm(deviation_mm)}" if deviation_mm > 0 else told_mm(deviation_mm)


def _document(nominal_mm: float, sides: list[Side], found: Fit | None) -> dict[str, object]:
    document: dict[str, object] = {"nominal_mm": nominal_mm}
    for name, tolerance_class, limits in sides:
        least, most = _limits_mm(nominal_mm, limits)
        document[name] = {"class": tolerance_class, **limits._asdict(), "least_mm": least, "most_mm": most}
    if found is not None:
        of_both = ("least_clearance_mm", "most_clearance_mm", "kind", "words")
        document |= {name: value for name, value in found._asdict().items() if name in of_both}
    return document
