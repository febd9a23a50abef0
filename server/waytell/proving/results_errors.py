"""What comparing a scale with known places found: its resolution, its errors along the way, how well places repeat."""

from __future__ import annotations

from math import hypot, sqrt
from typing import Any

from waytell.documents.proving import Gives, Plot, Proof, Quantity, ScaleMap, Series, Trust
from waytell.engine.student_t import coverage_factor
from waytell.engine.words import length
from waytell.proving.known_distance import is_factor, known_distance, usual_resolution_um
from waytell.proving.map_points import MapFound, map_points
from waytell.proving.positioning import Positioning
from waytell.proving.positioning import positioning as by_iso_230_2
from waytell.proving.references import compared_um, true_length_mm
from waytell.proving.results import Bench, Verdict, shown, um

HAND_WOUND = (
    "A slide wound by hand is no test to ISO 230-2: its quantities are used, with the places where the slide really "
    "stood instead of exact targets."
)


def distance(bench: Bench) -> Proof:
    check, scale = bench.check, bench.scale
    assert scale is not None
    celsius = bench.known.config.machine.temperature_c
    length_mm = true_length_mm(check.reference, check.length_mm, celsius)
    u_length_um = compared_um(check.reference, check.length_mm, scale, celsius)
    found = known_distance(_spans(bench), length_mm, bench.count_mm, u_length_um)
    k = coverage_factor(found.degrees)
    true_um = scale.resolution_um * scale.scale_factor * abs(found.ratio)
    off_um = (found.shown_mm - length_mm) * 1e3
    quantities = (
        Quantity(key="resolution", name="length of one count", value=true_um, unit="um",
                 u=k * found.u_ratio * scale.resolution_um, decimals=4),
        um("error", f"shown too much over {length(check.length_mm, bench.units)}", off_um,
           k * found.u_ratio * check.length_mm * 1e3),
        Quantity(key="ratio", name="true over shown", value=found.ratio, unit="", u=k * found.u_ratio, decimals=5),
    )  # fmt: skip
    make: dict[str, Any] = {"check": check, "quantities": quantities}
    wrong_way = found.ratio < 0
    turned: dict[str, Any] = {"direction": -scale.direction} if wrong_way else {}
    if is_factor(found.ratio):
        return _small_factor(bench, found.ratio, k * found.u_ratio, make, turned)
    if found.name:
        gives = Gives(slide=scale.slide, resolution_um=usual_resolution_um(true_um), scale_factor=1.0, **turned)
        words = found.name + (" It also counts the wrong way." if wrong_way else "")
        do = f"Use this finding: one count is {usual_resolution_um(true_um):g} µm. Then check the distance once more."
        return Proof(verdict="bad", words=words, do=do, gives=gives, **make)
    words = f"The scale shows {found.shown_mm:.3f} mm for {check.length_mm:g} mm: nothing usual explains that."
    do = "Check the length that was entered and both ends, and measure again."
    return Proof(verdict="bad", words=words, do=do, **make)


def _small_factor(bench: Bench, ratio: float, u: float, make: dict[str, Any], turned: dict[str, Any]) -> Proof:
    scale, check = bench.scale, bench.check
    assert scale is not None
    off_um = (1 / abs(ratio) - 1) * check.length_mm * 1e3
    told = f"{abs(off_um):.1f} µm too {'much' if off_um > 0 else 'little'} over {length(check.length_mm, bench.units)}"
    if turned:
        words = "The scale counts the wrong way."
        return Proof(
            verdict="bad",
            words=words,
            do="Use this finding: it turns the direction.",
            gives=Gives(slide=scale.slide, **turned),
            **make,
        )
    if abs(abs(ratio) - 1) <= u:
        words = f"The scale agrees with the distance: {told}, which is within what this check can tell."
        return Proof(verdict="good", words=words, **make)
    factor = scale.scale_factor * abs(ratio)
    trust = Trust(name="factor", standard_um=min(1000.0, u / 2 * 1e6))
    return Proof(
        verdict="fair", words=f"The scale shows {told}.", do="Use this finding: a factor then corrects it.",
        gives=Gives(slide=scale.slide, scale_factor=factor, trust=(trust,)), **make,
    )  # fmt: skip


def _spans(bench: Bench) -> list[float]:
    """From each start to the end that follows it, as shown; by what was said, not by turns."""
    start: float | None = None
    spans = []
    for at_mm, said in bench.pairs_mm:
        if said == 0.0:
            start = at_mm
        elif start is not None and said == bench.check.length_mm:
            spans.append(at_mm - start)
    return spans


def error_map(bench: Bench) -> Proof:
    check, scale = bench.check, bench.scale
    assert scale is not None
    celsius = bench.known.config.machine.temperature_c
    pairs = [(shown, true_length_mm(check.reference, said, celsius)) for shown, said in bench.pairs_mm]
    found = map_points(pairs, bench.count_mm)
    way = found.places[-1].shown_mm - found.places[0].shown_mm
    u_place = compared_um(check.reference, way, scale, celsius)
    k = coverage_factor(found.degrees)
    u_um = k * found.sd_mm * 1e3 / sqrt(min(one.captures for one in found.places))
    deviations = [one.deviation_mm * 1e3 for one in found.places]
    span = max(deviations) - min(deviations)
    straight = found.straightness_mm * 1e3
    quantities = (
        um("span", "largest difference of errors", span, u_um * sqrt(2)),
        um("straightness", "largest departure from a straight line", straight, u_um),
        Quantity(key="slope", name="error that grows with the way", value=found.line.slope * 1e6, unit="ppm",
                 u=_slope_u(found) * 1e6, decimals=0),
        um("sd", "standard deviation of one capture", found.sd_mm * 1e3),
        um("reference", "standard uncertainty of the reference", u_place, decimals=2),
    )  # fmt: skip
    verdict: Verdict = "good" if span <= max(scale.accuracy_um, u_um) else "fair"
    zero = next(one for one in bench.under_way.points if one.number == bench.points[0].number)
    shift = shown(bench.points[0])
    trust = (
        # Datum and figure both lie anywhere between places of the map. Two rectangles would make sqrt(2 / 3) of the
        # half-width; waves with three or four places each, simulated, make all of it, for places rarely meet crests.
        # The standard deviation of one capture stands for what the means of several leave at both ends.
        Trust(name="map", standard_um=hypot(found.sd_mm, found.between_mm) * 1e3, degrees=found.degrees),
        Trust(name="reference", standard_um=min(1000.0, u_place)),
        Trust(name="straightness", standard_um=min(1000.0, max(map(abs, deviations)) / sqrt(3) + found.sd_mm * 1e3)),
    )
    return Proof(
        check=check, verdict=verdict,
        words=f"Over {length(way, bench.units)} the scale's errors differ by {span:.1f} µm.",
        do="Use this finding: the map then corrects them, from a stop or a reference mark on.",
        quantities=quantities, plots=(_map_plot(found),), notes=(*_named(bench, found), *_bent(bench, found)),
        gives=Gives(
            slide=scale.slide, zero_counts=zero.stood.counts[scale.channel],
            zero_missed=zero.stood.missed.get(scale.channel, 0), zero_channel=scale.channel,
            map=ScaleMap(
                at_mm=tuple(one.shown_mm - shift for one in found.places),
                add_mm=tuple(one.deviation_mm for one in found.places),
            ),
            trust=trust,
        ),
    )  # fmt: skip


def _slope_u(found: MapFound) -> float:
    return coverage_factor(found.line.degrees) * found.line.u_slope if found.line.degrees else 0.0


def _map_plot(found: MapFound) -> Plot:
    places = tuple((one.shown_mm, one.deviation_mm * 1e3) for one in found.places)
    line = tuple((at, found.line.at(at) * 1e3) for at in (places[0][0], places[-1][0]))
    return Plot(
        across="place shown, mm", up="true less shown, µm",
        series=(Series(name="places", points=places), Series(name="straight line", points=line)),
    )  # fmt: skip


def _named(bench: Bench, found: MapFound) -> tuple[str, ...]:
    """Captures that do not belong to the others, by their number in the list."""
    order = {one.number: place for place, one in enumerate(bench.captures, start=1)}
    numbers = [order[bench.points[one].number] for one in found.outliers]
    return tuple(
        f"Capture {one} lies far from the others and was not used. Capture that place again: if it repeats, it counts."
        for one in numbers
    )


def _bent(bench: Bench, found: MapFound) -> tuple[str, ...]:
    """What comes and goes between two places is in no map; where much bends, that is likely."""
    if found.between_mm <= bench.count_mm / 2:
        return ()
    bent = f"The error bends by about {found.between_mm * 1e3:.0f} µm between places:"
    return (f"{bent} places half as far apart make the map better.",)


def positioning(bench: Bench) -> Proof:
    check, scale = bench.check, bench.scale
    assert scale is not None
    places, up, down = _approaches(bench)
    found = by_iso_230_2(up, down)
    count_um = bench.count_mm * 1e3
    # Where all captures agree to the count, its step is what is left.
    two_u = coverage_factor(found.degrees) * hypot(found.sd, count_um / sqrt(12))
    verdict: Verdict = "good" if found.reversal <= max(3 * count_um, two_u) else "fair"
    words = f"Places repeat within {found.repeatability:.1f} µm; turning round makes {found.reversal:.1f} µm."
    do = "" if verdict == "good" else "Come to a size always from the same side; look for play in the reading head."
    trust = (
        Trust(name="repeatability", standard_um=max(found.sd, count_um / sqrt(12)), degrees=found.degrees),
        # The datum may have been set from one side and the place come to from the other: nothing or all of it, as
        # likely the one as the other. There is nothing between, so a rectangle would make U too small.
        Trust(name="reversal", standard_um=found.reversal / sqrt(2)),
    )
    return Proof(
        check=check, verdict=verdict, words=words, do=do, quantities=_quantities(found, two_u),
        plots=(_positioning_plot(places, found),), notes=(HAND_WOUND,), gives=Gives(slide=scale.slide, trust=trust),
    )  # fmt: skip


def _approaches(bench: Bench) -> tuple[list[float], list[list[float]], list[list[float]]]:
    """Places, and the deviations of each from either side in um, counted from the first capture."""
    points = [one for one in bench.points if one.says_mm is not None]
    if any(one.way == 0 for one in points):
        points = [one for one in points if one.way != 0]
    places = sorted({one.says_mm for one in points if one.says_mm is not None})
    zero = bench.pairs_mm[0] if bench.pairs_mm else (0.0, 0.0)
    sides: dict[int, list[list[float]]] = {1: [[] for _ in places], -1: [[] for _ in places]}
    for one in points:
        assert one.says_mm is not None
        off_um = ((one.says_mm - zero[1]) - (shown(one) - zero[0])) * 1e3
        sides[one.way][places.index(one.says_mm)].append(off_um)
    return places, sides[1], sides[-1]


def _quantities(found: Positioning, u: float) -> tuple[Quantity, ...]:
    """By the names of ISO 230-2:2014."""
    return (
        um("B", "reversal error B", found.reversal, u),
        um("mean B", "mean reversal error", found.mean_reversal, u),
        um("R", "bidirectional repeatability R", found.repeatability),
        um("R up", "unidirectional repeatability, rising", found.repeatability_up),
        um("R down", "unidirectional repeatability, falling", found.repeatability_down),
        um("E", "systematic error E", found.systematic, u),
        um("E up", "systematic error, rising", found.systematic_up, u),
        um("E down", "systematic error, falling", found.systematic_down, u),
        um("M", "range of the mean deviations M", found.mean_deviation_range, u),
        um("A", "accuracy A", found.accuracy),
        um("A up", "accuracy, rising", found.accuracy_up),
        um("A down", "accuracy, falling", found.accuracy_down),
    )


def _positioning_plot(places: list[float], found: Positioning) -> Plot:
    def line(name: str, values: list[float]) -> Series:
        return Series(name=name, points=tuple(zip(places, values, strict=True)))

    up, down = [one.up for one in found.targets], [one.down for one in found.targets]
    return Plot(
        across="place, mm", up="true less shown, µm",
        series=(
            line("rising", [one.mean for one in up]), line("falling", [one.mean for one in down]),
            line("highest, mean + 2 s", [max(one.mean + 2 * one.sd for one in both) for both in found.targets]),
            line("lowest, mean − 2 s", [min(one.mean - 2 * one.sd for one in both) for both in found.targets]),
        ),
    )  # fmt: skip
