"""Parts to plan: random ones that can be made, and a few with a name. All are invented, for a small garden railway."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from hypothesis import strategies as st

from waytell.documents.config import Config, Machine, Tool
from waytell.documents.part import Part
from waytell.planning.usual_tools import USUAL_TOOLS

SMALL_LATHE = Machine(name="small lathe", speeds_rpm=(120, 220, 380, 620, 1000, 1700), motor_power_w=300.0)
SHOP = Config(machine=SMALL_LATHE, tools=USUAL_TOOLS)
MATERIALS = ("phosphor bronze", "aluminium alloy", "mild steel", "brass", "acetal")
Fields = dict[str, Any]


def part_of(features: Sequence[Fields], **changes: Any) -> Part:
    """A part from features as in a part file; a bar of 24 mm, 45 mm out of the chuck, unless told otherwise."""
    plain: Fields = {
        "name": "invented part", "material": "phosphor bronze", "bar": {"diameter_mm": 24.0},
        "set_ups": [{"out_mm": 45.0}], "features": list(features),
    }  # fmt: skip
    return Part.model_validate({**plain, **changes})


FACE: Fields = {"kind": "face"}
BUSH = part_of(
    [
        FACE,
        {"kind": "turned", "diameter": {"mm": 18.0, "tolerance_class": "h8"}, "to": 22.0},
        {"kind": "turned", "diameter": 14.0, "to": {"mm": 10.0, "upper_mm": 0.1, "lower_mm": 0.0}},
        {"kind": "hole", "diameter_mm": 9.5, "to_mm": 32.0},
        {"kind": "bore", "diameter": {"mm": 10.0, "tolerance_class": "H7"}, "to": 31.0},
        {"kind": "chamfer", "size_mm": 0.5},
        {"kind": "groove", "from_mm": 20.0, "to_mm": 22.0, "diameter": 16.5},
        {"kind": "part_off", "at_mm": 30.5},
        {"kind": "face", "set_up": 2, "length": {"mm": 30.0, "upper_mm": 0.0, "lower_mm": -0.1}},
        {"kind": "chamfer", "set_up": 2, "size_mm": 0.5},
        {"kind": "chamfer", "set_up": 2, "size_mm": 0.5, "where": "inside"},
    ],
    name="axle bush", set_ups=[{"out_mm": 45.0}, {"out_mm": 15.0}],
)  # fmt: skip
SPACER = part_of(
    [
        FACE,
        {"kind": "turned", "diameter": {"mm": 19.0, "upper_mm": 0.05, "lower_mm": -0.05}, "to": 20.0},
        {"kind": "hole", "diameter_mm": 12.0, "to_mm": 20.0},
        {"kind": "bore", "diameter": {"mm": 13.0, "tolerance_class": "H8"}, "to": 19.0},
        {"kind": "chamfer", "size_mm": 0.3, "where": "inside"},
        {"kind": "part_off", "at_mm": 15.5},
        {"kind": "face", "set_up": 2, "length": 15.0},
    ],
    name="spacer", material="aluminium alloy", bar={"diameter_mm": 20.0}, set_ups=[{"out_mm": 30.0}, {"out_mm": 5.0}],
)  # fmt: skip
PIN_FEATURES: list[Fields] = [
    FACE,
    {"kind": "turned", "diameter": {"mm": 6.0, "tolerance_class": "h7"}, "to": 40.0},
    {"kind": "turned", "diameter": 10.0, "to": 50.0},
    {"kind": "chamfer", "size_mm": 0.5},
    {"kind": "part_off", "at_mm": 52.0},
]
PIN_BAR: Fields = {"name": "axle pin", "material": "mild steel", "bar": {"diameter_mm": 12.0}}
PIN = part_of(PIN_FEATURES, **PIN_BAR, set_ups=[{"out_mm": 60.0}])
PIN_HELD = part_of(PIN_FEATURES, **PIN_BAR, set_ups=[{"out_mm": 60.0, "tailstock": True}])
CONE = part_of(
    [
        FACE,
        {"kind": "turned", "diameter": 22.0, "to": 25.0},
        {"kind": "taper", "from_mm": 0.0, "to_mm": 15.0, "diameter": 14.0, "end_diameter_mm": 20.0},
        {"kind": "groove", "from_mm": 18.0, "to_mm": 21.0, "diameter": 17.0},
        {"kind": "part_off", "at_mm": 30.0},
    ],
    name="cone", material="brass", set_ups=[{"out_mm": 40.0}],
)  # fmt: skip
NAMED = {part.name: part for part in (BUSH, SPACER, PIN, CONE)}


def blade(width_mm: float) -> Tool:
    return Tool(name=f"blade {width_mm:g}", kind="grooving", width_mm=width_mm)


# -- random ------------------------------------------------------------------------------------------------------------


def lengths(low: float, high: float) -> st.SearchStrategy[float]:
    """To the hundredth, as on a drawing."""
    return st.integers(round(low * 100), max(round(low * 100), round(high * 100))).map(
        lambda hundredths: hundredths / 100
    )


@st.composite
def _limited(draw: st.DrawFn, mm: float, classes: Sequence[str]) -> Fields:
    """A size without limits, or with a class or two deviations that hardly move it."""
    how = draw(st.sampled_from(("plain", "class", "deviations")))
    if how == "class" and classes:
        return {"mm": mm, "tolerance_class": draw(st.sampled_from(classes))}
    if how == "deviations":
        lower = draw(lengths(-0.1, 0.05))
        return {"mm": mm, "lower_mm": lower, "upper_mm": lower + draw(lengths(0.01, 0.1))}
    return {"mm": mm}


SHAFTS = ("h6", "h7", "h8", "h9", "g6", "js7")
HOLES = ("H7", "H8", "H9", "JS8")


@st.composite
def _outside(draw: st.DrawFn, bar: float, length: float, least: float) -> list[Fields]:
    """Diameters that grow towards the headstock; now and then a cone before them, a groove and broken edges."""
    count = draw(st.integers(0, 4))
    ends = sorted(
        draw(st.lists(lengths(4.0, length), min_size=count, max_size=count, unique_by=lambda z: round(z / 4)))
    )
    across = sorted(draw(st.lists(lengths(least + 1.0, bar - 0.5), min_size=count, max_size=count, unique_by=round)))
    pairs = [pair for pair, gap in zip(zip(ends, across, strict=True), [4.0, *_gaps(ends)], strict=False) if gap > 1.5]
    pairs = [pair for pair, gap in zip(pairs, [2.0, *_gaps([d for _, d in pairs])], strict=False) if gap > 0.5]
    found: list[Fields] = [
        {"kind": "turned", "diameter": draw(_limited(d, SHAFTS)), "to": draw(_limited(z, ()))} for z, d in pairs
    ]
    first = 0.0
    end, thick = pairs[0] if pairs else (length, bar)
    if draw(st.booleans()):
        first = draw(lengths(1.0, end - 1.0))
        thin = draw(lengths(least, thick - 0.8))
        wide = draw(lengths(thin + 0.3, thick - 0.3))
        found.append({"kind": "taper", "to_mm": first, "diameter": {"mm": thin}, "end_diameter_mm": wide})
    elif draw(st.booleans()):
        found.append({"kind": "chamfer", "size_mm": draw(lengths(0.2, 0.5))})
        first = 0.5
    if draw(st.booleans()) and end - first > 2.5:
        width = draw(st.integers(4, int(4 * min(6.0, end - first - 1.0)))) / 4
        start = draw(lengths(first + 0.3, end - width - 0.3))
        found.append({"kind": "groove", "from_mm": start, "to_mm": start + width,
                      "diameter": {"mm": draw(lengths(max(least - 0.5, thick - 6.0), thick - 0.7))}})  # fmt: skip
    found += [{"kind": "chamfer", "at_mm": z, "size_mm": 0.3} for (z, a), (_, b) in pairwise(pairs)
              if b - a > 1.2 and draw(st.booleans())]  # fmt: skip
    return found


def _gaps(values: Sequence[float]) -> list[float]:
    return [b - a for a, b in pairwise(values)]


@st.composite
def _inside(draw: st.DrawFn, length: float, most: float) -> list[Fields]:
    """A hole, a bore in it, one more from the face, a broken edge."""
    if most < 5.0 or not draw(st.booleans()):
        return []
    drill = draw(lengths(2.0, most - 2.0))
    deep = draw(lengths(5.0, length))
    found: list[Fields] = [{"kind": "hole", "diameter_mm": drill, "to_mm": deep}]
    if draw(st.booleans()):
        bore, end = draw(lengths(drill + 0.3, most - 1.0)), draw(lengths(3.0, deep - 1.0))
        found.append({"kind": "bore", "diameter": draw(_limited(bore, HOLES)), "to": draw(_limited(end, ()))})
        if bore < most - 0.7 and end > 2.5 and draw(st.booleans()):
            found.append({"kind": "bore", "diameter": {"mm": draw(lengths(bore + 0.4, most - 0.2))},
                          "to": {"mm": draw(lengths(1.0, end - 1.0))}})  # fmt: skip
    if draw(st.booleans()):
        found.append({"kind": "chamfer", "where": "inside", "size_mm": draw(lengths(0.1, 0.3))})
    return found


@st.composite
def valid_parts(draw: st.DrawFn) -> Part:
    """Parts that can be made as they are told, in one set-up or in two."""
    bar, length = draw(lengths(12.0, 40.0)), draw(lengths(12.0, 60.0))
    least = draw(lengths(5.0, bar - 3.0))
    features = [FACE, *draw(_outside(bar, length, least)), *draw(_inside(length + 2.0, least - 2.0))]
    set_ups: list[Fields] = [{"out_mm": length + 10.0, "sawn_mm": draw(lengths(0.0, 2.0))}]
    if draw(st.booleans()):
        features.append({"kind": "part_off", "at_mm": length + 0.5})
    if draw(st.booleans()):
        out = draw(lengths(2.0, length / 2))
        set_ups.append({"out_mm": out, "sawn_mm": 1.0})
        features.append({"kind": "face", "set_up": 2, "length": draw(_limited(length, ()))})
        turned = length - max((one["to"]["mm"] for one in features if one["kind"] == "turned"), default=0.0)
        if turned > 3.0 and out > 3.0 and draw(st.booleans()):
            end = draw(lengths(1.0, min(out, turned) - 1.0))
            features.append({"kind": "turned", "set_up": 2, "to": {"mm": end},
                             "diameter": draw(_limited(draw(lengths(least + 0.5, bar - 0.5)), SHAFTS))})  # fmt: skip
    return part_of(
        draw(st.permutations(features)), bar={"diameter_mm": bar}, set_ups=set_ups,
        material=draw(st.sampled_from(MATERIALS)), general_tolerance=draw(st.sampled_from("fmc")),
    )  # fmt: skip
