"""Days put together by lot, and always exactly the true passes. `TURNERS_DAYS=400` lives through more of them."""

from __future__ import annotations

import os

import pytest

from turners.day import Day, bench_of
from turners.judge import judge

DAYS = int(os.environ.get("TURNERS_DAYS", "12"))


# Days on which drawing the held slide back was once told as creep.
ONCE_WRONG = (315, 432)


@pytest.mark.parametrize("seed", [*range(DAYS), *ONCE_WRONG])
def test_a_day_put_together_by_lot(seed: int) -> None:
    day = Day(seed)
    day.lives()
    print(*day.told, sep="\n")
    judge(day.turner, bench_of(seed))
