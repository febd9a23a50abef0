"""Raw readings in the journal: read back by event or by time, pruned from the oldest on."""

from __future__ import annotations

import pytest
import sqlalchemy as sa

from journal.making import alike, another_program, block, event, readings
from waytell.journal import traces
from waytell.journal.schema import TRACES
from waytell.journal.store import Store
from waytell.journal.trace_block import encode
from waytell.journal.traces import Block, Pruning
from waytell.journal.trouble import JournalError

FOR_GOOD = "2999"


@pytest.fixture
def store(url: str) -> Store:
    return Store(url)


def numbers(url: str) -> list[int]:
    with another_program(url) as connection:
        return list(connection.execute(sa.select(TRACES.c.number).order_by(TRACES.c.number)).scalars())


def damage(url: str, number: int) -> None:
    with another_program(url) as connection:
        connection.execute(sa.update(TRACES).where(TRACES.c.number == number).values(data=b"\x01\x23"))


def test_the_tail_is_what_came_since_an_event_in_its_order(store: Store) -> None:
    store.append_blocks("lathe", [block(1, 0, 0.0), block(1, 3, 1.0), block(1, 3, 2.0), block(1, 4, 3.0)])
    assert alike(store.tail("lathe", 3), readings(1.0) + readings(2.0) + readings(3.0))
    assert alike(store.tail("lathe", 4), readings(3.0))
    assert store.tail("lathe", 5) == []
    assert len(store.tail("lathe", 0)) == 400


def test_the_tail_is_of_the_newest_start_and_of_this_machine(store: Store) -> None:
    store.append_blocks("lathe", [block(1, 2, 500.0), block(2, 2, 1.0)])
    store.append_blocks("another", [block(1, 2, 700.0)])
    assert alike(store.tail("lathe", 2), readings(1.0))
    assert store.new_run("lathe") == 3
    assert store.new_run("another") == 2
    assert store.new_run("third") == 1
    assert store.tail("third", 0) == []


def test_a_long_idle_time_is_not_all_looked_at_again(store: Store) -> None:
    minute = [block(1, 2, 60.0 * i, count=2) for i in range(60)]
    store.append_blocks("lathe", minute)
    tail = store.tail("lathe", 2)
    assert tail[-1].t_s == pytest.approx(59 * 60.0, abs=1)
    assert tail[0].t_s == pytest.approx(40 * 60.0, abs=60)


def test_the_tail_ends_where_a_block_is_damaged(store: Store, url: str) -> None:
    store.append_blocks("lathe", [block(1, 1, float(i)) for i in range(4)])
    damage(url, 2)
    assert alike(store.tail("lathe", 0), readings(2.0) + readings(3.0))


def test_a_time_in_between_is_read_back_whole(store: Store) -> None:
    kept = readings(10.0) + readings(10.4) + readings(10.8)
    store.append_blocks("lathe", [block(1, 1, 0.0), block(1, 1, 10.0), block(1, 1, 10.4), block(1, 2, 10.8)])
    store.append_blocks("lathe", [block(2, 2, 10.0)])
    for first, last in ((0, 299), (1, 298), (99, 100), (150, 150)):
        assert alike(store.trace("lathe", 1, kept[first].t_s, kept[last].t_s), kept[first : last + 1]), (first, last)
    assert store.trace("lathe", 1, 5.0, 6.0) == []
    assert store.trace("lathe", 3, 0.0, 99.0) == []


def test_reading_back_over_a_damaged_block_is_refused_in_words(store: Store, url: str) -> None:
    store.append_blocks("lathe", [block(1, 1, float(i)) for i in range(4)])
    damage(url, 2)
    with pytest.raises(JournalError, match="a block of readings cannot be read"):
        store.trace("lathe", 1, 0.0, 9.0)


def test_blocks_whose_storing_only_seemed_to_fail_are_not_doubled(store: Store, url: str) -> None:
    some = [block(1, 1, float(i)) for i in range(3)]
    store.append_blocks("lathe", some)
    store.append_blocks("lathe", some)
    store.append_blocks("lathe", [*some, block(1, 1, 9.0)])
    assert numbers(url) == [1, 2, 3, 4]
    assert alike(store.trace("lathe", 1, 0.0, 99.0), [r for t_s in (0.0, 1.0, 2.0, 9.0) for r in readings(t_s)])


def test_the_oldest_are_pruned_by_age(store: Store, url: str) -> None:
    days = [block(1, 1, float(day), wall=f"2026-01-{day:02}T00:00:00.000Z") for day in range(1, 11)]
    store.append_blocks("lathe", days)
    assert store.prune("lathe", Pruning(before_wall="2026-01-04T12:00:00.000Z")) == 4
    assert numbers(url) == [5, 6, 7, 8, 9, 10]


def test_the_oldest_are_pruned_by_size_and_counted_on(store: Store, url: str) -> None:
    size = len(block(1, 1, 0.0).data)
    store.append_blocks("lathe", [block(1, 1, float(i)) for i in range(10)])
    assert store.prune("lathe", Pruning(keep_bytes=3 * size + size // 2)) == 6
    assert store.prune("lathe", Pruning(keep_bytes=3 * size + size // 2)) == 0
    store.append_blocks("lathe", [block(1, 1, 20.0)])
    assert store.prune("lathe", Pruning(keep_bytes=3 * size + size // 2)) == 1
    assert numbers(url) == [8, 9, 10, 11]


def test_pruning_takes_a_little_at_a_time_and_never_the_newest_or_an_event(store: Store, url: str) -> None:
    store.append("lathe", [event(1)])
    store.append_blocks("lathe", [block(1, 1, float(i)) for i in range(10)])
    assert store.prune("lathe", Pruning(before_wall=FOR_GOOD), at_most=4) == 4
    assert store.prune("lathe", Pruning(before_wall=FOR_GOOD)) == 5
    assert store.prune("lathe", Pruning(before_wall=FOR_GOOD, keep_bytes=0)) == 0
    assert numbers(url) == [10]
    assert store.load("lathe") == [event(1)]
    assert store.prune("another", Pruning(before_wall=FOR_GOOD)) == 0


def test_a_start_looks_at_no_more_than_so_many_readings(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(traces, "TAIL_READINGS", 250)
    store.append_blocks("lathe", [block(1, 1, float(i)) for i in range(10)])
    assert alike(store.tail("lathe", 0), readings(7.0) + readings(8.0) + readings(9.0))


def test_where_nothing_moved_the_tail_has_ten_readings_a_second(store: Store) -> None:
    rest = [reading._replace(counts=(7, 8)) for reading in readings(1.0, 1000)]
    kept = [*readings(0.0, 100), *rest, *readings(5.0, 100)]
    for after, some in ((1, kept[:100]), (2, kept[100:600]), (2, kept[600:1100]), (3, kept[1100:])):
        store.append_blocks("lathe", [Block(1, after, "", some[0].t_s, some[-1].t_s, len(some), encode(some))])
    tail = store.tail("lathe", 1)
    assert alike([r for r in tail if r.counts != (7, 8)], kept[:100] + kept[1100:])
    times = [r.t_s for r in tail if r.counts == (7, 8)]
    assert 40 <= len(times) <= 44
    assert times[0] == rest[0].t_s
    assert times[-1] == pytest.approx(rest[-1].t_s)
    assert alike(store.trace("lathe", 1, 0.0, 9.0), kept), "all of them are there"
