"""From what was captured and watched in a check to what it found: words, figures, plots, and what follows.

One function a kind of check; the mathematics stands in modules of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Literal, NamedTuple

from waytell.documents.config import Scale, Units
from waytell.documents.proving import Captured, Proof, Quantity
from waytell.engine.axes import mm_per_count
from waytell.engine.known import Known
from waytell.engine.proved import CheckUnderWay
from waytell.proving.captures import check_slide
from waytell.proving.watch import Watch
from waytell_bridge.reading import BoardHello

Verdict = Literal["good", "fair", "bad"]


class Bench(NamedTuple):
    """All that a finding is made from."""

    known: Known
    under_way: CheckUnderWay
    watch: Watch
    captures: list[Captured]
    hello: BoardHello | None
    boot: str | None
    missed: dict[int, int]
    units: Units

    @property
    def check(self) -> Any:
        return self.under_way.check

    @property
    def scale(self) -> Scale | None:
        """That of the slide that is checked."""
        slide = check_slide(self.check)
        return next((one for one in self.known.config.scales if one.slide == slide), None)

    @property
    def count_mm(self) -> float:
        """Length of one count of the slide's scale; above 0."""
        return abs(self.step_mm) or 0.001

    @property
    def step_mm(self) -> float:
        scale = self.scale
        return 0.0 if scale is None else mm_per_count(scale, self.known.config.machine.temperature_c)

    @property
    def points(self) -> list[Captured]:
        """Captures that count and that show something."""
        return [one for one in self.captures if not one.left_out and one.shown_mm is not None]

    @property
    def pairs_mm(self) -> list[tuple[float, float]]:
        """(shown, said) of every capture that counts, in mm."""
        return [(one.shown_mm, one.says_mm) for one in self.points
                if one.shown_mm is not None and one.says_mm is not None]  # fmt: skip


def found(bench: Bench) -> Proof:
    """What the check finds.

    Raises:
        NotEnough: what is there tells nothing; says what to do.
    """
    from waytell.proving import results_errors, results_lathe, results_scale  # noqa: PLC0415 - they use what stands above

    kinds: dict[str, Callable[[Bench], Proof]] = {
        "link": results_lathe.link, "disc": results_lathe.disc, "collars": results_lathe.collars,
        "temperature": results_lathe.temperature, "slide": results_scale.slide, "rest": results_scale.rest,
        "winding": results_scale.winding, "distance": results_errors.distance, "map": results_errors.error_map,
        "positioning": results_errors.positioning,
    }  # fmt: skip
    proof = kinds[bench.check.kind](bench)
    scale = bench.scale
    notes = (*proof.notes, *_left_out(bench.captures))
    return proof.model_copy(
        update={
            "notes": notes, "captures": len(bench.captures),
            "resolution_um": None if scale is None else scale.resolution_um,
            "temperature_c": bench.known.config.machine.temperature_c,
        }
    )  # fmt: skip


def _left_out(captures: Sequence[Captured]) -> tuple[str, ...]:
    """Why captures do not count, once for each reason."""
    why: dict[str, list[int]] = {}
    for place, one in enumerate(captures, start=1):
        if one.why_left_out:
            why.setdefault(one.why_left_out, []).append(place)
    return tuple(f"Capture {', '.join(map(str, places))} left out. {words}" for words, places in why.items())


def um(key: str, name: str, value_um: float, u_um: float | None = None, decimals: int = 1) -> Quantity:
    return Quantity(key=key, name=name, value=round(value_um, 6), unit="um", u=u_um, decimals=decimals)


def shown(one: Captured) -> float:
    assert one.shown_mm is not None
    return one.shown_mm
