"""Events into parts, sizes, batches and edges: what was taken back is left out, what is not known is null."""

from __future__ import annotations

from statistics import fmean, stdev

import pytest

from review.work import AFTER, BEFORE, PASS, TURNED, Journal
from waytell.documents.config import Units
from waytell.documents.review import Parts
from waytell.engine.verdict import verdict
from waytell.review.batches import parts_of
from waytell.review.passes import review_of, trace_of
from waytell.review.record import read


def parts(journal: Journal) -> Parts:
    return parts_of(read(journal.events))


def batch_of(sizes_mm: list[float]) -> Journal:
    journal = Journal()
    for size_mm in sizes_mm:
        journal.passed(TURNED)
        journal.measured(size_mm)
        journal.act("part_done", part="bush")
    return journal


def test_an_empty_record_has_no_parts() -> None:
    assert parts(Journal()) == Parts(parts=(), batches=(), edges=(), units=Units())


def test_passes_belong_to_the_part_that_was_being_made() -> None:
    journal = batch_of([8.99, 8.985])
    journal.passed(TURNED)
    found = parts(journal).parts
    assert [(part.number, part.done, part.passes) for part in found] == [
        (1, True, (1,)),
        (2, True, (2,)),
        (3, False, (3,)),
    ]


def test_a_part_done_that_was_taken_back_never_happened() -> None:
    journal = Journal()
    journal.passed(TURNED)
    done = journal.act("part_done", part="bush")
    journal.passed(TURNED, part=2)
    journal.act("undo", undoes=done)
    record = read(journal.events)
    assert [passed.part for passed in record.passes] == [1, 1]
    assert [(part.number, part.done) for part in parts_of(record).parts] == [(1, False)]


def test_a_measurement_and_a_set_up_that_were_taken_back_are_left_out() -> None:
    journal = Journal()
    journal.act("new_set_up", stock=None, note="")
    turned_round = journal.act("new_set_up", stock=None, note="")
    size = journal.measured(8.99)
    journal.act("undo", undoes=size)
    journal.act("undo", undoes=turned_round)
    journal.passed(TURNED, set_up=3)
    found = parts(journal).parts[0]
    assert found.sizes == ()
    assert found.set_ups == (1,)
    journal.act("new_set_up", stock=None, note="")
    journal.passed(TURNED)
    assert parts(journal).parts[0].set_ups == (1, 2)


def test_only_the_last_measurement_of_a_size_counts_and_the_first_stays_to_be_seen() -> None:
    journal = Journal()
    journal.measured(9.12)
    journal.measured(8.99)
    journal.act("part_done", part="bush")
    found = parts(journal)
    assert [(size.at_mm, size.counts) for size in found.parts[0].sizes] == [(9.12, False), (8.99, True)]
    assert found.batches[0].statistics[0].mean_mm == 8.99


def test_one_part_has_no_spread_and_says_so() -> None:
    found = parts(batch_of([8.99])).batches[0].statistics[0]
    assert (found.range_mm, found.s_mm, found.cp, found.cpk) == (None, None, None, None)
    assert found.words == "One part: no spread can be told yet."


def test_statistics_of_a_batch_equal_those_of_its_sizes() -> None:
    sizes = [8.991, 8.988, 8.993, 8.990, 8.987]
    found = parts(batch_of(sizes)).batches[0]
    assert found.parts == (1, 2, 3, 4, 5)
    one = found.statistics[0]
    assert one.mean_mm == pytest.approx(fmean(sizes))
    assert one.s_mm == pytest.approx(stdev(sizes))
    assert one.range_mm == pytest.approx(0.006)
    assert one.cp is not None
    # Limits 8.98 and 9.00: 0.02 over six standard deviations.
    assert one.cp.value == pytest.approx(0.02 / (6 * stdev(sizes)))
    assert "Not yet meaningful: below 50 parts" in one.words


def test_fifty_parts_are_enough_to_say_nothing_more() -> None:
    sizes = [8.99 + 0.001 * (n % 5 - 2) for n in range(50)]
    one = parts(batch_of(sizes)).batches[0].statistics[0]
    assert one.cp is not None
    assert one.cp.meaningful
    assert "Not yet" not in one.words


def test_limits_that_changed_give_no_capability() -> None:
    journal = batch_of([8.99, 8.991])
    journal.measured(8.99, low_mm=8.9)
    journal.act("part_done", part="bush")
    one = parts(journal).batches[0].statistics[0]
    assert (one.low_mm, one.high_mm, one.cp) == (None, None, None)
    assert "not the same for all parts" in one.words


def test_the_same_reading_each_time_is_no_capability_without_end() -> None:
    one = parts(batch_of([8.99, 8.99, 8.99])).batches[0].statistics[0]
    assert (one.s_mm, one.cp) == (0.0, None)
    assert "no capability can be told" in one.words


def test_parts_of_other_names_are_other_batches() -> None:
    journal = batch_of([8.99])
    journal.measured(8.99)
    journal.act("part_done", part="spacer")
    assert [batch.name for batch in parts(journal).batches] == ["bush", "spacer"]


def test_times_are_from_the_first_cut_to_the_word_done() -> None:
    journal = Journal()
    journal.passed(TURNED, duration_s=20.0, at_s=60)
    journal.passed(TURNED, duration_s=30.0, at_s=120)
    journal.passed(TURNED, role="air", duration_s=5.0, at_s=130)
    journal.act("part_done", part="bush", at_s=200)
    part = parts(journal).parts[0]
    assert (part.began, part.ended) == ("2031-05-04T10:00:40.000Z", "2031-05-04T10:03:20.000Z")
    assert (part.total_s, part.cutting_s) == (160.0, 50.0)


def test_volume_is_told_only_where_every_pass_tells_it() -> None:
    journal = Journal()
    journal.passed(TURNED, volume_mm3=100.0)
    journal.passed(TURNED, volume_mm3=50.0)
    assert parts(journal).parts[0].volume_mm3 == 150.0
    journal.passed(TURNED, volume_mm3=None)
    assert parts(journal).parts[0].volume_mm3 is None


def test_distance_of_an_edge_leaves_out_the_air_and_owns_up_to_passes_it_does_not_know() -> None:
    journal = Journal()
    journal.passed(cutting_distance_m=30.0)
    journal.passed(TURNED, cutting_distance_m=12.5)
    journal.passed(role="air", cutting_distance_m=500.0)
    journal.passed()
    journal.passed(tool="other tool")
    first, other = parts(journal).edges
    assert (first.distance_m, first.passes, first.untold) == (42.5, 3, 1)
    assert first.words == "42.5 m cut, and 1 more pass without a spindle speed."
    assert other.distance_m is None
    assert "not known" in other.words


def test_a_pass_of_an_old_journal_has_no_samples_and_says_so() -> None:
    journal = Journal()
    old = {name: value for name, value in PASS.items() if name not in ("part", "fed_by", "rpm", "area_mm2")}
    journal.add("pass_finished", {"pass": old})
    record = read(journal.events)
    found = review_of(record, record.passes[0])
    assert (found.samples, found.outline_after, found.shape, found.creep_um) == ((), (), None, ())
    assert "too few samples" in found.words
    assert trace_of(record, record.passes[0]).creep_um == ()


def test_a_pass_comes_with_its_outlines_and_why_it_is_doubted() -> None:
    journal = Journal()
    journal.passed(TURNED, doubts=["missed_edges"], samples=[], outline_before=BEFORE, outline_after=AFTER)
    record = read(journal.events)
    found = review_of(record, record.passes[0])
    assert [list(corner) for corner in found.outline_after] == AFTER
    assert found.doubted[0].words == "Edges of a scale were missed since it was touched off."
    assert parts_of(record).parts[0].doubtful == 1


# ISO 14253-1: within is proved inside the limits drawn in by U, outside beyond them by U, between nothing is proved.
VERDICTS = [
    (8.990, 0.005, 8.98, 9.0, "within"),
    (8.985, 0.005, 8.98, 9.0, "within"),
    (8.983, 0.005, 8.98, 9.0, "open"),
    (9.004, 0.005, 8.98, 9.0, "open"),
    (9.006, 0.005, 8.98, 9.0, "outside"),
    (8.950, 0.005, None, 9.0, "within"),
    (9.100, 0.005, 8.98, None, "within"),
    (8.999, 0.0, 8.98, 9.0, "reads_within"),
    (9.001, 0.0, 8.98, 9.0, "reads_outside"),
    (9.0, 0.005, None, None, "no_limits"),
]


@pytest.mark.parametrize(("at_mm", "u_mm", "low_mm", "high_mm", "says"), VERDICTS)
def test_a_size_is_judged_with_its_uncertainty(
    at_mm: float, u_mm: float, low_mm: float | None, high_mm: float | None, says: str
) -> None:
    assert verdict(at_mm, u_mm, low_mm, high_mm) == says
