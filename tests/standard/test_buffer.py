"""The buffer of observations against a list that never forgets, for any sequence of what is observed and asked."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from waytell.mtconnect.buffer import Buffer, Observation, OutOfRangeError

SEEN = st.lists(st.tuples(st.sampled_from("ab"), st.sampled_from("xz"), st.sampled_from("123")), max_size=60)


@given(SEEN, st.integers(1, 12), st.integers(1, 70), st.integers(1, 8), st.sampled_from(["a", "b", "ab"]))
def test_it_tells_what_a_list_would_tell(
    seen: list[tuple[str, str, str]], size: int, first: int, count: int, machines: str
) -> None:
    buffer = Buffer(size)
    all_of_it: list[Observation] = []
    newest: dict[tuple[str, str], str] = {}
    for machine, item, value in seen:
        buffer.add(machine, {item: value}, "t")
        if newest.get((machine, item)) != value:
            newest[machine, item] = value
            all_of_it.append(Observation(len(all_of_it) + 1, "t", machine, item, value))
    kept = all_of_it[-size:]
    assert buffer.next == len(all_of_it) + 1
    for machine in "ab":
        assert {one.item: one.value for one in buffer.current(machine)} == {
            item: value for (whose, item), value in newest.items() if whose == machine
        }
    oldest = kept[0].sequence if kept else buffer.next
    if not oldest <= first <= buffer.next:
        with pytest.raises(OutOfRangeError):
            buffer.sample(frozenset(machines), first, count)
        return
    wanted = [one for one in kept if one.sequence >= first and one.machine in machines]
    found, on_from = buffer.sample(frozenset(machines), first, count)
    assert found == wanted[:count]
    assert on_from == (wanted[count].sequence if len(wanted) > count else buffer.next)
