"""A height over Z as a chain of straight pieces with exact corners: the work's outside, its bore, the edge of a tool.

Corners lie in order of Z; two at the same Z are a step. Lengths in mm. `lower` cuts away what lies above another
chain, in time proportional to the part of the chain that is met.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from typing import NamedTuple

SAME_MM = 1e-9
Corner = tuple[float, float]
Piece = tuple[float, float, float, float, float, float]
"""(z0, a0, b0, z1, a1, b1): two chains that are both straight from z0 to z1."""


class Profile(NamedTuple):
    """`z[i]`, `r[i]` is corner i, `z` never falling."""

    z: tuple[float, ...]
    r: tuple[float, ...]

    @classmethod
    def of(cls, corners: list[Corner]) -> Profile:
        kept = _without_idle(corners)
        return cls(tuple(z for z, _ in kept), tuple(r for _, r in kept))

    @classmethod
    def level(cls, low_mm: float, high_mm: float, height_mm: float) -> Profile:
        return cls((low_mm, high_mm), (height_mm, height_mm))

    def corners(self) -> tuple[Corner, ...]:
        return tuple(zip(self.z, self.r, strict=True))

    def before(self, z_mm: float) -> float:
        """Height just below a Z; minus infinity where the chain does not reach."""
        index = bisect_left(self.z, z_mm)
        if index == 0 or index == len(self.z):
            return float("-inf")
        return self._between(index, z_mm)

    def after(self, z_mm: float) -> float:
        """Height just above a Z; minus infinity where the chain does not reach."""
        index = bisect_right(self.z, z_mm)
        if index == 0 or index == len(self.z):
            return float("-inf")
        return self._between(index, z_mm)

    def _between(self, index: int, z_mm: float) -> float:
        z0, z1, r0, r1 = self.z[index - 1], self.z[index], self.r[index - 1], self.r[index]
        return r0 + (r1 - r0) * (z_mm - z0) / (z1 - z0)

    def within(self, low_mm: float, high_mm: float) -> Iterator[tuple[float, float, float, float]]:
        """Pieces (z0, r0, z1, r1) between two places, cut there."""
        z, r = self.z, self.r
        for i in range(max(1, bisect_right(z, low_mm)), len(z)):
            if z[i - 1] >= high_mm:
                return
            z0, z1 = max(z[i - 1], low_mm), min(z[i], high_mm)
            if z1 > z0:
                slope = (r[i] - r[i - 1]) / (z[i] - z[i - 1])
                yield z0, r[i - 1] + slope * (z0 - z[i - 1]), z1, r[i - 1] + slope * (z1 - z[i - 1])

    def lower(self, cut: list[Corner]) -> Profile:
        """The lower of both where `cut` reaches; its ends are walls upwards.

        Nothing changes where the chain is lower already.
        """
        low, high = max(cut[0][0], self.z[0]), min(cut[-1][0], self.z[-1])
        if high <= low:
            return self
        first, last = bisect_left(self.z, low), bisect_right(self.z, high)
        head, tail = max(0, first - 1), last + 1
        # Corners at the very ends of the cut belong to what stands outside it.
        left = list(zip(self.z[head:first], self.r[head:first], strict=True))
        if low > self.z[0]:
            left.append((low, self.before(low)))
        right = list(zip(self.z[last:tail], self.r[last:tail], strict=True))
        if high < self.z[-1]:
            right.insert(0, (high, self.after(high)))
        middle = _lower_of(self, Profile(tuple(z for z, _ in cut), tuple(r for _, r in cut)), low, high)
        changed = _without_idle([*left, *middle, *right])
        return Profile(
            self.z[:head] + tuple(z for z, _ in changed) + self.z[tail:],
            self.r[:head] + tuple(r for _, r in changed) + self.r[tail:],
        )

    def upper(self, cut: list[Corner]) -> Profile:
        """The higher of both where `cut` reaches; its ends are walls downwards."""
        return self.negative().lower([(z, -r) for z, r in cut]).negative()

    def negative(self) -> Profile:
        return Profile(self.z, tuple(-r for r in self.r))

    def up_to(self, z_mm: float) -> Profile:
        """The chain without what lies beyond a Z."""
        if z_mm >= self.z[-1]:
            return self
        index = bisect_left(self.z, z_mm)
        if index == 0:
            return Profile((z_mm, z_mm), (self.r[0], self.r[0]))
        return Profile((*self.z[:index], z_mm), (*self.r[:index], self._between(index, z_mm)))

    def largest(self, low_mm: float, high_mm: float) -> float:
        """Largest height between two places; minus infinity where the chain does not reach."""
        return max((max(r0, r1) for _, r0, _, r1 in self.within(low_mm, high_mm)), default=float("-inf"))

    def shifted(self, dz_mm: float, dr_mm: float = 0.0) -> Profile:
        return Profile(tuple(z + dz_mm for z in self.z), tuple(r + dr_mm for r in self.r))


def together(a: Profile, b: Profile, low: float, high: float) -> Iterator[Piece]:
    """Pieces over which both chains are straight, between two places."""
    pieces_a, pieces_b = list(a.within(low, high)), list(b.within(low, high))
    i = j = 0
    while i < len(pieces_a) and j < len(pieces_b):
        pa, pb = pieces_a[i], pieces_b[j]
        z0, z1 = max(pa[0], pb[0]), min(pa[2], pb[2])
        if z1 > z0:
            yield z0, _on(pa, z0), _on(pb, z0), z1, _on(pa, z1), _on(pb, z1)
        if pa[2] <= pb[2]:
            i += 1
        if pb[2] <= pa[2]:
            j += 1


def _on(piece: tuple[float, float, float, float], z: float) -> float:
    z0, r0, z1, r1 = piece
    return r0 + (r1 - r0) * (z - z0) / (z1 - z0)


def _lower_of(a: Profile, b: Profile, low: float, high: float) -> Iterator[Corner]:
    """The lower of two chains, with the corners where they cross."""
    for z0, a0, b0, z1, a1, b1 in together(a, b, low, high):
        yield z0, min(a0, b0)
        if (a0 - b0) * (a1 - b1) < 0:
            share = (a0 - b0) / ((a0 - b0) - (a1 - b1))
            yield z0 + share * (z1 - z0), a0 + share * (a1 - a0)
        yield z1, min(a1, b1)


def _without_idle(corners: list[Corner]) -> list[Corner]:
    """Corners that change nothing left out."""
    out: list[Corner] = []
    for corner in corners:
        if out and abs(corner[0] - out[-1][0]) < SAME_MM and abs(corner[1] - out[-1][1]) < SAME_MM:
            continue
        if len(out) > 1 and _straight(out[-2], out[-1], corner):
            out[-1] = corner
        else:
            out.append(corner)
    return out


def _straight(a: Corner, b: Corner, c: Corner) -> bool:
    """Whether b lies on the line from a to c, between them."""
    area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    forward = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1])
    return abs(area) < SAME_MM * (abs(c[0] - a[0]) + abs(c[1] - a[1])) and forward >= 0


def simplified(corners: list[Corner], within_mm: float) -> list[Corner]:
    """Fewer corners, none of those left out further from the chain than `within_mm` (Douglas and Peucker 1973)."""
    if len(corners) < 3:
        return list(corners)
    keep = {0, len(corners) - 1}
    todo = [(0, len(corners) - 1)]
    while todo:
        first, last = todo.pop()
        far, at = within_mm, None
        for index in range(first + 1, last):
            distance = _off_line(corners[first], corners[last], corners[index])
            if distance > far:
                far, at = distance, index
        if at is not None:
            keep.add(at)
            todo += [(first, at), (at, last)]
    return [corners[index] for index in sorted(keep)]


def _off_line(a: Corner, b: Corner, p: Corner) -> float:
    """Distance of a point from a piece of line."""
    dz, dr = b[0] - a[0], b[1] - a[1]
    length = dz * dz + dr * dr
    share = 0.0 if length == 0 else max(0.0, min(1.0, ((p[0] - a[0]) * dz + (p[1] - a[1]) * dr) / length))
    return float(((p[0] - a[0] - share * dz) ** 2 + (p[1] - a[1] - share * dr) ** 2) ** 0.5)
