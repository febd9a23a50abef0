"""What checks of board and lathe found: the link, squareness of the cross-slide, parallelism, temperature."""

from __future__ import annotations

from math import degrees

from waytell.documents.proving import Gives, Plot, Proof, Quantity, Series
from waytell.engine.student_t import coverage_factor
from waytell.engine.words import length
from waytell.proving.expansion import expansion
from waytell.proving.faced_disc import faced_disc
from waytell.proving.not_enough import NotEnough
from waytell.proving.results import Bench, Verdict, um
from waytell.proving.two_collars import two_collars

LOST_BAD = 0.01
GAP_FAIR_MS = 150.0
"""The figures are struck out after so long a silence."""
RATE_SHARE = 0.1
DIAL_HALF_UM = 5.0
"""How well a dial of 0.01 mm is read; common practice, no source."""
FLAT_UM_PER_100_MM = 20.0
"""A lathe is usually called square to so much, and hollow rather than humped; common practice, no source."""
TAPER_UM_PER_100_MM = 20.0
CABLE = "Try another cable or port, away from the motor's leads."
NOT_FACED_BY_IT = (
    "On the half that was faced the dial should read nothing: was the disc faced by this slide, its gib and the "
    "carriage as they are now?"
)
BENDS = (
    "With the bar free at its end some of it may be bending: take light cuts, and see the lathe's manual for how bed "
    "and headstock are levelled."
)
K = 2.0


def link(bench: Bench) -> Proof:
    span = bench.watch.link()
    rate = span.readings / span.seconds if span.seconds > 0 else 0.0
    heard = span.reports + span.lost_reports
    lost = span.lost_reports / heard if heard else 0.0
    promised = bench.hello.rate_hz if bench.hello is not None else 0
    gap_ms = span.longest_gap_s * 1e3
    quantities = (
        Quantity(key="rate", name="reports a second", value=rate, unit="Hz", decimals=0),
        Quantity(key="lost", name="reports lost", value=100 * lost, unit="%", decimals=2),
        Quantity(key="damaged", name="damaged lines", value=span.damaged_lines, unit="", decimals=0),
        Quantity(key="gap", name="longest gap", value=gap_ms, unit="ms", decimals=0),
        Quantity(key="spread", name="spread of the delay", value=span.spread_s * 1e3, unit="ms"),
    )
    verdict, words, do = _heard(rate, promised, lost, span.damaged_lines, gap_ms)
    return Proof(check=bench.check, verdict=verdict, words=words, do=do, quantities=quantities)


def _heard(rate: float, promised: int, lost: float, damaged: int, gap_ms: float) -> tuple[Verdict, str, str]:
    if rate <= 0:
        return "bad", "The board is not heard.", CABLE
    if lost > LOST_BAD:
        return "bad", f"{100 * lost:.1f} % of the reports are lost.", CABLE
    if gap_ms > GAP_FAIR_MS:
        return "fair", f"Once nothing came for {gap_ms:.0f} ms.", f"Close other programs on this computer. {CABLE}"
    if damaged or lost > 0:
        return "fair", "Some lines are damaged or lost; none of them was taken for a figure.", CABLE
    if promised and abs(rate / promised - 1) > RATE_SHARE:
        return "fair", f"The board promises {promised} reports a second and sends {rate:.0f}.", "Look at its baud rate."
    return "good", f"The board is heard {rate:.0f} times a second, and nothing is lost.", ""


def disc(bench: Bench) -> Proof:
    pairs = bench.pairs_mm
    if len(pairs) < len([one for one in bench.captures if not one.left_out]):
        raise NotEnough("X is not known where it was captured.", "Touch off X first, so that the centre line is known.")
    found = faced_disc(pairs, DIAL_HALF_UM * 1e-3 / 3**0.5)
    k = coverage_factor(found.degrees_of_freedom)
    u, u_near = k * found.u_tangent * 1e5, k * found.u_near_half * 1e5
    slope, near = found.um_per_100_mm, found.near_half * 1e5
    quantities = (
        Quantity(key="slope", name="the face rises towards its rim by", value=slope, unit="um/100 mm", u=u),
        Quantity(key="angle", name="angle out of square", value=found.angle_deg, unit="deg", decimals=4,
                 u=degrees(k * found.u_tangent)),
        Quantity(key="near", name="on the half that was faced", value=near, unit="um/100 mm", u=u_near),
    )  # fmt: skip
    verdict, words = _square(slope, u)
    plot = Plot(across="X from the centre, mm", up="dial, µm",
                series=(Series(name="dial", points=tuple((x, dial * 1e3) for x, dial in sorted(pairs))),))  # fmt: skip
    return Proof(
        check=bench.check, verdict=verdict, words=words, quantities=quantities, plots=(plot,),
        do="" if verdict == "good" else "See the lathe's manual for how its headstock or cross-slide is set.",
        notes=() if abs(near) <= max(u, u_near) else (NOT_FACED_BY_IT,),
    )  # fmt: skip


def _square(slope: float, u: float) -> tuple[Verdict, str]:
    if abs(slope) <= u:
        return "good", "Within what this check can tell the cross-slide is square to the spindle."
    words = f"It faces {'hollow' if slope > 0 else 'humped'}: {abs(slope):.0f} µm over 100 mm of radius."
    if abs(slope) > FLAT_UM_PER_100_MM:
        return "bad", words
    return ("good" if slope > 0 else "fair"), words


def collars(bench: Bench) -> Proof:
    found = two_collars(bench.pairs_mm, bench.check.u_um * 1e-3 / K)
    taper, u = found.um_per_100_mm, K * found.u_taper * 1e5
    quantities = (
        Quantity(key="taper", name="growth of the diameter towards the free end", value=taper, unit="um/100 mm", u=u),
        Quantity(key="angle", name="angle between spindle and bed", value=found.angle_deg, unit="deg", decimals=4,
                 u=degrees(K * found.u_taper / 2)),
        Quantity(key="apart", name="collars apart", value=found.apart_mm, unit="mm"),
    )  # fmt: skip
    end = "free end" if taper > 0 else "headstock"
    parallel = abs(taper) <= u
    verdict: Verdict = "good" if parallel else "fair" if abs(taper) <= TAPER_UM_PER_100_MM else "bad"
    words = f"It turns thicker towards the {end}: {abs(taper):.0f} µm on the diameter over 100 mm."
    measured = Series(name="measured", points=tuple(sorted(bench.pairs_mm)))
    return Proof(
        check=bench.check, verdict=verdict, quantities=quantities, do="" if parallel else BENDS,
        words="Within what this check can tell it turns parallel." if parallel else words,
        plots=(Plot(across="Z, mm", up="diameter, mm", series=(measured,)),),
    )  # fmt: skip


def temperature(bench: Bench) -> Proof:
    check, scale = bench.check, bench.scale
    if scale is None:
        raise NotEnough("No scale is set up on that slide.", "Find which scale is on which slide first.")
    found = expansion(
        check.length_mm, scale.expansion_um_m_k, check.work_expansion_um_m_k, check.temperature_c, check.u_c / K
    )
    over = length(check.length_mm, bench.units)
    quantities = (
        um("scale", f"the scale is longer by, over {over}", found.scale_um),
        um("work", f"the work is longer by, over {over}", found.work_um),
        um("error", "uncorrected, the work reads too long by", found.error_um, K * found.u_um),
    )
    now = bench.known.config.machine.temperature_c
    same = abs(now - check.temperature_c) < 0.05
    way = "long" if found.error_um >= 0 else "short"
    off = f"{abs(found.error_um):.1f} µm too {way}"
    words = f"At {check.temperature_c:g} °C the work reads {off} over {over}, uncorrected."
    do = "" if same else f"Use this finding: figures then go by {check.temperature_c:g} °C instead of {now:g} °C."
    return Proof(
        check=check, verdict="good" if same else "fair", words=words, do=do, quantities=quantities,
        gives=Gives(slide=check.slide, temperature_c=None if same else check.temperature_c),
        notes=("The scale is corrected by its own expansion, the work by that of its material (under Set up).",),
    )  # fmt: skip
