"""The work in half section as a staircase: outer radius over Z, with exact corners.

A tool whose corner has been at (x, z) with its body outside and towards the free end leaves nothing beyond it: for
all Z above z the radius is at most x. That is all that straight facing and turning need; curved and inner outlines
are not known here. Lengths in mm in work coordinates, `ends` growing from the chuck to the free end.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import NamedTuple, Self

PIP_MM = 0.05  # what a tool set a little off centre leaves at the centre does not count as the face


class Section(NamedTuple):
    """Piece i reaches from ends[i - 1] (the chuck for the first) to ends[i] with radius radii[i]."""

    chuck_mm: float
    ends: tuple[float, ...]
    radii: tuple[float, ...]
    bore_radius_mm: float = 0.0

    @classmethod
    def bar(cls, radius_mm: float, length_mm: float, front_mm: float, bore_radius_mm: float = 0.0) -> Self:
        return cls(front_mm - length_mm, (front_mm,), (radius_mm,), bore_radius_mm)

    def radius_at(self, z_mm: float) -> float:
        """Outer radius just on the chuck side of Z; minus infinity beyond the free end."""
        index = bisect_left(self.ends, z_mm)
        return self.radii[index] if index < len(self.ends) else float("-inf")

    def face_at(self, radius_mm: float) -> float:
        """Z of the outermost face met at this radius; the chuck where there is no metal at it."""
        for end, radius in zip(reversed(self.ends), reversed(self.radii), strict=True):
            if radius >= radius_mm:
                return end
        return self.chuck_mm

    def largest_radius(self, low_mm: float, high_mm: float) -> float:
        """Largest outer radius between two places along Z; minus infinity where there is no metal."""
        start = self.chuck_mm
        largest = float("-inf")
        for end, radius in zip(self.ends, self.radii, strict=True):
            if end > low_mm and start < high_mm:
                largest = max(largest, radius)
            start = end
        return largest

    def typical_radius(self, low_mm: float, high_mm: float) -> float:
        """Median outer radius along Z between two places; minus infinity where there is no metal half way."""
        parts: list[tuple[float, float]] = []
        start = self.chuck_mm
        for end, radius in zip(self.ends, self.radii, strict=True):
            if end > low_mm and start < high_mm:
                parts.append((radius, min(end, high_mm) - max(start, low_mm)))
            start = end
        missing = (high_mm - low_mm) - sum(length for _, length in parts)
        parts.append((float("-inf"), missing))
        half, so_far = (high_mm - low_mm) / 2, 0.0
        for radius, length in sorted(parts):
            so_far += length
            if so_far > half:
                return radius
        return max(parts)[0]

    def touches(self, x_mm: float, z_mm: float, band_mm: float) -> bool:
        """Whether a tool corner at (x, z) cuts or rubs within a band around the outline."""
        return self.radius_at(z_mm - band_mm) >= x_mm - band_mm

    def cut(self, x_mm: float, z_mm: float) -> Section:
        """The section after a tool corner has been at (x, z)."""
        clean = x_mm <= self.bore_radius_mm + PIP_MM
        pieces: list[tuple[float, float]] = []
        start = self.chuck_mm
        for end, radius in zip(self.ends, self.radii, strict=True):
            if end <= z_mm or radius <= x_mm:
                pieces.append((end, radius))
            else:
                if start < z_mm:
                    pieces.append((z_mm, radius))
                if not clean:
                    pieces.append((end, x_mm))
            start = end
        return self._from_pieces(pieces)

    def shifted(self, dx_mm: float, dz_mm: float, stock_radius_mm: float) -> Section:
        """The same metal in moved coordinates; the bar's own surface was not cut, so its radius stays."""
        radii = tuple(r if r >= stock_radius_mm else max(0.0, r + dx_mm) for r in self.radii)
        return Section(self.chuck_mm + dz_mm, tuple(z + dz_mm for z in self.ends), radii, self.bore_radius_mm)

    def corners(self) -> tuple[tuple[float, float], ...]:
        """(Z, radius) corners from the chuck to the free end."""
        out: list[tuple[float, float]] = []
        start = self.chuck_mm
        for end, radius in zip(self.ends, self.radii, strict=True):
            out += [(start, radius), (end, radius)]
            start = end
        return tuple(out)

    def _from_pieces(self, pieces: list[tuple[float, float]]) -> Section:
        merged: list[tuple[float, float]] = []
        for end, radius in pieces:
            if merged and merged[-1][1] == radius:
                merged[-1] = (end, radius)
            else:
                merged.append((end, radius))
        ends, radii = zip(*merged, strict=True) if merged else ((self.chuck_mm,), (0.0,))
        return self._replace(ends=tuple(ends), radii=tuple(radii))
