"""What checks of one scale found: which slide it is on, noise, missed edges."""

from __future__ import annotations

from waytell.documents.proving import Gives, Proof, Quantity
from waytell.engine.words import SLIDES
from waytell.proving.guide import AWAY
from waytell.proving.not_enough import NotEnough
from waytell.proving.results import Bench, Verdict, shown, um
from waytell.proving.which_scale import which_scale

NOISE_FAIR_COUNTS, NOISE_BAD_COUNTS = 2, 5
"""Peak to peak at rest: one count to and fro is the scale's own step; common practice, no source."""
SLOWER = "Wind more slowly, or use a coarser scale or a faster board: figures are struck out when edges are missed."
LOOSE = "Look for a loose reading head or a dirty scale; if all is tight, the board is too slow for this scale."
FAST_ENOUGH_MM_S = 30.0
"""Slower than this is no fast winding by hand; common practice, no source."""


def slide(bench: Bench) -> Proof:
    watch, check = bench.watch, bench.check
    travels = [watch.travel(one, bench.missed) for one in range(watch.scales)]
    on = which_scale([one.now for one in travels], [watch.span(one) for one in range(watch.scales)])
    scale = next((one for one in bench.known.config.scales if one.slide == check.slide), None)
    same = scale is not None and (scale.channel, scale.direction) == (on.channel, on.direction)
    grows = "grow" if on.direction > 0 else "fall"
    found = f"Scale {on.channel} is on the {SLIDES[check.slide]}; its counts {grows} {AWAY[check.slide]}."
    words, do = (f"{found} That is how it is set up.", "") if same else (found, "Use this finding to set it up so.")
    return Proof(
        check=check, verdict="good" if same else "fair", words=words, do=do,
        quantities=(
            Quantity(key="channel", name="scale", value=on.channel, unit="", decimals=0),
            Quantity(key="moved", name="moved", value=on.counts, unit="counts", decimals=0),
        ),
        gives=Gives(slide=check.slide) if same else Gives(
            slide=check.slide, channel=on.channel, direction=on.direction
        ),
    )  # fmt: skip


def rest(bench: Bench) -> Proof:
    """All scales at once; trust is given for the one that is noisiest in length, on each slide by its own check."""
    quantities: list[Quantity] = []
    worst: tuple[int, str] = (0, "")
    moved = crept = ""
    for scale in bench.known.config.scales:
        found = bench.watch.rest[scale.channel].rest()
        name, on = SLIDES[scale.slide], scale.slide
        moved, crept = name if found.moved else moved, name if found.crept else crept
        worst = max(worst, (found.span, name))
        count_um = scale.resolution_um
        quantities += [
            Quantity(key=f"span {on}", name=f"{name}, peak to peak", value=found.span, unit="counts", decimals=0),
            um(f"sd {on}", f"{name}, standard deviation", found.sd * count_um, decimals=2),
            um(f"drift {on}", f"{name}, drift", found.drift * count_um),
        ]
    if not quantities:
        raise NotEnough("No scale is set up yet.", "Find which scale is on which slide first.")
    if moved and moved == crept:
        raise NotEnough(
            f"The {crept} crept meanwhile.",
            "See what pulls it, such as an engaged half nut, or what is still warming up. Then begin the check again.",
        )
    if moved:
        raise NotEnough(f"The {moved} was moved meanwhile.", "Begin the check again and touch no slide.")
    span, name = worst
    verdict: Verdict = "good" if span <= NOISE_FAIR_COUNTS else "fair" if span <= NOISE_BAD_COUNTS else "bad"
    motor = f"with the motor {bench.check.motor}"
    words = f"At rest {motor} the figures move by {span} counts at most ({name})."
    do = "" if verdict == "good" else "Lead the scale's cable away from the motor's, and earth board and lathe well."
    return Proof(
        check=bench.check, verdict=verdict, words=words, do=do, quantities=tuple(quantities),
        gives=Gives(noise={one.slide: bench.watch.rest[one.channel].rest().sd * one.resolution_um
                           for one in bench.known.config.scales}),
    )  # fmt: skip


def winding(bench: Bench) -> Proof:
    scale, points = bench.scale, bench.points
    if scale is None or len(points) < 2:
        raise NotEnough("It is not captured at the stop before and after.", "Capture at the stop, wind, capture there.")
    travel = bench.watch.travel(scale.channel, bench.missed)
    off = round((shown(points[-1]) - shown(points[0])) / bench.count_mm)
    first, last = bench.under_way.points[0].stood, bench.under_way.points[-1].stood
    missed = last.missed.get(scale.channel, 0) - first.missed.get(scale.channel, 0)
    fast_mm_s = travel.fastest_counts_s * bench.count_mm
    most = bench.hello.max_edges_s if bench.hello is not None else None
    quantities = [
        Quantity(key="off", name="difference at the stop", value=off, unit="counts", decimals=0),
        Quantity(key="missed", name="edges missed, as the board says", value=missed, unit="counts", decimals=0),
        Quantity(key="fastest", name="fastest", value=travel.fastest_counts_s, unit="counts/s", decimals=0),
        Quantity(key="speed", name="fastest", value=fast_mm_s, unit="mm/s"),
    ]
    if most:
        quantities.append(
            Quantity(key="most", name="what the board is proved for", value=most, unit="counts/s", decimals=0)
        )
    verdict, words, do = _wound(abs(off), missed, fast_mm_s)
    return Proof(check=bench.check, verdict=verdict, words=words, do=do, quantities=tuple(quantities))


def _wound(off: int, missed: int, fast_mm_s: float) -> tuple[Verdict, str, str]:
    if missed > 0:
        return "bad", f"The board missed {missed} edges.", SLOWER
    if off > 2:
        return "bad", f"It came back {off} counts off, and the board did not notice.", LOOSE
    if fast_mm_s < FAST_ENOUGH_MM_S:
        return "fair", f"Nothing was missed, but it was wound at {fast_mm_s:.0f} mm/s only.", "Wind as fast as you can."
    return "good", f"Nothing was missed at {fast_mm_s:.0f} mm/s.", ""
