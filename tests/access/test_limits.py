"""How often an address may ask: against the bound that a token bucket keeps, for any times at all.

Published source: the token bucket of RFC 2697, section 3 (from memory): in any span of T seconds no more than
burst + rate * T are let through.
"""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from waytell.access.limits import MOST_ADDRESSES, Limit


@given(
    st.floats(0.1, 50.0), st.integers(1, 20),
    st.lists(st.floats(0.0, 3.0), min_size=1, max_size=120),
)  # fmt: skip
def test_no_span_lets_more_through_than_a_token_bucket(per_s: float, burst: int, waits_s: list[float]) -> None:
    limit, now_s, let_through = Limit(per_s, burst), 0.0, []
    for wait_s in waits_s:
        now_s += wait_s
        if limit.wait_s("a", now_s) == 0:
            let_through.append(now_s)
    for first in range(len(let_through)):
        for last in range(first, len(let_through)):
            span_s = let_through[last] - let_through[first]
            assert last - first + 1 <= burst + per_s * span_s + 1e-6


@given(st.floats(0.1, 50.0), st.integers(1, 20))
def test_whoever_waits_as_long_as_told_is_let_through(per_s: float, burst: int) -> None:
    limit = Limit(per_s, burst)
    for _ in range(burst):
        assert limit.wait_s("a", 0.0) == 0
    wait_s = limit.wait_s("a", 0.0)
    assert wait_s > 0
    assert limit.wait_s("b", 0.0) == 0, "another address is not held up"
    assert limit.wait_s("a", wait_s * 1.000001) == 0


def test_whoever_asks_from_many_addresses_takes_no_more_memory() -> None:
    limit = Limit(1.0, 1)
    for number in range(3 * MOST_ADDRESSES):
        limit.wait_s(str(number), 0.0)
    assert len(limit._left) == MOST_ADDRESSES
