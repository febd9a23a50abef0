"""The metal that is really there: a bar in the chuck, sawn off crooked, running out of true, then cut.

Held in a few sectors around the axis, each with its face as height over radius and its outside as radius over Z.
Both are exact along the direction in which they are cut (a face in Z, a diameter in radius); only where one ends and
the next begins is rounded to `CELL_MM`. Work runs from the jaws at Z = -length towards +Z; X is a radius.

Not simulated: the helix a feed leaves, burrs, the pip that a blunt corner leaves, metal torn out instead of cut.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from random import Random

    from waytell_bridge.simulated.settings import StockSettings

CELL_MM = 0.05
SECTORS = 6
# How far behind its point the edge still works when the point has moved on.
EDGE_MM = 0.2
NEAR_MM = 0.01
"""Closer than this the tool rubs, or a person hears that it is about to."""


class Stock:
    def __init__(self, settings: StockSettings, chance: Random) -> None:
        self.settings = settings
        radius = (settings.diameter_mm + settings.diameter_error_mm) / 2
        turn = chance.uniform(0, 2 * math.pi)
        self._floor_mm = -settings.length_mm
        angles = [2 * math.pi * sector / SECTORS for sector in range(SECTORS)]
        # An off-centre circle shows, to first order, as one wave a turn on its radius.
        bar = [radius + settings.run_out_mm / 2 * math.cos(angle - turn) for angle in angles]
        tilt, wave, phase = settings.saw_tilt_mm, settings.saw_wave_mm, chance.uniform(0, 6.28)
        cells = math.ceil((radius + settings.run_out_mm) / CELL_MM) + 1
        self._face: list[list[float]] = []
        for angle, rim in zip(angles, bar, strict=True):
            heights = [
                tilt / 2 * r / radius * math.cos(angle) + wave / 2 * math.sin(phase + 9 * r / radius + 2 * angle)
                for r in (CELL_MM * (i + 0.5) for i in range(cells))
            ]
            self._face.append([h if CELL_MM * i < rim else self._floor_mm for i, h in enumerate(heights)])
        top = max(max(face) for face in self._face)
        self._raw_low_mm = min(
            h for face, rim in zip(self._face, bar, strict=True) for i, h in enumerate(face) if CELL_MM * i < rim
        )
        self._outside = [[rim] * (math.ceil((top - self._floor_mm) / CELL_MM) + 1) for rim in bar]

    def _column(self, x_mm: float) -> int:
        return min(max(int(x_mm / CELL_MM), 0), len(self._face[0]) - 1)

    def _row(self, z_mm: float) -> int:
        return min(max(int((z_mm - self._floor_mm) / CELL_MM), 0), len(self._outside[0]) - 1)

    def clear_of(self, x_mm: float, z_mm: float) -> bool:
        """Surely no contact: a quick answer for the many steps in the open."""
        return x_mm > CELL_MM * len(self._face[0]) or z_mm > self._floor_mm + CELL_MM * len(self._outside[0])

    def ahead(self, x_mm: float, z_mm: float, step_x_mm: float, step_z_mm: float) -> list[tuple[float, float]]:
        """For each sector, how deep a tool point at (x, z) stands in the metal that it meets next, along X and Z."""
        # A cell is cut once the point has left it, so the one the point is in still shows the metal being met;
        # on the way back it is the next one.
        column = self._column(x_mm + (CELL_MM if step_x_mm > 0 else 0.0))
        row = self._row(z_mm + (CELL_MM if step_z_mm > 0 else 0.0))
        return [(out[row] - x_mm, face[column] - z_mm) for out, face in zip(self._outside, self._face, strict=True)]

    def face_feed(self, from_x_mm: float, to_x_mm: float, z_mm: list[float]) -> None:
        """Feed across a face, the edge at z in each sector."""
        near, far = min(from_x_mm, to_x_mm), max(from_x_mm, to_x_mm)
        # A pip thinner than a cell's half is not told from none.
        first = self._column(near) + 1 if near > CELL_MM / 2 else 0
        last = self._column(max(far, near + EDGE_MM))
        for face, out, z in zip(self._face, self._outside, z_mm, strict=True):
            high = z
            for i in range(first, last + 1):
                if face[i] > z:
                    high = max(high, face[i])
                    face[i] = z
            for j in range(self._row(z) + 1, self._row(high) + 1):
                out[j] = min(out[j], max(near, 0.0))

    def turn_feed(self, from_z_mm: float, to_z_mm: float, x_mm: list[float]) -> None:
        """Feed along a diameter, the edge at radius x in each sector."""
        near, far = min(from_z_mm, to_z_mm), max(from_z_mm, to_z_mm)
        first, last = self._row(near) + 1, self._row(max(far, near + EDGE_MM))
        for face, out, x in zip(self._face, self._outside, x_mm, strict=True):
            high = x
            for j in range(first, last + 1):
                if out[j] > x:
                    high = max(high, out[j])
                    out[j] = x
            # Also where no whole cell was passed yet: the front of the cut is exact in Z.
            high = max(high, out[self._row(near)])
            for i in range(self._column(x) + 1, self._column(high) + 1):
                face[i] = min(face[i], near)

    def touches_face_mm(self, x_mm: float) -> float:
        """The Z at which a tool at radius x would first touch the turning work."""
        column = self._column(x_mm)
        return max(face[column] for face in self._face)

    def touches_outside_mm(self, z_mm: float) -> float:
        """The radius at which a tool at z would first touch the turning work."""
        row = self._row(z_mm)
        return max(out[row] for out in self._outside)

    def diameter_mm(self, z_mm: float) -> float:
        """What a perfect micrometer finds at z: the mean over the circumference, run-out cancels."""
        row = self._row(z_mm)
        return 2 * sum(out[row] for out in self._outside) / SECTORS

    def face_mm(self, x_mm: float) -> float:
        """Mean Z of the face at radius x."""
        column = self._column(x_mm)
        return sum(face[column] for face in self._face) / SECTORS

    def face_clean(self, to_x_mm: float = 2 * CELL_MM) -> bool:
        """No saw mark is left on the face: every spot lies below the deepest one of the sawn face."""
        reach = range(self._column(to_x_mm), self._column(self.diameter_mm(self._floor_mm / 2) / 2 - 2 * CELL_MM))
        highest = max(face[i] for face in self._face for i in reach)
        return highest < self._raw_low_mm

    def volume_mm3(self) -> float:
        """Metal left out of the chuck."""
        rings = [math.pi * CELL_MM**2 * (2 * i + 1) for i in range(len(self._face[0]))]
        total = 0.0
        for face, out in zip(self._face, self._outside, strict=True):
            total += sum(ring * (height - self._floor_mm) for ring, height in zip(rings, face, strict=True))
            total -= self._not_filled_mm3(face, out)
        return total / SECTORS

    def _not_filled_mm3(self, face: list[float], out: list[float]) -> float:
        """The last ring of each row counts as full in the face's columns; the outside ends somewhere inside it."""
        empty = 0.0
        for row, radius in enumerate(out):
            column = self._column(radius)
            height = face[column] - (self._floor_mm + row * CELL_MM)
            if height > 0:
                ring = math.pi * ((CELL_MM * (column + 1)) ** 2 - radius**2)
                empty += ring * min(height, CELL_MM)
        return empty

    def outline(self) -> list[tuple[float, float]]:
        """The mean outside as (Z, radius) corners from the jaws to the free end."""
        corners: list[tuple[float, float]] = []
        for row in range(len(self._outside[0])):
            radius = sum(out[row] for out in self._outside) / SECTORS
            z = self._floor_mm + row * CELL_MM
            if len(corners) > 1 and abs(corners[-1][1] - radius) < 1e-4 and abs(corners[-2][1] - radius) < 1e-4:
                corners[-1] = (z, radius)
            elif not corners or radius > 0 or corners[-1][1] > 0:
                corners.append((z, radius))
        return corners
