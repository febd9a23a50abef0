"""The work in half section: outside and bore as radius over Z, with exact corners; metal lies between the two.

Both run from the chuck to the free end and are cut by sweeping the edge of a tool along its path. A face is where both
end; a dished one is where the bore opens towards it. Lengths in mm in work coordinates. Volumes are those of the
solid of revolution (Pappus), exact for straight pieces.

Not represented: metal left standing inside a ring cut into the face until the ring reaches the rim or the bore, and
undercuts behind an edge. Metal that nothing holds any more (parted off, faced to the centre) is gone.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from waytell.documents.acts import FED_ACROSS
from waytell.documents.base import PassKind
from waytell.documents.config import Tool
from waytell.engine.profile import Corner, Piece, Profile, together
from waytell.engine.tool_shape import Edge, edge_of_pass, swept

PIP_MM = 0.05  # what a tool set a little off centre leaves at the centre does not count as the face


class Section(NamedTuple):
    outside: Profile
    bore: Profile

    @classmethod
    def bar(cls, radius_mm: float, length_mm: float, front_mm: float, bore_radius_mm: float = 0.0) -> Section:
        chuck_mm = front_mm - length_mm
        return cls(Profile.level(chuck_mm, front_mm, radius_mm), Profile.level(chuck_mm, front_mm, bore_radius_mm))

    # -- what stands -----------------------------------------------------------------------------------------------

    @property
    def chuck_mm(self) -> float:
        return self.outside.z[0]

    @property
    def front_mm(self) -> float:
        return self.outside.z[-1]

    def radius_at(self, z_mm: float) -> float:
        """Outer radius just on the chuck side of Z; minus infinity beyond the free end."""
        return self.outside.before(z_mm)

    def bore_at(self, z_mm: float) -> float:
        """Radius of the bore just on the chuck side of Z; 0 where the work is solid."""
        return max(self.bore.before(z_mm), 0.0)

    def face_at(self, radius_mm: float) -> float:
        """Z of the outermost metal met at this radius; the chuck where there is none."""
        for z0, a0, b0, z1, a1, b1 in reversed(list(_together(self.outside, self.bore))):
            if (z := _farthest(z0, a0, b0, z1, a1, b1, radius_mm)) is not None:
                return z
        return self.chuck_mm

    def largest_radius(self, low_mm: float, high_mm: float) -> float:
        """Largest outer radius between two places along Z; minus infinity where there is no metal."""
        return self.outside.largest(low_mm, high_mm)

    def smallest_bore(self, low_mm: float, high_mm: float) -> float:
        """Smallest radius of the bore between two places along Z; infinity where there is no metal."""
        return -self.bore.negative().largest(low_mm, high_mm)

    def touches(self, x_mm: float, z_mm: float, band_mm: float, *, both: bool = False) -> bool:
        """Whether a tool corner at (x, z) cuts or rubs within a band around the metal.

        Metal is looked for on the chuck side of the corner; with `both` on its other side too.
        """
        return self.holds(x_mm, z_mm - band_mm, band_mm) or (both and self.holds(x_mm, z_mm + band_mm, band_mm))

    def holds(self, x_mm: float, z_mm: float, band_mm: float) -> bool:
        """Whether there is metal at this Z within a band of this radius."""
        zs = self.outside.z
        if z_mm >= zs[-1]:
            return False
        # The chuck may hold less of the bar than was written.
        z_mm = max(z_mm, zs[0] + 1e-6)
        if self.outside.before(z_mm) < x_mm - band_mm:
            return False
        # Past the centre of solid work the tool still stands in front of metal.
        bore = self.bore.before(z_mm)
        return bore <= max(x_mm + band_mm, 0.0)

    # -- what goes -------------------------------------------------------------------------------------------------

    def cut(self, path: Sequence[Corner], edge: Edge) -> Section:
        """What is left after the control point of an edge has gone along `path`, corners (x, z)."""
        moves = list(pairwise(path)) if len(path) > 1 else [(path[0], path[0])]
        if edge.cuts == "face":
            return self._faced(moves, edge)
        outside, bore = self
        for (x0, z0), (x1, z1) in moves:
            if edge.cuts == "outside":
                outside = outside.lower(swept(edge.corners, (z0, x0), (z1, x1)))
            else:
                reach = swept(edge.corners, (z0, -x0), (z1, -x1))
                bore = bore.upper([(z, -r) for z, r in reach])
        return _held_together(Section(outside, bore))

    def after(self, kind: PassKind, tool: Tool | None, path: Sequence[Corner]) -> Section:
        """What is left after a pass of a kind, the tool's corner having gone along `path`."""
        start, end = (path[0][0], path[-1][0]) if kind in FED_ACROSS else (path[0][1], path[-1][1])
        return self.cut(path, edge_of_pass(tool, kind, start, end, self.bore_at(path[0][1] - 1e-6)))

    def _faced(self, moves: list[tuple[Corner, Corner]], edge: Edge) -> Section:
        """Everything beyond the path goes, at the radii that the edge passed."""
        chains = [Profile(*_columns(swept(edge.corners, a, b))) for a, b in moves]
        face = chains[0]
        for chain in chains[1:]:
            face = _joined(face, chain)
        rim = self.largest_radius(self.chuck_mm, self.front_mm)
        passed = list(_between(face, 0.0, rim))
        if not passed:
            return self
        if face.z[0] > self.bore_at(min(passed[0][1], self.front_mm)) + PIP_MM:
            return self._faced_to(passed)
        to_rim = face.z[-1] >= rim - PIP_MM
        if to_rim:
            # A ring thinner than a pip is not told from none.
            passed.append((rim, passed[-1][1]))
        return self._faced_clean(passed, to_rim=to_rim)

    def _faced_clean(self, face: list[Corner], *, to_rim: bool) -> Section:
        """Nothing is left standing inside."""
        inner = _rising(face)
        bore = self.bore.upper([(z, r) for r, z in inner])
        # In front of the highest place of the new face only what the edge did not come to still stands.
        top = inner[-1][1]
        if not to_rim:
            end = max(self.front_mm, top)
            return _held_together(self._replace(bore=bore.upper([(top, face[-1][0]), (end, face[-1][0])])))
        outside = self.outside.lower([(z, r) for r, z in _rising(face[::-1])])
        return _held_together(Section(outside.up_to(top), bore.up_to(top)))

    def _faced_to(self, face: list[Corner]) -> Section:
        """What stands inside the innermost radius stays; the ring outside it goes from the path on."""
        end = face[0][0]
        falling: list[Corner] = []
        deepest = math.inf
        for r, z in face:
            if z < deepest:
                falling.append((z, r))
                deepest = z
        wall = [*reversed(falling), (max(self.front_mm, falling[0][0]) + 1.0, end)]
        return _held_together(self._replace(outside=self.outside.lower(wall)))

    def shifted(self, dx_mm: float, dz_mm: float, stock_radius_mm: float) -> Section:
        """The same metal in moved coordinates; the bar's own surface was not cut, so its radius stays."""
        radii = tuple(r if r >= stock_radius_mm else max(0.0, r + dx_mm) for r in self.outside.r)
        return Section(Profile(self.outside.z, radii).shifted(dz_mm), self.bore.shifted(dz_mm))

    # -- measured --------------------------------------------------------------------------------------------------

    def area_mm2(self) -> float:
        """Of the half section, out of the chuck."""
        return sum(_area_mm2(*piece) for piece in _together(self.outside, self.bore))

    def volume_mm3(self) -> float:
        """Of the work out of the chuck."""
        return sum(_volume_mm3(*piece) for piece in _together(self.outside, self.bore))

    def polygon(self) -> tuple[Corner, ...]:
        """(Z, radius) corners of the closed half section, from the chuck along the outside and back along the bore."""
        return (*self.outside.corners(), *reversed(self.bore.corners()))

    def left_over(self, target: Section) -> tuple[float, float]:
        """Area (mm2) and volume (mm3) still to take off to reach a target section."""
        pieces = [*_excess(self.outside, target.outside), *_excess(target.bore, self.bore)]
        pieces += [
            _from(piece, target.front_mm) for piece in _together(self.outside, self.bore) if piece[3] > target.front_mm
        ]
        return sum(_area_mm2(*piece) for piece in pieces), sum(_volume_mm3(*piece) for piece in pieces)

    def gouge(self, target: Section) -> tuple[float, float] | None:
        """(depth, Z) of the worst place where metal of the target is missing, depth along X; None where there is none.

        A face that is too short counts with its shortness, at its Z.
        """
        worst, at = 1e-9, None
        for ours, wanted in ((target.outside, self.outside), (self.bore, target.bore)):
            for z0, a0, b0, z1, a1, b1 in _together(ours, wanted):
                for z, missing in ((z0, a0 - b0), (z1, a1 - b1)):
                    if missing > worst:
                        worst, at = missing, z
        short = target.front_mm - self.front_mm
        if short > worst:
            worst, at = short, self.front_mm
        return None if at is None else (worst, at)


def _held_together(section: Section) -> Section:
    """Without what is no longer held by the chuck."""
    for z0, a0, b0, z1, a1, b1 in _together(section.outside, section.bore):
        thin0, thin1 = a0 - b0, a1 - b1
        if min(thin0, thin1) > 1e-9:
            continue
        at = z0 if thin0 <= 1e-9 else z0 + (z1 - z0) * thin0 / (thin0 - thin1)
        if at >= section.front_mm:
            return section
        return Section(section.outside.up_to(at), section.bore.up_to(at))
    return section


def _together(a: Profile, b: Profile) -> Iterator[Piece]:
    """Pieces of both chains over the stretch that both have."""
    return together(a, b, max(a.z[0], b.z[0]), min(a.z[-1], b.z[-1]))


def _area_mm2(z0: float, a0: float, b0: float, z1: float, a1: float, b1: float) -> float:
    """Of what lies under a and above b."""
    return (a0 - b0 + a1 - b1) / 2 * (z1 - z0)


def _volume_mm3(z0: float, a0: float, b0: float, z1: float, a1: float, b1: float) -> float:
    """Of the same turned about the axis: a frustum less a frustum, pi h (r0^2 + r0 r1 + r1^2) / 3 each."""
    return math.pi * (z1 - z0) / 3 * (a0 * a0 + a0 * a1 + a1 * a1 - b0 * b0 - b0 * b1 - b1 * b1)


def _from(piece: Piece, z: float) -> Piece:
    """What lies beyond Z of a piece of both chains."""
    z0, a0, b0, z1, a1, b1 = piece
    if z <= z0:
        return piece
    share = (z - z0) / (z1 - z0)
    return z, a0 + share * (a1 - a0), b0 + share * (b1 - b0), z1, a1, b1


def _farthest(z0: float, a0: float, b0: float, z1: float, a1: float, b1: float, r: float) -> float | None:
    """Largest Z in a piece at which the radius lies in the metal."""
    low, high = 0.0, 1.0
    for start, end in ((a0 - r, a1 - r), (r - b0, r - b1)):
        if start < 0 and end < 0:
            return None
        if start < 0:
            low = max(low, start / (start - end))
        elif end < 0:
            high = min(high, start / (start - end))
    return z0 + high * (z1 - z0) if low <= high else None


def _excess(a: Profile, b: Profile) -> Iterator[Piece]:
    """Pieces of what lies under `a` and above `b`."""
    for z0, a0, b0, z1, a1, b1 in _together(a, b):
        d0, d1 = a0 - b0, a1 - b1
        if d0 >= 0 and d1 >= 0:
            yield z0, a0, b0, z1, a1, b1
        elif d0 > 0 or d1 > 0:
            share = d0 / (d0 - d1)
            zc, rc = z0 + share * (z1 - z0), a0 + share * (a1 - a0)
            yield (z0, a0, b0, zc, rc, rc) if d0 > 0 else (zc, rc, rc, z1, a1, b1)


def _joined(a: Profile, b: Profile) -> Profile:
    """The lower of two chains where both reach, each alone where only one does."""
    low, high = (a, b) if a.z[0] <= b.z[0] else (b, a)
    both = low.lower(list(high.corners()))
    if high.z[-1] <= low.z[-1]:
        return both
    index = bisect_left(high.z, low.z[-1])
    at = (low.z[-1], high.before(low.z[-1]))
    return Profile.of([*both.corners(), at, *list(high.corners())[index:]])


def _columns(corners: list[Corner]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    return tuple(a for a, _ in corners), tuple(h for _, h in corners)


def _between(chain: Profile, low: float, high: float) -> Iterator[Corner]:
    """Corners of a chain from one place to another, cut there."""
    end = None
    for z0, r0, z1, r1 in chain.within(low, high):
        if end != (z0, r0):
            yield z0, r0
        end = (z1, r1)
        yield end


def _rising(chain: list[Corner]) -> list[Corner]:
    """Corners (r, z) of a chain where Z is higher than anywhere before: what can be seen from its start."""
    out = [chain[0]]
    top = chain[0][1]
    for (r0, z0), (r1, z1) in pairwise(chain):
        if z1 <= top:
            continue
        share = (top - z0) / (z1 - z0)
        out.append((r0 + share * (r1 - r0), top))
        out.append((r1, z1))
        top = z1
    return out
