"""The commands that begin a check of the scales and guide through it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click
from pydantic import ValidationError

from waytell.cli.asking import Running
from waytell.cli.prove_talk import asked, begin, guide_through, talks
from waytell.documents.acts import BeginCheck
from waytell.documents.config import Units
from waytell.documents.proving import Reference
from waytell.engine.words import MM_PER_INCH

CHECKS: list[click.Command] = []


def slide_option(command: click.decorators.FC) -> click.decorators.FC:
    slides = click.Choice(["cross", "carriage", "compound", "tailstock"])
    return click.option("--slide", type=slides, required=True, help="Which slide.")(command)


def _reference(usual: str) -> Callable[[click.decorators.FC], click.decorators.FC]:
    def options(command: click.decorators.FC) -> click.decorators.FC:
        for option in (
            click.option("--u", "u_small", type=click.FloatRange(0, 1000), default=0.0, help=U_HELP),
            click.option("--grade", type=click.IntRange(0, 2), default=2, show_default=True, help=GRADE_HELP),
            click.option("--reference", type=click.Choice(list(REFERENCES)), default=usual, show_default=True,
                         help="What the scale is compared with."),
        ):  # fmt: skip
            command = option(command)
        return command

    return options


REFERENCES = {"block": "gauge_block", "dial": "dial", "bar": "setting_bar", "other": "other"}
U_HELP = "It may be off by so much, 95 of 100 times, in µm (0.001 inch); 0: as is usual for its kind."
GRADE_HELP = "Grade of gauge blocks (ISO 3650)."
ANEW_HELP = "Give up a check that is under way, with what was captured in it."


Fields = Callable[..., dict[str, Any]]


def _check(name: str, *options: Callable[[Any], Any]) -> Callable[[Fields], click.Command]:
    """A command that begins a check and guides through it. What it decorates gives the check from the options."""

    def add(fields: Fields) -> click.Command:
        def work(running: Running, *, as_json: bool, anew: bool, **more: Any) -> None:
            units = running.state().units
            try:
                act = BeginCheck.model_validate({"act": "begin_check", "check": fields(units, **more)})
            except ValidationError as error:
                raise click.UsageError(f"{error.errors()[0]['loc'][-1]}: {error.errors()[0]['msg']}") from error
            begin(running, act, anew=anew)
            guide_through(running, units, as_json=as_json)

        work.__doc__ = fields.__doc__
        command: Any = click.option("--anew", is_flag=True, help=ANEW_HELP)(asked(talks(work)))
        for option in reversed(options):
            command = option(command)
        CHECKS.append(click.command(name)(command))
        return CHECKS[-1]

    return add


@_check("link")
def _link(_: Units) -> dict[str, Any]:
    """Whether the board is heard well.

    Rate, gaps, lost and damaged lines, over ten seconds.
    """
    return {"kind": "link"}


@_check("slide", slide_option)
def _which(_: Units, slide: str) -> dict[str, Any]:
    """Which scale is on a slide.

    And which way it counts: wind the slide a little.
    """
    return {"kind": "slide", "slide": slide}


@_check("rest", click.option("--motor", type=click.Choice(["off", "on"]), default="off", show_default=True,
                             help="Whether the motor runs meanwhile."))  # fmt: skip
def _rest(_: Units, motor: str) -> dict[str, Any]:
    """What the scales show at rest.

    Touch no slide for ten seconds; once with the motor off, once with it on.
    """
    return {"kind": "rest", "motor": motor}


@_check("winding", slide_option)
def _winding(_: Units, slide: str) -> dict[str, Any]:
    """Whether fast winding loses counts.

    Wind a slide away from a stop and back to it, fast.
    """
    return {"kind": "winding", "slide": slide}


@_check("distance", slide_option, click.option("--length", type=click.FloatRange(0, min_open=True), required=True,
                                         help="The distance that is known."), _reference("block"))  # fmt: skip
def _distance(units: Units, slide: str, length: float, **reference: Any) -> dict[str, Any]:
    """How long a count is, by a known distance.

    Capture start and end of a gauge block or a setting bar by turns.
    """
    length_mm = _mm(length, units)
    return {"kind": "distance", "slide": slide, "length_mm": length_mm, "reference": _compared(units, **reference)}


@_check("map", slide_option, _reference("block"))
def _map(units: Units, slide: str, **reference: Any) -> dict[str, Any]:
    """Where a scale is wrong, by known places.

    Capture places that are known, the first of them a stop that can be found again.
    """
    return {"kind": "map", "slide": slide, "reference": _compared(units, **reference)}


@_check("positioning", slide_option, _reference("dial"))
def _positioning(units: Units, slide: str, **reference: Any) -> dict[str, Any]:
    """How well a slide comes back to places.

    Capture the same places from both sides, several times.
    """
    return {"kind": "positioning", "slide": slide, "reference": _compared(units, **reference)}


@_check("disc")
def _disc(_: Units) -> dict[str, Any]:
    """Whether the cross-slide runs square.

    Sweep a dial on the cross-slide over a disc that it faced, past the centre.
    """
    return {"kind": "disc"}


@_check("collars", click.option("--u", "u_small", type=click.FloatRange(0, 1000), help="The micrometer may be off by "
                                "so much, 95 of 100 times, in µm (0.001 inch).  [default: 4 µm]"))  # fmt: skip
def _collars(units: Units, u_small: float | None) -> dict[str, Any]:
    """Whether the bed turns parallel.

    Turn two collars at one setting, then measure them.
    """
    return {"kind": "collars"} if u_small is None else {"kind": "collars", "u_um": _um(u_small, units)}


@_check("temperature", slide_option,
        click.option("--temperature", type=click.FloatRange(-20, 60), required=True, help="Of the lathe, in °C."),
        click.option("--u", "u_c", type=click.FloatRange(0, 20), default=1.0, show_default=True,
                     help="The thermometer may be off by so much, 95 of 100 times, in K."),
        click.option("--expansion", type=click.FloatRange(-1, 200), default=11.5, show_default=True,
                     help="Of the work, in µm/(m K): steel 11.5, bronze 18, brass 20.5, aluminium 23.6."),
        click.option("--length", type=click.FloatRange(0, min_open=True), help="Over which the difference is told."
                     "  [default: 100 mm]"))  # fmt: skip
def _temperature(
    units: Units, slide: str, temperature: float, u_c: float, expansion: float, length: float | None
) -> dict[str, Any]:
    """What the temperature does to lengths."""
    told = {"kind": "temperature", "slide": slide, "temperature_c": temperature, "u_c": u_c}
    over = {} if length is None else {"length_mm": _mm(length, units)}
    return {**told, "work_expansion_um_m_k": expansion, **over}


def _compared(units: Units, reference: str, grade: int, u_small: float) -> Reference:
    return Reference.model_validate({"kind": REFERENCES[reference], "grade": grade, "u_um": _um(u_small, units)})


def _mm(length: float, units: Units) -> float:
    return length * MM_PER_INCH if units.length == "inch" else length


def _um(small: float, units: Units) -> float:
    return small * MM_PER_INCH if units.length == "inch" else small
