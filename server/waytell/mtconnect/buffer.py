"""The newest observations in their order, each with its number: what `sample` reads from. No I/O, no clock."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from typing import NamedTuple

from waytell.mtconnect.items import Value

SIZE = 16_384


class Observation(NamedTuple):
    sequence: int
    time: str
    """ISO 8601, UTC."""
    machine: str
    item: str
    value: Value


class OutOfRangeError(ValueError):
    """With the numbers that are there."""


class Buffer:
    def __init__(self, size: int = SIZE) -> None:
        self.size = size
        self._kept: deque[Observation] = deque(maxlen=size)
        self._newest: dict[tuple[str, str], Observation] = {}
        self.next = 1

    @property
    def first(self) -> int:
        return self._kept[0].sequence if self._kept else self.next

    @property
    def last(self) -> int:
        return self.next - 1

    def add(self, machine: str, values: Mapping[str, Value], time: str) -> None:
        """Those that have changed."""
        for item, value in values.items():
            before = self._newest.get((machine, item))
            if before is None or before.value != value:
                observed = Observation(self.next, time, machine, item, value)
                self._kept.append(observed)
                self._newest[machine, item] = observed
                self.next += 1

    def current(self, machine: str) -> list[Observation]:
        """The newest of each data item."""
        return [one for (whose, _), one in self._newest.items() if whose == machine]

    def sample(self, machines: frozenset[str], first: int, count: int) -> tuple[list[Observation], int]:
        """At most `count` from number `first` on, and the number to go on from.

        Raises:
            OutOfRangeError: `first` is not there any more, or not yet.
        """
        if not self.first <= first <= self.next:
            raise OutOfRangeError(f"'from' must be between {self.first} and {self.next}.")
        found: list[Observation] = []
        for one in self._kept:
            if one.sequence >= first and one.machine in machines:
                if len(found) == count:
                    return found, one.sequence
                found.append(one)
        return found, self.next
