"""No doubtful figure is ever shown as good, and each doubt goes when, and only when, its cause is dealt with."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.lathe import FACING, PARTS, Lathe, configured, hello, link
from waytell.documents.state import GoodFigure
from waytell.engine.doubt import Doubts
from waytell.engine.happening import ActRefused
from waytell_bridge.reading import LinkCondition, MissedEdges


def ready() -> Lathe:
    lathe = Lathe()
    lathe.set_up_work(FACING)
    lathe.rest(0.1)
    assert lathe.reasons("X") == lathe.reasons("Z") == ()
    return lathe


@pytest.mark.parametrize(
    ("rate_hz", "good_s", "stale_s"), [(250, 0.14, 0.16), (1000, 0.14, 0.16), (10, 0.29, 0.31), (1, 2.9, 3.1)]
)
def test_readings_are_stale_after_150_ms_or_three_periods(rate_hz: int, good_s: float, stale_s: float) -> None:
    lathe = Lathe(rate_hz=rate_hz)
    lathe.set_up_work()
    last_s = lathe.t_s
    lathe.engine.tick(last_s + good_s)
    assert lathe.reasons("X") == ()
    lathe.engine.tick(last_s + stale_s)
    assert lathe.reasons("X") == ("stale",)
    lathe.step()
    assert lathe.reasons("X") == ()


def test_a_board_that_says_it_reports_never_is_given_three_seconds() -> None:
    doubts = Doubts()
    doubts.heard_hello(hello(rate_hz=0))
    for age_s, stale in ((2.9, False), (3.1, True)):
        doubts.note_age(age_s, age_s)
        assert doubts.stale is stale


def test_readings_that_come_and_are_old_are_told_from_none() -> None:
    lathe = ready()

    def doubted() -> list[str]:
        return [one.words for one in lathe.state().doubts]

    for came_s, words in ((0.1, []), (0.2, ["Readings come late."]), (0.1, [])):
        lathe.step()
        lathe.engine.note_age(lathe.t_s + came_s, came=True)
        assert doubted() == words
    lathe.step()
    lathe.engine.note_age(lathe.t_s + 0.2, came=True)
    lathe.engine.tick(lathe.t_s + 0.34)
    assert doubted() == ["Readings come late."], "the next of them is still on its way"
    lathe.engine.tick(lathe.t_s + 0.36)
    assert doubted() == ["The readings have stopped."]


@pytest.mark.parametrize(
    ("condition", "code"),
    [
        (LinkCondition.LOST, "link_lost"),
        (LinkCondition.UNREADABLE, "unreadable"),
        (LinkCondition.ENDED, "ended"),
        (LinkCondition.SILENT, "stale"),
        (LinkCondition.LATE, "late"),
    ],
)
def test_a_bad_link_is_a_doubt_in_its_own_words(condition: LinkCondition, code: str) -> None:
    lathe = ready()
    lathe.feed(link(condition, lathe.t_s))
    assert code in lathe.reasons("X")
    assert not isinstance(lathe.state().to_go, GoodFigure)
    assert any(alarm.code == "doubt" for alarm in lathe.state().alarms)


def test_no_board_no_figure() -> None:
    assert Lathe(greet=False).reasons("X")[0] == "no_board"


def test_no_scale_no_figure() -> None:
    lathe = Lathe(configured(scales=[{"channel": 0, "slide": "cross", "resolution_um": 5.0}]))
    assert lathe.reasons("Z") == ("no_scale",)


def test_a_scale_set_up_later_that_the_board_has_not_is_told() -> None:
    lathe = Lathe(configured(scales=[PARTS["scales"][0]]))
    lathe.report((0,))
    lathe.act("use_config", config=configured().model_dump(mode="json"))
    lathe.report((0,))
    assert lathe.reasons("X")[0] == lathe.reasons("Z")[0] == "fewer_scales"
    lathe.report((0, 0))
    assert "fewer_scales" not in (*lathe.reasons("X"), *lathe.reasons("Z"))


def test_a_board_with_fewer_scales_than_are_set_up_is_told() -> None:
    lathe = ready()
    lathe.report((4000,))
    assert lathe.reasons("X")[0] == lathe.reasons("Z")[0] == "fewer_scales"
    lathe.step()
    assert lathe.reasons("X") == ()


def test_a_restart_with_lost_counts_stays_doubtful_until_each_axis_is_touched_off() -> None:
    lathe = ready()
    lathe.feed(hello("B2", lathe.t_s, kept=False))
    lathe.report((0, 0))
    assert "board_restarted" in lathe.reasons("X")
    assert "jump" not in lathe.reasons("X"), "one cause, one reason"
    lathe.touch("X", 12.0)
    assert lathe.reasons("X") == ()
    assert "board_restarted" in lathe.reasons("Z")


def test_a_restart_with_kept_counts_is_doubtful_until_confirmed_and_then_right() -> None:
    lathe = ready()
    before = lathe.position("X")
    lathe.feed(hello("B2", lathe.t_s, kept=True))
    lathe.step()
    assert lathe.reasons("X") == ("board_restarted",)
    lathe.act("confirm_positions")
    assert lathe.position("X") == before


def test_lost_counts_cannot_be_confirmed_not_even_after_a_later_start_that_kept_them() -> None:
    lathe = ready()
    for boot, kept in (("B2", False), ("B3", True)):
        lathe.feed(hello(boot, lathe.t_s, kept=kept))
        lathe.report((0, 0))
        with pytest.raises(ActRefused):
            lathe.act("confirm_positions")
    lathe.touch("X", 12.0)
    lathe.touch("Z", 1.0)
    lathe.feed(hello("B4", lathe.t_s, kept=True))
    lathe.report((0, 0))
    lathe.act("confirm_positions")
    assert lathe.reasons("X") == ()


def test_a_link_that_comes_back_is_doubtful_until_the_board_has_said_who_it_is() -> None:
    lathe = ready()
    lathe.feed(link(LinkCondition.LOST, lathe.t_s), link(LinkCondition.OPENING, lathe.t_s))
    lathe.feed(link(LinkCondition.LIVE, lathe.t_s))
    lathe.step()
    assert "board_restarted" in lathe.reasons("X")
    lathe.feed(hello("A1", lathe.t_s))
    lathe.step()
    assert lathe.reasons("X") == ()


def test_missed_edges_count_from_the_datum_on() -> None:
    lathe = Lathe()
    lathe.feed(MissedEdges(lathe.t_s, 0, 7))
    lathe.set_up_work()
    assert lathe.reasons("X") == (), "edges missed before the datum do not matter to it"
    lathe.feed(MissedEdges(lathe.t_s, 0, 8))
    assert lathe.reasons("X") == ("missed_edges",)
    assert lathe.reasons("Z") == (), "the other scale missed none"
    lathe.touch("X", 12.0)
    assert lathe.reasons("X") == ()


def test_the_flag_of_a_reading_speaks_before_the_total_comes() -> None:
    lathe = ready()
    lathe.flags = 1
    lathe.step()
    assert lathe.reasons("X") == ("missed_edges",)
    assert lathe.reasons("Z") == ()


def test_a_jump_that_no_hand_can_wind_stays_doubtful_until_touched_off() -> None:
    lathe = ready()
    lathe.x_mm += 5.0
    lathe.rest(2.0)
    assert lathe.reasons("X") == ("jump",)
    assert lathe.reasons("Z") == ()
    lathe.touch("X", 12.0)
    assert lathe.reasons("X") == ()


def test_a_board_that_says_again_who_it_is_takes_no_doubt_away() -> None:
    lathe = ready()
    lathe.x_mm += 5.0
    lathe.rest(2.0)
    lathe.feed(MissedEdges(lathe.t_s, 1, 3), hello("A1", lathe.t_s))
    lathe.step()
    assert (lathe.reasons("X"), lathe.reasons("Z")) == (("jump",), ("missed_edges",))


def test_a_board_that_restarted_counts_its_missed_edges_anew() -> None:
    lathe = ready()
    lathe.feed(MissedEdges(lathe.t_s, 0, 7), hello("B2", lathe.t_s, kept=True))
    lathe.step()
    lathe.act("confirm_positions")
    assert lathe.reasons("X") == ()
    lathe.feed(MissedEdges(lathe.t_s, 0, 1))
    assert lathe.reasons("X") == ("missed_edges",)


def test_touched_off_where_it_jumped_to_the_way_back_is_another_jump() -> None:
    lathe = ready()
    lathe.x_mm += 5.0
    lathe.step()
    lathe.touch("X", 12.0)
    assert lathe.reasons("X") == ()
    lathe.x_mm -= 5.0
    lathe.step()
    assert lathe.reasons("X") == ("jump",)


def test_one_wild_reading_that_comes_straight_back_is_forgiven() -> None:
    lathe = ready()
    lathe.x_mm += 5.0
    lathe.step()
    assert lathe.reasons("X") == ("jump",), "while it stands, it is doubted"
    lathe.x_mm -= 5.0
    lathe.step()
    assert lathe.reasons("X") == ()


# Of 1000 counts a twentieth is 50; a coarse scale has three counts.
@pytest.mark.parametrize(
    ("resolution_um", "jumped", "back_to", "forgiven"),
    [(5.0, 1000, 50, True), (5.0, 1000, -50, True), (5.0, 1000, 52, False), (5.0, -1000, -52, False),
     (100.0, 50, 3, True), (100.0, 50, 4, False)],
)  # fmt: skip
def test_it_is_forgiven_where_it_comes_back_as_near_as_a_twentieth_or_three_counts(
    resolution_um: float, jumped: int, back_to: int, forgiven: bool
) -> None:
    scales = [PARTS["scales"][0] | {"resolution_um": resolution_um}, PARTS["scales"][1]]
    lathe = Lathe(configured(scales=scales))
    lathe.set_up_work()
    x, z = lathe.counted()
    for counts in (x + jumped, x + back_to):
        lathe.t_s += 0.004
        lathe.report((counts, z))
    assert ("jump" in lathe.reasons("X")) is not forgiven


@pytest.mark.parametrize(("total", "reasons"), [(0, ()), (1, ("missed_edges",))])
def test_the_first_missed_edge_counts(total: int, reasons: tuple[str, ...]) -> None:
    lathe = ready()
    lathe.feed(MissedEdges(lathe.t_s, 0, total))
    assert lathe.reasons("X") == reasons


def test_of_each_doubt_it_is_told_what_the_link_says_only_where_that_is_the_link_s() -> None:
    lathe = Lathe()
    lathe.feed(link(LinkCondition.LOST, lathe.t_s))
    assert [one.words for one in lathe.state().doubts] == ["The link is lost.", "Not touched off yet."]
    lathe.feed(link(LinkCondition.LATE, lathe.t_s))
    assert lathe.state().doubts[0].words == "The link is late."


def test_faster_than_the_board_can_count_is_doubted_without_a_flag() -> None:
    lathe = ready()
    lathe.feed(hello("A1", lathe.t_s, max_edges_s=10_000))
    lathe.to(x=lathe.x_mm - 1.0, speed=45)
    assert lathe.reasons("X") == ()
    lathe.to(x=lathe.x_mm - 2.0, speed=80)
    assert lathe.reasons("X") == ("too_fast",)


@pytest.mark.parametrize("start", [(1 << 31) - 100, -(1 << 31) + 100])
def test_the_wrap_of_a_count_is_no_jump(start: int) -> None:
    lathe = Lathe(greet=False)
    lathe.feed(link(), hello())
    way = 1 if start > 0 else -1
    for step in range(60):
        lathe.t_s += 0.004
        count = (start + way * 4 * step + (1 << 31)) % (1 << 32) - (1 << 31)
        lathe.report((count, 0))
        if step == 0:
            lathe.set_up_work()
    assert lathe.reasons("X") == ()
    assert lathe.position("X") == pytest.approx(20.0 + way * 59 * 4 * 0.005)


def test_a_tool_that_has_not_touched_is_doubtful_though_another_has() -> None:
    lathe = ready()
    lathe.act("choose_tool", tool="two")
    assert lathe.reasons("X") == ("not_referenced",)
    lathe.touch("X", 15.0)
    assert lathe.reasons("X") == ()
    lathe.act("choose_tool", tool="one")
    assert lathe.position("X") == pytest.approx(20.0)


CAUSES: dict[str, Callable[[Lathe], object]] = {
    "lost": lambda lathe: lathe.feed(link(LinkCondition.LOST, lathe.t_s)),
    "opening": lambda lathe: lathe.feed(link(LinkCondition.OPENING, lathe.t_s)),
    "live": lambda lathe: lathe.feed(link(LinkCondition.LIVE, lathe.t_s)),
    "hello": lambda lathe: lathe.feed(hello("A1", lathe.t_s)),
    "restart": lambda lathe: lathe.feed(hello("B2", lathe.t_s)),
    "kept": lambda lathe: lathe.feed(hello("C3", lathe.t_s, kept=True)),
    "missed": lambda lathe: lathe.feed(MissedEdges(lathe.t_s, 0, 3)),
    "silence": lambda lathe: lathe.engine.tick(lathe.t_s + 1.0),
    "step": lambda lathe: lathe.step(),
    "tool": lambda lathe: lathe.act("choose_tool", tool="two"),
    "set-up": lambda lathe: lathe.act("new_set_up"),
}


@given(st.lists(st.sampled_from(sorted(CAUSES)), max_size=12))
def test_a_figure_is_good_only_while_nothing_speaks_against_it(causes: list[str]) -> None:
    lathe = ready()
    link_good, fresh, referenced, counted, known_board = True, True, True, True, True
    boot, datum_boot = "A1", "A1"
    for cause in causes:
        CAUSES[cause](lathe)
        if cause in ("lost", "opening"):
            known_board = False
        link_good = {"lost": False, "live": True, "opening": True}.get(cause, link_good)
        fresh = {"silence": False, "step": True}.get(cause, fresh)
        if cause in ("hello", "restart", "kept"):
            boot = {"hello": "A1", "restart": "B2", "kept": "C3"}[cause]
            known_board = True
        counted = False if cause == "missed" else counted
        referenced = False if cause == "tool" else referenced
    state = lathe.state()
    x = next(axis.position for axis in state.axes if axis.axis == "X")
    if isinstance(x, GoodFigure):
        assert link_good
        assert fresh
        assert referenced
        assert known_board
        assert boot == datum_boot
        assert counted or any(cause in ("restart", "kept") for cause in causes)
    if state.to_go is not None and isinstance(state.to_go, GoodFigure):
        assert isinstance(x, GoodFigure), "what follows from a position is no better than it"
