"""An invented lathe with invented findings, as a document: what a sheet has to show."""

from __future__ import annotations

import math

from waytell.documents.proving import (
    AxisBudget,
    CollarsCheck,
    DatedProof,
    DistanceCheck,
    Gives,
    LinkCheck,
    MapCheck,
    Plot,
    PositioningCheck,
    Proof,
    ProvingNow,
    Quantity,
    Reference,
    RestCheck,
    ScaleMap,
    ScaleNow,
    Series,
    Share,
    Trust,
)

PLACES = tuple(range(0, 101, 10))
ERRORS = tuple(4 * math.sin(place / 18) - 0.02 * place for place in PLACES)

LINK = Proof(
    check=LinkCheck(kind="link"), verdict="good", words="Every report arrived, the longest gap was 9 ms.",
    quantities=(Quantity(key="rate", name="reports a second", value=249.97, unit="Hz", decimals=1),),
)  # fmt: skip
REST = Proof(
    check=RestCheck(kind="rest", motor="on"), verdict="bad",
    words="With the motor on scale 1 shows 7 counts from lowest to highest.",
    do="Keep the scale's cable away from the motor's, and earth the board.",
    quantities=(
        Quantity(key="span_1", name="scale 1, lowest to highest", value=7, unit="counts", decimals=0),
        Quantity(key="s_1", name="scale 1, standard deviation", value=8.31, unit="um"),
    ),
    plots=(
        Plot(across="time, s", up="counts", series=(
            Series(name="scale 0", points=tuple((n / 10, n % 2) for n in range(100))),
            Series(name="scale 1", points=tuple((n / 10, 3 * math.sin(n)) for n in range(100))),
        )),
    ),
)  # fmt: skip
DISTANCE = Proof(
    check=DistanceCheck(kind="distance", slide="carriage", length_mm=25.0, reference=Reference(grade=1, u_um=0.4)),
    verdict="good", words="A count is 5.0008 µm, as it was set up but for 160 ppm.", captures=6, resolution_um=5.0,
    temperature_c=17.5, quantities=(
        Quantity(key="resolution", name="length of a count", value=5.0008, unit="um", u=0.0003, decimals=4),
        Quantity(key="off", name="off from what was set up", value=-160, unit="ppm", u=60, decimals=0),
    ),
    gives=Gives(slide="carriage", scale_factor=1.00016, trust=(Trust(name="factor", standard_um=30.0),)),
)  # fmt: skip
MAP = Proof(
    check=MapCheck(kind="map", slide="carriage"), verdict="fair", words="The scale is off by 6.0 µm at most.",
    do="Use this finding: the map corrects them.",
    quantities=(
        Quantity(key="worst", name="largest error", value=-6.02, unit="um", u=1.14),
        Quantity(key="left", name="left after the map", value=0.72, unit="um"),
    ),
    plots=(
        Plot(across="place from the stop, mm", up="deviation, µm", series=(
            Series(name="as captured", points=tuple(zip(PLACES, ERRORS, strict=True))),
            Series(name="left after the map", points=tuple((place, 0.3 * (-1) ** place) for place in PLACES)),
        )),
    ),
    captures=22, resolution_um=5.0, temperature_c=18.0, notes=("Capture 7 left out. Left out by you.",),
    gives=Gives(
        slide="carriage", map=ScaleMap(at_mm=PLACES, add_mm=tuple(round(one / 1000, 5) for one in ERRORS)),
    ),
)  # fmt: skip
POSITIONING = Proof(
    check=PositioningCheck(kind="positioning", slide="cross"), verdict="fair",
    words="The cross-slide repeats within 5.2 µm; turning round costs 6.3 µm.",
    do="Approach a size always from the same side.",
    quantities=(
        Quantity(key="reversal", name="reversal error", value=6.3, unit="um", u=0.9),
        Quantity(key="repeatability", name="repeatability, from both sides", value=5.2, unit="um", u=1.4),
    ),
    plots=(
        Plot(across="place, mm", up="deviation, µm", series=(
            Series(name="winding on, mean", points=((0, 0.4), (5, 1.2), (10, 0.1), (15, -0.6), (20, 0.9))),
            Series(name="winding back, mean", points=((0, 6.4), (5, 7.3), (10, 6.1), (15, 5.9), (20, 7.4))),
            Series(name="winding on, 2 s above and below", points=((0, 1.4), (5, 2.2), (10, 1.1), (15, 0.6), (20, 2))),
        )),
    ),
    captures=20, resolution_um=1.0, temperature_c=18.0,
)  # fmt: skip
COLLARS = Proof(
    check=CollarsCheck(kind="collars"), verdict="good", words="The bed turns 2 µm of taper in 100 mm.",
    quantities=(Quantity(key="taper", name="taper", value=2.1, unit="um/100 mm", u=5.66),),
)  # fmt: skip


def dated(number: int, proof: Proof, day: int = 4, **more: object) -> DatedProof:
    return DatedProof.model_validate(
        {"number": number, "wall": f"2031-05-{day:02d}T12:03:31Z", "proof": proof, "used": False, **more}
    )


BUDGETS = (
    AxisBudget(
        axis="X", standard_um=6.1, degrees=None, k=1.96, expanded_um=11.96, decimals_mm=3,
        shares=(
            Share(name="touch", words="touching off", standard_um=5.77, degrees=None, percent=89.5),
            Share(name="resolution", words="steps of the scale", standard_um=1.97, degrees=None, percent=10.4),
            Share(name="noise", words="noise at rest", standard_um=0.2, degrees=None, percent=0.1),
        ),
        helps_most="Touch off by a measured size instead of by touch.",
    ),
    AxisBudget(
        axis="Z", standard_um=2.2, degrees=17.6, k=2.11, expanded_um=4.642, decimals_mm=4,
        shares=(
            Share(name="map", words="what the error map leaves", standard_um=1.8, degrees=9.0, percent=67.0),
            Share(name="reference", words="what it was compared with", standard_um=1.26, degrees=None, percent=33),
        ),
        helps_most="Take the error map with more places, each several times.",
    ),
)  # fmt: skip
SCALES = (
    ScaleNow(slide="cross", channel=0, resolution_um=1.0, direction=-1, scale_factor=1.0, mapped=False, placed=False,
             marks=0),
    ScaleNow(slide="carriage", channel=1, resolution_um=5.0, direction=1, scale_factor=1.00016, mapped=True,
             placed=True, marks=1),
)  # fmt: skip
DRIFTED = "Reversal error was 4.1 µm, now 6.3 µm: it grew."
PROVED = ProvingNow(
    check=None,
    proofs=(
        dated(94, COLLARS),
        dated(90, POSITIONING, compared=(DRIFTED,)),
        dated(71, MAP, used=True),
        dated(60, DISTANCE, used=True),
        dated(41, REST),
        dated(40, LINK),
        dated(12, POSITIONING, day=1),
    ),
    budgets=BUDGETS,
    scales=SCALES,
)
EMPTY = ProvingNow(check=None, proofs=(), budgets=(), scales=())
