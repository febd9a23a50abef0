"""What follows from acts and passes: datums, tool offsets, set-ups, undo, and the same again from the journal."""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.lathe import FACING, PARTS, STOCK, TURNING, Lathe, configured, hello, restored
from waytell.documents.state import LiveState
from waytell.engine.happening import ActRefused
from waytell.engine.known import UNDOABLE, Known
from waytell.engine.live_state import Outside, build


def test_touching_off_says_where_the_tool_stands_and_a_shim_keeps_it_off() -> None:
    lathe = Lathe()
    lathe.touch("X", 12.0)
    assert lathe.position("X") == pytest.approx(12.0)
    lathe.touch("Z", 0.0, how="shim", shim_mm=0.1)
    assert lathe.position("Z") == pytest.approx(0.1)
    lathe.to(z=lathe.z_mm - 0.1)
    assert lathe.position("Z") == pytest.approx(0.0, abs=1e-9)


def test_a_datum_tells_how_and_with_what_it_was_set() -> None:
    lathe = Lathe()
    lathe.engine.label = "2026-01-01T10:00:00Z"
    lathe.touch("Z", 0.0, how="shim", shim_mm=0.1)
    axis = next(one for one in lathe.state().axes if one.axis == "Z")
    assert axis.referenced_by == "over a 0.1 mm shim with one, 2026-01-01T10:00:00Z"


def test_a_second_tool_that_touches_the_same_surface_learns_its_offset() -> None:
    lathe = Lathe()
    lathe.touch("X", 12.0)
    lathe.act("choose_tool", tool="two")
    lathe.to(x=lathe.x_mm - 1.5)
    lathe.touch("X", 12.0)
    assert lathe.position("X") == pytest.approx(12.0)
    lathe.act("choose_tool", tool="one")
    assert lathe.position("X") == pytest.approx(10.5)
    lathe.touch("X", 10.4)
    lathe.act("choose_tool", tool="two")
    assert lathe.position("X") == pytest.approx(11.9), "the reference tool moves the datum, and all tools with it"


def test_a_tool_offset_outlives_the_set_up_so_one_touch_serves_both_tools() -> None:
    lathe = Lathe()
    lathe.touch("Z", 0.0)
    lathe.act("choose_tool", tool="two")
    lathe.touch("Z", 0.7)
    lathe.act("new_set_up", stock=STOCK)
    assert lathe.reasons("Z") == ("not_referenced",)
    lathe.touch("Z", 0.0)
    lathe.act("choose_tool", tool="one")
    assert lathe.position("Z") == pytest.approx(-0.7)


def test_a_new_set_up_voids_z_and_keeps_x() -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    lathe.act("new_set_up", stock=STOCK, note="turned round")
    assert lathe.reasons("X") == ()
    assert lathe.reasons("Z") == ("not_referenced",)
    assert lathe.state().operation is None


def test_changed_scales_void_the_datums_they_served_and_no_other() -> None:
    lathe = Lathe()
    lathe.set_up_work()
    parts = configured().model_dump(mode="json")
    parts["scales"][0]["resolution_um"] = 10.0
    lathe.act("use_config", config=parts)
    assert lathe.reasons("X") == ("not_referenced",)
    assert lathe.reasons("Z") == ()


def test_tool_and_work_are_tied_by_a_datum_and_the_tool_s_offset_together() -> None:
    lathe = Lathe()
    assert not lathe.engine.known.tied("Z")
    lathe.touch("Z", 0.0)
    assert lathe.engine.known.tied("Z")
    lathe.act("choose_tool", tool="two")
    assert not lathe.engine.known.tied("Z"), "it has not touched"
    lathe.act("choose_tool", tool="one")
    lathe.act("new_set_up", stock=STOCK)
    assert not lathe.engine.known.tied("Z"), "the work was moved"


def turned(lathe: Lathe, x: float = 11.5) -> None:
    lathe.set_up_work(TURNING)
    lathe.to(x=x, speed=20)
    lathe.rest(0.3)
    lathe.to(z=-8.0)
    lathe.to(x=14.0, speed=20)
    lathe.to(z=5.0, speed=20)


def faced(lathe: Lathe) -> None:
    lathe.to(z=-0.3, speed=20)
    lathe.rest(0.3)
    lathe.to(x=0.0)
    lathe.rest(0.3)
    lathe.to(z=5.0, speed=20)


def test_a_measured_size_is_taken_where_the_last_pass_was_cut_though_the_tool_is_elsewhere() -> None:
    lathe = Lathe()
    turned(lathe)
    before = lathe.position("X")
    lathe.touch("X", 11.47, how="measured", where="last_pass")
    assert lathe.position("X") == pytest.approx(before - 0.03, abs=1e-6)
    assert lathe.state().work.outline[-1][1] == pytest.approx(11.47, abs=1e-6), "the surface is where it was measured"
    assert lathe.state().work.outline[0][1] == 12.0, "the bar's own size did not change"


# The bar was said to be 24 mm thick, its end at 0.
@pytest.mark.parametrize(
    ("axis", "at_mm", "how", "ends_at_mm"),
    [
        ("X", 12.4, "touch", 12.4), ("X", 13.4, "touch", 13.4), ("X", 13.6, "touch", 12.0), ("X", 11.9, "touch", 12.0),
        ("X", 11.9, "measured", 11.9), ("X", 10.6, "measured", 10.6), ("X", 10.4, "measured", 12.0),
        ("Z", 1.4, "touch", 1.4), ("Z", 1.6, "touch", 0.0), ("Z", -1.4, "touch", -1.4), ("Z", -1.6, "touch", 0.0),
    ],
)  # fmt: skip
def test_what_is_touched_first_tells_where_the_bar_ends_unless_it_is_another_surface(
    axis: Any, at_mm: float, how: str, ends_at_mm: float
) -> None:
    lathe = Lathe()
    lathe.act("new_set_up", stock=STOCK)
    lathe.touch(axis, at_mm, how=how)
    section = lathe.engine.known.section
    assert section is not None
    assert (section.outside.r[0] if axis == "X" else section.front_mm) == ends_at_mm
    assert section.chuck_mm == -40.0
    assert section.bore.r[0] == 0.0


def test_metal_stays_where_it_is_when_an_axis_is_touched_off_anew() -> None:
    lathe = Lathe()
    turned(lathe)

    def outline() -> tuple[float, float, float]:
        section = lathe.engine.known.section
        assert section is not None
        return round(section.radius_at(-4.0), 6), section.radius_at(-20.0), round(section.front_mm, 6)

    assert outline() == (11.5, 12.0, 0.0)
    lathe.touch("X", lathe.position("X") + 0.3)
    assert outline() == (11.8, 12.0, 0.0)
    lathe.touch("Z", lathe.position("Z") - 1.0)
    assert outline() == (11.8, 12.0, -1.0)


def test_by_a_tool_with_an_offset_metal_stays_where_it_is_as_well() -> None:
    lathe = Lathe()
    lathe.touch("X", 12.0)
    lathe.act("choose_tool", tool="two")
    lathe.to(x=lathe.x_mm - 1.5)
    lathe.touch("X", 12.0)
    assert lathe.engine.known.offset_mm("X") == pytest.approx(1.5)
    lathe.feed(hello("B2", lathe.t_s, kept=False))
    lathe.report((0, 0))
    lathe.x_mm = lathe.z_mm = 0.0
    lathe.act("new_set_up", stock=STOCK)
    lathe.touch("X", 16.0)
    lathe.touch("Z", 6.0)
    lathe.act("choose_operation", operation=TURNING)
    x_mm, z_mm = lathe.x_mm - 16.0, lathe.z_mm - 6.0
    lathe.to(x=x_mm + 11.5, speed=20)
    lathe.rest(0.3)
    lathe.to(z=z_mm - 8.0)
    lathe.to(x=x_mm + 14.0, speed=20)
    lathe.to(z=z_mm + 5.0, speed=20)
    lathe.touch("X", lathe.position("X") + 0.3)
    section = lathe.engine.known.section
    assert section is not None
    assert lathe.engine.known.offset_mm("X") == pytest.approx(1.5)
    assert section.radius_at(-4.0) == pytest.approx(11.8, abs=0.006)


def test_once_something_is_turned_a_touch_no_longer_tells_where_the_bar_ends() -> None:
    lathe = Lathe()
    turned(lathe)
    lathe.to(x=12.3, speed=20)
    lathe.touch("X", 12.2)
    section = lathe.engine.known.section
    assert section is not None
    assert (section.radius_at(-4.0), section.radius_at(-20.0)) == pytest.approx((11.4, 12.0), abs=1e-6)


def test_what_was_put_in_the_chuck_is_as_it_was_told() -> None:
    lathe = Lathe()
    lathe.act("use_part", part=PART)
    lathe.act("new_set_up", of_part=1, stock=STOCK, outline=OUTLINE)
    lathe.touch("X", 9.3)
    section = lathe.engine.known.section
    assert section is not None
    assert (section.radius_at(-4.0), section.radius_at(-20.0)) == pytest.approx((9.0, 12.0))


def test_where_counts_were_lost_touching_off_does_not_move_the_metal() -> None:
    lathe = Lathe()
    turned(lathe)
    lathe.feed(hello("B2", lathe.t_s, kept=False))
    lathe.report((0, 0))
    lathe.touch("X", 14.0)
    section = lathe.engine.known.section
    assert section is not None
    assert section.radius_at(-4.0) == pytest.approx(11.5, abs=1e-6)


def test_a_bar_is_as_thick_long_and_hollow_as_it_was_told() -> None:
    lathe = Lathe()
    lathe.act("new_set_up", stock=STOCK | {"diameter_mm": 20.0, "length_mm": 35.0, "front_mm": 1.0, "bore_mm": 10.0})
    section = lathe.engine.known.section
    assert section is not None
    assert (section.radius_at(-5.0), section.bore_at(-5.0)) == (10.0, 5.0)
    assert (section.front_mm, section.chuck_mm) == (1.0, -34.0)


def test_touched_off_along_z_sizes_from_the_zero_before_are_let_go_of() -> None:
    lathe = Lathe()
    lathe.set_up_work(FACING)
    faced(lathe)
    lathe.act("measured", operation=FACING["name"], axis="Z", at_mm=-0.3)
    assert [one.axis for one in lathe.engine.known.sizes.seen] == ["Z"]
    lathe.touch("Z", lathe.position("Z"))
    assert lathe.engine.known.sizes.seen == []


def test_each_time_work_is_put_in_the_chuck_it_is_another_set_up() -> None:
    lathe = Lathe()
    numbers = []
    for _ in range(3):
        lathe.act("new_set_up", stock=STOCK)
        numbers.append(lathe.engine.known.set_up)
    assert numbers == [1, 2, 3]


def test_what_a_pass_left_is_what_its_path_was() -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    lathe.to(x=11.5, speed=20)
    lathe.rest(0.3)
    lathe.to(z=-8.0, sway=lambda share: 0.0 if share < 0.7 else 0.2)
    lathe.to(x=14.0, speed=20)
    lathe.to(z=5.0, speed=20)
    section = lathe.engine.known.section
    assert section is not None
    assert (section.radius_at(-1.0), section.radius_at(-6.0)) == pytest.approx((11.5, 11.7), abs=0.006)


def test_a_history_older_than_paths_cut_straight() -> None:
    lathe = Lathe()
    turned(lathe)
    lathe.act("choose_operation", operation=FACING)
    faced(lathe)
    older = [one._replace(body={k: v for k, v in one.body.items() if k != "path"}) for one in lathe.events]
    section = Known.of(older).section
    assert [one.kind for one in lathe.passes] == ["turning", "facing"]
    assert section is not None
    assert (section.radius_at(-4.0), section.front_mm) == pytest.approx((11.5, -0.3), abs=0.003)
    assert section.radius_at(-9.0) == 12.0


QUILL = {"channel": 2, "slide": "tailstock", "resolution_um": 10.0}
TOOLS = [{"name": "one"}, {"name": "two"}, {"name": "drill", "kind": "drill", "diameter_mm": 8.0}]


def with_quill(**more: Any) -> Any:
    return configured(scales=[*PARTS["scales"], QUILL | more], tools=TOOLS)


def drill_touched(lathe: Lathe) -> None:
    """The drill's own datum, put aside once the first tool is in use again."""
    lathe.act("choose_tool", tool="drill")
    lathe.touch("Z", 0.0)
    lathe.act("choose_tool", tool="one")


def drill_is_known(lathe: Lathe) -> bool:
    lathe.act("choose_tool", tool="drill")
    return "not_referenced" not in lathe.reasons("Z")


def find_and_use(lathe: Lathe, slide: str, um: float) -> None:
    """A check of a known distance finds what a count really is, and figures go by it."""
    check = {"kind": "distance", "slide": slide, "length_mm": 10.0}
    lathe.act("begin_check", check=check)
    gives = {"slide": slide, "resolution_um": um}
    lathe.act("finish_check", proof={"check": check, "verdict": "good", "words": "Found.", "gives": gives})
    lathe.act("use_proof", proof=1)


def test_a_drill_stands_on_the_centre_line_and_nothing_else_does() -> None:
    lathe = Lathe(with_quill())
    stands = [lathe.engine.known.on_centre(axis) for axis in ("X", "Z")]
    lathe.act("choose_tool", tool="drill")
    stands += [lathe.engine.known.on_centre(axis) for axis in ("X", "Z")]
    assert stands == [False, False, True, False]


@pytest.mark.parametrize(("um", "known"), [(10.0, True), (20.0, False)])
@pytest.mark.parametrize("by", ["configuration", "check"])
def test_the_drill_s_datum_that_was_put_aside_is_void_with_another_scale_on_the_quill(
    by: str, um: float, known: bool
) -> None:
    lathe = Lathe(with_quill())
    lathe.touch_both()
    drill_touched(lathe)
    if by == "check":
        find_and_use(lathe, "tailstock", um)
    else:
        lathe.act("use_config", config=with_quill(resolution_um=um).model_dump(mode="json"))
    assert lathe.reasons("X") == lathe.reasons("Z") == ()
    assert drill_is_known(lathe) is known


@pytest.mark.parametrize(("um", "known"), [(5.0, True), (5.04, True), (10.0, False)])
def test_with_what_a_count_was_found_to_be_datum_and_offsets_are_void_unless_it_is_nearly_the_same(
    um: float, known: bool
) -> None:
    lathe = Lathe(configured(tools=TOOLS))
    lathe.touch_both()
    lathe.act("choose_tool", tool="two")
    lathe.touch("X", 13.0)
    lathe.touch("Z", 1.0)
    find_and_use(lathe, "cross", um)
    assert ("not_referenced" not in lathe.reasons("X")) is known
    assert lathe.reasons("Z") == ()
    lathe.act("choose_tool", tool="one")
    lathe.touch("X", 12.0)
    lathe.act("choose_tool", tool="two")
    assert ("not_referenced" not in lathe.reasons("X")) is known, "how the tools differ was counted in the old way"


def test_depth_and_target_of_the_operation_under_way_can_be_changed() -> None:
    lathe = Lathe()
    lathe.set_up_work(TURNING)
    lathe.act("set_depth", depth_mm=0.35)
    lathe.act("set_target", target_mm=10.2)
    operation = lathe.engine.known.operation
    assert operation is not None
    assert (operation.depth_mm, operation.target_mm, operation.end_mm) == (0.35, 10.2, -8.0)
    with pytest.raises(ActRefused):
        Lathe().act("set_depth", depth_mm=0.35)


def test_set_ups_parts_and_passes_are_numbered_from_one() -> None:
    known = Known()
    assert (known.set_up, known.part, known.drawing_set_up) == (1, 1, 0)
    assert (known.passes, known.passes_in_set_up, known.passes_in_operation, known.wound_in_mm) == (0, 0, 0, 0.0)
    lathe = Lathe()
    turned(lathe)
    known = lathe.engine.known
    assert (known.set_up, known.drawing_set_up, known.passes, known.passes_in_set_up, known.passes_in_operation) == (
        1,
        0,
        1,
        1,
        1,
    )
    lathe.act("choose_operation", operation=TURNING | {"name": "again"})
    lathe.act("part_done")
    known = lathe.engine.known
    assert (known.part, known.passes_in_set_up, known.passes_in_operation) == (2, 1, 0)
    lathe.act("new_set_up", stock=STOCK)
    known = lathe.engine.known
    assert (known.set_up, known.passes, known.passes_in_set_up) == (2, 1, 0)


@pytest.mark.parametrize(
    ("act", "fields", "words"),
    [
        ("touch_off", {"axis": "X", "at_mm": 1.0, "where": "last_pass"}, "No pass was turned"),
        ("choose_tool", {"tool": "spoon"}, "no tool called spoon"),
        ("set_target", {"target_mm": 5.0}, "No operation"),
        ("set_depth", {"depth_mm": 0.5}, "No operation"),
    ],
)
def test_an_act_that_makes_no_sense_is_refused_and_changes_nothing(act: str, fields: Any, words: str) -> None:
    lathe = Lathe()
    before = lathe.state()
    with pytest.raises(ActRefused, match=words) as refusal:
        lathe.act(act, **fields)
    assert refusal.value.do
    assert lathe.state() == before


def test_touching_off_on_readings_that_are_not_live_is_refused() -> None:
    lathe = Lathe()
    lathe.engine.tick(lathe.t_s + 5)
    with pytest.raises(ActRefused, match="not live"):
        lathe.touch("X", 12.0)


def test_undo_with_nothing_to_undo_is_refused() -> None:
    lathe = Lathe()
    lathe.act("undo")
    with pytest.raises(ActRefused, match="nothing to undo"):
        lathe.act("undo")


def test_what_was_wound_on_the_compound_stays_when_its_angle_is_changed() -> None:
    lathe = Lathe(configured(compound={"angle_deg": 0.0}))
    lathe.set_up_work()
    lathe.act("compound_wound", wound_in_mm=5.0)
    before = (lathe.position("X"), lathe.position("Z"))
    lathe.act("use_config", config=configured(compound={"angle_deg": 30.0}).model_dump(mode="json"))
    assert (lathe.position("X"), lathe.position("Z")) == pytest.approx(before)
    lathe.act("compound_wound", wound_in_mm=1.0)
    assert lathe.position("X") == pytest.approx(before[0] - 0.5)


def test_what_was_wound_on_the_compound_since_is_no_difference_of_two_tools() -> None:
    lathe = Lathe(configured(compound={"angle_deg": 30.0}))
    lathe.touch("X", 12.0)
    lathe.act("compound_wound", wound_in_mm=1.0)
    assert lathe.position("X") == pytest.approx(11.5)
    lathe.act("choose_tool", tool="two")
    lathe.touch("X", 12.0)
    assert lathe.position("X") == pytest.approx(12.0)


def test_tool_offsets_measured_with_another_resolution_are_void() -> None:
    lathe = Lathe()
    lathe.touch("X", 12.0)
    lathe.act("choose_tool", tool="two")
    lathe.touch("X", 13.0)
    parts = configured().model_dump(mode="json")
    parts["scales"][0]["resolution_um"] = 10.0
    lathe.act("use_config", config=parts)
    lathe.act("choose_tool", tool="one")
    lathe.touch("X", 12.0)
    lathe.act("choose_tool", tool="two")
    assert lathe.reasons("X") == ("not_referenced",)


PART = {"name": "spacer", "material": "aluminium", "bar": {"diameter_mm": 24.0}, "set_ups": [{"out_mm": 30.0}]}
OUTLINE = {"outside": [[-30.0, 12.0], [-10.0, 12.0], [-10.0, 9.0], [1.0, 9.0]], "bore": [[-30.0, 0.0], [1.0, 0.0]]}

STOOD = {"counts": [5, 7], "spread_counts": [0, 1], "readings": 20, "way": [1, 0], "boot": "A1", "missed": {}}
MAPPED = {
    "check": {"kind": "map", "slide": "cross"}, "verdict": "good", "words": "It is straight.",
    "gives": {
        "slide": "cross", "channel": 0, "zero_counts": 5, "map": {"at_mm": [0.0, 5.0], "add_mm": [0.0, 0.01]},
        "trust": [{"name": "map", "standard_um": 2.0, "degrees": 4}],
    },
}  # fmt: skip

ACTS: list[tuple[str, dict[str, Any]]] = [
    ("new_set_up", {"stock": STOCK}),
    ("new_set_up", {}),
    ("choose_tool", {"tool": "one"}),
    ("choose_tool", {"tool": "round"}),
    ("touch_off", {"axis": "X", "at_mm": 12.0}),
    ("touch_off", {"axis": "X", "at_mm": 9.5, "how": "shim", "shim_mm": 0.05}),
    ("touch_off", {"axis": "Z", "at_mm": 0.0}),
    ("choose_operation", {"operation": FACING}),
    ("choose_operation", {"operation": TURNING}),
    ("set_target", {"target_mm": 7.0}),
    ("set_depth", {"depth_mm": 0.2}),
    ("compound_wound", {"wound_in_mm": 0.1}),
    ("clamp", {"axis": "Z", "held": True}),
    ("clamp", {"axis": "Z", "held": False}),
    ("confirm_positions", {}),
    ("choose_units", {"units": {"length": "inch", "x_as": "radius"}}),
    ("measured", {"operation": "turn the seat", "axis": "X", "at_mm": 11.003}),
    ("part_done", {}),
    ("answer", {"to": "cautions", "yes": True}),
    ("answer", {"to": "face_clean", "yes": False}),
    ("answer", {"to": "advance", "yes": False}),
    ("use_part", {"part": PART}),
    ("new_set_up", {"of_part": 1, "stock": STOCK, "outline": OUTLINE}),
    ("drilled", {"diameter_mm": 5.0, "to_mm": -6.0}),
    ("begin_check", {"check": {"kind": "map", "slide": "cross"}}),
    ("capture", {"says_mm": 1.0, "stood": STOOD}),
    ("leave_out", {"capture": 1}),
    ("finish_check", {"proof": MAPPED}),
    ("give_up_check", {}),
    ("use_proof", {"proof": 1}),
    ("at_stop", {"slide": "cross"}),
]


def told(lathe: Lathe) -> dict[str, Any]:
    """All of the state that acts decide."""
    state = lathe.state().model_dump(exclude={"events", "t_s", "guide", "hold"})
    known = lathe.engine.known
    return state | {
        "clamped": {axis: held for axis, held in known.clamped.items() if held},
        "answers": asdict(known.answers),
    }


def test_every_kind_of_act_that_can_be_undone_is_tried_below() -> None:
    assert {name for name, _ in ACTS} | {"use_config"} == UNDOABLE


@given(st.lists(st.sampled_from(ACTS), max_size=10), st.sampled_from(ACTS), st.floats(-3, 3))
def test_undo_restores_exactly_what_was_before(before: list[tuple[str, Any]], act: tuple[str, Any], by: float) -> None:
    lathe = Lathe()
    for name, fields in before:
        try_act(lathe, name, fields)
        lathe.to(x=lathe.x_mm + by / 7, speed=50)
    # Wound back, so that no stroke is under way: an act would end it, and undo does not take a pass back.
    lathe.to(x=lathe.x_mm + 1.0, speed=50)
    lathe.rest(2.5)
    was = told(lathe)
    if try_act(lathe, *act):
        lathe.act("undo")
    assert told(lathe) == was


@given(st.lists(st.one_of(st.sampled_from(ACTS), st.just(("undo", {}))), max_size=15))
def test_a_history_with_undo_is_the_history_without_what_was_undone(acts: list[tuple[str, Any]]) -> None:
    lathe = Lathe()
    kept: list[int] = [lathe.events[0].number]
    for name, fields in acts:
        if try_act(lathe, name, fields):
            if name == "undo":
                kept.pop()
            else:
                kept.append(lathe.events[-1].number)
    history = lathe.engine.history
    holes = {one.number - 1 for one in history if one.kind == "act" and one.body["act"]["act"] == "drilled"}
    stand = {*kept, *(one.number for one in history if one.kind != "act" and one.number not in holes)}
    stand |= {number - 1 for number in kept} & holes
    plain = Known.of(one for one in history if one.number in stand)
    # The number of a pass that was taken back is not given again.
    assert replace(plain, numbered=lathe.engine.known.numbered) == lathe.engine.known


@given(st.lists(st.one_of(st.sampled_from(ACTS), st.just(("undo", {}))), max_size=12))
def test_the_journal_alone_gives_the_same_state(acts: list[tuple[str, Any]]) -> None:
    lathe = Lathe()
    turned(lathe)
    for name, fields in acts:
        try_act(lathe, name, fields)
    lathe.step()
    again = restored(lathe.engine.history)
    assert again.known.last_pass is None or again.known.last_pass.passed == lathe.state().last_pass
    assert document(again, lathe) == document(lathe.engine, lathe)


def document(engine: Any, lathe: Lathe) -> dict[str, Any]:
    """The state without readings, which a journal does not hold."""
    state: LiveState = build(engine, Outside("lathe", 1, None, None))
    kept = {"units", "tool", "work", "operation", "passes", "last_pass", "undo", "events"}
    assert lathe.engine.history == engine.history
    return state.model_dump(include=kept)


def try_act(lathe: Lathe, name: str, fields: dict[str, Any]) -> bool:
    try:
        lathe.act(name, **fields)
    except ActRefused:
        return False
    return True
