"""A sheet of what was proved of the scales, to print and to keep with the lathe: one HTML file, nothing else needed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from waytell.documents.config import Config
from waytell.documents.proving import AxisBudget, DatedProof, Proof, ProvingNow, ScaleMap, ScaleNow, Share
from waytell.engine.acts_check import CHECK_NAMES, check_name
from waytell.engine.words import MM_PER_INCH, SLIDES
from waytell.export.figures import Lengths
from waytell.export.pages import template
from waytell.export.plot_svg import plot_svg
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
from waytell.proving.history import reference_words
from waytell.proving.quantity_words import number, texts

NO_CERTIFICATE = (
    "This is no calibration certificate. It tells what the checks of this lathe found on the days that stand here, "
    "with what its owner had to compare with; it says nothing of push-off, bending and a worn slide. Measure the part."
)
PLACES_IN_A_ROW = 8


def proving_sheet(now: ProvingNow, config: Config, made: str) -> str:
    """All that is known of the scales: how far they can be relied on, and the newest finding of each check.

    `made` is when, in words; `config` the configuration in force.
    """
    show = _Shown(config)
    new = newest(now.proofs)
    page: str = template("proving_sheet.html").render(
        machine=config.machine, made=made, units=config.units, small_unit=small_unit(config.units),
        caution=NO_CERTIFICATE,
        scales=[show.scale(one) for one in now.scales], budgets=[show.budget(one) for one in now.budgets],
        findings=[show.finding(one) for one in new], earlier=[show.row(one) for one in now.proofs if one not in new],
        never=[CHECK_NAMES[kind] for kind in CHECK_NAMES if all(one.proof.check.kind != kind for one in new)],
    )  # fmt: skip
    return page


class _Shown(Lengths):
    """The rows of the sheet."""

    def __init__(self, config: Config) -> None:
        super().__init__(config.units)
        self._units = config.units

    def scale(self, one: ScaleNow) -> dict[str, Any]:
        state = "none"
        if one.mapped:
            state = "in use" if one.placed else "waits until the slide was at its stop"
        return {
            "slide": SLIDES[one.slide], "channel": one.channel, "count": small(one.resolution_um, self._units),
            "way": "up" if one.direction > 0 else "down", "map": state,
            "factor": number(one.scale_factor, 6), "off": f"{number((one.scale_factor - 1) * 1e6, 0)} ppm",
        }  # fmt: skip

    def budget(self, one: AxisBudget) -> dict[str, Any]:
        units = self._units
        return {
            "axis": one.axis, "on": on_what(one, units), "u": expanded(one, units), "k": f"{one.k:.2f}",
            "standard": small(doubled(one, units) * one.standard_um, units, 2), "degrees": degrees(one.degrees),
            "shares": [self.share(share, doubled(one, units)) for share in one.shares], "helps": one.helps_most,
        }  # fmt: skip

    def share(self, one: Share, times: int) -> dict[str, Any]:
        return {
            "words": one.words, "standard": small(times * one.standard_um, self._units, 2),
            "degrees": degrees(one.degrees), "percent": percent(one.percent), "bar": f"{one.percent:.1f}",
        }  # fmt: skip

    def row(self, one: DatedProof) -> dict[str, Any]:
        proof = one.proof
        return {
            "number": one.number, "wall": when(one.wall), "name": check_name(proof.check), "verdict": proof.verdict,
            "words": proof.words, "do": proof.do, "used": one.used,
        }  # fmt: skip

    def finding(self, one: DatedProof) -> dict[str, Any]:
        proof = one.proof
        return {
            **self.row(one), "asked": ", ".join(self._asked(proof)), "compared": one.compared,
            "title": first_capital(check_name(proof.check)),
            "quantities": [(each.name, *texts(each, self._units)) for each in proof.quantities],
            "sure": any(each.u is not None for each in proof.quantities),
            "plots": [drawn for plot in proof.plots if (drawn := plot_svg(plot))],
            "notes": notes_of(proof), "map": self.map(proof.gives.map) if one.used else [],
        }  # fmt: skip

    def _asked(self, proof: Proof) -> Iterator[str]:
        """What the check was carried out with."""
        if (reference := reference_words(proof.check)) != "":
            yield f"compared with {reference}"
        if proof.check.kind == "collars":
            yield f"micrometer ± {small(proof.check.u_um, self._units)} {small_unit(self._units)}"
        if proof.captures:
            yield f"{proof.captures} captures"
        if proof.resolution_um is not None:
            count = f"{small(proof.resolution_um, self._units)} {small_unit(self._units)}"
            yield count.replace(" ", "\N{NO-BREAK SPACE}") + " a count"
        if proof.temperature_c is not None:
            yield f"{proof.temperature_c:g}\N{NO-BREAK SPACE}°C"

    def map(self, one: ScaleMap | None) -> list[list[tuple[str, str]]]:
        """Rows of (place, what is added there), in lengths and in small units."""
        if one is None:
            return []
        pairs = zip(one.at_mm, one.add_mm, strict=True)
        factor = 1000 / MM_PER_INCH if self.inch else 1000
        told = [(self.number(at), number(add * factor, 2 if self.inch else 1)) for at, add in pairs]
        return [told[first : first + PLACES_IN_A_ROW] for first in range(0, len(told), PLACES_IN_A_ROW)]
