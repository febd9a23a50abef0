"""Parts that cannot be: each is told with the features it is about, numbers and a way out, and gets no plan."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from planning.parts import FACE, MATERIALS, NAMED, SHOP, SMALL_LATHE, Fields, part_of, valid_parts
from waytell.documents.config import Config, Machine, Tool
from waytell.documents.part import Part
from waytell.documents.plan import Contradiction
from waytell.planning.contradictions import contradictions
from waytell.planning.planner import Planner, Present, plan


def turned(mm: Any, to: Any, **more: Any) -> Fields:
    return {"kind": "turned", "diameter": mm, "to": to, **more}


def hole(mm: float, to: float, **more: Any) -> Fields:
    return {"kind": "hole", "diameter_mm": mm, "to_mm": to, **more}


def bore(mm: Any, to: Any, **more: Any) -> Fields:
    return {"kind": "bore", "diameter": mm, "to": to, **more}


def chamfer(size: float, at: float = 0.0, **more: Any) -> Fields:
    return {"kind": "chamfer", "size_mm": size, "at_mm": at, **more}


def groove(start: float, end: float, mm: Any, **more: Any) -> Fields:
    return {"kind": "groove", "from_mm": start, "to_mm": end, "diameter": mm, **more}


def taper(start: float, end: float, mm: float, end_mm: float) -> Fields:
    return {"kind": "taper", "from_mm": start, "to_mm": end, "diameter": mm, "end_diameter_mm": end_mm}


def off(at: float, **more: Any) -> Fields:
    return {"kind": "part_off", "at_mm": at, **more}


TWO = {"set_ups": [{"out_mm": 45.0}, {"out_mm": 10.0}]}
LONG = {"kind": "face", "set_up": 2, "length": 30.0}

# Features from 2 on (1 is the face); what is changed besides; numbers of those that are named; words; the way out.
TABLE: list[tuple[list[Fields], Fields, tuple[int, ...], tuple[str, ...], str]] = [
    # Alone.
    ([turned({"mm": 300.0, "tolerance_class": "h7"}, 20)], {}, (2,), ("turned 300", "250"), "upper_mm"),
    ([turned({"mm": 0.2}, 20)], {}, (2,), ("0.5",), "upper_mm"),
    ([turned({"mm": 0.4, "upper_mm": 0.0, "lower_mm": -0.5}, 20)], {}, (2,), ("below 0",), "limits"),
    ([turned({"mm": 0.0, "upper_mm": 0.2, "lower_mm": 0.0}, 20)], {}, (2,), ("no diameter",), "diameter"),
    ([turned(18.0, 5.0, from_mm=8.0)], {}, (2,), ("5", "8"), "further"),
    ([groove(10.0, 10.0, 16.0)], {}, (2,), ("10",), "further"),
    ([taper(0.0, 10.0, 14.0, 14.0)], {}, (2,), ("as thick",), "turned"),
    # The set-ups.
    ([FACE], {}, (1, 2), ("2 times",), "Leave one"),
    ([off(20), off(30)], {}, (2, 3), ("2 times",), "Leave one"),
    ([{**FACE, "set_up": 2}], TWO, (), ("length",), "Add a face"),
    ([{**LONG, "set_up": 1}], {}, (2, ), ("no length",), "set-up 2"),
    ([off(29.0), LONG], TWO, (2, 3), ("29", "30"), "30.5"),
    ([off(30.0), {**LONG, "length": {"mm": 30.0, "upper_mm": 0.2, "lower_mm": 0.0}}], TWO, (2, 3), ("30.1",), "30.6"),
    ([LONG], {"set_ups": [{"out_mm": 45.0}, {"out_mm": 30.0}]}, (), ("30 stand out",), "jaws"),
    ([LONG, off(12.0, set_up=2)], TWO, (3,), ("set-up 1",), "Move it"),
    ([], {"bar": {"diameter_mm": 20.0, "bore_mm": 20.0}}, (), ("20",), "Correct"),
    # Where they lie.
    ([turned(18.0, 46.0)], {}, (2,), ("46", "45"), "49"),
    ([groove(20.0, 31.0, 16.0), off(30.0)], {}, (2, 3), ("31", "30"), "31"),
    ([turned(18.0, 36.0, from_mm=31.0), off(30.0)], {}, (2, 3), ("31", "30"), "End it"),
    ([off(43.0)], {}, (2,), ("43", "3", "45"), "46"),
    ([chamfer(1.0, 44.5)], {}, (2,), ("45.5", "45"), "48.5"),
    # What is left of them.
    ([turned(24.0, 20.0)], {}, (2,), ("takes nothing off", "24"), "thicker bar"),
    ([turned(26.0, 20.0)], {}, (2,), ("takes nothing off", "24"), "thicker bar"),
    ([hole(5.0, 20.0)], {"bar": {"diameter_mm": 24.0, "bore_mm": 6.0}}, (2,), ("takes nothing off", "6"), "bore"),
    ([turned(18.0, 10.0), turned(16.0, 20.0)], {}, (2, 3), ("cut away", "turned 18"), "leave one"),
    ([turned(18.0, 20.0), groove(5.0, 8.0, 19.0)], {}, (2, 3), ("cut away", "groove 19"), "leave one"),
    ([turned(18.0, 20.0), turned(18.0, 12.0)], {}, (2, 3), ("cut away",), "leave one"),
    ([hole(8.0, 20.0), hole(8.0, 12.0)], {}, (2, 3), ("the same",), "Leave one"),
    ([hole(9.0, 20.0), bore(8.0, 12.0)], {}, (2, 3), ("cut away", "bored 8"), "leave one"),
    ([turned(16.0, 20.0, from_mm=10.0)], {}, (2,), ("behind", "24"), "groove"),
    ([turned(10.0, 5.0), turned(15.0, 30.0, from_mm=20.0)], {}, (3,), ("behind", "24"), "groove"),
    ([taper(5.0, 10.0, 22.0, 23.0), turned(16.0, 30.0, from_mm=15.0)], {}, (3,), ("behind", "24"), "groove"),
    # Inside.
    ([bore(10.0, 20.0)], {}, (2,), ("no hole", "20"), "20"),
    ([hole(8.0, 10.0), bore(10.0, 20.0)], {}, (3,), ("no hole", "20"), "20"),
    ([hole(25.0, 10.0)], {}, (2,), ("no wall",), "thicker bar"),
    ([hole(14.0, 20.0), turned(14.0, 10.0)], {}, (2, 3), ("no wall",), "Correct"),
    ([hole(10.0, 40.0), groove(20.0, 24.0, 9.0)], {}, (2, 3), ("no wall",), "Correct"),
    ([hole(10.0, 40.0), taper(0.0, 20.0, 9.0, 18.0)], {}, (2, 3), ("no wall",), "Correct"),
    # Edges.
    ([chamfer(0.5, 12.0)], {}, (2,), ("no edge", "12"), "begins"),
    ([chamfer(0.5, where="inside")], {}, (2,), ("no bore",), "Add"),
    ([turned(23.0, 10.0), chamfer(1.0, 10.0)], {}, (3,), ("0.5",), "0.5"),
    ([hole(22.0, 20.0), chamfer(1.5, where="inside")], {}, (3,), ("step of 1",), "1 or less"),
    ([turned(18.0, 20.0), turned(10.0, 19.5), chamfer(1.0, 19.5)], {}, (4,), ("longer",), "smaller"),
    ([chamfer(0.5), chamfer(0.4)], {}, (2, 3), ("same edge",), "Leave one"),
    ([hole(22.0, 20.0), chamfer(0.6), chamfer(0.6, where="inside")], {}, (3, 4), ("wall of 1",), "less than 1"),
]  # fmt: skip


@pytest.mark.parametrize(("features", "changes", "named", "words", "do"), TABLE)
def test_each_contradiction_names_its_features_with_numbers_and_a_way_out(
    features: list[Fields], changes: Fields, named: tuple[int, ...], words: tuple[str, ...], do: str
) -> None:
    found = contradictions(part_of([FACE, *features], **changes))
    told = [one for one in found if one.features == named and all(each in one.words for each in words)]
    assert told, [(one.features, one.words) for one in found]
    assert do in told[0].do
    assert told[0].words[0].isupper()


@pytest.mark.parametrize(("features", "changes"), [row[:2] for row in TABLE])
def test_what_contradicts_itself_gets_no_plan(features: list[Fields], changes: Fields) -> None:
    planned = plan(part_of([FACE, *features], **changes), SHOP)
    assert planned.plan is None
    assert planned.contradictions


# The neighbours of the table that can be made.
SOUND: list[tuple[list[Fields], Fields]] = [
    ([turned(18.0, 45.0)], {}),
    ([turned(18.0, 36.0), off(30.0)], {}),
    ([off(42.0)], {}),
    ([off(30.1), {**LONG, "length": {"mm": 30.0, "upper_mm": 0.2, "lower_mm": 0.0}}], TWO),
    ([turned(23.9, 20.0)], {}),
    ([hole(6.1, 20.0)], {"bar": {"diameter_mm": 24.0, "bore_mm": 6.0}}),
    ([bore(7.0, 20.0)], {"bar": {"diameter_mm": 24.0, "bore_mm": 6.0}}),
    ([turned(18.0, 20.0), turned(16.0, 10.0)], {}),
    ([turned(18.0, 20.0, from_mm=10.0), turned(16.0, 10.0)], {}),
    ([hole(8.0, 20.0), hole(9.0, 20.0), bore(10.0, 20.0)], {}),
    ([hole(10.0, 10.0), hole(8.0, 30.0), bore(9.0, 20.0), bore(11.0, 5.0)], {}),
    ([turned(23.0, 10.0), chamfer(0.5, 10.0)], {}),
    ([hole(22.0, 20.0), chamfer(0.4), chamfer(0.4, where="inside")], {}),
    ([taper(0.0, 20.0, 18.0, 22.0), groove(25.0, 28.0, 16.0), off(40.0)], {}),
]


@pytest.mark.parametrize(("features", "changes"), SOUND)
def test_their_neighbours_can_be_made(features: list[Fields], changes: Fields) -> None:
    planned = plan(part_of([FACE, *features], **changes), SHOP)
    assert planned.contradictions == ()
    assert planned.plan is not None


@pytest.mark.parametrize("part", NAMED.values(), ids=NAMED)
def test_named_parts_have_none(part: Part) -> None:
    assert contradictions(part) == ()


@settings(max_examples=80, deadline=None)
@given(valid_parts())
def test_random_parts_that_can_be_made_have_none(part: Part) -> None:
    assert contradictions(part) == ()


# -- of the lathe and the material -------------------------------------------------------------------------------------


def only(part: Part, config: Config) -> Contradiction:
    planned = plan(part, config)
    assert planned.plan is None
    (found,) = planned.contradictions
    return found


def test_an_unknown_material_names_those_there_are() -> None:
    found = only(part_of([FACE], material="unobtainium"), SHOP)
    assert "phosphor bronze" in found.words
    assert "your own" in found.do


def test_a_lathe_without_a_speed_that_the_chuck_bears_gets_no_plan() -> None:
    slow = SMALL_LATHE.model_copy(update={"chuck_max_rpm": 100.0})
    found = only(part_of([FACE]), Config(machine=slow))
    assert "chuck" in found.words
    assert "Correct" in found.do


@pytest.mark.parametrize("tools", [(), (Tool(name="brittle", deepest_mm=1e-4),)])
def test_passes_too_light_to_end_are_not_planned(tools: tuple[Tool, ...]) -> None:
    depth = 0.5 if tools else 1e-4
    found = only(part_of([FACE]), Config(machine=Machine(deepest_pass_mm=depth), tools=tools))
    # 12 mm of radius at a tenth of a micrometre.
    assert "120000 passes" in found.words
    assert "0.006 mm" in found.do


# -- whatever is typed -------------------------------------------------------------------------------------------------

ABSURD = st.sampled_from((0.0, 1e-12, 1e-6, 0.001, 0.5, 1.0, 4999.0, 5000.0))
PLACES = ABSURD | st.floats(0.0, 60.0)
ABOVE = PLACES.map(lambda mm: mm or 1e-9)
CLASSES = ("h7", "H8", "u13", "k5", "N9", "z99", "js5")
SIZES = (
    PLACES
    | st.fixed_dictionaries({"mm": PLACES, "tolerance_class": st.sampled_from(CLASSES)})
    | st.tuples(PLACES, st.floats(-5000, 5000), st.floats(1e-9, 100)).map(
        lambda mlu: {"mm": mlu[0], "lower_mm": mlu[1], "upper_mm": min(mlu[1] + mlu[2], 5000.0)}
    )
)  # fmt: skip
SET_UP = {"set_up": st.integers(1, 2)}
ANY_FEATURE = st.one_of(
    st.fixed_dictionaries({"kind": st.just("face"), "length": st.none() | SIZES, **SET_UP}),
    st.fixed_dictionaries({"kind": st.just("turned"), "diameter": SIZES, "from_mm": PLACES, "to": SIZES, **SET_UP}),
    st.fixed_dictionaries({"kind": st.just("hole"), "diameter_mm": ABOVE, "to_mm": ABOVE, **SET_UP}),
    st.fixed_dictionaries({"kind": st.just("bore"), "diameter": SIZES, "to": SIZES, **SET_UP}),
    st.fixed_dictionaries({"kind": st.just("taper"), "from_mm": PLACES, "to_mm": ABOVE, "diameter": SIZES,
                           "end_diameter_mm": PLACES, **SET_UP}),
    st.fixed_dictionaries({"kind": st.just("chamfer"), "where": st.sampled_from(("outside", "inside")),
                           "at_mm": PLACES, "size_mm": ABOVE, **SET_UP}),
    st.fixed_dictionaries({"kind": st.just("groove"), "from_mm": PLACES, "to_mm": ABOVE, "diameter": SIZES, **SET_UP}),
    st.fixed_dictionaries({"kind": st.just("part_off"), "at_mm": ABOVE, **SET_UP}),
)  # fmt: skip


@st.composite
def whatever(draw: st.DrawFn) -> Part:
    """Any document that is a part at all."""
    try:
        return Part.model_validate({
            "name": "absurd", "material": draw(st.sampled_from((*MATERIALS, "stone"))),
            "general_tolerance": draw(st.sampled_from("fmcv")),
            "bar": {"diameter_mm": draw(ABOVE), "bore_mm": draw(PLACES)},
            "set_ups": draw(st.lists(st.fixed_dictionaries(
                {"out_mm": ABOVE, "sawn_mm": PLACES, "tailstock": st.booleans()}), min_size=2, max_size=2)),
            "features": draw(st.lists(ANY_FEATURE, max_size=6)),
        })  # fmt: skip
    except ValidationError:
        return part_of([FACE])


@st.composite
def bent(draw: st.DrawFn) -> Part:
    """A part that can be made, with one number of one feature replaced: nearer to what people mistype."""
    part = draw(valid_parts()).model_dump(exclude_defaults=True)
    feature = draw(st.sampled_from(part["features"]))
    keys = [key for key, value in feature.items() if isinstance(value, float | dict)]
    if keys:
        key = draw(st.sampled_from(keys))
        new = draw(PLACES | st.sampled_from((-1e-9, 1e-9, 0.01, -0.01)).map(lambda d: _number(feature[key]) + d))
        feature[key] = {"mm": new} if isinstance(feature[key], dict) else new
    try:
        return Part.model_validate(part)
    except ValidationError:
        return part_of([FACE])


def _number(size: Any) -> float:
    return float(size["mm"] if isinstance(size, dict) else size)


def test_a_hole_as_deep_as_a_document_can_say_is_planned_all_the_same() -> None:
    made = plan(part_of([FACE, hole(8.0, 5000.0)]), SHOP).plan
    assert made is not None
    assert made.steps[-1].operation.end_mm == -5000.0


@settings(max_examples=150, deadline=None)
@given(whatever() | bent(), st.sampled_from((SHOP, Config(), Config(tools=()))))
def test_no_part_makes_the_planner_raise(part: Part, config: Config) -> None:
    planner = Planner(part, config)
    planned = planner.planned(None)
    assert (planned.plan is None) == bool(planned.contradictions)
    for target in planner.targets:
        assert planner.planned(Present(target.number, target.stock)).plan
        assert planner.planned(Present(target.number, target.target)).plan
    if planned.plan is not None:
        assert all(
            math.isfinite(one.time_s) and one.depth_mm >= 0 for step in planned.plan.steps for one in step.passes
        )
